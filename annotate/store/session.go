package store

import (
	"context"
	"errors"
	"time"

	"zonule/annotate"
)

// Sessions keeps who is signed in. It is what the session library scs asks of a store, with contexts and without.
type Sessions struct {
	store *Store
	now   func() time.Time
}

// Sessions gives the sessions of this database.
func (s *Store) Sessions() Sessions { return Sessions{s, time.Now} }

// FindCtx gives the data of a session that has not expired.
func (s Sessions) FindCtx(ctx context.Context, token string) (data []byte, exists bool, err error) {
	err = s.store.inTx(ctx, s.store.read, &s.store.dialect.snapshot, func(t annotate.Tx) error {
		return t.(*tx).get(ctx, &data, "SELECT data FROM sessions WHERE token = ? AND expiry > ?", token, s.now().UnixMilli())
	})
	if errors.Is(err, annotate.ErrNoRow) {
		return nil, false, nil
	}
	return data, err == nil, err
}

// CommitCtx keeps a session, and removes those that have expired.
func (s Sessions) CommitCtx(ctx context.Context, token string, data []byte, expiry time.Time) error {
	return s.store.Write(ctx, func(t annotate.Tx) error {
		if _, err := t.(*tx).exec(ctx, "DELETE FROM sessions WHERE expiry <= ?", s.now().UnixMilli()); err != nil {
			return err
		}
		return t.(*tx).put(ctx, "sessions", "token", "data, expiry", []any{token, data, expiry.UnixMilli()})
	})
}

// DeleteCtx removes a session; one that is not there is no error.
func (s Sessions) DeleteCtx(ctx context.Context, token string) error {
	return s.store.Write(ctx, func(t annotate.Tx) error {
		_, err := t.(*tx).exec(ctx, "DELETE FROM sessions WHERE token = ?", token)
		return err
	})
}

// Find is FindCtx without a context.
func (s Sessions) Find(token string) ([]byte, bool, error) {
	return s.FindCtx(context.Background(), token)
}

// Commit is CommitCtx without a context.
func (s Sessions) Commit(token string, data []byte, expiry time.Time) error {
	return s.CommitCtx(context.Background(), token, data, expiry)
}

// Delete is DeleteCtx without a context.
func (s Sessions) Delete(token string) error { return s.DeleteCtx(context.Background(), token) }
