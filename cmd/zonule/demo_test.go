package main

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
	"zonule/annotate/demo"
)

// sharedDemo is a small demo unit that is made once; what the program printed is kept beside the error.
var sharedDemo = sync.OnceValues(func() (dir string, err error) {
	if dir, err = os.MkdirTemp("", "zonule-demo-"); err != nil {
		return "", err
	}
	demoFolder = dir
	ctx, cancel := context.WithTimeout(context.Background(), 10*time.Minute)
	defer cancel()
	var stdout, stderr lines
	stopped := make(chan int, 1)
	go func() {
		stopped <- Run(ctx, []string{"demo", "--dir", dir, "--listen", "127.0.0.1:0", "--cases", "24"}, nil, &stdout, &stderr, nil)
	}()
	for addressLine.FindString(stdout.String()) == "" {
		select {
		case code := <-stopped:
			return dir, fmt.Errorf("the demo ended with code %d: %s", code, &stderr)
		case <-time.After(20 * time.Millisecond):
		}
	}
	cancel()
	if code := <-stopped; code != exitOK {
		return dir, fmt.Errorf("the demo stopped with code %d: %s", code, &stderr)
	}
	return dir, nil
})

// demoFolder is where sharedDemo made its unit, or "".
var demoFolder string

// demoUnit gives a copy of the demo unit: its folder and the address of its database.
func demoUnit(t *testing.T) (dir, database string) {
	t.Helper()
	made, err := sharedDemo()
	require.NoError(t, err)
	dir = t.TempDir()
	require.NoError(t, os.CopyFS(dir, os.DirFS(made)))
	return dir, "sqlite:" + filepath.Join(dir, "unit.db")
}

func TestDemoCanBeUsed(t *testing.T) {
	dir, database := demoUnit(t)
	b := runInBackground(t, "demo", "--dir", dir, "--listen", "127.0.0.1:0")
	address := b.waitFor(t, addressLine)[1]
	require.NotContains(t, b.stdout.String(), "storing", "the unit is there already")
	for _, login := range demo.Logins() {
		require.Contains(t, b.stdout.String(), login.Login)
		newClient(t, address).signIn(t, login.Login, demo.Password)
	}
	mara := newClient(t, address)
	mara.signIn(t, "mara", demo.Password)
	var page annotate.CasePage
	mara.must(t, http.MethodGet, "/cases?q=FILM", nil, &page)
	require.NotEmpty(t, page.Cases)
	for _, c := range page.Cases {
		requirePlays(t, mara, c.ID)
	}
	require.Equal(t, exitOK, b.stop(t))
	code, stdout, stderr := run(t, nil, "verify", "--database", database)
	require.Equal(t, exitOK, code, stdout+stderr)
	require.Contains(t, stdout, "checked 24 cases")
}

// requirePlays reads the first bytes of every part, as a player does.
func requirePlays(t *testing.T, c *client, caseID string) {
	t.Helper()
	var parts []annotate.Part
	c.must(t, http.MethodPost, "/cases/"+caseID+"/parts/check", nil, &parts)
	require.NotEmpty(t, parts)
	for _, part := range parts {
		require.Equal(t, annotate.PartOK, part.State, part.StateReason)
		request, err := http.NewRequest(http.MethodGet, c.base+"/api/v1/media/parts/"+part.ID, nil)
		require.NoError(t, err)
		request.Header.Set("Range", "bytes=0-99")
		response, err := c.http.Do(request)
		require.NoError(t, err)
		text, err := io.ReadAll(response.Body)
		require.NoError(t, err)
		require.NoError(t, response.Body.Close())
		require.Equal(t, http.StatusPartialContent, response.StatusCode)
		require.Len(t, text, 100)
	}
}

func TestDemoInterruptedLeavesNothingHalfMade(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "unit.db.new"), []byte("what an interrupted start left"), 0o600))
	b := runInBackground(t, "demo", "--dir", dir, "--listen", "127.0.0.1:0", "--cases", "4")
	b.waitFor(t, addressLine)
	require.NoFileExists(t, filepath.Join(dir, "unit.db.new"))
	require.Equal(t, exitOK, b.stop(t))
}

