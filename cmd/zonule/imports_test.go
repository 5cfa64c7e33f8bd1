package main

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// room is one package: what of ours it may import, which kinds of library it may know, and why.
type room struct {
	ours    []string
	outside []string // prefixes beyond the standard library
	never   []string // packages of the standard library that are kept out
	reason  string
}

var (
	noDoors  = []string{"database/sql", "net/http"}
	pureOnly = []string{"database/sql", "net", "net/http", "os", "io/fs", "time", "math/rand", "math/rand/v2"}
)

// rooms holds every package of the project. A folder without a row fails the test, and so does a row without a folder.
var rooms = map[string]room{
	"timeline":              {never: pureOnly, reason: "pure arithmetic: no database, no web, no clock, no chance"},
	"timeline/stat":         {ours: []string{"timeline"}, outside: []string{"gonum.org/v1/gonum"}, never: pureOnly, reason: "statistical methods: pure like timeline, on gonum"},
	"migrations":            {reason: "only carries the SQL"},
	"frontend":              {reason: "only carries the built page"},
	"timeline/cohort":       {ours: []string{"timeline", "timeline/stat"}, never: pureOnly, reason: "compares operations from flat rows of facts; pure"},
	"timeline/outcome":      {ours: []string{"timeline", "timeline/stat", "timeline/cohort"}, never: pureOnly, reason: "studies how operations go with what came of the eyes; pure"},
	"annotate":              {ours: []string{"timeline", "timeline/cohort", "timeline/outcome", "timeline/stat"}, never: noDoors, reason: "the domain knows no database and no web; it asks comparisons and studies of its rows"},
	"annotate/store":        {ours: []string{"annotate", "migrations", "timeline", "timeline/cohort"}, outside: []string{"github.com/jmoiron/sqlx", "github.com/lib/pq", "modernc.org/sqlite", "github.com/pressly/goose/v3"}, reason: "the only room with SQL"},
	"annotate/annotatetest": {ours: []string{"annotate", "annotate/store", "timeline"}, outside: []string{"github.com/lib/pq"}, reason: "for tests only: a cast, a clock, both databases"},
	"annotate/demo":         {ours: []string{"annotate", "annotate/demo/film", "timeline"}, never: noDoors, reason: "invents records; stores nothing"},
	"annotate/demo/film":    {outside: []string{"golang.org/x/image"}, never: noDoors, reason: "draws the demo films"},
	"server":                {ours: []string{"annotate", "timeline", "timeline/cohort", "timeline/outcome", "server/auth", "server/live", "server/media", "server/report", "server/table"}, outside: []string{"github.com/gin-gonic/gin", "github.com/prometheus/client_golang", "github.com/alexedwards", "github.com/google/uuid", "github.com/danielgtaylor/huma/v2"}, reason: "the door: the only room that knows gin"},
	"server/media":          {ours: []string{"annotate", "timeline"}, outside: []string{"github.com/abema/go-mp4"}, reason: "reads and serves recordings"},
	"server/live":           {ours: []string{"annotate"}, never: noDoors, reason: "who follows which meeting; knows neither SQL nor HTTP"},
	"server/auth":           {ours: []string{"annotate"}, outside: []string{"github.com/alexedwards"}, reason: "sessions, passwords and who may call from where"},
	"server/table":          {outside: []string{"github.com/xuri/excelize/v2", "golang.org/x/text"}, never: noDoors, reason: "reads and writes tables; knows nothing of what they mean"},
	"server/report/typeset": {outside: []string{"codeberg.org/go-pdf/fpdf", "github.com/go-text/typesetting", "golang.org/x/image", "golang.org/x/text"}, never: noDoors, reason: "text of every script in a PDF"},
	"server/report/sheet":   {ours: []string{"server/report/typeset"}, outside: []string{"codeberg.org/go-pdf/fpdf"}, never: noDoors, reason: "lays a document out as HTML and PDF; knows nothing of cases"},
	"server/report/words":   {ours: []string{"annotate", "timeline"}, never: noDoors, reason: "numbers, times and codes as people read them"},
	"server/report":         {ours: []string{"annotate", "timeline", "timeline/cohort", "timeline/outcome", "server/report/sheet", "server/report/words", "server/table"}, never: noDoors, reason: "turns a case file or a study into a report, and a report into bytes; every CSV is written in server/table, which guards against formulas"},
	"cmd/zonule":            {ours: []string{"annotate", "annotate/store", "annotate/demo", "annotate/demo/film", "server", "server/auth", "server/media", "server/report", "frontend", "migrations", "timeline"}, outside: []string{"github.com/google/uuid", "golang.org/x/sync"}, reason: "wires everything; nobody imports it"},
}

