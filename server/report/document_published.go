package report

import (
	"fmt"
	"slices"
	"strings"

	"zonule/server/report/sheet"
	"zonule/server/report/words"
)

// published sets the case beside public series, those with the same phases in one table.
func (w writer) published() []sheet.Block {
	if len(w.Published) == 0 {
		return none("No published series of this technique is shipped, or no step is marked.")
	}
	blocks := []sheet.Block{sheet.Paragraph{
		Text: "Median (first to third quartile), number of operations of each series, and between which of its percentiles this case lies. These are not norms, and their definitions differ from ours as said below.",
	}}
	for rest := w.Published; len(rest) > 0; {
		n := 1
		for n < len(rest) && slices.EqualFunc(rest[0].Rows, rest[n].Rows, func(a, b PublishedRow) bool { return a.Phase == b.Phase }) {
			n++
		}
		blocks = append(blocks, seriesTable(rest[:n]))
		blocks = append(blocks, seriesNotes(rest[:n])...)
		rest = rest[n:]
	}
	return blocks
}

func seriesTable(series []PublishedSeries) sheet.Table {
	t := sheet.Table{Columns: []sheet.Column{{Title: "Their phase", Share: 44}, {Title: "This case", Share: 22, Right: true, Short: true}}}
	for _, s := range series {
		t.Columns = append(t.Columns, sheet.Column{Title: s.Name, Share: 114 / float64(len(series))})
	}
	for i, phase := range series[0].Rows {
		ours := strings.Join(phase.Steps, " + ")
		if phase.Whole {
			ours = "Operation, first step to last"
		}
		row := sheet.Row{Cells: []sheet.Cell{{Text: words.Upper(phase.Phase), Sub: "ours: " + ours}, {Text: words.Measured(phase.Total, phase.Quality)}}}
		for _, s := range series {
			r := s.Rows[i]
			row.Cells = append(row.Cells, sheet.Cell{
				Text: fmt.Sprintf("%s (%s–%s)", words.Length(r.Median), words.Length(r.P25), words.Length(r.P75)),
				Sub:  strings.Join(present(fmt.Sprintf("n %d", r.N), r.between()), "; "),
			})
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// between writes the place of this case among published percentiles, shortly.
func (r PublishedRow) between() string {
	name := func(p int) string {
		if p == 50 {
			return "median"
		}
		return words.Ordinal(p)
	}
	switch {
	case r.Place == "":
		return ""
	case r.Low == nil:
		return "below " + name(*r.High)
	case r.High == nil:
		return "above " + name(*r.Low)
	case *r.Low == *r.High:
		return "at " + name(*r.Low)
	}
	return name(*r.Low) + " to " + name(*r.High)
}

// seriesNotes cites the series and says how their phases map to our steps.
func seriesNotes(series []PublishedSeries) []sheet.Block {
	var blocks []sheet.Block
	for _, s := range series {
		blocks = append(blocks, sheet.Paragraph{Head: s.Name + ".", Text: s.Citation + ". " + s.Definition, Tone: sheet.Quiet})
	}
	var mapped []string
	for _, r := range series[0].Rows {
		mapped = append(mapped, fmt.Sprintf("%s: %s", words.Upper(r.Phase), r.Definition))
	}
	return append(blocks, sheet.Paragraph{Head: "How their phases and our steps differ.", Text: strings.Join(mapped, " "), Tone: sheet.Quiet})
}
