package store_test

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jmoiron/sqlx"
	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
	"zonule/annotate/store"
)

// behind opens a database behind the back of the store.
func behind(t testing.TB, address string) *sqlx.DB {
	t.Helper()
	driver, name := "postgres", address
	if file, ok := strings.CutPrefix(address, "sqlite:"); ok {
		driver, name = "sqlite", "file:"+file+"?_pragma=foreign_keys(1)&_pragma=busy_timeout(5000)"
	}
	db, err := sqlx.Open(driver, name)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, db.Close()) })
	return db
}

func TestAddresses(t *testing.T) {
	missing := filepath.Join(t.TempDir(), "none", "unit.db")
	for address, words := range map[string]string{
		"":                               "sqlite:FILE",
		"unit.db":                        "sqlite:FILE",
		"mysql://localhost/x":            "sqlite:FILE",
		"sqlite:":                        "must name a file",
		"sqlite::memory:":                "must name a file",
		"sqlite:" + missing:              "folder of the database",
		"postgres://localhost/x":         "sslmode",
		"postgres://local host/x":        "cannot be read",
		"postgres://u:secret@h:x/x":      "cannot be read",
		"postgresql://localhost/x?a=b":   "sslmode",
		"sqlite:" + t.TempDir() + "/":    "",
		"sqlite:" + os.DevNull + "/x.db": "",
	} {
		_, err := store.Open(t.Context(), address)
		require.Error(t, err, address)
		require.ErrorContains(t, err, words, address)
		require.NotContains(t, err.Error(), "secret")
	}
}

func TestAwkwardFileNames(t *testing.T) {
	for _, name := range []string{"with space.db", "ques?tion.db", "per%20cent.db", "ha#sh.db", "ümlaut.db", "plus+&.db"} {
		dir := t.TempDir()
		s, err := store.Open(t.Context(), "sqlite:"+filepath.Join(dir, name))
		require.NoError(t, err, name)
		require.NoError(t, s.Ready(t.Context()))
		require.NoError(t, s.Close())
		_, err = os.Stat(filepath.Join(dir, name))
		require.NoError(t, err, "the file has the name that was given")
	}
}

func TestNothingIsKeptOfAFailedChange(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		planned := errors.New("planned")
		insert := func(tx annotate.Tx, id string) error {
			return tx.InsertUser(t.Context(), annotate.Account{User: annotate.User{ID: id, Revision: 1, Login: id, Name: id, Roles: []annotate.Role{}}})
		}
		count := func() int {
			var accounts []annotate.Account
			require.NoError(t, u.Store.Read(t.Context(), func(tx annotate.Tx) (err error) {
				accounts, err = tx.Users(t.Context())
				return err
			}))
			return len(accounts)
		}
		before := count()
		require.ErrorIs(t, u.Store.Write(t.Context(), func(tx annotate.Tx) error {
			require.NoError(t, insert(tx, "x"))
			return planned
		}), planned)
		require.PanicsWithValue(t, "planned", func() {
			_ = u.Store.Write(t.Context(), func(tx annotate.Tx) error {
				require.NoError(t, insert(tx, "x"))
				panic("planned")
			})
		})
		ctx, cancel := context.WithCancel(t.Context())
		require.Error(t, u.Store.Write(ctx, func(tx annotate.Tx) error {
			require.NoError(t, insert(tx, "x"))
			cancel()
			return nil
		}), "a commit that the caller did not wait for is told")
		require.Equal(t, before, count())
		require.NoError(t, u.Store.Write(t.Context(), func(tx annotate.Tx) error { return insert(tx, "x") }))
		require.Equal(t, before+1, count())
		require.ErrorIs(t, u.Store.Write(t.Context(), func(tx annotate.Tx) error { return insert(tx, "x") }), annotate.ErrDuplicate)
	})
}

// executor is how a test runs SQL of its own within a transaction.
type executor interface {
	ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error)
}

// TestAFailingCommitIsTold lets the commit itself fail: in SQLite over a foreign key that is only looked at then, in
// PostgreSQL because the server has dropped the connection.
func TestAFailingCommitIsTold(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		spoil := "SELECT pg_terminate_backend(pg_backend_pid())"
		if strings.HasPrefix(address, "sqlite:") {
			spoil = "PRAGMA defer_foreign_keys = ON; INSERT INTO case_shares (case_id, user_id, place) VALUES ('none', 'none', 1)"
		}
		err := u.Store.Write(t.Context(), func(tx annotate.Tx) error {
			require.NoError(t, tx.InsertStepList(t.Context(), annotate.StepList{ID: "x", Version: 1}))
			// On PostgreSQL the statement that ends its own connection fails; what counts is what the commit says then.
			_, err := tx.(executor).ExecContext(t.Context(), spoil)
			if strings.HasPrefix(address, "sqlite:") {
				require.NoError(t, err)
			}
			return nil
		})
		require.Error(t, err)
	})
}

