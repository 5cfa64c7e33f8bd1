package report

import (
	"cmp"
	"slices"

	"zonule/annotate"
	"zonule/timeline"
)

// Kinds of lines and rows.
const (
	kindStep         = "step"
	kindEvent        = "event"
	kindComplication = "complication"
)

// sheet is the running sheet: what was done, in order, as an operation note has it.
func (b builder) sheet() []SheetLine {
	lines := []SheetLine{}
	reading := b.reading()
	for _, f := range b.result.Marks {
		i := slices.IndexFunc(reading.Markers, func(m annotate.Marker) bool { return m.ID == f.ID })
		m := reading.Markers[i]
		step := b.step(m.Step)
		lines = append(lines, SheetLine{
			Kind: kindStep, Code: m.Step, Name: step.Name, Stage: step.Stage, At: b.moment(&m.Start), End: f.End, Length: f.Total, Quality: f.Quality,
			Operator: b.person(cmp.Or(m.OperatorID, b.lead())), Usual: b.usual(m.Step), Note: m.Note,
		})
	}
	for _, e := range reading.Events {
		lines = append(lines, SheetLine{Kind: kindEvent, Code: e.Kind, Name: b.eventName(e.Kind), At: b.moment(&e.At), Note: e.Note})
	}
	for _, c := range b.Complications {
		if c.At != nil {
			lines = append(lines, SheetLine{Kind: kindComplication, Code: c.Kind, Name: complicationName(c.Kind), At: b.moment(c.At), Note: c.Note})
		}
	}
	slices.SortStableFunc(lines, func(x, y SheetLine) int { return byClock(x.At, y.At) })
	return lines
}

// figure gathers what the drawing needs. It spans the operation and what happened outside it.
func (b builder) figure() Figure {
	f := Figure{Stages: []Band{}, Rows: []FigureRow{}, Parts: []PartStart{}, Gaps: []timeline.Span{}}
	whole, ok := b.drawn()
	if !ok {
		return f
	}
	f.Start, f.End = whole.Start, whole.End
	f.Gaps = append(f.Gaps, timeline.Clip(b.result.Gaps, whole)...)
	f.Stages = b.bands()
	f.Rows = append(f.Rows, b.stepRows()...)
	f.Rows = append(f.Rows, b.pointRows()...)
	for _, p := range b.recording() {
		if p.Start != nil && *p.Start >= f.Start && *p.Start <= f.End && len(b.Parts) > 1 {
			f.Parts = append(f.Parts, PartStart{p.Part, *p.Start})
		}
	}
	return f
}

// drawn is the time from the first marker, event or complication to the last; false when there is nothing to draw.
func (b builder) drawn() (timeline.Span, bool) {
	var whole timeline.Span
	found := false
	stretch := func(from, to int64) {
		if !found {
			whole, found = timeline.Span{Start: from, End: to}, true
		}
		whole.Start, whole.End = min(whole.Start, from), max(whole.End, to)
	}
	for _, m := range b.result.Marks {
		if m.Start != nil && m.End != nil {
			stretch(*m.Start, max(*m.Start, *m.End))
		}
	}
	for _, line := range b.sheet() {
		if line.At != nil && line.At.Clock != nil {
			stretch(*line.At.Clock, *line.At.Clock)
		}
	}
	return whole, found && whole.Length() > 0
}

// bands gives the stretches of each stage in the order of time.
func (b builder) bands() []Band {
	bands := []Band{}
	for _, code := range b.input.Stages {
		var spans []timeline.Span
		for _, m := range b.result.Marks {
			if step := b.step(m.Step); step.Exclusive && step.Stage == code && m.Start != nil && m.End != nil {
				spans = append(spans, timeline.Span{Start: *m.Start, End: *m.End})
			}
		}
		for _, span := range timeline.Union(spans) {
			bands = append(bands, Band{code, b.stageName(code), span})
		}
	}
	slices.SortStableFunc(bands, func(x, y Band) int { return cmp.Compare(x.Start, y.Start) })
	return bands
}

// stepRows gives a row for each step that was marked, in the usual order.
func (b builder) stepRows() []FigureRow {
	var rows []FigureRow
	for _, f := range b.result.Steps {
		row := FigureRow{Kind: kindStep, Code: f.Code, Name: f.Name, Stage: f.Stage, Total: f.Total, Bars: []Bar{}, Points: []Point{}}
		for _, line := range b.sheet() {
			if line.Kind == kindStep && line.Code == f.Code && line.At.Clock != nil && line.End != nil && *line.End > *line.At.Clock {
				row.Bars = append(row.Bars, Bar{timeline.Span{Start: *line.At.Clock, End: *line.End}, line.Quality, line.At.Page})
			}
		}
		if len(row.Bars) > 0 {
			rows = append(rows, row)
		}
	}
	return rows
}

// pointRows gives a row for each kind of event and then of complication, in the order in which they first came.
func (b builder) pointRows() []FigureRow {
	var rows []FigureRow
	for _, kind := range []string{kindEvent, kindComplication} {
		for _, line := range b.sheet() {
			if line.Kind != kind || line.At.Clock == nil {
				continue
			}
			i := slices.IndexFunc(rows, func(r FigureRow) bool { return r.Kind == kind && r.Code == line.Code })
			if i < 0 {
				rows = append(rows, FigureRow{Kind: kind, Code: line.Code, Name: line.Name, Bars: []Bar{}, Points: []Point{}})
				i = len(rows) - 1
			}
			rows[i].Points = append(rows[i].Points, Point{*line.At.Clock, line.At.Page})
		}
	}
	return rows
}
