package main

import (
	"bytes"
	"errors"
	"flag"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the golden files anew")

// golden compares text with testdata/name.
func golden(t *testing.T, name, text string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, string(want), text, "if the change is meant: go test ./cmd/zonule -update")
}

// TestHelp holds all that the program says about itself.
func TestHelp(t *testing.T) {
	_, err := ParseConfig([]string{"--help"}, nil)
	var help *helpAsked
	require.True(t, errors.As(err, &help))
	golden(t, "help/zonule.txt", help.text)
	names := map[string]bool{"zonule.txt": true, "user.txt": true}
	_, err = ParseConfig([]string{"user", "--help"}, nil)
	require.True(t, errors.As(err, &help))
	golden(t, "help/user.txt", help.text)
	for _, c := range commands {
		for _, args := range [][]string{append(strings.Fields(c.name), "--help"), append([]string{"help"}, strings.Fields(c.name)...)} {
			_, err := ParseConfig(args, nil)
			require.True(t, errors.As(err, &help), c.name)
			name := strings.ReplaceAll(c.name, " ", "-") + ".txt"
			names[name] = true
			golden(t, "help/"+name, help.text)
		}
	}
	entries, err := os.ReadDir("testdata/help")
	require.NoError(t, err)
	require.Len(t, entries, len(names), "testdata/help holds a text of no command")
}

// TestExamplesAreUnderstood: what the help shows can be typed.
func TestExamplesAreUnderstood(t *testing.T) {
	for _, c := range commands {
		for _, example := range c.examples {
			command, _, _ := strings.Cut(example, " < ")
			args := strings.Fields(strings.ReplaceAll(command, "'N. Wu'", "N.Wu"))
			require.Equal(t, "zonule", args[0])
			config, err := ParseConfig(args[1:], nil)
			require.NoError(t, err, example)
			require.Equal(t, c.name, config.Command)
		}
	}
}

func TestFlagWinsOverEnvironmentWinsOverDefault(t *testing.T) {
	config, err := ParseConfig([]string{"serve"}, nil)
	require.NoError(t, err)
	require.Equal(t, Config{
		Command: "serve", Database: "sqlite:zonule.db", Listen: "127.0.0.1:8080", MediaRoots: map[string]string{}, Log: "text", LogLevel: slog.LevelInfo,
	}, config)

	env := []string{
		"ZONULE_DATABASE=postgres://zonule@db/zonule", "ZONULE_LISTEN=0.0.0.0:80", "ZONULE_MEDIA_ROOTS=theatre=/srv/a,clinic=/srv/b",
		"ZONULE_LOG=json", "ZONULE_LOG_LEVEL=debug", "ZONULE_SECURE_COOKIES=true", "ZONULE_ADDRESS=https://zonule.example.org", "ZONULE_PRIVATE_RECORDINGS=true",
		"ZONULE_TRUSTED_ORIGINS=https://theatre.example.org", "ZONULE_TRUSTED_PROXIES=10.0.0.1,10.1.0.0/16", "HOME=/nowhere",
	}
	config, err = ParseConfig([]string{"serve", "--listen", "127.0.0.1:0", "--secure-cookies=false"}, env)
	require.NoError(t, err)
	require.Equal(t, Config{
		Command: "serve", Database: "postgres://zonule@db/zonule", Listen: "127.0.0.1:0", Address: "https://zonule.example.org",
		MediaRoots: map[string]string{"theatre": "/srv/a", "clinic": "/srv/b"}, Log: "json", LogLevel: slog.LevelDebug,
		TrustedOrigins: []string{"https://theatre.example.org"}, TrustedProxies: []string{"10.0.0.1", "10.1.0.0/16"},
		PrivateRecordings: true, SecureCookies: new(bool),
	}, config)
}

