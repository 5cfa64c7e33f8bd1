package timeline

import "slices"

// Durations computes every time of a reading and what is doubtful about it.
//
// For step s with episodes [a, b) on the case clock: total = length of the union; episodes = maximal intervals of the
// union; span = last end - first start; interrupted = span - total. A stage is the union over its exclusive steps. The
// operation runs from the first start to the last end of the exclusive steps, and untagged is what no exclusive step
// covers of it. Steps repeat and their order is not fixed (found: Cataract-101 data set, 2018). Source of the formulas:
// our definition; arithmetic.
func Durations(in Input) Result {
	s := layOut(in)
	result := Result{
		Steps:     s.stepFigures(),
		Stages:    s.stageFigures(),
		Operation: s.operation(),
		Marks:     s.markFigures(),
		Gaps:      s.Clock.Gaps(),
		Warnings:  s.warnings(),
	}
	if result.Gaps == nil {
		result.Gaps = []Span{}
	}
	return result
}

// figure computes the time of a set of marks.
func (s sheet) figure(marks []*placedMark) Figure {
	f := Figure{Quality: s.quality(marks)}
	for _, mark := range marks {
		f.Running = f.Running || mark.running()
		if mark.start != nil && (f.FirstStart == nil || *mark.start < *f.FirstStart) {
			f.FirstStart = pointTo(*mark.start)
		}
	}
	union := Union(spans(marks))
	if len(union) == 0 {
		return f
	}
	covered := Length(union)
	f.Unrecorded = Length(Intersect(union, s.Clock.Gaps()))
	whole := Span{union[0].Start, union[len(union)-1].End}
	f.Total = pointTo(covered - f.Unrecorded)
	f.Episodes = len(union)
	f.FirstStart, f.LastEnd = &whole.Start, &whole.End
	f.Span = pointTo(whole.Length())
	f.Interrupted = pointTo(whole.Length() - covered)
	return f
}

// operatorFigures computes the same for each operator, in the order in which they began.
func (s sheet) operatorFigures(marks []*placedMark) []OperatorFigure {
	figures := []OperatorFigure{}
	done := map[string]bool{}
	for _, mark := range marks {
		if done[mark.Operator] {
			continue
		}
		done[mark.Operator] = true
		theirs := pick(marks, func(m *placedMark) bool { return m.Operator == mark.Operator })
		figures = append(figures, OperatorFigure{mark.Operator, s.figure(theirs)})
	}
	return figures
}

// stepFigures gives the listed steps in their order, then marked steps that are in no list.
func (s sheet) stepFigures() []StepFigure {
	marks := map[string][]*placedMark{}
	steps := slices.Clone(s.Steps)
	for _, mark := range s.marks {
		if len(marks[mark.Step]) == 0 && indexOf(s.Steps, mark.Step) < 0 {
			steps = append(steps, mark.step)
		}
		marks[mark.Step] = append(marks[mark.Step], mark)
	}
	figures := []StepFigure{}
	for _, step := range steps {
		of := marks[step.Code]
		if len(of) == 0 && !step.Required {
			continue
		}
		figure := StepFigure{Step: step, Figure: s.figure(of), Operators: s.operatorFigures(of)}
		if len(of) > 0 && of[0].start != nil {
			figure.At = pointTo(of[0].Start)
		}
		figures = append(figures, figure)
	}
	return figures
}

func (s sheet) stageFigures() []StageFigure {
	figures := []StageFigure{}
	for _, stage := range s.Stages {
		of := pick(s.marks, func(m *placedMark) bool { return m.step.Exclusive && m.step.Stage == stage })
		figures = append(figures, StageFigure{stage, s.figure(of)})
	}
	return figures
}

// operation computes the whole. A marker that is not whole may hide a later end or an earlier start, so the time is
// then a lower bound too.
func (s sheet) operation() Operation {
	marks := s.exclusive()
	o := Operation{Quality: s.quality(marks), Operators: s.operatorFigures(marks)}
	whole, ok := s.extent()
	if !ok {
		return o
	}
	if s.Clock.Edited(whole) {
		o.Quality = NoStatistics
	} else if o.Quality == Measured && s.Clock.Breaks(whole) {
		o.Quality = LowerBound
	}
	gaps := Clip(s.Clock.Gaps(), whole)
	tagged := Length(Subtract(spans(marks), gaps))
	o.Start, o.End, o.Time = &whole.Start, &whole.End, pointTo(whole.Length())
	o.Unrecorded = Length(gaps)
	o.Tagged = &tagged
	o.Untagged = pointTo(whole.Length() - tagged - o.Unrecorded)
	return o
}

// extent runs from the first start to the last end of the exclusive steps; false when no exclusive step has a length.
func (s sheet) extent() (Span, bool) {
	marks := s.exclusive()
	union := Union(spans(marks))
	if len(union) == 0 {
		return Span{}, false
	}
	// Marks come by start, and a union that is not empty proves that the first has one.
	return Span{*marks[0].start, union[len(union)-1].End}, true
}

func (s sheet) markFigures() []MarkFigure {
	figures := make([]MarkFigure, 0, len(s.marks))
	for _, mark := range s.marks {
		one := []*placedMark{mark}
		figures = append(figures, MarkFigure{mark.ID, mark.Step, mark.start, mark.end, s.figure(one).Total, s.quality(one)})
	}
	return figures
}

// Running is an exclusive step that runs at an instant.
type Running struct {
	Step string `json:"step"`
	Mark string `json:"mark"`
}

// StepAt tells which exclusive step runs at an instant; false when none does. Where two overlap, it is the one that
// began last. A marker without an end runs until the next exclusive step begins.
func StepAt(in Input, at Instant) (Running, bool) {
	ms, err := in.Clock.Case(at)
	if err != nil {
		return Running{}, false
	}
	s := layOut(in)
	found := Running{}
	marks := s.exclusive()
	for i, cover := range s.covers(marks) {
		if cover.Holds(ms) {
			found = Running{marks[i].Step, marks[i].ID}
		}
	}
	return found, found != Running{}
}

// covers gives for each of the marks, which come by start, the time it claims: its episode, or for one without an end
// the time to the next start, else to the end of the recording.
func (s sheet) covers(marks []*placedMark) []Span {
	claimed := spans(marks)
	until := s.Clock.Extent().End
	for i, mark := range slices.Backward(marks) {
		if mark.start == nil {
			continue
		}
		if mark.running() {
			claimed[i] = Span{*mark.start, until}
		}
		if i == 0 || *marks[i-1].start < *mark.start {
			until = *mark.start
		}
	}
	return claimed
}

func pointTo[T any](value T) *T { return &value }
