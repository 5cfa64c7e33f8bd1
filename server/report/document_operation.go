package report

import (
	"fmt"
	"slices"
	"strings"

	"zonule/server/report/sheet"
	"zonule/server/report/words"
	"zonule/timeline"
)

// operation is what was planned and done, the figure and the running sheet.
func (w writer) operation() []sheet.Block {
	var blocks []sheet.Block
	if len(w.Figure.Rows) > 0 {
		blocks = append(blocks, w.timeline())
	}
	blocks = append(blocks, sheet.Paragraph{Text: strings.Join(w.sayPlan(), " ")})
	if len(w.Sheet) > 0 {
		blocks = append(blocks, w.runningSheet())
	}
	return blocks
}

// sayPlan sets what was planned and usual beside what was done, a sentence each.
func (w writer) sayPlan() []string {
	p := w.Plan
	text := fmt.Sprintf("Planned and performed: %s.", words.Technique(p.Performed))
	if p.Planned != p.Performed {
		text = fmt.Sprintf("Planned: %s. Performed: %s", words.Technique(p.Planned), words.Technique(p.Performed))
		if p.Converted != nil {
			text += ", converted at " + p.Converted.clock()
		}
		if p.Reason != "" {
			text += ", because: " + strings.TrimSuffix(p.Reason, ".")
		}
		text += "."
	}
	says := []string{text}
	if p.StepList == "" {
		return says
	}
	var required, optional, extra, again []string
	for _, s := range p.NotDone {
		if s.Required {
			required = append(required, words.Lower(s.Name))
		} else {
			optional = append(optional, words.Lower(s.Name))
		}
	}
	for _, s := range p.NotInList {
		extra = append(extra, words.Lower(s.Name))
	}
	for _, s := range p.Repetitions {
		again = append(again, fmt.Sprintf("%s (%d)", words.Lower(s.Name), s.Episodes))
	}
	for _, s := range []struct {
		words []string
		text  string
	}{
		{required, "Of the usual steps of " + words.Lower(p.StepList) + ", not marked though every such operation has them: %s."},
		{optional, "Not done of the optional ones: %s."},
		{extra, "Done beyond the planned list: %s."},
		{again, "In more than one episode: %s."},
	} {
		if len(s.words) > 0 {
			says = append(says, fmt.Sprintf(s.text, words.List(s.words)))
		}
	}
	return append(says, p.OutOfOrder...)
}

// timeline words the figure for the sheet.
func (w writer) timeline() sheet.Timeline {
	f := w.Figure
	t := sheet.Timeline{Start: f.Start, End: f.End, Title: fmt.Sprintf("The operation on the case clock from %s to %s: stages, steps, events and complications, as in the tables below.", words.Instant(f.Start), words.Instant(f.End))}
	for _, band := range f.Stages {
		t.Stages = append(t.Stages, sheet.Stretch{Start: band.Start, End: band.End, Stage: w.stageNumber(band.Stage), Label: band.Name})
	}
	for _, row := range f.Rows {
		drawn := sheet.FigureRow{Label: row.Name, Grave: row.Kind == kindComplication}
		for _, bar := range row.Bars {
			drawn.Bars = append(drawn.Bars, sheet.Stretch{Start: bar.Start, End: bar.End, Stage: w.stageNumber(row.Stage), Link: bar.Page, AtLeast: bar.Quality == timeline.LowerBound})
		}
		for _, point := range row.Points {
			drawn.Points = append(drawn.Points, sheet.Point{At: point.At, Link: point.Page})
		}
		switch {
		case row.Kind == kindStep && row.Total != nil:
			drawn.Value = words.Length(*row.Total)
			if w.quality(row.Code) == timeline.LowerBound {
				drawn.Value = "≥ " + drawn.Value
			}
		case len(row.Points) == 1:
			drawn.Value = "once"
		case len(row.Points) > 1:
			drawn.Value = fmt.Sprintf("%d times", len(row.Points))
		}
		t.Rows = append(t.Rows, drawn)
	}
	for _, p := range f.Parts {
		t.Parts = append(t.Parts, sheet.PartLine{At: p.At, Label: words.Lower(words.Part(p.Part))})
	}
	for _, gap := range f.Gaps {
		t.Unseen = append(t.Unseen, sheet.Stretch{Start: gap.Start, End: gap.End})
	}
	return t
}

