package store

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"runtime/debug"

	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/database"

	"zonule/migrations"
)

// migrating is how a dialect is brought up to date.
type migrating struct {
	dialect goose.Dialect
	options []goose.ProviderOption
	// before is called ahead of an upgrade of a database that is not empty, with the version that it has.
	before func(ctx context.Context, version int64) error
}

// versionTable is where the library keeps what was applied; applied is our record beside it, written in the same
// transaction, of the text that was applied and of the program that did it.
const (
	versionTable = "migrations"
	applied      = "applied_migrations"
)

// recorder writes our record whenever the library writes its own.
type recorder struct {
	database.Store
	bound  func(string) string
	hashes map[int64]string
}

func (r recorder) CreateVersionTable(ctx context.Context, db database.DBTxConn) error {
	if err := r.Store.CreateVersionTable(ctx, db); err != nil {
		return err
	}
	_, err := db.ExecContext(ctx, "CREATE TABLE "+applied+" (version BIGINT PRIMARY KEY, hash TEXT NOT NULL, program TEXT NOT NULL)")
	return err
}

func (r recorder) Insert(ctx context.Context, db database.DBTxConn, request database.InsertRequest) error {
	if err := r.Store.Insert(ctx, db, request); err != nil || request.Version == 0 {
		return err
	}
	_, err := db.ExecContext(ctx, r.bound("INSERT INTO "+applied+" (version, hash, program) VALUES (?, ?, ?)"),
		request.Version, r.hashes[request.Version], programVersion())
	return err
}

func programVersion() string {
	info, ok := debug.ReadBuildInfo()
	if !ok || info.Main.Version == "" {
		return "unreleased"
	}
	return info.Main.Version
}

// migrate applies the migrations of this program.
func (s *Store) migrate(ctx context.Context) error {
	return s.migrateWith(ctx, migrations.Files)
}

func (s *Store) migrateWith(ctx context.Context, files fs.FS) error {
	inner, err := database.NewStore(s.dialect.migrations.dialect, versionTable)
	if err != nil {
		return err
	}
	record := recorder{Store: inner, bound: s.dialect.bound, hashes: map[int64]string{}}
	options := append([]goose.ProviderOption{goose.WithStore(record), goose.WithDisableGlobalRegistry(true)}, s.dialect.migrations.options...)
	provider, err := goose.NewProvider("", s.write.DB, files, options...)
	if err != nil {
		return fmt.Errorf("read the migrations: %w", err)
	}
	var newest int64
	for _, source := range provider.ListSources() {
		text, err := fs.ReadFile(files, source.Path)
		if err != nil {
			return err
		}
		sum := sha256.Sum256(text)
		record.hashes[source.Version] = hex.EncodeToString(sum[:])
		newest = max(newest, source.Version)
	}
	current, err := provider.GetDBVersion(ctx)
	if err != nil {
		return s.dialect.translate(fmt.Errorf("read the version of the database: %w", err))
	}
	if err := s.checkApplied(ctx, record.hashes, newest); err != nil {
		return err
	}
	if current > 0 && current < newest && s.dialect.migrations.before != nil {
		if err := s.dialect.migrations.before(ctx, current); err != nil {
			return err
		}
	}
	if _, err := provider.Up(ctx); err != nil {
		return fmt.Errorf("upgrade the database: %w", err)
	}
	return s.checkApplied(ctx, record.hashes, newest)
}

// checkApplied refuses a database that this program does not know: one from a newer program, or one to which other
// texts were applied than this program carries.
func (s *Store) checkApplied(ctx context.Context, hashes map[int64]string, newest int64) error {
	var rows []struct {
		Version int64
		Hash    string
		Program string
	}
	if err := s.write.SelectContext(ctx, &rows, "SELECT version, hash, program FROM "+applied+" ORDER BY version"); err != nil {
		return fmt.Errorf("read what was applied to the database: %w", err)
	}
	for _, row := range rows {
		if row.Version > newest {
			return fmt.Errorf("the database has version %d and this program knows up to %d: use Zonule %s or newer", row.Version, newest, row.Program)
		}
		if row.Hash != hashes[row.Version] {
			return fmt.Errorf("migration %d of this program is not the one that was applied to the database: use Zonule %s or newer", row.Version, row.Program)
		}
	}
	return nil
}

// Ready says why the database cannot be used now: it is away, or another program has upgraded it.
func (s *Store) Ready(ctx context.Context) error {
	if err := s.read.PingContext(ctx); err != nil {
		return err
	}
	entries, err := fs.Glob(migrations.Files, "*.sql")
	if err != nil {
		return err
	}
	var count int
	if err := s.read.GetContext(ctx, &count, "SELECT COUNT(*) FROM "+applied); err != nil {
		return err
	}
	if count != len(entries) {
		return errors.New("the database has been upgraded by another version of the program")
	}
	return nil
}
