package report

import (
	"fmt"
	"math"
	"strings"

	"zonule/annotate"
	"zonule/server/report/sheet"
	"zonule/server/report/words"
	"zonule/timeline"
	"zonule/timeline/outcome"
)

// level sets the case beside the unit's other cases: what stands out, each exposure in its distribution, the loss, and the
// complications with what came before. A report that was made before there was such a section has none.
func (w writer) level() []sheet.Block {
	if w.Level == nil {
		return nil
	}
	blocks := []sheet.Block{
		sheet.Paragraph{Text: w.Level.StandsOut + " " + w.Level.CannotSay},
	}
	if len(w.Level.Exposures) > 0 {
		blocks = append(blocks, w.exposures())
	} else {
		blocks = append(blocks, sheet.Paragraph{Text: "No time, energy or event is recorded, here or in another case of this technique, that could be set beside each other."})
	}
	blocks = append(blocks, w.expectedLoss()...)
	blocks = append(blocks, w.levelComplications()...)
	for _, note := range w.Level.Notes {
		blocks = append(blocks, sheet.Paragraph{Text: note, Tone: sheet.Quiet})
	}
	return append(blocks, sheet.Paragraph{
		Text: fmt.Sprintf("Beside this case stand the unit's other cases of the same technique (%s), never the case itself. These are associations in one unit's records: for learning, not for judging a person.",
			words.Plural(w.Level.Others, "case", "cases")),
		Tone: sheet.Quiet,
	})
}

