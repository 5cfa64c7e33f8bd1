package report

import (
	"fmt"
	"slices"

	"zonule/annotate"
	"zonule/timeline"
)

// place sets a time beside the unit's other cases. Without 20 of them it only says how many there are, and a time that
// is not measured from start to end has no place.
func (b builder) place(code string, total *int64, quality timeline.Quality) Place {
	group := b.Group[code]
	place := Place{N: len(group)}
	switch {
	case len(group) == 0:
		place.Why = "n 0"
		return place
	case len(group) < timeline.SmallestGroup:
		place.Why = fmt.Sprintf("n %d, too few to place", len(group))
		return place
	}
	var value int64
	if total != nil {
		value = *total
	}
	ref := timeline.Place(value, group)
	place.Median, place.Q1, place.Q3 = ref.Median, ref.Q1, ref.Q3
	switch {
	case total == nil || quality == timeline.NotRecorded:
		place.Why = "not recorded"
	case quality == timeline.LowerBound:
		place.Why = "no place for a lower bound"
	case quality == timeline.NoStatistics:
		place.Why = "no place for an edited recording"
	default:
		place.Percentile = ref.Percentile
	}
	return place
}

func (b builder) stages() []StageLine {
	lines := []StageLine{}
	for _, f := range b.result.Stages {
		lines = append(lines, StageLine{f, b.stageName(f.Stage), b.stageNumber(f.Stage), b.place("stage:"+f.Stage, f.Total, f.Quality)})
	}
	return lines
}

func (b builder) steps() []StepLine {
	lines := []StepLine{}
	for _, f := range b.result.Steps {
		line := StepLine{StepFigure: f, StageNumber: b.stageNumber(f.Stage), Moment: b.moment(f.At), Shares: []OperatorTime{}, Place: b.place(f.Code, f.Total, f.Quality)}
		for _, o := range f.Operators {
			line.Shares = append(line.Shares, OperatorTime{b.person(o.Operator), o.Total, o.Quality})
		}
		lines = append(lines, line)
	}
	return lines
}

// published sets the case beside the shipped public series of its technique.
func (b builder) published() []PublishedSeries {
	all := []PublishedSeries{}
	if len(b.input.Marks) == 0 {
		return all
	}
	for _, group := range timeline.PublishedGroups() {
		if group.Technique != string(b.Case.Operation.TechniquePerformed) {
			continue
		}
		series := PublishedSeries{group.Code, group.Name, group.Citation, group.Definition, group.Operations, []PublishedRow{}}
		for _, phase := range group.Phases {
			if !phase.Whole && len(phase.Steps) == 0 {
				continue
			}
			series.Rows = append(series.Rows, b.publishedRow(phase))
		}
		all = append(all, series)
	}
	return all
}

func (b builder) publishedRow(phase timeline.PublishedPhase) PublishedRow {
	figure := timeline.Comparable(b.input, phase)
	row := PublishedRow{
		Phase: phase.Name, Whole: phase.Whole, Steps: []string{}, Definition: phase.Definition, Total: figure.Total, Quality: figure.Quality,
		N: phase.N, Median: phase.Median, P25: phase.P25, P75: phase.P75,
	}
	for _, code := range phase.Steps {
		row.Steps = append(row.Steps, b.step(code).Name)
	}
	if figure.Quality == timeline.Measured && figure.Total != nil {
		place := phase.Place(*figure.Total)
		row.Place, row.Low, row.High = place.Text, place.Low, place.High
	}
	return row
}

// plan sets what was planned and usual beside what was done.
func (b builder) plan() Plan {
	o := b.Case.Operation
	p := Plan{
		Planned: o.TechniquePlanned, Performed: o.TechniquePerformed, Reason: o.ConversionReason,
		NotDone: []PlannedStep{}, OutOfOrder: []string{}, NotInList: []PlannedStep{}, Repetitions: []Repetition{},
	}
	for _, e := range b.reading().Events {
		if e.Kind == annotate.EventConversion && p.Converted == nil {
			p.Converted = b.moment(&e.At)
		}
	}
	if len(b.StepLists) == 0 || len(b.input.Marks) == 0 {
		return p
	}
	usual := b.StepLists[0]
	p.StepList = usual.Name
	done := func(code string) bool {
		return slices.ContainsFunc(b.input.Marks, func(m timeline.Mark) bool { return m.Step == code })
	}
	for _, s := range usual.Steps {
		if !done(s.Code) {
			p.NotDone = append(p.NotDone, PlannedStep{s.Code, s.Name, s.Required && b.step(s.Code).Required})
		}
	}
	for _, f := range b.result.Steps {
		if b.usual(f.Code) == 0 && done(f.Code) {
			p.NotInList = append(p.NotInList, PlannedStep{f.Code, f.Name, false})
		}
		if f.Episodes > 1 {
			p.Repetitions = append(p.Repetitions, Repetition{f.Code, f.Name, f.Episodes})
		}
	}
	for _, w := range b.result.Warnings {
		if w.Code == timeline.WarnOrder {
			p.OutOfOrder = append(p.OutOfOrder, w.Message)
		}
	}
	return p
}

// usual is the place of a step in the usual order of the planned list, from 1; 0 when it is not in it.
func (b builder) usual(code string) int {
	if len(b.StepLists) == 0 {
		return 0
	}
	return 1 + slices.IndexFunc(b.StepLists[0].Steps, func(s annotate.Step) bool { return s.Code == code })
}
