package main

import (
	"context"
	"fmt"
	"strings"
	"text/tabwriter"

	"zonule/annotate"
)

func (p *program) userList(ctx context.Context) error {
	u, err := p.openExisting(ctx)
	if err != nil {
		return err
	}
	defer p.shut(u)
	users, err := u.service.Users(ctx, annotate.House())
	if err != nil {
		return err
	}
	w := tabwriter.NewWriter(p.stdout, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "login\tname\troles\tgrade\tactive")
	for _, user := range users {
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%t\n", user.Login, user.Name, words(user.Roles), user.Grade, user.Active)
	}
	return w.Flush()
}

func (p *program) userAdd(ctx context.Context) error {
	u, err := p.open(ctx)
	if err != nil {
		return err
	}
	defer p.shut(u)
	user, err := u.service.PutUser(ctx, annotate.House(), annotate.User{
		Login: p.config.Login, Name: p.config.Name, Roles: p.config.Roles, Grade: p.config.Grade, Active: true,
	})
	if err != nil {
		return err
	}
	return p.oneTime(ctx, u, user)
}

func (p *program) userResetPassword(ctx context.Context) error {
	u, err := p.openExisting(ctx)
	if err != nil {
		return err
	}
	defer p.shut(u)
	user, err := p.userNamed(ctx, u)
	if err != nil {
		return err
	}
	return p.oneTime(ctx, u, user)
}

func (p *program) userRoles(ctx context.Context) error {
	u, err := p.openExisting(ctx)
	if err != nil {
		return err
	}
	defer p.shut(u)
	user, err := p.userNamed(ctx, u)
	if err != nil {
		return err
	}
	user.Roles = p.config.Roles
	if user, err = u.service.PutUser(ctx, annotate.House(), user); err != nil {
		return err
	}
	fmt.Fprintf(p.stdout, "%s is now: %s\n", user.Login, words(user.Roles))
	return nil
}

// oneTime gives the account a password that works once, and prints it.
func (p *program) oneTime(ctx context.Context, u *unit, user annotate.User) error {
	password, err := u.service.ResetPassword(ctx, annotate.House(), user.ID)
	if err != nil {
		return err
	}
	fmt.Fprintf(p.stdout, "%s signs in with the one-time password %s\n", user.Login, password)
	return nil
}

func (p *program) userNamed(ctx context.Context, u *unit) (annotate.User, error) {
	users, err := u.service.Users(ctx, annotate.House())
	if err != nil {
		return annotate.User{}, err
	}
	for _, user := range users {
		if strings.EqualFold(user.Login, p.config.Login) {
			return user, nil
		}
	}
	return annotate.User{}, fmt.Errorf("nobody signs in as %q; 'zonule user list' shows who does", p.config.Login)
}