func (w writer) stageNumber(code string) int {
	return slices.IndexFunc(w.Stages, func(s StageLine) bool { return s.Stage == code }) + 1
}

func (w writer) quality(step string) timeline.Quality {
	for _, s := range w.Steps {
		if s.Code == step {
			return s.Quality
		}
	}
	return timeline.NotRecorded
}

// runningSheet is the operation as an operation note has it, a line an episode; events and complications are set in.
func (w writer) runningSheet() sheet.Table {
	parts, people := len(w.Recording) > 1, len(w.Operation.Operators) > 1
	t := sheet.Table{Caption: "Running sheet", Columns: []sheet.Column{{Title: "Step", Share: 55}, {Title: "Case clock", Share: 21, Short: true}}}
	if parts {
		t.Columns = append(t.Columns, sheet.Column{Title: "Part and time", Share: 32, Short: true})
	}
	t.Columns = append(t.Columns, sheet.Column{Title: "Length", Share: 20, Right: true, Short: true}, sheet.Column{Title: "Usual order", Share: 14, Right: true, Short: true})
	if people {
		t.Columns = append(t.Columns, sheet.Column{Title: "Operator", Share: 32})
	}
	t.Columns = append(t.Columns, sheet.Column{Title: "Note", Share: 28})
	for _, line := range w.Sheet {
		row := sheet.Row{Inset: line.Kind != kindStep, Cells: []sheet.Cell{{Text: line.Name}, {Text: line.At.clock(), Link: line.At.page()}}}
		if parts {
			row.Cells = append(row.Cells, sheet.Cell{Text: line.At.inPart()})
		}
		took, order, note := "", "", line.Note
		switch {
		case line.Kind != kindStep:
			note = strings.Join(present(line.Kind, note), ": ")
		default:
			row.Stage = w.stageNumber(line.Stage)
			took, order = words.Measured(line.Length, line.Quality), usualOrder(line)
		}
		row.Cells = append(row.Cells, sheet.Cell{Text: took}, sheet.Cell{Text: order})
		if people {
			row.Cells = append(row.Cells, sheet.Cell{Text: line.Operator})
		}
		row.Cells = append(row.Cells, sheet.Cell{Text: note})
		t.Rows = append(t.Rows, row)
	}
	return t
}

// usualOrder is the place of a step in the planned list.
func usualOrder(line SheetLine) string {
	if line.Usual == 0 {
		return "added"
	}
	return fmt.Sprint(line.Usual)
}

// steps is the table of times: the operation, its stages, and the steps of each.
func (w writer) steps() []sheet.Block {
	if w.Operation.Time == nil && len(w.Steps) == 0 {
		return none("No step is marked.")
	}
	t := sheet.Table{Columns: []sheet.Column{
		{Title: "Step", Share: 52}, {Title: "Time", Share: 24, Right: true, Short: true}, {Title: "Episodes", Share: 17, Right: true, Short: true}, {Title: "Who operated", Share: 38},
	}}
	if w.hasGroup() {
		t.Columns = append(t.Columns, sheet.Column{Title: "Among the unit's other cases", Share: 58})
	}
	o := w.Operation
	t.Rows = append(t.Rows, w.timeRow(sheet.Row{Strong: true}, "Operation, first step to last", words.Measured(o.Time, o.Quality), o.Place))
	for _, stage := range w.Stages {
		if steps := w.stepRows(stage.Stage); len(steps) > 0 {
			t.Rows = append(t.Rows, w.timeRow(sheet.Row{Strong: true, Stage: stage.Number}, stage.Name, words.Measured(stage.Total, stage.Quality), stage.Place))
			t.Rows = append(t.Rows, steps...)
		}
	}
	t.Rows = append(t.Rows, w.stepRows("")...)
	return []sheet.Block{t, sheet.Paragraph{Text: w.sayTimes(), Tone: sheet.Quiet}}
}

