package cohort

import (
	"cmp"
	"slices"

	"zonule/timeline"
	"zonule/timeline/stat"
)

// Beside lays two readings of one case on one axis and marks where they differ. The error is that of CompareReadings.
func Beside(r stat.Readings) (SideBySide, error) {
	agreement, err := stat.CompareReadings(r)
	if err != nil {
		return SideBySide{}, err
	}
	labels := slices.Concat(r.Exclusive, r.Concurrent)
	answer := SideBySide{
		Extent: agreement.Extent, Agreement: agreement,
		First: labelled(r.A, labels), Second: labelled(r.B, labels), Differences: []Difference{},
	}
	a, b := exclusively(r.A, r.Exclusive, agreement.Extent), exclusively(r.B, r.Exclusive, agreement.Extent)
	names := append(slices.Clone(r.Exclusive), "")
	for i, first := range names {
		for j, second := range names {
			if i != j {
				answer.mark(timeline.Intersect(a[i], b[j]), first, second)
			}
		}
	}
	for _, label := range r.Concurrent {
		first, second := spansOf(r.A, label), spansOf(r.B, label)
		answer.mark(timeline.Subtract(first, second), label, "")
		answer.mark(timeline.Subtract(second, first), "", label)
	}
	slices.SortFunc(answer.Differences, func(x, y Difference) int {
		return cmp.Or(cmp.Compare(x.Start, y.Start), cmp.Compare(x.End, y.End), cmp.Compare(x.First, y.First), cmp.Compare(x.Second, y.Second))
	})
	return answer, nil
}

func (s *SideBySide) mark(spans []timeline.Span, first, second string) {
	for _, span := range spans {
		s.Differences = append(s.Differences, Difference{span, first, second, span.Length() <= stat.SameInstant})
	}
}

func spansOf(reading []stat.Episode, label string) []timeline.Span {
	var spans []timeline.Span
	for _, e := range reading {
		if e.Label == label {
			spans = append(spans, e.Span)
		}
	}
	return timeline.Union(spans)
}

func labelled(reading []stat.Episode, labels []string) []Labelled {
	all := []Labelled{}
	for _, label := range labels {
		for _, span := range spansOf(reading, label) {
			all = append(all, Labelled{label, span})
		}
	}
	slices.SortStableFunc(all, func(x, y Labelled) int { return cmp.Compare(x.Start, y.Start) })
	return all
}

// exclusively gives the spans of each label without what an earlier one holds, last the spans of none: as
// CompareReadings takes them.
func exclusively(reading []stat.Episode, labels []string, extent timeline.Span) [][]timeline.Span {
	var parts [][]timeline.Span
	var taken []timeline.Span
	for _, label := range labels {
		own := timeline.Subtract(spansOf(reading, label), taken)
		parts, taken = append(parts, own), append(taken, own...)
	}
	return append(parts, timeline.Subtract([]timeline.Span{extent}, taken))
}