// TestBundleGoesFromOneDatabaseToTheOther: export from SQLite, import into PostgreSQL, export again: the same unit.
func TestBundleGoesFromOneDatabaseToTheOther(t *testing.T) {
	_, source := demoUnit(t)
	target := annotatetest.PostgresAddress(t)
	first := filepath.Join(t.TempDir(), "unit.json")
	code, _, stderr := run(t, nil, "export", "--database", source, "--out", first)
	require.Equal(t, exitOK, code, stderr)
	code, _, stderr = run(t, nil, "import", "--database", target, "--in", first)
	require.Equal(t, exitOK, code, stderr)
	code, stdout, stderr := run(t, nil, "verify", "--database", target)
	require.Equal(t, exitOK, code, stdout+stderr)
	code, second, stderr := run(t, nil, "export", "--database", target)
	require.Equal(t, exitOK, code, stderr)
	text, err := os.ReadFile(first)
	require.NoError(t, err)
	require.Equal(t, casesIn(t, text), casesIn(t, []byte(second)))

	code, _, stderr = run(t, strings.NewReader(second), "import", "--database", target)
	require.Equal(t, exitFailed, code)
	require.Contains(t, stderr, "The bundle was not taken")
	code, _, stderr = run(t, strings.NewReader("no bundle"), "import", "--database", annotatetest.SQLiteAddress(t))
	require.Equal(t, exitFailed, code)
	require.Contains(t, stderr, "The bundle was not taken")
}

func casesIn(t *testing.T, bundle []byte) []annotate.CaseRecord {
	t.Helper()
	var read annotate.Bundle
	require.NoError(t, json.Unmarshal(bundle, &read))
	require.NotEmpty(t, read.Cases)
	return read.Cases
}

func TestReportInAllForms(t *testing.T) {
	_, database := demoUnit(t)
	var bundle bytes.Buffer
	code := Run(t.Context(), []string{"export", "--database", database}, nil, &bundle, io.Discard, nil)
	require.Equal(t, exitOK, code)
	record := casesIn(t, bundle.Bytes())[0]
	for format, sign := range map[string]string{"pdf": "%PDF-", "html": record.Case.Pseudonym, "json": record.Case.Pseudonym, "csv": record.Case.Pseudonym} {
		file := filepath.Join(t.TempDir(), "report."+format)
		code, _, stderr := run(t, nil, "report", "--case", record.Case.ID, "--format", format, "--out", file, "--database", database)
		require.Equal(t, exitOK, code, stderr)
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		require.True(t, bytes.Contains(text, []byte(sign)), "the %s report", format)
	}
	missing := filepath.Join(t.TempDir(), "none.pdf")
	code, _, stderr := run(t, nil, "report", "--case", "nothing", "--out", missing, "--database", database)
	require.Equal(t, exitFailed, code)
	require.Contains(t, stderr, "There is no such case")
	require.NoFileExists(t, missing)
}

// TestVerifyFindsATamperedRow: exit code 3 when a marker was changed behind the journal's back.
func TestVerifyFindsATamperedRow(t *testing.T) {
	dir, database := demoUnit(t)
	db, err := sql.Open("sqlite", filepath.Join(dir, "unit.db"))
	require.NoError(t, err)
	_, err = db.Exec("UPDATE markers SET step = 'polishing' WHERE id = (SELECT MIN(id) FROM markers WHERE step = 'cortex')")
	require.NoError(t, err)
	require.NoError(t, db.Close())
	code, stdout, stderr := run(t, nil, "verify", "--database", database)
	require.Equal(t, exitDifferent, code, stdout+stderr)
	require.Contains(t, stdout, "does not follow from the journal")
}

func TestVerifyReportTellsAChangedFile(t *testing.T) {
	dir, database := demoUnit(t)
	db, err := sql.Open("sqlite", filepath.Join(dir, "unit.db"))
	require.NoError(t, err)
	var pdf, canonical []byte
	require.NoError(t, db.QueryRow("SELECT content_pdf, content_json FROM reports LIMIT 1").Scan(&pdf, &canonical))
	require.NoError(t, db.Close())
	for name, content := range map[string][]byte{"review.pdf": pdf, "review.json": canonical} {
		file := filepath.Join(t.TempDir(), name)
		require.NoError(t, os.WriteFile(file, content, 0o600))
		code, stdout, stderr := run(t, nil, "verify", "report", file, "--database", database)
		require.Equal(t, exitOK, code, stdout+stderr)
		require.Contains(t, stdout, "as it was signed")
		require.Contains(t, stdout, "Not a byte was changed.")

		content[len(content)/2] ^= 1
		require.NoError(t, os.WriteFile(file, content, 0o600))
		code, stdout, stderr = run(t, nil, "verify", "report", "--database", database, file)
		require.Equal(t, exitDifferent, code, stdout+stderr)
		require.Contains(t, stdout, "is not as it was signed")
	}
	code, _, stderr := run(t, nil, "verify", "report", filepath.Join(dir, "none.pdf"), "--database", database)
	require.Equal(t, exitFailed, code)
	require.Contains(t, stderr, "none.pdf")
}
