package main

import (
	"bytes"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// longer lists the files that may be longer than their kind, and functions that may be, each with the lines it
// takes and the reason. A row goes stale, and fails, as soon as the file would pass without it.
var longer = map[string]struct {
	lines  int
	reason string
}{}

// longestFunction is the stop for the body of a function, in lines.
const longestFunction = 80

func limitOf(file string) int {
	switch {
	case strings.HasSuffix(file, "_test.go"):
		return 600
	case strings.HasSuffix(file, ".go"):
		return 400
	case strings.HasSuffix(file, ".svelte"):
		return 300
	case strings.HasSuffix(file, ".ts"), strings.HasSuffix(file, ".mjs"):
		return 350
	}
	return 0
}

// TestFilesStaySmall: one file is one subject.
func TestFilesStaySmall(t *testing.T) {
	for _, file := range sources(t, ".go", ".svelte", ".ts", ".mjs") {
		text, err := os.ReadFile(filepath.Join(top, file))
		require.NoError(t, err)
		if bytes.HasPrefix(text, []byte("// Code generated ")) {
			continue
		}
		lines, limit := bytes.Count(text, []byte("\n")), limitOf(file)
		row, excused := longer[file]
		switch {
		case excused && lines <= limit:
			t.Errorf("%s is down to %d lines: take its row away", file, lines)
		case excused && lines > row.lines:
			t.Errorf("%s has %d lines; its row allows %d (%s)", file, lines, row.lines, row.reason)
		case !excused && lines > limit:
			t.Errorf("%s has %d lines; %d is the stop: give a part of it its own file", file, lines, limit)
		}
	}
	for file := range longer {
		_, err := os.Stat(filepath.Join(top, file))
		require.NoError(t, err, "%s has a row and is not there", file)
	}
}

// TestFunctionsStayShort counts the lines of each function's body.
func TestFunctionsStayShort(t *testing.T) {
	for _, file := range goFiles(t) {
		set := token.NewFileSet()
		parsed, err := parser.ParseFile(set, filepath.Join(top, file), nil, 0)
		require.NoError(t, err)
		for _, declaration := range parsed.Decls {
			function, ok := declaration.(*ast.FuncDecl)
			if !ok || function.Body == nil || isTable(file, function) {
				continue
			}
			lines := set.Position(function.Body.Rbrace).Line - set.Position(function.Body.Lbrace).Line
			if lines > longestFunction {
				t.Errorf("%s: %s has %d lines; %d is the stop", file, function.Name.Name, lines, longestFunction)
			}
		}
	}
}

// isTable excuses tests whose length is a table of cases, and initialisers that only fill a table.
func isTable(file string, function *ast.FuncDecl) bool {
	return strings.HasSuffix(file, "_test.go") || function.Name.Name == "init"
}

// TestNothingIsLeftOpen: what is not finished is not in the project.
func TestNothingIsLeftOpen(t *testing.T) {
	marks := []string{"TO" + "DO", "FIX" + "ME", "XX" + "X:", "HA" + "CK:"}
	for _, file := range sources(t, ".go", ".svelte", ".ts", ".mjs", ".sql", ".md") {
		text, err := os.ReadFile(filepath.Join(top, file))
		require.NoError(t, err)
		for _, mark := range marks {
			require.NotContains(t, string(text), mark, file)
		}
	}
}
