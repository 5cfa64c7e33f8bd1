package timeline

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// UntaggedLimit is the longest time in ms, within the operation, that may lie in no exclusive step without a warning.
// Source: our definition (a hand-picked instant is good to about 1 s; found: Cataract-101 data set, 2018).
const UntaggedLimit = int64(10_000)

// implausibleFactor: a total under a tenth of the reference median, or over ten times it, is implausible. Source: our
// definition.
const implausibleFactor = 10

// warnings gives everything that a person should look at, by place; what has no place comes last.
func (s sheet) warnings() []Warning {
	all := []Warning{}
	for _, mark := range s.marks {
		all = append(all, s.markWarnings(mark)...)
	}
	all = append(all, s.overlaps()...)
	all = append(all, s.absences()...)
	all = append(all, s.disorder()...)
	all = append(all, s.untagged()...)
	all = append(all, s.complicationsOutside()...)
	all = append(all, s.implausible()...)
	slices.SortStableFunc(all, s.byPlace)
	return all
}

func (s sheet) byPlace(a, b Warning) int {
	place := func(w Warning) int64 {
		if w.At == nil {
			return timeLimit * 2
		}
		ms, _, ok := s.Clock.nearest(*w.At)
		if !ok {
			return timeLimit * 2
		}
		return ms
	}
	return cmp.Or(cmp.Compare(place(a), place(b)), cmp.Compare(a.Key, b.Key))
}

// warn builds a warning; the ids make its key.
func warn(code WarningCode, at *Instant, step string, ids []string, format string, args ...any) Warning {
	key := string(code)
	if len(ids) > 0 {
		key += ":" + strings.Join(ids, "+")
	}
	return Warning{Key: key, Code: code, Message: fmt.Sprintf(format, args...), At: at, Marks: []string{}, Step: step}
}

// about names the markers that a warning concerns.
func (w Warning) about(ids ...string) Warning {
	w.Marks = ids
	return w
}

// markWarnings tells what is wrong with one marker by itself.
func (s sheet) markWarnings(m *placedMark) []Warning {
	at, name, ids := pointTo(m.Start), m.step.Name, []string{m.ID}
	switch {
	case m.start == nil:
		return []Warning{warn(WarnBeyond, at, m.Step, ids, "%s begins outside the recording; it is not counted.", name).about(m.ID)}
	case m.End == nil:
		return []Warning{warn(WarnNoEnd, at, m.Step, ids, "%s has no end; its length is not known.", name).about(m.ID)}
	}
	var found []Warning
	if m.clipped {
		found = append(found, warn(WarnBeyond, m.End, m.Step, ids, "%s ends outside the recording; it is counted only as far as it was recorded.", name).about(m.ID))
	}
	switch {
	case m.end == nil || m.span.Length() > 0:
	case *m.end == *m.start:
		found = append(found, warn(WarnNoLength, at, m.Step, ids, "%s begins and ends at the same instant.", name).about(m.ID))
	default:
		found = append(found, warn(WarnEndFirst, at, m.Step, ids, "%s ends %s before it begins.", name, inWords(*m.start-*m.end)).about(m.ID))
	}
	return found
}

// overlaps tells each exclusive marker that begins before an earlier one has ended. Where several earlier ones still
// run, the one that ends last is named: n markers give at most n - 1 warnings, and none that overlaps goes untold.
func (s sheet) overlaps() []Warning {
	var found []Warning
	var longest *placedMark
	for _, mark := range s.exclusive() {
		if mark.span.Length() == 0 {
			continue
		}
		if longest == nil {
			longest = mark
			continue
		}
		if shared := min(longest.span.End, mark.span.End) - mark.span.Start; shared > 0 {
			ids := []string{longest.ID, mark.ID}
			text := fmt.Sprintf("%s and %s overlap for %s; only one of them can run at a time.", longest.step.Name, mark.step.Name, inWords(shared))
			if longest.Step == mark.Step {
				text = fmt.Sprintf("Two markers of %s overlap for %s; the time counts once.", mark.step.Name, inWords(shared))
			}
			found = append(found, warn(WarnOverlap, pointTo(mark.Start), mark.Step, slices.Sorted(slices.Values(ids)), "%s", text).about(ids...))
		}
		if mark.span.End > longest.span.End {
			longest = mark
		}
	}
	return found
}

// absences tells the required steps that no marker names.
func (s sheet) absences() []Warning {
	var found []Warning
	for _, step := range s.Steps {
		if step.Required && !slices.ContainsFunc(s.marks, func(m *placedMark) bool { return m.Step == step.Code }) {
			found = append(found, warn(WarnAbsent, nil, step.Code, []string{step.Code}, "%s is not marked; every operation of this kind has it.", step.Name))
		}
	}
	return found
}

