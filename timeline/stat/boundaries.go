package stat

import (
	"slices"

	"zonule/timeline"
)

// SameInstant is the deviation in ms up to which two hand-picked instants count as agreeing: a hand-picked instant is
// good to about a second. Source: open data set papers, as the project's computation notes say.
const SameInstant = 1000

// Boundaries summarises the distances of matched starts and ends, B minus A, in ms. The pointers are nil when nothing
// matched. Within counts distances of at most SameInstant.
type Boundaries struct {
	Matched    int      `json:"matched"`
	UnmatchedA int      `json:"unmatchedA"`
	UnmatchedB int      `json:"unmatchedB"`
	Within     int      `json:"within"`
	MeanAbs    *float64 `json:"meanAbs"`
	MedianAbs  *float64 `json:"medianAbs"`
	P90Abs     *float64 `json:"p90Abs"` // quantile type 7
	MeanSigned *float64 `json:"meanSigned"`
}

// matching is which instants of two readings belong together, as differences, and how many there were.
type matching struct {
	differences []int64
	a, b        int
}

func (m matching) with(other matching) matching {
	return matching{slices.Concat(m.differences, other.differences), m.a + other.a, m.b + other.b}
}

func (m matching) summary() Boundaries {
	matched := len(m.differences)
	s := Boundaries{Matched: matched, UnmatchedA: m.a - matched, UnmatchedB: m.b - matched}
	if matched == 0 {
		return s
	}
	distances := make([]int64, matched)
	var total, signed int64
	for i, d := range m.differences {
		distances[i] = max(d, -d)
		total += distances[i]
		signed += d
		if distances[i] <= SameInstant {
			s.Within++
		}
	}
	slices.Sort(distances)
	s.MeanAbs = pointTo(float64(total) / float64(matched))
	s.MeanSigned = pointTo(float64(signed) / float64(matched))
	s.MedianAbs = pointTo(timeline.Quantile(distances, 0.5))
	s.P90Abs = pointTo(timeline.Quantile(distances, 0.9))
	return s
}

func startsOf(spans []timeline.Span) []int64 {
	instants := make([]int64, len(spans))
	for i, s := range spans {
		instants[i] = s.Start
	}
	return instants
}

func endsOf(spans []timeline.Span) []int64 {
	instants := make([]int64, len(spans))
	for i, s := range spans {
		instants[i] = s.End
	}
	return instants
}

// cost orders matchings: more pairs first, then the smaller sum of distances.
type cost struct {
	pairs int
	sum   int64
}

func (c cost) better(than cost) bool {
	return c.pairs > than.pairs || c.pairs == than.pairs && c.sum < than.sum
}

// matchInOrder pairs ascending instants one to one in time order, no pair further apart than the window: as many pairs as
// possible, then the smallest sum of distances (dynamic programming over both lists). Source: our definition.
func matchInOrder(a, b []int64, window *int64) matching {
	if window == nil && len(a) == len(b) {
		m := matching{a: len(a), b: len(b)}
		for i := range a {
			m.differences = append(m.differences, b[i]-a[i]) // the only way to pair all
		}
		return m
	}
	best := make([][]cost, len(a)+1) // best[i][j]: of a[i:] and b[j:]
	for i := range best {
		best[i] = make([]cost, len(b)+1)
	}
	pair := func(i, j int) (cost, bool) {
		distance := max(a[i]-b[j], b[j]-a[i])
		if window != nil && distance > *window {
			return cost{}, false
		}
		rest := best[i+1][j+1]
		return cost{rest.pairs + 1, rest.sum + distance}, true
	}
	for i := len(a) - 1; i >= 0; i-- {
		for j := len(b) - 1; j >= 0; j-- {
			best[i][j] = best[i+1][j]
			if best[i][j+1].better(best[i][j]) {
				best[i][j] = best[i][j+1]
			}
			if c, ok := pair(i, j); ok && c.better(best[i][j]) {
				best[i][j] = c
			}
		}
	}
	m := matching{a: len(a), b: len(b)}
	for i, j := 0, 0; i < len(a) && j < len(b); {
		switch here := best[i][j]; here {
		case best[i+1][j]:
			i++
		case best[i][j+1]:
			j++
		default:
			m.differences = append(m.differences, b[j]-a[i])
			i, j = i+1, j+1
		}
	}
	return m
}
