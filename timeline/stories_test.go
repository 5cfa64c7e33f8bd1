package timeline

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

const storyFolder = "../testdata/timeline"

func storyFiles(t testing.TB) []string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(storyFolder, "*.txt"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	return files
}

// Every expectation was worked out by hand from the rules of the README of testdata/timeline; source: our definitions.
func TestStories(t *testing.T) {
	for _, file := range storyFiles(t) {
		t.Run(filepath.Base(file), func(t *testing.T) {
			text, err := os.ReadFile(file)
			require.NoError(t, err)
			s, err := readStory(string(text))
			require.NoError(t, err)
			require.NoError(t, s.check(), "%s", s.title)
		})
	}
}

// TestStoriesCanFail changes one figure in each story and expects the check to notice.
func TestStoriesCanFail(t *testing.T) {
	for _, broken := range []struct{ file, from, to string }{
		{"comes-back.txt", "total 2:22 episodes 2 first", "total 2:23 episodes 2 first"},
		{"comes-back.txt", "expect no warnings", "expect warning no-end step removal marks m1"},
		{"overlap.txt", "expect warning overlap step division marks m3,m4 at A 3:10", ""},
		{"never-closed.txt", "marks m2 at A 0:30", "marks m2 at A 0:31"},
		{"two-operators.txt", "by trainer total 0:40 episodes", "by trainer total 0:41 episodes"},
		{"parts-overlap.txt", "refusal B A", "refusal A B"},
		{"empty.txt", "end none", "end 0:00"},
		{"complications.txt", "expect running A 4:02 none", "expect running A 4:02 cortex"},
	} {
		text, err := os.ReadFile(filepath.Join(storyFolder, broken.file))
		require.NoError(t, err)
		require.Contains(t, string(text), broken.from)
		s, err := readStory(strings.Replace(string(text), broken.from, broken.to, 1))
		require.NoError(t, err)
		require.Error(t, s.check(), "%s: %s", broken.file, broken.to)
	}
}

func TestReadStoryRefusals(t *testing.T) {
	for _, bad := range []string{
		"", "story x", "expect no warnings", "story x\nwhat is this", "story x\npart A", "story x\npart A 1:00 begins 2:00",
		"story x\nmark m1 s A 0:10 until A 0:20", "story x\nmark m1 s A 0:10 to A", "story x\nspeed B from 0:00 to 0:10 per-mille 2000",
		"story x\nstep a b sometimes", "story x\ncut A 1", "story x\nmedian s", "story x\ncomplication c k A", "story x\nexpect warning",
	} {
		_, err := readStory(bad)
		require.Error(t, err, "%q", bad)
	}
}

func FuzzReadStory(f *testing.F) {
	for _, file := range storyFiles(f) {
		text, err := os.ReadFile(file)
		require.NoError(f, err)
		f.Add(string(text))
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := readStory(text)
		if err != nil {
			return
		}
		in, err := s.input()
		if err != nil {
			return
		}
		result := Durations(in)
		require.Len(t, result.Marks, len(in.Marks))
		requireIdentities(t, result)
	})
}

// check compares everything that the story expects.
func (s story) check() error {
	in, err := s.input()
	if refusal := slices.IndexFunc(s.expect, func(e expectation) bool { return e.words[0] == "refusal" }); refusal >= 0 {
		got, ok := err.(*PartError)
		if want := s.expect[refusal].words[1:]; !ok || len(want) != 2 || got.Part != want[0] || got.Other != strings.TrimSuffix(want[1], "none") {
			return fmt.Errorf("want refusal of %v, got %v", want, err)
		}
		return nil
	}
	if err != nil {
		return err
	}
	c := checker{in: in, result: Durations(in)}
	for _, e := range s.expect {
		if err := c.check(e.words); err != nil {
			return fmt.Errorf("line %d: expect %s: %w", e.line, strings.Join(e.words, " "), err)
		}
	}
	return c.checkWarnings()
}

// checker holds what the rules say and what the story says of warnings.
type checker struct {
	in       Input
	result   Result
	warnings []string
	silent   bool // "expect no warnings"
	figures  int
}

func (c *checker) check(words []string) error {
	kind, rest := words[0], words[1:]
	if kind != "warning" && kind != "no" {
		c.figures++
	}
	switch kind {
	case "no":
		c.silent = true
		return same(strings.Join(rest, " "), "warnings")
	case "warning":
		return c.expectWarning(rest)
	case "running", "case", "media":
		return c.checkInstant(kind, rest)
	case "step", "stage", "operation":
		figures, rest, err := c.figuresOf(kind, rest)
		if err != nil {
			return err
		}
		return comparePairs(figures, rest)
	}
	return fmt.Errorf("%q cannot be expected", kind)
}

// figuresOf gives the figures that a line speaks of, by name, and the words that are left.
func (c *checker) figuresOf(kind string, words []string) (map[string]string, []string, error) {
	var figure Figure
	operators := c.result.Operation.Operators
	switch kind {
	case "step":
		step, ok := c.result.Step(words[0])
		if !ok {
			return nil, nil, fmt.Errorf("the result has no such step")
		}
		figure, operators, words = step.Figure, step.Operators, words[1:]
	case "stage":
		stage, ok := c.result.Stage(words[0])
		if !ok {
			return nil, nil, fmt.Errorf("the result has no such stage")
		}
		figure, words = stage.Figure, words[1:]
	}
	if len(words) > 1 && words[0] == "by" {
		at := slices.IndexFunc(operators, func(o OperatorFigure) bool { return o.Operator == words[1] })
		if at < 0 {
			return nil, nil, fmt.Errorf("the result has no such operator")
		}
		return namedFigure(operators[at].Figure), words[2:], nil
	}
	if kind == "operation" {
		return namedOperation(c.result.Operation), words, nil
	}
	return namedFigure(figure), words, nil
}

