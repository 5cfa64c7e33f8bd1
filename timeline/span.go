package timeline

import (
	"cmp"
	"slices"
)

// Span is the time from Start up to but not including End, in milliseconds.
type Span struct {
	Start int64 `json:"start"`
	End   int64 `json:"end"`
}

// Length is the length in milliseconds; a span that ends before it starts has none.
func (s Span) Length() int64 { return max(0, s.End-s.Start) }

// Holds reports whether the instant lies in the span.
func (s Span) Holds(ms int64) bool { return s.Start <= ms && ms < s.End }

// Union gives the maximal intervals that the spans cover together, in order. Spans that touch become one;
// spans without length are left out. The input is not changed.
func Union(spans []Span) []Span {
	sorted := make([]Span, 0, len(spans))
	for _, s := range spans {
		if s.Length() > 0 {
			sorted = append(sorted, s)
		}
	}
	slices.SortFunc(sorted, func(a, b Span) int { return cmp.Compare(a.Start, b.Start) })
	merged := sorted[:0]
	for _, s := range sorted {
		if last := len(merged) - 1; last >= 0 && s.Start <= merged[last].End {
			merged[last].End = max(merged[last].End, s.End)
			continue
		}
		merged = append(merged, s)
	}
	return merged
}

// Length is the time that the spans cover together; time covered twice counts once.
func Length(spans []Span) int64 {
	var total int64
	for _, s := range Union(spans) {
		total += s.Length()
	}
	return total
}

// Intersect gives the maximal intervals that lie both in a and in b.
func Intersect(a, b []Span) []Span {
	left, right := Union(a), Union(b)
	both := make([]Span, 0, len(left))
	for i, j := 0, 0; i < len(left) && j < len(right); {
		shared := Span{max(left[i].Start, right[j].Start), min(left[i].End, right[j].End)}
		if shared.Length() > 0 {
			both = append(both, shared)
		}
		if left[i].End < right[j].End {
			i++
		} else {
			j++
		}
	}
	return both
}

// Subtract gives the maximal intervals that lie in a and not in b.
func Subtract(a, b []Span) []Span {
	holes := Union(b)
	var rest []Span
	next := 0
	for _, s := range Union(a) {
		for next < len(holes) && holes[next].End <= s.Start {
			next++
		}
		from := s.Start
		for i := next; i < len(holes) && holes[i].Start < s.End; i++ {
			rest = append(rest, Span{from, holes[i].Start})
			from = holes[i].End
		}
		rest = append(rest, Span{from, s.End})
	}
	return Union(rest)
}

// Clip gives the part of the spans that lies in the limits.
func Clip(spans []Span, limits Span) []Span {
	return Intersect(spans, []Span{limits})
}