func TestReadingDoesNotWrite(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		require.Error(t, u.Store.Read(t.Context(), func(tx annotate.Tx) error {
			return tx.InsertStepList(t.Context(), annotate.StepList{ID: "x", Version: 1})
		}))
	})
}

// TestOneStateWhileReading: what is committed in between is not seen by a reader that has begun.
func TestOneStateWhileReading(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c := u.AddCase(t)
		require.NoError(t, u.Store.Read(t.Context(), func(tx annotate.Tx) error {
			before, err := tx.Case(t.Context(), c.ID)
			require.NoError(t, err)
			changed := c
			changed.Pseudonym = "CHANGED"
			_, err = u.PutCase(t.Context(), u.Surgeon, changed)
			require.NoError(t, err)
			after, err := tx.Case(t.Context(), c.ID)
			require.NoError(t, err)
			require.Equal(t, before, after)
			return nil
		}))
	})
}

func TestWhatIsMissingIsTold(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		ctx := t.Context()
		for name, ask := range map[string]func(tx annotate.Tx) error{
			"user":         func(tx annotate.Tx) error { _, err := tx.User(ctx, "none"); return err },
			"login":        func(tx annotate.Tx) error { _, err := tx.UserByLogin(ctx, "none"); return err },
			"step list":    func(tx annotate.Tx) error { _, err := tx.StepList(ctx, annotate.StepListRef{ID: "none"}); return err },
			"case":         func(tx annotate.Tx) error { _, err := tx.Case(ctx, "none"); return err },
			"locked case":  func(tx annotate.Tx) error { _, err := tx.LockCase(ctx, "none"); return err },
			"facts":        func(tx annotate.Tx) error { _, err := tx.CaseFacts(ctx, "none"); return err },
			"part":         func(tx annotate.Tx) error { _, err := tx.Part(ctx, "none"); return err },
			"reading":      func(tx annotate.Tx) error { _, err := tx.Reading(ctx, "none"); return err },
			"state":        func(tx annotate.Tx) error { _, err := tx.ReadingState(ctx, "none"); return err },
			"complication": func(tx annotate.Tx) error { _, err := tx.Complication(ctx, "none"); return err },
			"visit":        func(tx annotate.Tx) error { _, err := tx.Visit(ctx, "none"); return err },
			"report":       func(tx annotate.Tx) error { _, err := tx.Report(ctx, "none"); return err },
			"content":      func(tx annotate.Tx) error { _, err := tx.ReportContent(ctx, "none"); return err },
		} {
			require.ErrorIs(t, u.Store.Write(ctx, ask), annotate.ErrNoRow, name)
		}
		for name, change := range map[string]func(tx annotate.Tx) error{
			"user": func(tx annotate.Tx) error {
				return tx.UpdateUser(ctx, annotate.Account{User: annotate.User{ID: "none"}})
			},
			"old version of user": func(tx annotate.Tx) error {
				return tx.UpdateUser(ctx, annotate.Account{User: annotate.User{ID: u.Surgeon.ID, Revision: 9}})
			},
			"unit":        func(tx annotate.Tx) error { return tx.UpdateUnit(ctx, annotate.Unit{}, 9) },
			"case":        func(tx annotate.Tx) error { return tx.UpdateCase(ctx, annotate.Case{ID: "none"}) },
			"touch":       func(tx annotate.Tx) error { return tx.TouchCase(ctx, "none", 1, 1) },
			"part":        func(tx annotate.Tx) error { return tx.UpdatePart(ctx, annotate.Part{ID: "none"}) },
			"delete part": func(tx annotate.Tx) error { return tx.DeletePart(ctx, "none") },
			"reading": func(tx annotate.Tx) error {
				return tx.UpdateReading(ctx, annotate.Reading{ID: "none", StepList: annotate.StepListRef{ID: "phaco", Version: 1}})
			},
			"complication":        func(tx annotate.Tx) error { return tx.UpdateComplication(ctx, annotate.Complication{ID: "none"}) },
			"delete complication": func(tx annotate.Tx) error { return tx.DeleteComplication(ctx, "none") },
			"visit":               func(tx annotate.Tx) error { return tx.UpdateVisit(ctx, annotate.Visit{ID: "none"}) },
			"delete visit":        func(tx annotate.Tx) error { return tx.DeleteVisit(ctx, "none") },
		} {
			require.ErrorIs(t, u.Store.Write(ctx, change), annotate.ErrNotOne, name)
		}
		require.ErrorIs(t, u.Store.Write(ctx, func(tx annotate.Tx) error {
			return tx.InsertVisit(ctx, annotate.Visit{ID: "x", CaseID: "none"})
		}), annotate.ErrReferred)
	})
}

