package store

import (
	"database/sql"
	"errors"
	"net"
	"net/url"
	"time"

	"github.com/jmoiron/sqlx"
	"github.com/lib/pq"
	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/lock"

	"zonule/annotate"
)

// openPostgres opens a pool. Whether the connection is encrypted must be said in the address.
func openPostgres(address string) (*Store, error) {
	parsed, err := url.Parse(address)
	if err != nil {
		return nil, errors.New("the address of the database cannot be read")
	}
	if parsed.Query().Get("sslmode") == "" {
		return nil, errors.New("the address of the database must say how the connection is secured: add ?sslmode=verify-full, or ?sslmode=disable on this machine")
	}
	db, err := sqlx.Open("postgres", address)
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(16)
	db.SetMaxIdleConns(8)
	db.SetConnMaxIdleTime(5 * time.Minute)
	// Several servers may start at once: the first migrates, the others wait for up to five minutes.
	locker, err := lock.NewPostgresSessionLocker(lock.WithLockTimeout(1, 300))
	if err != nil {
		return nil, errors.Join(err, db.Close())
	}
	return &Store{write: db, read: db, dialect: dialect{
		bind: sqlx.DOLLAR, forUpdate: " FOR UPDATE",
		// The number stands for the audit log of this schema; any other would do.
		lockAudit: "SELECT pg_advisory_xact_lock(20110, hashtext(current_schema()))",
		snapshot:  sql.TxOptions{ReadOnly: true, Isolation: sql.LevelRepeatableRead}, kind: postgresError,
		migrations: migrating{dialect: goose.DialectPostgres, options: []goose.ProviderOption{goose.WithSessionLocker(locker)}},
	}}, nil
}

func postgresError(err error) error {
	var fault *pq.Error
	var network net.Error
	switch {
	case errors.As(err, &fault):
		switch fault.Code {
		case "23505": // unique_violation
			return annotate.ErrDuplicate
		case "23503", "23001": // foreign_key_violation, restrict_violation
			return annotate.ErrReferred
		}
		switch fault.Code.Class() {
		case "08", "40", "53", "55", "57": // connection, serialisation, resources, locks, shutdown
			return unavailable(err)
		}
	case errors.As(err, &network):
		return unavailable(err)
	}
	return nil
}
