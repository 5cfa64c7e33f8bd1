package store

import (
	"context"
	"io/fs"
	"testing"

	"github.com/jmoiron/sqlx"
	"github.com/stretchr/testify/require"
)

// RequireSettings opens every connection of both pools at once and asks it for its settings.
func RequireSettings(t *testing.T, s *Store) {
	t.Helper()
	for _, pool := range []struct {
		db          *sqlx.DB
		connections int
		synchronous int
	}{{s.write, 1, 2}, {s.read, readers, -1}} {
		for range pool.connections {
			c, err := pool.db.Connx(t.Context())
			require.NoError(t, err)
			defer func() { require.NoError(t, c.Close()) }()
			ask := func(pragma string) (value int) {
				require.NoError(t, c.GetContext(t.Context(), &value, "PRAGMA "+pragma))
				return value
			}
			require.Equal(t, 1, ask("foreign_keys"))
			require.Equal(t, 5000, ask("busy_timeout"))
			if pool.synchronous >= 0 {
				require.Equal(t, pool.synchronous, ask("synchronous"), "FULL")
				var mode string
				require.NoError(t, c.GetContext(t.Context(), &mode, "PRAGMA journal_mode"))
				require.Equal(t, "wal", mode)
			}
		}
		_, err := pool.db.BeginTxx(cancelled(t), nil)
		require.Error(t, err, "every connection is in use")
	}
}

func cancelled(t *testing.T) context.Context {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	return ctx
}

// MigrateWith applies other migrations than those of the program.
func MigrateWith(ctx context.Context, address string, files fs.FS) error {
	s, err := connect(address)
	if err != nil {
		return err
	}
	err = s.migrateWith(ctx, files)
	if closing := s.Close(); err == nil {
		err = closing
	}
	return err
}
