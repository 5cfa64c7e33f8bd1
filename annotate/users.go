package annotate

import (
	"context"
	"crypto/rand"
	"errors"
	"regexp"
	"slices"
	"strings"
)

// UserByID finds the account of a session. An inactive one counts as signed out.
func (s *Service) UserByID(ctx context.Context, id string) (User, error) {
	var user User
	err := s.store.Read(ctx, func(tx Tx) error {
		account, err := tx.User(ctx, id)
		if errors.Is(err, ErrNoRow) {
			return notFound("account")
		}
		user = account.User
		return err
	})
	if err == nil && !user.Active {
		err = Refuse(CodeSignedOut, "This account is no longer active.")
	}
	if err != nil {
		return User{}, err
	}
	return user, nil
}

// People gives what everybody may know of everybody, by name.
func (s *Service) People(ctx context.Context, actor Actor) ([]Person, error) {
	if err := present(actor); err != nil {
		return nil, err
	}
	people := []Person{}
	err := s.store.Read(ctx, func(tx Tx) error {
		accounts, err := tx.Users(ctx)
		for _, account := range accounts {
			people = append(people, account.Person())
		}
		return err
	})
	slices.SortFunc(people, func(a, b Person) int { return strings.Compare(a.Name+"\x00"+a.ID, b.Name+"\x00"+b.ID) })
	return people, err
}

// Users gives the accounts, by name, to administrators.
func (s *Service) Users(ctx context.Context, actor Actor) ([]User, error) {
	if err := mayManage(actor, UserManage); err != nil {
		return nil, err
	}
	users := []User{}
	err := s.store.Read(ctx, func(tx Tx) error {
		accounts, err := tx.Users(ctx)
		for _, account := range accounts {
			users = append(users, account.User)
		}
		return err
	})
	slices.SortFunc(users, func(a, b User) int { return strings.Compare(a.Name+"\x00"+a.ID, b.Name+"\x00"+b.ID) })
	return users, err
}

var loginForm = regexp.MustCompile(`^[a-z0-9][a-z0-9._@-]{0,59}$`)

func (u *User) normalise() {
	u.Login = strings.ToLower(strings.TrimSpace(u.Login))
	u.Name = strings.TrimSpace(u.Name)
	if u.Roles == nil {
		u.Roles = []Role{}
	}
}

func (u User) validate() error {
	var p problems
	p.id("id", u.ID)
	if !loginForm.MatchString(u.Login) {
		p.add("login", "must be 1 to 60 of the characters a-z, 0-9, . _ @ -, beginning with a letter or digit")
	}
	p.text("name", u.Name, 1, 120)
	if len(u.Roles) == 0 {
		p.add("roles", "must hold at least one role")
	}
	for i, role := range u.Roles {
		oneOf(&p, "roles", role, true, Roles...)
		if slices.Contains(u.Roles[:i], role) {
			p.add("roles", "holds %s twice", role)
		}
	}
	oneOf(&p, "grade", u.Grade, false, Grades...)
	return p.err("The account")
}

// PutUser makes an account (revision 0; an empty id is filled in) or changes it. A new account cannot sign in before
// ResetPassword gives it a password. Every change ends the account's sessions.
func (s *Service) PutUser(ctx context.Context, actor Actor, user User) (User, error) {
	if err := mayManage(actor, UserManage); err != nil {
		return User{}, err
	}
	if user.ID == "" && user.Revision == 0 {
		user.ID = s.newID()
	}
	user.normalise()
	if err := user.validate(); err != nil {
		return User{}, err
	}
	err := s.store.Write(ctx, func(tx Tx) error {
		stored, err := tx.User(ctx, user.ID)
		if errors.Is(err, ErrNoRow) && user.Revision == 0 {
			return s.newUser(ctx, tx, actor, &user)
		}
		if errors.Is(err, ErrNoRow) {
			return notFound("account")
		}
		if err != nil {
			return err
		}
		return s.changeUser(ctx, tx, actor, &user, stored)
	})
	if errors.Is(err, ErrDuplicate) {
		err = Refuse(CodeTaken, "Somebody signs in as %q already; choose another name.", user.Login)
	}
	if err != nil {
		return User{}, err
	}
	return user, nil
}

func (s *Service) newUser(ctx context.Context, tx Tx, actor Actor, user *User) error {
	user.Revision, user.CreatedAt, user.MustChangePassword = 1, s.nowMs(), true
	if err := tx.InsertUser(ctx, Account{User: *user}); err != nil {
		return err
	}
	return s.record(ctx, tx, actor, AuditEntry{Action: "user.create", ThingID: user.ID, Detail: detail(Differences(nil, *user))})
}