func TestTheCookieIsForHTTPSBeyondThisMachine(t *testing.T) {
	for _, c := range []struct {
		args   string
		secure bool
	}{
		{"serve", false},
		{"serve --listen localhost:80", false},
		{"serve --listen [::1]:80", false},
		{"serve --listen 127.0.0.1:8080 --secure-cookies", true},
		{"serve --listen 0.0.0.0:8080", true},
		{"serve --listen :8080", true},
		{"serve --listen zonule.example.org:80", true},
		{"serve --listen 0.0.0.0:8080 --secure-cookies=false", false},
		{"demo --listen 0.0.0.0:8080 --open-to-others", false},
	} {
		config, err := ParseConfig(strings.Fields(c.args), nil)
		require.NoError(t, err, c.args)
		require.Equal(t, c.secure, config.secure(), c.args)
	}
}

func TestWrongCalls(t *testing.T) {
	for _, c := range []struct {
		args, env string
		say       string
	}{
		{args: "", say: "which command?"},
		{args: "polish", say: `there is no command "polish"`},
		{args: "user", say: "user takes one of: list, add, reset-password, roles"},
		{args: "user drop", say: "user takes one of"},
		{args: "serve --colour red", say: "flag provided but not defined: -colour"},
		{args: "serve now", say: `"now" is not understood`},
		{args: "serve --database mysql://x", say: "begins neither with sqlite: nor with postgres://"},
		{args: "serve --database sqlite:", say: "needs the name of a file"},
		{args: "serve --listen 8080", say: `"8080" is not host:port`},
		{args: "serve --listen :99999", say: `"99999" is not a port`},
		{args: "serve", env: "ZONULE_LISTEN=here", say: `ZONULE_LISTEN: "here" is not host:port`},
		{args: "serve --media-roots theatre", say: `"theatre" is not name=folder`},
		{args: "serve --media-roots a=/x,a=/y", say: `two media roots are named "a"`},
		{args: "serve --media-roots A:b=/x", say: "lower-case letters, digits and hyphens"},
		{args: "serve --log xml", say: `"xml" is not one of text, json`},
		{args: "serve --log-level loud", say: "not one of debug, info, warn, error"},
		{args: "serve --secure-cookies=perhaps", say: "neither true nor false"},
		{args: "serve --address zonule.example.org/x", say: "is not an address such as"},
		{args: "serve --trusted-origins example.org", say: "is not an origin"},
		{args: "serve --trusted-proxies nearby", say: "neither an address nor a network"},
		{args: "report", say: "report needs --case"},
		{args: "verify report", say: "verify report: which file?"},
		{args: "verify report a.pdf b.pdf", say: `"b.pdf" is not understood`},
		{args: "report --case x --format docx", say: `"docx" is not one of pdf, html, json, csv`},
		{args: "user add --login x --name X", say: "user add needs --roles"},
		{args: "user add --login x --name X --roles pilot", say: `"pilot" is not one of surgeon`},
		{args: "user add --login x --name X --roles surgeon --grade ace", say: `"ace" is not one of consultant`},
		{args: "user reset-password", say: "needs --login"},
		{args: "demo --cases 2", say: "not a number of cases, 4 to 100000"},
		{args: "demo --seed -1", say: "not a whole number"},
		{args: "demo --listen 0.0.0.0:8080", say: "--open-to-others"},
		{args: "demo --listen :8080", say: "--open-to-others"},
	} {
		t.Run(c.args+c.env, func(t *testing.T) {
			_, err := ParseConfig(strings.Fields(c.args), []string{c.env})
			var wrong *usageError
			require.True(t, errors.As(err, &wrong), "%v", err)
			require.ErrorContains(t, err, c.say)

			var stdout, stderr bytes.Buffer
			require.Equal(t, exitUsage, Run(t.Context(), strings.Fields(c.args), strings.NewReader(""), &stdout, &stderr, []string{c.env}))
			require.Empty(t, stdout.String())
			require.Contains(t, stderr.String(), c.say)
		})
	}
}

func TestDatabasePasswordIsNotRepeated(t *testing.T) {
	_, err := ParseConfig([]string{"serve", "--database", "pg://zonule:secret@db/zonule"}, nil)
	require.Error(t, err)
	require.NotContains(t, err.Error(), "secret")
}

func TestUnknownSettingsAreNamed(t *testing.T) {
	require.Equal(t, []string{"ZONULE_MEDIAROOTS"}, unknownSettings([]string{"ZONULE_MEDIAROOTS=a=/b", "ZONULE_LOG=json", "PATH=/bin"}))
}
