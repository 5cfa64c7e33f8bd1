package server

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the golden files anew")

// golden compares with a file of testdata/api, which is written only by -update.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	file := filepath.Join("..", "testdata", "api", name)
	if *update {
		require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o755))
		require.NoError(t, os.WriteFile(file, got, 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err, "write it with: go test ./server -update")
	require.Equal(t, string(want), string(got), "%s; if the change is meant: go test ./server -update", file)
}

func (r route) full(s *Server) string {
	for _, attached := range s.engine.Routes() {
		if attached.Method != r.method {
			continue
		}
		for _, path := range []string{r.path, prefix + r.path} {
			if strings.NewReplacer("{", ":", "}", "").Replace(path) == attached.Path {
				return path
			}
		}
	}
	return ""
}

func TestRoutes(t *testing.T) {
	s := shell(t, nil)
	var text strings.Builder
	names := map[string]bool{}
	for _, r := range s.table {
		require.NotEmpty(t, r.who.words, "%s %s has no access rule", r.method, r.path)
		require.NotEmpty(t, r.full(s), "%s %s is not attached", r.method, r.path)
		require.False(t, names[r.name], "the name %s is used twice", r.name)
		names[r.name] = true
		fmt.Fprintf(&text, "%-6s %-62s %s\n", r.method, r.full(s), r.who.words)
	}
	require.Len(t, s.engine.Routes(), len(s.table), "a route is attached beside the table")
	golden(t, "routes.txt", []byte(text.String()))
}

func TestDescription(t *testing.T) {
	w := ask(shell(t, nil), "GET", prefix+"/openapi.json")
	require.Equal(t, 200, w.Code)
	require.Equal(t, "application/openapi+json", w.Header().Get("Content-Type"))
	golden(t, "openapi.json", indented(t, w.Body.Bytes()))

	var document struct {
		OpenAPI string                    `json:"openapi"`
		Paths   map[string]map[string]any `json:"paths"`
	}
	require.NoError(t, json.Unmarshal(w.Body.Bytes(), &document))
	require.Equal(t, "3.1.0", document.OpenAPI)
	for _, r := range shell(t, nil).table {
		if strings.HasPrefix(r.full(shell(t, nil)), prefix) && r.name != "get-description" {
			require.Contains(t, document.Paths[r.path], strings.ToLower(r.method), r.path)
		}
	}
}