// hasGroup reports whether the unit has any other case to stand beside.
func (w writer) hasGroup() bool {
	return w.Operation.Place.N > 0 || slices.ContainsFunc(w.Steps, func(s StepLine) bool { return s.Place.N > 0 })
}

// timeRow fills a row of the whole or a stage.
func (w writer) timeRow(row sheet.Row, name, time string, place Place) sheet.Row {
	row.Cells = []sheet.Cell{{Text: name}, {Text: time}, {}, {}}
	if w.hasGroup() {
		row.Cells = append(row.Cells, placeCell(place))
	}
	return row
}

// sayTimes explains the table of times.
func (w writer) sayTimes() string {
	text := "Episodes are summed; time covered twice counts once. A stage counts its exclusive steps."
	if o := w.Operation; o.Untagged != nil && *o.Untagged > 0 {
		text += fmt.Sprintf(" Of the operation %s is in no step.", words.Length(*o.Untagged))
	}
	if o := w.Operation; o.Unrecorded > 0 {
		text += fmt.Sprintf(" %s of it was not recorded.", words.Length(o.Unrecorded))
	}
	if !w.hasGroup() {
		return text + fmt.Sprintf(" The unit has no other case of this technique yet; from %d on this table says where a time lies among them.", timeline.SmallestGroup)
	}
	return text + fmt.Sprintf(" The other cases are those of the unit with the same technique, whatever the eye and the operator; from %d on a time has a place (mid-rank) beside median and quartiles (type 7).", timeline.SmallestGroup)
}

// stepRows gives the rows of the steps of one stage; "" of those in no stage that the list knows.
func (w writer) stepRows(stage string) []sheet.Row {
	var rows []sheet.Row
	for _, s := range w.Steps {
		if s.Stage != stage && (stage != "" || w.stageNumber(s.Stage) > 0) {
			continue
		}
		name := sheet.Cell{Text: s.Name, Link: s.Moment.page()}
		if !s.Exclusive {
			name.Sub = "beside other steps"
		}
		time, episodes := words.Measured(s.Total, s.Quality), ""
		if s.Moment == nil {
			time = "not marked"
		}
		if s.Episodes > 0 {
			episodes = fmt.Sprint(s.Episodes)
		}
		row := sheet.Row{Inset: true, Cells: []sheet.Cell{name, {Text: time}, {Text: episodes}, {Text: shares(s.Shares)}}}
		if w.hasGroup() {
			row.Cells = append(row.Cells, placeCell(s.Place))
		}
		rows = append(rows, row)
	}
	return rows
}

// shares names who operated, with their times when they were several.
func shares(all []OperatorTime) string {
	if len(all) == 1 {
		return all[0].Name
	}
	texts := make([]string, len(all))
	for i, o := range all {
		texts[i] = o.Name + " " + words.Measured(o.Total, o.Quality)
	}
	return strings.Join(texts, ", ")
}

// placeCell writes a place with the size and spread of the group, or why there is none.
func placeCell(p Place) sheet.Cell {
	if p.Median == nil || p.Q1 == nil || p.Q3 == nil {
		return sheet.Cell{Sub: p.Why}
	}
	spread := fmt.Sprintf("median %s (%s to %s), n %d", words.Length(int64(*p.Median)), words.Length(int64(*p.Q1)), words.Length(int64(*p.Q3)), p.N)
	if p.Percentile == nil {
		return sheet.Cell{Text: words.Upper(p.Why), Sub: spread}
	}
	return sheet.Cell{Text: words.Percentile(*p.Percentile) + " percentile", Sub: spread}
}
