package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"
	"time"

	"github.com/google/uuid"

	"zonule/annotate"
	"zonule/annotate/store"
	"zonule/server"
	"zonule/server/auth"
	"zonule/server/media"
)

// unit is the opened unit.
type unit struct {
	store   *store.Store
	library *media.Library
	service *annotate.Service
}

// open brings the database up to date and joins the rooms.
func (p *program) open(ctx context.Context) (*unit, error) {
	library, err := p.library()
	if err != nil {
		return nil, err
	}
	s, err := store.Open(ctx, p.config.Database)
	if err != nil {
		return nil, err
	}
	u := &unit{store: s, library: library, service: newService(s, library, time.Now)}
	if err := errors.Join(u.service.EnsureStepLists(ctx), u.service.EnsureAssessmentForms(ctx), u.service.FillRows(ctx)); err != nil {
		p.shut(u)
		return nil, err
	}
	return u, nil
}

// openExisting is open for commands that look at a unit: where there is none, a slip in the address would otherwise
// make an empty one and find it in order.
func (p *program) openExisting(ctx context.Context) (*unit, error) {
	if file, isFile := strings.CutPrefix(p.config.Database, "sqlite:"); isFile {
		if _, err := os.Stat(file); errors.Is(err, fs.ErrNotExist) {
			return nil, fmt.Errorf("there is no database %s; name the one that the unit is served from with --database or ZONULE_DATABASE", file)
		}
	}
	return p.open(ctx)
}

// shut closes the database; what goes wrong there can only be told.
func (p *program) shut(u *unit) {
	if err := u.store.Close(); err != nil {
		p.log.Error("the database did not close in order", "error", err)
	}
}

func newService(s *store.Store, library *media.Library, now func() time.Time) *annotate.Service {
	hasher := auth.NewHasher()
	return annotate.NewService(annotate.Options{
		Store: s, Now: now, NewID: func() string { return uuid.Must(uuid.NewV7()).String() },
		Media: server.NewRecorder(library), HashPassword: hasher.Hash, CheckPassword: hasher.Check,
	})
}

func (p *program) library() (*media.Library, error) {
	var roots []media.Root
	for name, dir := range p.config.MediaRoots {
		path, err := filepath.Abs(dir)
		if err != nil {
			return nil, err
		}
		roots = append(roots, media.Root{Name: name, Dir: path})
	}
	var options []media.Option
	if p.config.PrivateRecordings {
		options = append(options, media.WithPrivateAddresses())
	}
	return media.NewLibrary(roots, options...)
}

// version is what the build knows about itself.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok || info.Main.Version == "" || info.Main.Version == "(devel)" {
		return "unreleased"
	}
	return info.Main.Version
}