// TestArrows reads the source files. (A test that asks `go list` can pass from the test cache after another
// process has changed the imports, because the cache does not see what that process read.)
func TestArrows(t *testing.T) {
	found := map[string]bool{}
	for _, file := range goFiles(t) {
		dir := filepath.ToSlash(filepath.Dir(file))
		found[dir] = true
		row, ok := rooms[dir]
		if !ok {
			t.Errorf("%s is in no row of the table of rooms: add it with a reason, and to DEVELOPERS.md", dir)
			continue
		}
		if !strings.HasSuffix(file, "_test.go") {
			checkImports(t, file, dir, row)
		}
	}
	for dir, row := range rooms {
		require.NotEmpty(t, row.reason, "%s has no reason", dir)
		require.True(t, found[dir], "%s has a row and no Go file: take the row away", dir)
	}
}

func checkImports(t *testing.T, file, dir string, row room) {
	t.Helper()
	parsed, err := parser.ParseFile(token.NewFileSet(), filepath.Join(top, file), nil, parser.ImportsOnly)
	require.NoError(t, err)
	for _, imported := range parsed.Imports {
		path, err := strconv.Unquote(imported.Path.Value)
		require.NoError(t, err)
		ours, isOurs := strings.CutPrefix(path, "zonule/")
		switch {
		case isOurs:
			if !slices.Contains(row.ours, ours) {
				t.Errorf("%s imports %s; %s may not (%s)", file, path, dir, row.reason)
			}
		case strings.Contains(strings.Split(path, "/")[0], "."):
			if !slices.ContainsFunc(row.outside, func(prefix string) bool { return path == prefix || strings.HasPrefix(path, prefix+"/") }) {
				t.Errorf("%s imports %s; %s may not (%s)", file, path, dir, row.reason)
			}
		case slices.Contains(row.never, path):
			t.Errorf("%s imports %s; %s may not (%s)", file, path, dir, row.reason)
		}
	}
}

// TestEveryPackageSaysItsPurpose holds doc.go and the table in DEVELOPERS.md to the same list.
func TestEveryPackageSaysItsPurpose(t *testing.T) {
	guide, err := os.ReadFile(filepath.Join(top, "DEVELOPERS.md"))
	require.NoError(t, err)
	for dir := range rooms {
		parsed, err := parser.ParseFile(token.NewFileSet(), filepath.Join(top, dir, "doc.go"), nil, parser.ParseComments)
		if dir == "migrations" || dir == "frontend" {
			parsed, err = parser.ParseFile(token.NewFileSet(), filepath.Join(top, dir, "embed.go"), nil, parser.ParseComments)
		}
		require.NoError(t, err, "%s has no file with its purpose", dir)
		require.NotEmpty(t, parsed.Doc.Text(), "%s/doc.go has no package comment", dir)
		require.True(t, strings.Contains(string(guide), "| `"+dir+"` |"), "DEVELOPERS.md has no row for %s", dir)
	}
}

// top is the top of the project, seen from this package.
const top = "../.."

// goFiles lists the project's Go files, by their path from the top.
func goFiles(t *testing.T) []string { return sources(t, ".go") }

// sources lists files by their ending, leaving out what is installed, built or only read by tests.
func sources(t *testing.T, endings ...string) []string {
	t.Helper()
	var files []string
	err := filepath.WalkDir(top, func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name := entry.Name()
		if entry.IsDir() {
			if path != top && (strings.HasPrefix(name, ".") || slices.Contains([]string{"node_modules", "dist", "bin", "demo-unit", "output"}, name)) {
				return filepath.SkipDir
			}
			return nil
		}
		if slices.Contains(endings, filepath.Ext(name)) {
			relative, err := filepath.Rel(top, path)
			files = append(files, filepath.ToSlash(relative))
			return err
		}
		return nil
	})
	require.NoError(t, err)
	return files
}
