package stat

import "slices"

// Segment is a run of values from First to Last (from 0, both included) about one mean.
type Segment struct {
	First int     `json:"first"`
	Last  int     `json:"last"`
	Mean  float64 `json:"mean"`
}

// Segmentation is the best division of a series. ChangePoints are the first positions of all segments but the first; Cost
// is the sum of squares over the variance, Total adds the penalties.
type Segmentation struct {
	ChangePoints []int     `json:"changePoints"`
	Segments     []Segment `json:"segments"`
	Cost         float64   `json:"cost"`
	Total        float64   `json:"total"`
	N            int       `json:"n"`
}

// ChangePoints divides x into segments of at least shortest values so that squared deviations from the segment means, over
// the variance, plus a penalty per change are least: the optimum, found by dynamic programming that drops starts which
// can never win. Source: Jackson B and others, IEEE Signal Process Lett 2005;12:105-8; Killick R, Fearnhead P, Eckley IA, J
// Am Stat Assoc 2012;107:1590-8 (PELT), from memory; checked against exact rational arithmetic.
func ChangePoints(x []float64, variance, penalty float64, shortest int) (Segmentation, error) {
	if err := checkFinite("The series", x); err != nil {
		return Segmentation{}, err
	}
	if !(variance > 0) || !(penalty >= 0) || shortest < 1 {
		return Segmentation{}, degenerate(Invalid, "Needed: a variance above 0, a penalty of 0 or more and segments of at least one value.")
	}
	if len(x) < shortest {
		return Segmentation{}, degenerate(TooFew, "%d values do not fill one segment of %d.", len(x), shortest)
	}
	starts := lastStarts(x, variance, penalty, shortest)
	s := Segmentation{ChangePoints: []int{}, N: len(x)}
	for end := len(x); end > 0; end = starts[end] {
		mean, squares := momentsOf(x[starts[end]:end])
		s.Cost += squares / variance
		s.Segments = append(s.Segments, Segment{First: starts[end], Last: end - 1, Mean: mean})
		if starts[end] > 0 {
			s.ChangePoints = append(s.ChangePoints, starts[end])
		}
	}
	slices.Reverse(s.Segments)
	slices.Reverse(s.ChangePoints)
	s.Total = s.Cost + penalty*float64(len(s.ChangePoints))
	return s, nil
}

// lastStarts gives, for each end, the start of the last segment of the best division up to there.
func lastStarts(x []float64, variance, penalty float64, shortest int) []int {
	n := len(x)
	cost := segmentCost(x, variance)
	best, starts := make([]float64, n+1), make([]int, n+1)
	best[0] = -penalty
	type candidate struct{ start, until int } // of no use for ends from until on
	open := []candidate{{0, n + 1}}
	for end := shortest; end <= n; end++ {
		if fresh := end - shortest; fresh >= shortest {
			open = append(open, candidate{fresh, n + 1})
		}
		first := true
		for _, c := range open {
			total := best[c.start] + cost(c.start, end) + penalty
			if c.until > end && (first || total < best[end]) {
				best[end], starts[end], first = total, c.start, false
			}
		}
		kept := open[:0]
		for _, c := range open {
			// A start that loses to a change at end loses for ever, once a segment that begins at end is long enough.
			if best[c.start]+cost(c.start, end) > best[end] {
				c.until = min(c.until, end+shortest)
			}
			if c.until > end+1 {
				kept = append(kept, c)
			}
		}
		open = kept
	}
	return starts
}

// segmentCost gives the cost of x[from:to] in constant time. Sums of centred values keep the digits.
func segmentCost(x []float64, variance float64) func(from, to int) float64 {
	centre, _ := momentsOf(x)
	sums, squares := make([]float64, len(x)+1), make([]float64, len(x)+1)
	for i, v := range x {
		sums[i+1] = sums[i] + (v - centre)
		squares[i+1] = squares[i] + (v-centre)*(v-centre)
	}
	return func(from, to int) float64 {
		total := sums[to] - sums[from]
		return max(0, squares[to]-squares[from]-total*total/float64(to-from)) / variance
	}
}
