package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"
	"time"

	"zonule/annotate/demo"
	"zonule/annotate/demo/film"
)

// checkDemo keeps the public password of the demo on this machine, unless that is asked for in so many words.
func checkDemo(c Config) error {
	if c.OpenToOthers || c.loopback() {
		return nil
	}
	return wrongly("demo: its password is public, so that it listens on 127.0.0.1 only; give --open-to-others if every machine that reaches %q may come in", c.Listen)
}

// demo is the command.
func (p *program) demo(ctx context.Context) error {
	if p.config.RemakeFilms != "" {
		return p.remakeFilms(ctx)
	}
	dir, err := filepath.Abs(p.config.Dir)
	if err != nil {
		return err
	}
	films := filepath.Join(dir, "films")
	if err := layOutFilms(films); err != nil {
		return err
	}
	p.config.MediaRoots = map[string]string{demo.Root: films}
	if err := p.makeUnit(ctx, filepath.Join(dir, "unit.db")); err != nil {
		return err
	}
	u, err := p.open(ctx)
	if err != nil {
		return err
	}
	defer p.shut(u)
	return p.listen(ctx, u, p.invite)
}

// remakeFilms draws the films anew, with a line for each tenth of the work.
func (p *program) remakeFilms(ctx context.Context) error {
	told := int64(-1)
	return film.Remake(ctx, p.config.RemakeFilms, func(file string, done, total int64) {
		if tenth := 10 * done / max(1, total); tenth > told {
			told = tenth
			fmt.Fprintf(p.stdout, "%3d %% drawn (%s)\n", 10*tenth, file)
		}
	})
}

// layOutFilms writes the films into the folder that serves as media root; those that are there are left.
func layOutFilms(dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	finished, err := film.Films()
	if err != nil {
		return err
	}
	return fs.WalkDir(finished, ".", func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		target := filepath.Join(dir, filepath.FromSlash(path))
		if _, err := os.Stat(target); err == nil {
			return nil
		}
		content, err := fs.ReadFile(finished, path)
		if err != nil {
			return err
		}
		return os.WriteFile(target, content, 0o644)
	})
}

// makeUnit invents the unit into a database beside the final one, so that an interrupted start leaves nothing half-made.
func (p *program) makeUnit(ctx context.Context, database string) error {
	p.config.Database = "sqlite:" + database
	if _, err := os.Stat(database); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	began, draft := time.Now(), database+".new"
	for _, ending := range []string{"", "-wal", "-shm"} {
		if err := os.Remove(draft + ending); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	p.config.Database = "sqlite:" + draft
	u, err := p.open(ctx)
	if err != nil {
		return err
	}
	if err := errors.Join(p.fill(ctx, u), u.store.Close()); err != nil {
		return err
	}
	p.config.Database = "sqlite:" + database
	fmt.Fprintf(p.stdout, "The unit was made in %.1f s.\n", time.Since(began).Seconds())
	return os.Rename(draft, database)
}

// invite tells how to come in.
func (p *program) invite(address string) {
	fmt.Fprintf(p.stdout, "\nThe demo unit is at %s\n\nEverything in it is invented. Sign in with the password %s as:\n\n", address, demo.Password)
	w := tabwriter.NewWriter(p.stdout, 0, 0, 2, ' ', 0)
	for _, login := range demo.Logins() {
		fmt.Fprintf(w, "  %s\t%s\t%s\n", login.Login, strings.ToLower(words(login.Roles)), login.Name)
	}
	if err := w.Flush(); err != nil {
		p.log.Warn("the list of sign-ins could not be printed", "error", err)
	}
	fmt.Fprint(p.stdout, "\nFour cases have films that play: look for FILM in the list of cases.\nStop with Ctrl-C.\n")
}