func namedFigure(f Figure) map[string]string {
	running := map[bool]string{true: "yes", false: "no"}
	return map[string]string{
		"total": worded(f.Total), "first": worded(f.FirstStart), "last": worded(f.LastEnd), "span": worded(f.Span),
		"interrupted": worded(f.Interrupted), "unrecorded": worded(&f.Unrecorded), "episodes": strconv.Itoa(f.Episodes),
		"running": running[f.Running], "quality": string(f.Quality),
	}
}

func namedOperation(o Operation) map[string]string {
	return map[string]string{
		"time": worded(o.Time), "start": worded(o.Start), "end": worded(o.End), "tagged": worded(o.Tagged),
		"untagged": worded(o.Untagged), "unrecorded": worded(&o.Unrecorded), "quality": string(o.Quality),
	}
}

// worded gives a time as ms, so that two ways to write it compare equal.
func worded(ms *int64) string {
	if ms == nil {
		return "none"
	}
	return fmt.Sprintf("%d ms", *ms)
}

func readWorded(word string) string {
	if ms, err := readTime(word); err == nil {
		return worded(&ms)
	}
	return word
}

func comparePairs(figures map[string]string, words []string) error {
	if len(words) == 0 || len(words)%2 != 0 {
		return fmt.Errorf("names and values do not pair")
	}
	for pair := range slices.Chunk(words, 2) {
		got, ok := figures[pair[0]]
		if !ok {
			return fmt.Errorf("%q is no figure", pair[0])
		}
		if err := same(got, readWorded(pair[1])); err != nil {
			return fmt.Errorf("%s: %w", pair[0], err)
		}
	}
	return nil
}

func same(got, want string) error {
	if got != want {
		return fmt.Errorf("got %s, want %s", got, want)
	}
	return nil
}

// checkInstant compares what runs at an instant, and both ways of the clock.
func (c *checker) checkInstant(kind string, words []string) error {
	if kind == "media" && len(words) >= 2 {
		ms, err := readTime(words[0])
		if err != nil {
			return err
		}
		got := "none"
		if at, ok := c.in.Clock.Media(ms); ok {
			got = at.Part + " " + worded(&at.Ms)
		}
		want := words[1]
		if len(words) == 3 {
			want += " " + readWorded(words[2])
		}
		return same(got, want)
	}
	if len(words) != 3 {
		return fmt.Errorf("part, time and what is there are needed")
	}
	at, err := readInstant(words[:2])
	if err != nil {
		return err
	}
	got := "none"
	if kind == "running" {
		if running, ok := StepAt(c.in, at); ok {
			got = running.Step
		}
	} else if ms, err := c.in.Clock.Case(at); err == nil {
		got = worded(&ms)
	}
	return same(got, readWorded(words[2]))
}

// expectWarning notes a warning in the form in which checkWarnings words the real ones.
func (c *checker) expectWarning(words []string) error {
	about := map[string]string{}
	for i := 1; i < len(words); i += 2 {
		if i+1 >= len(words) {
			return fmt.Errorf("names and values do not pair")
		}
		about[words[i]] = words[i+1]
		if words[i] == "at" {
			if i+2 >= len(words) {
				return fmt.Errorf("at needs part and time")
			}
			about["at"] += " " + readWorded(words[i+2])
			i++
		}
	}
	expected := fmt.Sprintf("%s step=%s marks=%s complication=%s", words[0], about["step"], about["marks"], about["complication"])
	for _, w := range c.result.Warnings {
		if at := about["at"]; at != "" && wordWarning(w) == expected && (w.At == nil || w.At.Part+" "+worded(&w.At.Ms) != at) {
			continue
		} else if wordWarning(w) == expected {
			c.warnings = append(c.warnings, expected)
			return nil
		}
	}
	return fmt.Errorf("there is no such warning among %v", c.result.Warnings)
}

func wordWarning(w Warning) string {
	return fmt.Sprintf("%s step=%s marks=%s complication=%s", w.Code, w.Step, strings.Join(w.Marks, ","), w.Complication)
}

func (c *checker) checkWarnings() error {
	var got []string
	keys, last := map[string]bool{}, -timeLimit
	for _, w := range c.result.Warnings {
		got = append(got, wordWarning(w))
		if keys[w.Key] {
			return fmt.Errorf("two warnings have the key %s", w.Key)
		}
		keys[w.Key] = true
		place := timeLimit
		if w.At != nil {
			place, _, _ = c.in.Clock.nearest(*w.At)
		}
		if place < last {
			return fmt.Errorf("the warnings are not in order of place: %v", c.result.Warnings)
		}
		last = place
	}
	slices.Sort(got)
	slices.Sort(c.warnings)
	switch {
	case c.figures == 0:
		return fmt.Errorf("the story expects nothing but warnings")
	case c.silent != (len(c.warnings) == 0):
		return fmt.Errorf("the story must expect warnings, or no warnings")
	case !slices.Equal(got, c.warnings):
		return fmt.Errorf("warnings: got %v, want %v", got, c.warnings)
	}
	return nil
}
