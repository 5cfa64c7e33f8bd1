package main

import (
	"bytes"
	"database/sql"
	"encoding/json"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
	"zonule/annotate/demo"
)

// demoUnit makes a small demo unit and gives its folder; the program is stopped again.
func demoUnit(t *testing.T, look func(address string)) string {
	t.Helper()
	dir := t.TempDir()
	b := runInBackground(t, "demo", "--dir", dir, "--listen", "127.0.0.1:0", "--cases", "24")
	address := b.waitFor(t, addressLine)[1]
	if look != nil {
		look(address)
	}
	require.Equal(t, exitOK, b.stop(t), b.stderr.String())
	return dir
}

func TestDemoCanBeUsedAndUsedAgain(t *testing.T) {
	dir := demoUnit(t, func(address string) {
		for _, login := range demo.Logins() {
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
	})
	b := runInBackground(t, "demo", "--dir", dir, "--listen", "127.0.0.1:0")
	newClient(t, b.waitFor(t, addressLine)[1]).signIn(t, "eleni", demo.Password)
	require.NotContains(t, b.stdout.String(), "storing")
	require.Equal(t, exitOK, b.stop(t))
	code, stdout, stderr := run(t, nil, "verify", "--database", "sqlite:"+filepath.Join(dir, "unit.db"))
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
	b := runInBackground(t, "demo", "--dir", dir, "--listen", "127.0.0.1:0", "--cases", "8")
	b.waitFor(t, addressLine)
	require.NoFileExists(t, filepath.Join(dir, "unit.db.new"))
	require.Equal(t, exitOK, b.stop(t))
}

// TestBundleGoesFromOneDatabaseToTheOther: export from SQLite, import into PostgreSQL, export again: the same unit.
func TestBundleGoesFromOneDatabaseToTheOther(t *testing.T) {
	source, target := "sqlite:"+filepath.Join(demoUnit(t, nil), "unit.db"), annotatetest.PostgresAddress(t)
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
	database := "sqlite:" + filepath.Join(demoUnit(t, nil), "unit.db")
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
	file := filepath.Join(demoUnit(t, nil), "unit.db")
	db, err := sql.Open("sqlite", file)
	require.NoError(t, err)
	_, err = db.Exec("UPDATE markers SET step = 'polishing' WHERE id = (SELECT MIN(id) FROM markers WHERE step = 'cortex')")
	require.NoError(t, err)
	require.NoError(t, db.Close())
	code, stdout, stderr := run(t, nil, "verify", "--database", "sqlite:"+file)
	require.Equal(t, exitDifferent, code, stdout+stderr)
	require.Contains(t, stdout, "does not follow from the journal")
}