func TestSessions(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		sessions := annotatetest.Open(t, address).Sessions()
		_, found, err := sessions.Find("none")
		require.NoError(t, err)
		require.False(t, found)
		require.NoError(t, sessions.Commit("a", []byte{0, 1, 255}, time.Now().Add(time.Hour)))
		require.NoError(t, sessions.Commit("a", []byte{2}, time.Now().Add(time.Hour)))
		require.NoError(t, sessions.Commit("old", []byte{3}, time.Now().Add(-time.Second)))
		data, found, err := sessions.Find("a")
		require.NoError(t, err)
		require.True(t, found)
		require.Equal(t, []byte{2}, data)
		_, found, err = sessions.Find("old")
		require.NoError(t, err)
		require.False(t, found, "an expired session is none")
		require.NoError(t, sessions.Commit("b", []byte{4}, time.Now().Add(time.Hour)))
		var n int
		require.NoError(t, behind(t, address).Get(&n, "SELECT COUNT(*) FROM sessions"))
		require.Equal(t, 2, n, "expired ones are tidied away")
		require.NoError(t, sessions.Delete("a"))
		require.NoError(t, sessions.Delete("a"))
		_, found, err = sessions.Find("a")
		require.NoError(t, err)
		require.False(t, found)
	})
}

// TestOpenedAtOnce: several servers may start over one PostgreSQL at the same moment.
func TestOpenedAtOnce(t *testing.T) {
	address := annotatetest.PostgresAddress(t)
	var wait sync.WaitGroup
	failures := make(chan error, 4)
	for range 4 {
		wait.Go(func() {
			s, err := store.Open(t.Context(), address)
			if err == nil {
				err = errors.Join(s.Ready(t.Context()), s.Close())
			}
			failures <- err
		})
	}
	wait.Wait()
	close(failures)
	for err := range failures {
		require.NoError(t, err)
	}
}

func TestADatabaseThatIsAwayIsUnavailable(t *testing.T) {
	_, err := store.Open(t.Context(), "postgres://nobody@/none?host=/nowhere&sslmode=disable")
	require.Equal(t, annotate.CodeUnavailable, annotate.CodeOf(err), "%v", err)
}

// TestEveryConnectionIsSet asks each connection of both pools of SQLite.
func TestEveryConnectionIsSet(t *testing.T) {
	store.RequireSettings(t, annotatetest.Open(t, annotatetest.SQLiteAddress(t)))
}

// TestTheSQLIsBoundOnce keeps the one place in which SQL is rewritten, and away from it what rewriting would break.
func TestTheSQLIsBoundOnce(t *testing.T) {
	files, err := filepath.Glob("*.go")
	require.NoError(t, err)
	rebinds := 0
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		rebinds += strings.Count(string(text), "Rebind(")
		parsed, err := parser.ParseFile(token.NewFileSet(), file, text, 0)
		require.NoError(t, err)
		for _, imported := range parsed.Imports {
			driver := strings.Contains(imported.Path.Value, "lib/pq") || strings.Contains(imported.Path.Value, "modernc.org")
			if driver {
				require.Contains(t, []string{"sqlite.go", "postgres.go"}, file, "only the file of a dialect knows its driver")
			}
		}
		for _, quoted := range strings.Split(string(text), "'")[1:] {
			require.False(t, strings.HasPrefix(quoted, "?"), "%s: a ? within quotes would be rewritten", file)
		}
		lines := strings.Count(string(text), "\n")
		if file == "sqlite.go" || file == "postgres.go" {
			require.Less(t, lines, 150, fmt.Sprintf("%s holds only differences", file))
		}
	}
	require.Equal(t, 1, rebinds)
}