// exposures is the table of each exposure in its reference distribution.
func (w writer) exposures() sheet.Table {
	t := sheet.Table{Columns: []sheet.Column{
		{Title: "Measured", Share: 64}, {Title: "This case", Share: 26, Right: true, Short: true}, {Title: "Other cases: median (quartiles)", Share: 46, Right: true, Short: true},
		{Title: "n", Share: 14, Right: true, Short: true}, {Title: "Percentile", Share: 30, Right: true},
	}}
	for _, e := range w.Level.Exposures {
		row := sheet.Row{Cells: []sheet.Cell{{Text: words.Upper(e.Name)}, {Text: "not known"}, {Text: "under 20 cases"}, {Text: fmt.Sprint(e.N)}, {Text: "–", Sub: e.Why}}}
		if e.Value != nil {
			row.Cells[1].Text = exposureText(e, *e.Value)
		}
		if r := e.Reference; r != nil {
			row.Cells[2].Text = fmt.Sprintf("%s (%s–%s)", exposureText(e, r.Median), bare(e, r.Q1), bare(e, r.Q3))
		}
		if e.Percentile != nil {
			row.Cells[4] = sheet.Cell{Text: words.Percentile(*e.Percentile)}
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// exposureText writes a value of an exposure with its unit.
func exposureText(e outcome.CaseExposure, value float64) string {
	if e.Unit == "min" {
		return bare(e, value)
	}
	return strings.TrimSpace(bare(e, value) + " " + e.Unit)
}

// bare writes it without: times as lengths, all else with at most one decimal.
func bare(e outcome.CaseExposure, value float64) string {
	if e.Unit == "min" {
		return words.Length(int64(math.Round(value * 60_000)))
	}
	return strings.TrimSuffix(words.Number(value, 1), ".0")
}

// expectedLoss is the loss observed beside the loss expected, or what is missing for it.
func (w writer) expectedLoss() []sheet.Block {
	l := w.Level.Loss
	if l == nil {
		return []sheet.Block{sheet.Paragraph{Head: "Loss expected.", Text: "None can be told. " + w.Level.WhyNoLoss}}
	}
	percent := func(value float64) string { return words.Number(value, 1) + " %" }
	figure := sheet.Intervals{
		Title: fmt.Sprintf("Loss of endothelial cells at %s: expected, with the 95 %% prediction interval for one such case, and counted, with the 95 %% interval from counting error alone", words.Window(annotate.Window(l.Window))),
		Unit:  "% loss",
		Rows: []sheet.IntervalRow{
			{Label: "Expected", Estimate: l.Expected, Low: l.Low, High: l.High, Known: true, Value: percent(l.Expected)},
			{Label: "Counted in this eye", Estimate: l.Observed, Value: percent(l.Observed)},
		},
	}
	if l.ObservedLow != nil {
		figure.Rows[1].Low, figure.Rows[1].High, figure.Rows[1].Known = *l.ObservedLow, *l.ObservedHigh, true
	}
	return []sheet.Block{
		figure, sheet.Paragraph{Text: l.Text},
		sheet.Paragraph{Text: "The expectation allows for: " + strings.Join(l.AdjustedFor, ", ") + ".", Tone: sheet.Quiet},
	}
}

// levelComplications tells of each complication how often its step carries it, and what came before.
func (w writer) levelComplications() []sheet.Block {
	if len(w.Level.Complications) == 0 {
		return nil
	}
	t := sheet.Table{Caption: "Complications beside other cases", Columns: []sheet.Column{
		{Title: "Complication", Share: 54}, {Title: "Case clock", Share: 25, Short: true}, {Title: "During", Share: 35},
		{Title: "Others, during that step", Share: 34}, {Title: "Others, at any time", Share: 34},
	}}
	var details []sheet.Block
	for i, c := range w.Level.Complications {
		at := w.Level.Moments[i]
		row := sheet.Row{Cells: []sheet.Cell{{Text: words.Upper(c.Name)}, {Text: "no instant"}, {Text: words.Upper(c.StepName)}, {Text: "–"}, shareCell(c.Ever)}}
		if c.Withheld != "" {
			row.Cells[3].Text, row.Cells[4] = "not told", sheet.Cell{Text: "not told"}
			details = append(details, sheet.Paragraph{Text: c.Withheld, Tone: sheet.Quiet})
		}
		if at != nil {
			row.Cells[1] = sheet.Cell{Text: at.clock(), Link: at.page()}
		}
		switch {
		case c.After:
			row.Cells[1].Text, row.Cells[2].Text = "", "after the operation"
		case c.Step == "":
			row.Cells[2].Text = "no step"
		}
		if c.InStep != nil {
			row.Cells[3] = shareCell(*c.InStep)
		}
		t.Rows = append(t.Rows, row)
		if c.Before != nil {
			details = append(details, sheet.Paragraph{Head: fmt.Sprintf("Before %s.", c.Name), Text: sayBefore(c)})
		}
		if c.Published != "" {
			details = append(details, sheet.Paragraph{Head: "Published.", Text: c.Published, Tone: sheet.Quiet})
		}
	}
	return append([]sheet.Block{t}, details...)
}

// shareCell writes "4 of 100" with the percentage and Wilson's interval under it, where there are enough cases.
func shareCell(s outcome.CaseShare) sheet.Cell {
	cell := sheet.Cell{Text: fmt.Sprintf("%d of %d", s.Events, s.Cases)}
	if s.Percent != nil {
		cell.Sub = fmt.Sprintf("%s %% (95 %% interval %s to %s)", words.Number(*s.Percent, 1), words.Number(*s.Low, 1), words.Number(*s.High, 1))
	}
	return cell
}

// sayBefore tells the minutes before a complication: what happened, what was not marked, how long the step had run.
func sayBefore(c annotate.LevelComplication) string {
	b := c.Before
	var happened []string
	for _, e := range b.Events {
		happened = append(happened, fmt.Sprintf("%s at %s", e.Name, words.Instant(e.Clock)))
	}
	says := []string{fmt.Sprintf("In the %d minutes before, no event is marked.", b.Minutes)}
	if len(happened) > 0 {
		says[0] = fmt.Sprintf("In the %d minutes before: %s.", b.Minutes, words.List(happened))
	}
	for _, hole := range []struct {
		spans []timeline.Span
		text  string
	}{{b.Gaps, "In no marked step: %s."}, {b.Unrecorded, "Not recorded: %s."}} {
		var spans []string
		for _, s := range hole.spans {
			spans = append(spans, fmt.Sprintf("%s to %s (%s)", words.Instant(s.Start), words.Instant(s.End), words.Length(s.Length())))
		}
		if len(spans) > 0 {
			says = append(says, fmt.Sprintf(hole.text, words.List(spans)))
		}
	}
	return strings.Join(append(says, sayStep(c)), " ")
}

// sayStep tells how long the step had run, how long it took in all and how long it takes elsewhere.
func sayStep(c annotate.LevelComplication) string {
	b := c.Before
	if b.Since == nil {
		return "No marked step was running."
	}
	text := fmt.Sprintf("The step had run for %s; with what followed it took %s in all", words.Length(*c.Clock-*b.Since), words.Measured(b.StepLength, b.StepQuality))
	switch ref := b.StepReference; {
	case ref == nil:
	case ref.Median == nil:
		text += fmt.Sprintf(" (n %d other cases, too few to place)", ref.N)
	default:
		text += fmt.Sprintf(", against %s at the median of %d other cases (quartiles %s to %s)", words.Length(int64(*ref.Median)), ref.N, words.Length(int64(*ref.Q1)), words.Length(int64(*ref.Q3)))
	}
	return text + "."
}
