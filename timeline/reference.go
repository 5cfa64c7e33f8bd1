package timeline

import (
	"math"
	"slices"
)

// SmallestGroup is the number of cases from which a percentile is given. Source: our definition.
const SmallestGroup = 20

// NoPercentile says why a percentile is missing.
type NoPercentile string

const (
	GroupEmpty NoPercentile = "group-empty"
	GroupSmall NoPercentile = "group-under-20"
)

// Reference is the place of one value in a group of the same kind, in the unit of the group.
type Reference struct {
	N          int          `json:"n"`
	Median     *float64     `json:"median"`
	Q1         *float64     `json:"q1"`
	Q3         *float64     `json:"q3"`
	P5         *float64     `json:"p5"`         // nil under 20 cases
	P95        *float64     `json:"p95"`        // nil under 20 cases
	Percentile *float64     `json:"percentile"` // 0 to 100; nil under 20 cases
	Reason     NoPercentile `json:"reason,omitempty"`
}

// Place sets a value beside a group, which does not hold it. The percentile is the mid-rank one: the share of the group
// below the value and half the share equal to it. Source: our choice of two textbook definitions; from memory.
func Place(value int64, group []int64) Reference {
	ref := Reference{N: len(group)}
	if len(group) == 0 {
		ref.Reason = GroupEmpty
		return ref
	}
	sorted := slices.Sorted(slices.Values(group))
	below, equal := 0, 0
	for _, other := range group {
		switch {
		case other < value:
			below++
		case other == value:
			equal++
		}
	}
	at := func(p float64) *float64 { return pointTo(Quantile(sorted, p)) }
	ref.Median, ref.Q1, ref.Q3 = at(0.5), at(0.25), at(0.75)
	if len(group) < SmallestGroup {
		ref.Reason = GroupSmall
		return ref
	}
	ref.P5, ref.P95 = at(0.05), at(0.95)
	ref.Percentile = pointTo(100 * (float64(below) + float64(equal)/2) / float64(len(group)))
	return ref
}

// Quantile is the quantile of values in ascending order by Hyndman and Fan's type 7: h = (n-1)p, straight between the
// order statistics on both sides. NaN without values. Source: Hyndman RJ, Fan Y, Am Stat 1996;50:361-5, from memory;
// checked against R 4.2.2 (testdata/reference/quantiles.json).
func Quantile[T int64 | float64](sorted []T, p float64) float64 {
	if len(sorted) == 0 {
		return math.NaN()
	}
	h := float64(len(sorted)-1) * min(max(p, 0), 1)
	low := int(math.Floor(h))
	high := min(low+1, len(sorted)-1)
	return float64(sorted[low]) + (h-float64(low))*float64(sorted[high]-sorted[low])
}
