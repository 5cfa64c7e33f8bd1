package annotatetest

import (
	"bytes"
	"context"
	"crypto/rand"
	"database/sql"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"net/url"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"
)

// postgresSetting names a server to use instead of one that is started here, as an address of a database in which
// schemas may be made.
const postgresSetting = "ZONULE_TEST_POSTGRES"

// errNoPostgres: PostgreSQL is not installed.
var errNoPostgres = errors.New("PostgreSQL is not installed: apt-get install postgresql, or name a server in " + postgresSetting)

// server gives the one server of this test binary, starting it when it is first needed.
var server = sync.OnceValues(func() (cluster, error) {
	if address := os.Getenv(postgresSetting); address != "" {
		return cluster{address: address}, nil
	}
	return startPostgres()
})

// PostgresAddress gives the address of an empty schema, which goes when the test ends. Without PostgreSQL the test
// fails in CI and is skipped elsewhere.
func PostgresAddress(t testing.TB) string {
	t.Helper()
	running, err := server()
	switch {
	case errors.Is(err, errNoPostgres) && os.Getenv("CI") == "":
		fmt.Fprintf(os.Stderr, "SKIPPED %s: %v\n", t.Name(), err)
		t.Skip(err)
	case err != nil:
		t.Fatal(err)
	}
	schema := "test_" + randomHex()
	admin, err := sql.Open("postgres", running.address)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := admin.ExecContext(t.Context(), "CREATE SCHEMA "+schema); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_, err := admin.ExecContext(context.Background(), "DROP SCHEMA "+schema+" CASCADE")
		if err := errors.Join(err, admin.Close()); err != nil {
			t.Error(err)
		}
	})
	parsed, err := url.Parse(running.address)
	if err != nil {
		t.Fatal(err)
	}
	query := parsed.Query()
	query.Set("search_path", schema)
	parsed.RawQuery = query.Encode()
	return parsed.String()
}

func randomHex() string {
	random := make([]byte, 8)
	rand.Read(random)
	return hex.EncodeToString(random)
}

// binDir finds the newest installed server.
func binDir() (string, error) {
	dirs, err := filepath.Glob("/usr/lib/postgresql/*/bin")
	if err != nil {
		return "", err
	}
	slices.SortFunc(dirs, func(a, b string) int { return versionOf(a) - versionOf(b) })
	for _, dir := range slices.Backward(dirs) {
		if _, err := os.Stat(filepath.Join(dir, "initdb")); err == nil {
			return dir, nil
		}
	}
	if path, err := exec.LookPath("initdb"); err == nil {
		return filepath.Dir(path), nil
	}
	return "", errNoPostgres
}

func versionOf(dir string) int {
	number, err := strconv.Atoi(filepath.Base(filepath.Dir(dir)))
	if err != nil {
		return 0
	}
	return number
}

// cluster is a server that was started here. Its shell ends it when lifeline closes, which is never written to and closes
// with this process; if nothing held it, it would close as soon as memory is tidied.
type cluster struct {
	address  string
	lifeline io.WriteCloser
}

// startPostgres makes a cluster in a temporary folder and serves it on a socket there. The server ends, and the folder
// goes, when this process ends, however it ends: the shell that started the server waits for the end of its input.
// The order of texts is that of a language, as in most real databases, so that a query that relies on another is found.
func startPostgres() (cluster, error) {
	bin, err := binDir()
	if err != nil {
		return cluster{}, err
	}
	dir, err := os.MkdirTemp("", "zonule-postgres-")
	if err != nil {
		return cluster{}, err
	}
	script := fmt.Sprintf(`cd %[2]s
trap '' INT
%[1]s/initdb -D %[2]s/data -U postgres -A trust -E UTF8 --locale=C.UTF-8 --locale-provider=icu --icu-locale=en --no-sync >%[2]s/initdb.log 2>&1 &&
%[1]s/postgres -D %[2]s/data -k %[2]s -c listen_addresses= -c fsync=off -c max_connections=300 >%[2]s/server.log 2>&1 &
cat >/dev/null
kill -QUIT $(head -1 %[2]s/data/postmaster.pid)
wait
cd /
rm -rf %[2]s`, bin, dir)
	command := exec.Command("/bin/sh", "-c", script)
	if os.Getuid() == 0 {
		if err := giveTo(dir, "postgres"); err != nil {
			return cluster{}, err
		}
		command = exec.Command("su", "-s", "/bin/sh", "postgres", "-c", script)
	}
	lifeline, err := command.StdinPipe()
	if err != nil {
		return cluster{}, err
	}
	if err := command.Start(); err != nil {
		return cluster{}, err
	}
	address := "postgres://postgres@/postgres?host=" + url.QueryEscape(dir) + "&sslmode=disable"
	return cluster{address, lifeline}, awaitPostgres(address, dir)
}

func giveTo(dir, name string) error {
	owner, err := user.Lookup(name)
	if err != nil {
		return err
	}
	uid, err := strconv.Atoi(owner.Uid)
	if err != nil {
		return err
	}
	gid, err := strconv.Atoi(owner.Gid)
	if err != nil {
		return err
	}
	return os.Chown(dir, uid, gid)
}

func awaitPostgres(address, dir string) error {
	db, err := sql.Open("postgres", address)
	if err != nil {
		return err
	}
	defer func() { _ = db.Close() }()
	deadline := time.Now().Add(90 * time.Second)
	for time.Now().Before(deadline) {
		if err = db.PingContext(context.Background()); err == nil {
			return nil
		}
		time.Sleep(50 * time.Millisecond)
	}
	var logs bytes.Buffer
	for _, name := range []string{"initdb.log", "server.log"} {
		text, _ := os.ReadFile(filepath.Join(dir, name))
		logs.Write(text)
	}
	return fmt.Errorf("PostgreSQL did not start: %w\n%s", err, strings.TrimSpace(logs.String()))
}
