package timeline

import (
	"cmp"
	"slices"
)

// placedMark is a mark on the case clock.
type placedMark struct {
	Mark
	step  Step
	start *int64 // nil: the mark begins in no part
	end   *int64 // nil: it has no end, or no start
	// clipped: its end lay beyond the part, or in no part, and was brought back or dropped.
	clipped bool
	span    Span // the recorded episode; empty when either end is missing or the order is wrong
}

// sheet is a reading laid out on the case clock, the common ground of durations and warnings.
type sheet struct {
	Input
	marks []*placedMark // by start, then id; those without a start last
}

// layOut places every mark. A mark of a step that is in no list counts for itself and for nothing else.
func layOut(in Input) sheet {
	steps := make(map[string]Step, len(in.Steps))
	for _, step := range in.Steps {
		steps[step.Code] = step
	}
	s := sheet{Input: in, marks: make([]*placedMark, 0, len(in.Marks))}
	for _, mark := range in.Marks {
		step, ok := steps[mark.Step]
		if !ok {
			step = Step{Code: mark.Step, Name: mark.Step}
		}
		s.marks = append(s.marks, place(in.Clock, mark, step))
	}
	slices.SortStableFunc(s.marks, func(a, b *placedMark) int {
		switch {
		case a.start == nil && b.start == nil:
			return cmp.Compare(a.ID, b.ID)
		case a.start == nil:
			return 1
		case b.start == nil:
			return -1
		}
		return cmp.Or(cmp.Compare(*a.start, *b.start), cmp.Compare(a.ID, b.ID))
	})
	return s
}

func place(clock Clock, mark Mark, step Step) *placedMark {
	placed := &placedMark{Mark: mark, step: step}
	start, err := clock.Case(mark.Start)
	if err != nil {
		return placed
	}
	placed.start = &start
	if mark.End == nil {
		return placed
	}
	end, clipped, ok := clock.nearest(*mark.End)
	placed.clipped = clipped
	if !ok {
		return placed
	}
	placed.end = &end
	placed.span = Span{start, max(start, end)}
	return placed
}

// nearest is Case, with a time outside the part brought back to its nearest end; false for an unknown part.
func (c Clock) nearest(at Instant) (ms int64, moved, ok bool) {
	part, ok := c.find(at.Part)
	if !ok {
		return 0, true, false
	}
	within := min(max(at.Ms, 0), part.Duration)
	return part.span.Start + realTime(&part.Part, within), within != at.Ms, true
}

// running reports whether the mark has a start and no end yet.
func (m *placedMark) running() bool { return m.start != nil && m.End == nil }

// whole reports whether the mark has a start, an end after it, and both within the recording.
func (m *placedMark) whole() bool { return m.span.Length() > 0 && !m.clipped }

// spans gives the recorded episodes of the marks.
func spans(marks []*placedMark) []Span {
	all := make([]Span, 0, len(marks))
	for _, mark := range marks {
		all = append(all, mark.span)
	}
	return all
}

// pick gives the marks for which keep is true, in order.
func pick(marks []*placedMark, keep func(*placedMark) bool) []*placedMark {
	kept := make([]*placedMark, 0, len(marks))
	for _, mark := range marks {
		if keep(mark) {
			kept = append(kept, mark)
		}
	}
	return kept
}

// exclusive gives the marks of exclusive steps.
func (s sheet) exclusive() []*placedMark {
	return pick(s.marks, func(m *placedMark) bool { return m.step.Exclusive })
}

// quality judges a set of marks by the worst thing about them.
func (s sheet) quality(marks []*placedMark) Quality {
	seen, flawed := false, false
	for _, mark := range marks {
		if mark.start == nil {
			flawed = true
			continue
		}
		seen = true
		touched := mark.span
		if touched.Length() == 0 {
			touched = Span{*mark.start, *mark.start}
		}
		if s.Clock.Edited(touched) {
			return NoStatistics
		}
		flawed = flawed || !mark.whole() || s.Clock.Breaks(mark.span)
	}
	switch {
	case !seen:
		return NotRecorded
	case flawed:
		return LowerBound
	}
	return Measured
}