// disorder compares the first starts of the required exclusive steps with the order of the list: each one that follows
// directly on a step which the list has after it is told. Optional steps are free, since adjuncts come when they must.
func (s sheet) disorder() []Warning {
	var firsts []*placedMark
	for _, step := range s.Steps {
		at := slices.IndexFunc(s.marks, func(m *placedMark) bool { return m.Step == step.Code && m.start != nil })
		if step.Required && step.Exclusive && at >= 0 {
			firsts = append(firsts, s.marks[at])
		}
	}
	slices.SortStableFunc(firsts, func(a, b *placedMark) int { return cmp.Compare(*a.start, *b.start) })
	var found []Warning
	for i := 1; i < len(firsts); i++ {
		before, after := firsts[i-1], firsts[i]
		if indexOf(s.Steps, after.Step) < indexOf(s.Steps, before.Step) {
			found = append(found, warn(WarnOrder, pointTo(after.Start), after.Step, []string{before.Step, after.Step},
				"%s begins after %s; the step list has it before.", after.step.Name, before.step.Name).about(before.ID, after.ID))
		}
	}
	return found
}

// untagged tells each stretch of the operation that is longer than the limit, was recorded, and lies in no exclusive
// step. A step without an end is told as that and not again as a gap.
func (s sheet) untagged() []Warning {
	whole, ok := s.extent()
	if !ok {
		return nil
	}
	marks := s.exclusive()
	claimed := append(s.covers(marks), s.Clock.Gaps()...)
	var found []Warning
	for _, gap := range Subtract([]Span{whole}, claimed) {
		if gap.Length() <= UntaggedLimit {
			continue
		}
		at, _ := s.Clock.Media(gap.Start)
		ids := neighbours(marks, gap)
		// The part tells apart the two sides of an unrecorded gap between the same markers.
		found = append(found, warn(WarnUntagged, &at, "", append(ids, at.Part), "%s of the operation lies in no step.", inWords(gap.Length())).about(ids...))
	}
	return found
}

// neighbours gives the ids of the markers on both sides of a gap: the last to end before it, the first to begin after.
func neighbours(marks []*placedMark, gap Span) []string {
	var before, after *placedMark
	for _, m := range marks {
		if m.span.Length() > 0 && m.span.End <= gap.Start && (before == nil || m.span.End > before.span.End) {
			before = m
		}
		if after == nil && m.start != nil && *m.start >= gap.End {
			after = m
		}
	}
	ids := []string{}
	for _, m := range []*placedMark{before, after} {
		if m != nil {
			ids = append(ids, m.ID)
		}
	}
	return ids
}

// complicationsOutside tells complications before the operation, after it, or in no part. While a step has no end, the
// operation has none either.
func (s sheet) complicationsOutside() []Warning {
	whole, known := s.extent()
	open := slices.ContainsFunc(s.exclusive(), func(m *placedMark) bool { return m.running() })
	var found []Warning
	for _, c := range s.Complications {
		code, place := WarnOutside, "before the first step or after the last"
		ms, err := s.Clock.Case(c.At)
		switch {
		case err != nil:
			code, place = WarnBeyond, "outside the recording"
		case !known || ms >= whole.Start && (ms <= whole.End || open):
			continue
		}
		warning := warn(code, pointTo(c.At), "", []string{c.ID}, "A complication (%s) is placed %s.", strings.ReplaceAll(c.Kind, "-", " "), place)
		warning.Complication = c.ID
		found = append(found, warning)
	}
	return found
}

// implausible tells totals far from the reference median. A lower bound cannot be too short.
func (s sheet) implausible() []Warning {
	var found []Warning
	for _, figure := range s.stepFigures() {
		median := s.Reference[figure.Code]
		if median <= 0 || figure.Total == nil || figure.Quality == NoStatistics {
			continue
		}
		short := *figure.Total*implausibleFactor < median && figure.Quality == Measured
		if !short && *figure.Total <= median*implausibleFactor {
			continue
		}
		of := pick(s.marks, func(m *placedMark) bool { return m.Step == figure.Code })
		ids := make([]string, 0, len(of))
		for _, m := range of {
			ids = append(ids, m.ID)
		}
		found = append(found, warn(WarnImplausible, figure.At, figure.Code, []string{figure.Code},
			"%s took %s; the median of the reference group is %s.", figure.Name, inWords(*figure.Total), inWords(median)).about(ids...))
	}
	return found
}

// inWords writes a length for a sentence.
func inWords(ms int64) string {
	if ms < 60_000 {
		return fmt.Sprintf("%d.%03d s", ms/1000, ms%1000)
	}
	seconds := (ms + 500) / 1000
	return fmt.Sprintf("%d min %02d s", seconds/60, seconds%60)
}