func (s *Service) changeUser(ctx context.Context, tx Tx, actor Actor, user *User, stored Account) error {
	user.CreatedAt, user.MustChangePassword = stored.CreatedAt, stored.MustChangePassword
	differences := Differences(stored.User, *user)
	if len(differences) == 0 {
		*user = stored.User
		return nil
	}
	if user.Revision != stored.Revision {
		return stale("The account", *user, stored.User)
	}
	if err := keepAnAdministrator(ctx, tx, *user); err != nil {
		return err
	}
	user.Revision++
	if err := updateUser(ctx, tx, Account{User: *user, PasswordHash: stored.PasswordHash}); err != nil {
		return err
	}
	return s.record(ctx, tx, actor, AuditEntry{Action: "user.change", ThingID: user.ID, Detail: detail(differences)})
}

// updateUser tells a change that came in between as stale.
func updateUser(ctx context.Context, tx Tx, account Account) error {
	err := tx.UpdateUser(ctx, account)
	if errors.Is(err, ErrNotOne) {
		stored, err := tx.User(ctx, account.ID)
		if err != nil {
			return err
		}
		return stale("The account", account.User, stored.User)
	}
	return err
}

// keepAnAdministrator refuses the change that would leave nobody to manage the unit.
func keepAnAdministrator(ctx context.Context, tx Tx, changed User) error {
	if changed.Active && changed.Has(RoleAdministrator) {
		return nil
	}
	accounts, err := tx.Users(ctx)
	if err != nil {
		return err
	}
	was := false
	for _, account := range accounts {
		if !account.Active || !account.Has(RoleAdministrator) {
			continue
		}
		if account.ID != changed.ID {
			return nil
		}
		was = true
	}
	if !was {
		return nil
	}
	var p problems
	p.add("roles", "would leave the unit without an active administrator")
	return p.err("The account")
}

// ResetPassword gives an account a one-time password, which its owner must change at the next sign-in. It is shown
// here and never again.
func (s *Service) ResetPassword(ctx context.Context, actor Actor, userID string) (string, error) {
	if err := mayManage(actor, UserManage); err != nil {
		return "", err
	}
	password := oneTimePassword()
	hash, err := s.hashPassword(password)
	if err != nil {
		return "", err
	}
	err = s.store.Write(ctx, func(tx Tx) error {
		account, err := tx.User(ctx, userID)
		if errors.Is(err, ErrNoRow) {
			return notFound("account")
		}
		if err != nil {
			return err
		}
		account.Revision++
		account.PasswordHash, account.MustChangePassword = hash, true
		if err := updateUser(ctx, tx, account); err != nil {
			return err
		}
		if err := tx.ForgetTriesOf(ctx, triesOfAccount(account.Login)); err != nil {
			return err
		}
		return s.record(ctx, tx, actor, AuditEntry{Action: "user.reset-password", ThingID: userID})
	})
	if err != nil {
		return "", err
	}
	return password, nil
}

// oneTimePassword draws 80 random bits and writes them in groups that can be read out on the telephone.
func oneTimePassword() string {
	const letters = "abcdefghijkmnpqrstuvwxyz23456789" // 32 of them, without l, o, 0 and 1
	random := make([]byte, 16)
	rand.Read(random)
	var text strings.Builder
	for i, b := range random {
		if i > 0 && i%4 == 0 {
			text.WriteByte('-')
		}
		text.WriteByte(letters[b%32])
	}
	return text.String()
}

// EnsureAdministrator makes the first account when the unit has none. The one-time password is shown here and never
// again.
func (s *Service) EnsureAdministrator(ctx context.Context) (login, password string, created bool, err error) {
	password = oneTimePassword()
	hash, err := s.hashPassword(password)
	if err != nil {
		return "", "", false, err
	}
	user := User{
		ID: s.newID(), Revision: 1, Login: "admin", Name: "Administrator", Roles: []Role{RoleAdministrator},
		Active: true, MustChangePassword: true, CreatedAt: s.nowMs(),
	}
	err = s.store.Write(ctx, func(tx Tx) error {
		accounts, err := tx.Users(ctx)
		if err != nil || len(accounts) > 0 {
			return err
		}
		created = true
		if err := tx.InsertUser(ctx, Account{User: user, PasswordHash: hash}); err != nil {
			return err
		}
		return s.record(ctx, tx, House(), AuditEntry{Action: "user.create", ThingID: user.ID, Detail: detail(Differences(nil, user))})
	})
	if errors.Is(err, ErrDuplicate) {
		// Another server over the same database was first.
		return "", "", false, nil
	}
	if err != nil || !created {
		return "", "", false, err
	}
	return user.Login, password, true, nil
}
