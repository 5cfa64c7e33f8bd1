package sheet

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// pagesOf gives the text of each page of a document, as pdftotext (poppler) reads it.
func pagesOf(t *testing.T, d Document) []string {
	t.Helper()
	d.Made = time.Unix(0, 0).UTC()
	content, err := d.PDF()
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "sheet.pdf")
	require.NoError(t, os.WriteFile(file, content, 0o600))
	out, err := exec.Command("pdftotext", "-layout", file, "-").CombinedOutput()
	require.NoError(t, err, string(out))
	return strings.Split(strings.TrimSuffix(string(out), "\f"), "\f")
}

func TestTableRepeatsItsHeadAndLosesNoRow(t *testing.T) {
	table := Table{Columns: []Column{{Title: "Episode", Share: 1}, {Title: "Length", Share: 1, Right: true}}}
	for i := range 2000 {
		table.Rows = append(table.Rows, Row{Cells: []Cell{{Text: fmt.Sprintf("row-%04d", i)}, {Text: "0:11.4"}}})
	}
	all := pagesOf(t, Document{Title: "Long", Sections: []Section{{Title: "Table", Blocks: []Block{table}}}})
	for i, page := range all {
		require.Contains(t, page, "Episode", "page %d", i+1)
		require.Contains(t, page, fmt.Sprintf("page %d of %d", i+1, len(all)))
	}
	whole := strings.Join(all, "")
	for i := range 2000 {
		require.Equal(t, 1, strings.Count(whole, fmt.Sprintf("row-%04d", i)))
	}
}

// TestTextLongerThanAPage: a cell, a fact, a paragraph, a warning and a remark that fit on no page flow over several.
func TestTextLongerThanAPage(t *testing.T) {
	words := make([]string, 1500)
	for i := range words {
		words[i] = fmt.Sprintf("w%04d", i)
	}
	long := strings.Join(words, " ")
	for name, block := range map[string]Block{
		"cell":      Table{Columns: []Column{{Title: "A", Share: 1}, {Title: "B", Share: 2}}, Rows: []Row{{Cells: []Cell{{Text: "short"}, {Text: long, Sub: "under it"}}}}},
		"fact":      Facts{{Name: "Note", Value: long}},
		"paragraph": Paragraph{Text: long, Head: "Head."},
		"warning":   Paragraph{Text: long, Tone: Warning},
		"remark":    Remarks{{Head: "Somebody", Text: long}},
	} {
		all := pagesOf(t, Document{Title: "Long", Sections: []Section{{Title: name, Blocks: []Block{block}}}})
		require.Greater(t, len(all), 1, name)
		whole := strings.Join(all, "")
		for _, w := range words {
			require.Equal(t, 1, strings.Count(whole, w), "%s: %s", name, w)
		}
	}
}

// TestHeadingStaysWithItsText: no page ends in a heading.
func TestHeadingStaysWithItsText(t *testing.T) {
	var sections []Section
	for i := range 60 {
		sections = append(sections, Section{Title: fmt.Sprintf("Heading %02d", i), Blocks: []Block{Paragraph{Text: fmt.Sprintf("Text of %02d.", i)}}})
	}
	for _, page := range pagesOf(t, Document{Title: "Headings", Sections: sections}) {
		for i := range 60 {
			require.Equal(t, strings.Contains(page, fmt.Sprintf("Heading %02d", i)), strings.Contains(page, fmt.Sprintf("Text of %02d.", i)))
		}
	}
}

// TestTimelineStaysWithItsHeading: wherever it would begin, a heading is on the page of the timeline under it.
func TestTimelineStaysWithItsHeading(t *testing.T) {
	timeline := Timeline{Start: 0, End: 60_000}
	for i := range 20 {
		timeline.Rows = append(timeline.Rows, FigureRow{Label: fmt.Sprintf("step-%02d", i)})
	}
	for lines := 0; lines < 40; lines += 4 {
		filled := Section{Title: "Before", Blocks: []Block{Paragraph{Text: strings.Repeat("line\n", 10+lines)}}}
		for _, page := range pagesOf(t, Document{Title: "Timeline", Sections: []Section{filled, {Title: "Whole", Blocks: []Block{timeline}}}}) {
			require.Equal(t, strings.Contains(page, "Whole"), strings.Contains(page, "step-00"), "%d lines", lines)
		}
	}
}

// TestFewRowsStayTogether: a table of a few rows is on the page of its heading, wherever it would begin.
func TestFewRowsStayTogether(t *testing.T) {
	for lines := 0; lines < 12; lines += 3 {
		table := Table{Caption: "Caption", Columns: []Column{{Title: "Head", Share: 1}}}
		for i := range fewRows {
			table.Rows = append(table.Rows, Row{Cells: []Cell{{Text: fmt.Sprintf("row-%d", i)}}})
		}
		filled := Section{Title: "Before", Blocks: []Block{Paragraph{Text: strings.Repeat("line\n", 38+lines)}}}
		for _, page := range pagesOf(t, Document{Title: "Few", Sections: []Section{filled, {Title: "Whole", Blocks: []Block{table}}}}) {
			for _, text := range []string{"Caption", "Head", "row-0", "row-1", "row-2", "row-3", "row-4"} {
				require.Equal(t, strings.Contains(page, "Whole"), strings.Contains(page, text), "%s, %d lines", text, lines)
			}
		}
	}
}
