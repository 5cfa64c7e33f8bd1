package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strings"

	"github.com/jmoiron/sqlx"
	"github.com/pressly/goose/v3"
	"modernc.org/sqlite"

	"zonule/annotate"
)

// sqlx does not know the name under which the driver registers.
func init() { sqlx.BindDriver("sqlite", sqlx.QUESTION) }

// What stands in the connection string reaches every connection of a pool. synchronous=FULL keeps what was acknowledged
// over a power cut.
const (
	sqliteWriting = "?_pragma=busy_timeout(5000)&_pragma=journal_mode(WAL)&_pragma=foreign_keys(1)&_pragma=synchronous(FULL)&_txlock=immediate"
	sqliteReading = "?mode=ro&_pragma=busy_timeout(5000)&_pragma=foreign_keys(1)"
	readers       = 4
)

// openSQLite opens a file with one connection that writes and some that read beside it.
func openSQLite(file string) (*Store, error) {
	if file == "" || strings.HasPrefix(file, ":memory:") {
		return nil, errors.New(`the database must name a file, such as "sqlite:unit.db"`)
	}
	if dir := filepath.Dir(file); dir != "." {
		if _, err := os.Stat(dir); err != nil {
			return nil, fmt.Errorf("the folder of the database: %w", err)
		}
	}
	name := "file:" + (&url.URL{Path: file}).EscapedPath()
	write, err := sqlx.Open("sqlite", name+sqliteWriting)
	if err != nil {
		return nil, err
	}
	write.SetMaxOpenConns(1)
	read, err := sqlx.Open("sqlite", name+sqliteReading)
	if err != nil {
		return nil, errors.Join(err, write.Close())
	}
	read.SetMaxOpenConns(readers)
	read.SetMaxIdleConns(readers)
	return &Store{write: write, read: read, dialect: dialect{
		bind: sqlx.QUESTION, snapshot: sql.TxOptions{ReadOnly: true}, kind: sqliteError,
		migrations: migrating{dialect: goose.DialectSQLite3, before: func(ctx context.Context, version int64) error {
			return copySQLite(ctx, write, file, version)
		}},
	}}, nil
}

// Codes of SQLite (https://sqlite.org/rescode.html): the extended ones of constraints, the primary ones of the rest.
const (
	sqliteBusy         = 5
	sqliteLocked       = 6
	sqliteCantOpen     = 14
	sqliteFull         = 13
	sqliteUnique       = 2067
	sqlitePrimaryKey   = 1555
	sqliteForeignKey   = 787
	sqlitePrimaryMask  = 0xff
	sqliteReadOnlyDisk = 8
)

func sqliteError(err error) error {
	var fault *sqlite.Error
	if !errors.As(err, &fault) {
		return nil
	}
	switch fault.Code() {
	case sqliteUnique, sqlitePrimaryKey:
		return annotate.ErrDuplicate
	case sqliteForeignKey:
		return annotate.ErrReferred
	}
	switch fault.Code() & sqlitePrimaryMask {
	case sqliteBusy, sqliteLocked, sqliteCantOpen, sqliteFull, sqliteReadOnlyDisk:
		return unavailable(err)
	}
	return nil
}

// copySQLite keeps a copy of the file as it was at a version, beside it. A copy that is there already is kept.
func copySQLite(ctx context.Context, db *sqlx.DB, file string, version int64) error {
	target := fmt.Sprintf("%s.before-upgrade-from-%d", file, version)
	if _, err := os.Stat(target); err == nil {
		return nil
	}
	draft := target + ".part"
	if err := os.Remove(draft); err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	if _, err := db.ExecContext(ctx, "VACUUM INTO ?", draft); err != nil {
		return fmt.Errorf("copy the database before the upgrade: %w", err)
	}
	return os.Rename(draft, target)
}
