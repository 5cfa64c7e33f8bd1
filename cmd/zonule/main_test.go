package main

import (
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

// TestServeFromFirstStartToStop runs the real program on a free port and a new database.
func TestServeFromFirstStartToStop(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, database string) {
		args := []string{"serve", "--listen", "127.0.0.1:0", "--database", database, "--media-roots", "films=" + t.TempDir()}
		b := runInBackground(t, args...)
		address := b.waitFor(t, addressLine)[1]
		first := b.waitFor(t, passwordLine)

		for _, path := range []string{"/healthz", "/readyz", "/metrics"} {
			response, err := http.Get(address + path)
			require.NoError(t, err)
			require.NoError(t, response.Body.Close())
			require.Equal(t, http.StatusOK, response.StatusCode, path)
		}
		office := newClient(t, address)
		require.Error(t, office.send(http.MethodGet, "/me", nil, nil), "nobody is signed in")
		office.signIn(t, first[1], first[2])
		var me annotate.User
		office.must(t, http.MethodGet, "/me", nil, &me)
		require.Equal(t, []annotate.Role{annotate.RoleAdministrator}, me.Roles)
		require.Error(t, newClient(t, address).send(http.MethodPost, "/sign-in", map[string]string{"login": first[1], "password": first[2]}, nil),
			"the one-time password is used up")
		require.Equal(t, exitOK, b.stop(t))

		again := runInBackground(t, args...)
		newClient(t, again.waitFor(t, addressLine)[1]).signIn(t, first[1], ownPassword)
		require.NotContains(t, again.stdout.String(), "one-time password", "no second administrator is made")
		require.Equal(t, exitOK, again.stop(t))
	})
}

// stop interrupts the program and gives its exit code.
func (b *background) stop(t *testing.T) int {
	t.Helper()
	b.cancel()
	select {
	case code := <-b.code:
		return code
	case <-time.After(30 * time.Second):
		require.Fail(t, "the program did not stop", "%s", b.stderr)
		return -1
	}
}

func TestServeSaysWhyItCannot(t *testing.T) {
	code, _, stderr := run(t, nil, "serve", "--database", "sqlite:"+filepath.Join(t.TempDir(), "no", "such", "folder.db"))
	require.Equal(t, exitFailed, code)
	require.Contains(t, stderr, "the folder of the database")

	b := runInBackground(t, "serve", "--listen", "127.0.0.1:0", "--database", annotatetest.SQLiteAddress(t))
	taken := b.waitFor(t, addressLine)[1][len("http://"):]
	code, _, stderr = run(t, nil, "serve", "--listen", taken, "--database", annotatetest.SQLiteAddress(t))
	require.Equal(t, exitFailed, code)
	require.Contains(t, stderr, "cannot listen on "+taken)
	require.Equal(t, exitOK, b.stop(t))
}

func TestNothingIsMadeWhereAUnitIsExpected(t *testing.T) {
	calls := [][]string{
		{"verify"}, {"export"}, {"report", "--case", "0197c2a4-6f1e-7c3a-9d0b-5d2f8e1c4a77"},
		{"import", "--in", filepath.Join(t.TempDir(), "no-such.json")},
		{"user", "list"}, {"user", "reset-password", "--login", "admin"}, {"user", "roles", "--login", "admin", "--roles", "chair"},
	}
	for _, call := range calls {
		t.Run(strings.Join(call[:min(2, len(call))], " "), func(t *testing.T) {
			dir := t.TempDir()
			file := filepath.Join(dir, "slip.db")
			code, stdout, stderr := run(t, nil, append(call, "--database", "sqlite:"+file)...)
			require.Equal(t, exitFailed, code, stdout)
			require.Regexp(t, "there is no database "+regexp.QuoteMeta(file)+"|no such file", stderr)
			require.Empty(t, stdout)
			left, err := os.ReadDir(dir)
			require.NoError(t, err)
			require.Empty(t, left)
		})
	}
}

func TestAccountsFromTheCommandLine(t *testing.T) {
	database := annotatetest.SQLiteAddress(t)
	must := func(args ...string) string {
		code, stdout, stderr := run(t, nil, append(args, "--database", database)...)
		require.Equal(t, exitOK, code, "%v: %s", args, stderr)
		return stdout
	}
	made := must("user", "add", "--login", "okoye", "--name", "Adaeze Okoye", "--roles", "surgeon,trainer", "--grade", "consultant")
	require.Regexp(t, `^okoye signs in with the one-time password \S+\n$`, made)
	require.Contains(t, must("user", "list"), "okoye  Adaeze Okoye  surgeon, trainer  consultant  true")
	require.Equal(t, "okoye is now: surgeon, chair\n", must("user", "roles", "--login", "okoye", "--roles", "surgeon,chair"))
	require.NotEqual(t, made, must("user", "reset-password", "--login", "OKOYE"))

	code, _, stderr := run(t, nil, "user", "roles", "--login", "nobody", "--roles", "chair", "--database", database)
	require.Equal(t, exitFailed, code)
	require.Contains(t, stderr, `nobody signs in as "nobody"`)
	code, _, stderr = run(t, nil, "user", "add", "--login", "okoye", "--name", "Other", "--roles", "chair", "--database", database)
	require.Equal(t, exitFailed, code)
	require.Contains(t, stderr, "Somebody signs in as")
}
