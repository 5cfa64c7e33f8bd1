package report

import (
	"fmt"
	"strconv"

	"zonule/server/report/sheet"
	"zonule/server/report/words"
	"zonule/timeline/outcome"
)

// fewestDescribed is how many cases a group must have to be described: of fewer, one might be known again.
const fewestDescribed = 5

// fellOut says who could not be used, by reason, and how they differ from those who could.
func (s study) fellOut() []sheet.Block {
	if s.Population == 0 {
		return nil
	}
	fell := s.Population - s.N
	if fell == 0 {
		return none("Nobody fell out: everything is known of all cases chosen.")
	}
	reasons := sheet.Table{
		Caption: fmt.Sprintf("%s of %d fell out, each counted under its first reason", words.Plural(fell, "case", "cases"), s.Population),
		Columns: []sheet.Column{{Title: "Reason", Share: 150}, {Title: "Cases", Share: 20, Right: true, Short: true}},
	}
	for _, out := range s.FellOut {
		reasons.Rows = append(reasons.Rows, sheet.Row{Cells: []sheet.Cell{{Text: out.Reason}, {Text: strconv.Itoa(out.Cases)}}})
	}
	blocks := []sheet.Block{reasons}
	if len(s.Differences) == 0 {
		return blocks
	}
	differ := sheet.Table{
		Caption: "How they differ from the cases with everything known: mean (standard deviation), where it is known",
		Columns: []sheet.Column{
			{Title: "", Share: 58}, {Title: "Everything known", Share: 40, Right: true, Short: true}, {Title: "Fell out", Share: 40, Right: true, Short: true},
			{Title: "Difference in standard deviations", Share: 42, Right: true, Short: true},
		},
	}
	for _, d := range s.Differences {
		cell := sheet.Cell{Text: "–"}
		if d.Standardised != nil && min(d.Kept.N, d.Fell.N) >= fewestDescribed {
			cell.Text = words.Number(*d.Standardised, 2)
		}
		differ.Rows = append(differ.Rows, sheet.Row{Cells: []sheet.Cell{{Text: words.Upper(withUnit(d.Name, d.Unit))}, described(d.Code, d.Kept), described(d.Code, d.Fell), cell}})
	}
	return append(blocks, differ, sheet.Paragraph{
		Text: "A difference of more than about 0.2 standard deviations either way means that what is found in the others may not hold for those who fell out (common practice).",
		Tone: sheet.Quiet,
	})
}

// sharesOf are the quantities of which the mean is a share of cases.
var sharesOf = map[string]bool{"trainee": true, "rupture": true}

func described(code string, values outcome.Spread) sheet.Cell {
	n := words.Plural(values.N, "case", "cases")
	switch {
	case values.N < fewestDescribed:
		return sheet.Cell{Text: "too few", Sub: n}
	case sharesOf[code]:
		return sheet.Cell{Text: words.Number(100*values.Mean, 0) + " %", Sub: n}
	}
	return sheet.Cell{Text: fmt.Sprintf("%s (%s)", words.Figure(values.Mean), words.Figure(values.SD)), Sub: n}
}

// allowedFor names the factors in the model and those left out, each with its reason.
func (s study) allowedFor() []sheet.Block {
	var blocks []sheet.Block
	for _, part := range []struct {
		caption string
		factors []outcome.Adjustment
	}{{"Allowed for", s.AdjustedFor}, {"Not allowed for", s.NotAdjusted}} {
		if len(part.factors) == 0 {
			continue
		}
		t := sheet.Table{Caption: part.caption, Columns: []sheet.Column{{Title: "Known before the operation", Share: 50}, {Title: "Reason", Share: 130}}}
		for _, a := range part.factors {
			t.Rows = append(t.Rows, sheet.Row{Cells: []sheet.Cell{{Text: words.Upper(a.Name)}, {Text: a.Reason}}})
		}
		blocks = append(blocks, t)
	}
	if len(s.AdjustedFor) == 0 {
		blocks = append(none("Nothing is allowed for: the figures are as they come, of easy and hard eyes alike."), blocks...)
	}
	return blocks
}
