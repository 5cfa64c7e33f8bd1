package annotatetest

import (
	"path/filepath"
	"testing"

	"zonule/annotate/store"
)

// SQLiteAddress gives the address of a new file, which goes when the test ends.
func SQLiteAddress(t testing.TB) string {
	t.Helper()
	return "sqlite:" + filepath.Join(t.TempDir(), "unit.db")
}

// OnBoth runs a test on SQLite and on PostgreSQL at the same time, each with an empty database, and waits for both.
func OnBoth(t *testing.T, test func(t *testing.T, address string)) {
	t.Helper()
	t.Run("on", func(t *testing.T) {
		t.Run("sqlite", func(t *testing.T) {
			t.Parallel()
			test(t, SQLiteAddress(t))
		})
		t.Run("postgres", func(t *testing.T) {
			t.Parallel()
			test(t, PostgresAddress(t))
		})
	})
}

// Open opens a database for the length of a test.
func Open(t testing.TB, address string) *store.Store {
	t.Helper()
	s, err := store.Open(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s
}
