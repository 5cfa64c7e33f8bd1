package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/jmoiron/sqlx"

	"zonule/annotate"
)

// Store is an opened database. It is safe for use by several goroutines.
type Store struct {
	dialect dialect
	write   *sqlx.DB
	read    *sqlx.DB // the same as write for PostgreSQL
}

// dialect is everything in which the two databases differ.
type dialect struct {
	// bind is how the driver counts the arguments of a statement.
	bind int
	// forUpdate is added to a SELECT that holds off other writers of its rows.
	forUpdate string
	// lockAudit holds off other additions to the audit log until the transaction ends.
	lockAudit string
	// snapshot begins a transaction that reads one consistent state.
	snapshot sql.TxOptions
	// kind tells what a driver's error means: one of annotate's errors, or nil.
	kind       func(error) error
	migrations migrating
}

// Open opens the database that the address names and brings its tables up to date:
// "sqlite:FILE" or "postgres://user@host/name?sslmode=...".
func Open(ctx context.Context, address string) (*Store, error) {
	s, err := connect(address)
	if err != nil {
		return nil, err
	}
	if err := s.migrate(ctx); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return s, nil
}

// connect prepares the pools; nothing is asked of the database yet.
func connect(address string) (*Store, error) {
	kind, rest, _ := strings.Cut(address, ":")
	switch kind {
	case "sqlite":
		return openSQLite(rest)
	case "postgres", "postgresql":
		return openPostgres(address)
	}
	return nil, errors.New(`the database must be "sqlite:FILE" or "postgres://user@host/name?sslmode=..."`)
}

// Close waits for what is under way and closes the database.
func (s *Store) Close() error {
	if s.read == s.write {
		return s.write.Close()
	}
	return errors.Join(s.read.Close(), s.write.Close())
}

// Read implements annotate.Store.
func (s *Store) Read(ctx context.Context, fn func(annotate.Tx) error) error {
	options := s.dialect.snapshot
	return s.inTx(ctx, s.read, &options, fn)
}

// Write implements annotate.Store.
func (s *Store) Write(ctx context.Context, fn func(annotate.Tx) error) error {
	return s.inTx(ctx, s.write, nil, fn)
}

// inTx is the only place that begins and ends transactions. What fn returns, and what the commit returns, goes back.
func (s *Store) inTx(ctx context.Context, db *sqlx.DB, options *sql.TxOptions, fn func(annotate.Tx) error) (err error) {
	begun, err := db.BeginTxx(ctx, options)
	if err != nil {
		return s.dialect.translate(err)
	}
	done := false
	defer func() {
		if !done {
			err = errors.Join(err, ignoreDone(begun.Rollback()))
		}
	}()
	if err := fn(&tx{Tx: begun, dialect: &s.dialect, writes: options == nil}); err != nil {
		return err
	}
	done = true
	return s.dialect.translate(begun.Commit())
}

// ignoreDone: a transaction whose context ended has been rolled back already.
func ignoreDone(err error) error {
	if errors.Is(err, sql.ErrTxDone) {
		return nil
	}
	return err
}

// translate turns a driver's error into one that annotate knows.
func (d *dialect) translate(err error) error {
	if err == nil {
		return nil
	}
	if errors.Is(err, sql.ErrNoRows) {
		return annotate.ErrNoRow
	}
	if kind := d.kind(err); kind != nil {
		return errors.Join(kind, err)
	}
	return err
}

// unavailable: trying again may help.
func unavailable(err error) error {
	return annotate.Refuse(annotate.CodeUnavailable, "The database cannot be reached or is busy. Try again in a moment.").Because(err)
}

// tx implements annotate.Tx.
type tx struct {
	*sqlx.Tx
	dialect *dialect
	writes  bool
}

// bound is the only place where the SQL of both databases becomes that of one.
func (d *dialect) bound(query string) string { return sqlx.Rebind(d.bind, query) }

func (t *tx) get(ctx context.Context, into any, query string, args ...any) error {
	return t.dialect.translate(t.GetContext(ctx, into, t.dialect.bound(query), args...))
}

func (t *tx) list(ctx context.Context, into any, query string, args ...any) error {
	return t.dialect.translate(t.SelectContext(ctx, into, t.dialect.bound(query), args...))
}

// listIn is list for a query with one "IN (?)" for the ids; none ids give none rows. It does not go in parts: a query may
// group or order.
func (t *tx) listIn(ctx context.Context, into any, query string, ids []string, args ...any) error {
	if len(ids) == 0 {
		return nil
	}
	expanded, all, err := sqlx.In(query, append([]any{ids}, args...)...)
	if err != nil {
		return err
	}
	return t.list(ctx, into, expanded, all...)
}

// execIn is exec for a statement that ends with "IN (?)" for the ids, some at a time; its other arguments come before.
func (t *tx) execIn(ctx context.Context, query string, ids []string, args ...any) (int64, error) {
	var all int64
	for chunk := range slices.Chunk(ids, rowsAtOnce) {
		expanded, values, err := sqlx.In(query, append(slices.Clone(args), chunk)...)
		if err != nil {
			return 0, err
		}
		n, err := t.exec(ctx, expanded, values...)
		if err != nil {
			return 0, err
		}
		all += n
	}
	return all, nil
}

func (t *tx) exec(ctx context.Context, query string, args ...any) (int64, error) {
	result, err := t.ExecContext(ctx, t.dialect.bound(query), args...)
	if err != nil {
		return 0, t.dialect.translate(err)
	}
	return result.RowsAffected()
}

// one runs a change that must touch exactly one row.
func (t *tx) one(ctx context.Context, query string, args ...any) error {
	n, err := t.exec(ctx, query, args...)
	if err != nil {
		return err
	}
	if n != 1 {
		return fmt.Errorf("%d rows: %w", n, annotate.ErrNotOne)
	}
	return nil
}

// rowsAtOnce keeps a statement below the number of arguments that either database takes (32,766 and 65,535).
const rowsAtOnce = 1500

// insert adds rows of the columns, which are named like "id, name".
func (t *tx) insert(ctx context.Context, table, columns string, rows ...[]any) error {
	return t.insertRows(ctx, "INSERT INTO "+table+" ("+columns+") VALUES ", "", rows)
}

// put adds rows or, where one with the same values in the key columns stands, replaces it.
func (t *tx) put(ctx context.Context, table, key, columns string, rows ...[]any) error {
	var set []string
	for column := range strings.SplitSeq(columns, ", ") {
		set = append(set, column+" = excluded."+column)
	}
	return t.insertRows(ctx, "INSERT INTO "+table+" ("+key+", "+columns+") VALUES ",
		" ON CONFLICT ("+key+") DO UPDATE SET "+strings.Join(set, ", "), rows)
}

func (t *tx) insertRows(ctx context.Context, before, after string, rows [][]any) error {
	for chunk := range slices.Chunk(rows, rowsAtOnce) {
		marks := "(" + strings.TrimSuffix(strings.Repeat("?, ", len(chunk[0])), ", ") + ")"
		all := strings.TrimSuffix(strings.Repeat(marks+", ", len(chunk)), ", ")
		n, err := t.exec(ctx, before+all+after, slices.Concat(chunk...)...)
		if err != nil {
			return err
		}
		if n != int64(len(chunk)) {
			return fmt.Errorf("%d rows instead of %d: %w", n, len(chunk), annotate.ErrNotOne)
		}
	}
	return nil
}
