package stat

import (
	"cmp"
	"math"
	"slices"

	"zonule/timeline"
)

// RobustLine is the Theil-Sen line: Slope is the median slope over all pairs with different x.
type RobustLine struct {
	Slope Estimate `json:"slope"`
	// Intercept is median(y) - slope median(x); InterceptJoint is the median of y - slope x.
	Intercept      float64 `json:"intercept"`
	InterceptJoint float64 `json:"interceptJoint"`
}

// TheilSen fits a line that up to 29 % of wild values do not move. The slopes are counted, not listed: memory grows with
// n, time with n log^2 n. Source: Theil 1950; Sen PK, J Am Stat Assoc 1968;63:1379-89, eq. 2.6 for the limits, from memory;
// checked against scipy 1.10.1.
func TheilSen(x, y []float64, level float64) (RobustLine, error) {
	if err := checkPairs(x, y, level, 2); err != nil {
		return RobustLine{}, err
	}
	s := newSlopes(x, y)
	if s.count == 0 {
		return RobustLine{}, degenerate(Constant, "All x are equal: there is no slope.")
	}
	lowest, highest := s.ends()
	at := func(index int64) float64 { return s.at(index, lowest, highest) }
	slope := at(s.count / 2)
	if s.count%2 == 0 {
		slope = (at(s.count/2-1) + slope) / 2
	}
	line := RobustLine{Slope: Estimate{Value: slope, N: len(x)}}
	lower, upper := s.limits(x, y, level)
	line.Slope.Interval = &Interval{at(lower), at(upper), level}
	sortedX, sortedY := slices.Sorted(slices.Values(x)), slices.Sorted(slices.Values(y))
	line.Intercept = timeline.Quantile(sortedY, 0.5) - slope*timeline.Quantile(sortedX, 0.5)
	rest := make([]float64, len(x))
	for i := range x {
		rest[i] = y[i] - slope*x[i]
	}
	slices.Sort(rest)
	line.InterceptJoint = timeline.Quantile(rest, 0.5)
	return line, nil
}

// slopes are all slopes between points of different x, in order, without holding them.
type slopes struct {
	x, y  []float64 // in order of x, then y
	count int64
	// sorted and spare are the room that counting needs.
	sorted, spare []float64
}

func newSlopes(x, y []float64) *slopes {
	order := make([]int, len(x))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(x[a], x[b]), cmp.Compare(y[a], y[b]))
	})
	s := &slopes{sorted: make([]float64, len(x)), spare: make([]float64, len(x))}
	for _, i := range order {
		s.x, s.y = append(s.x, x[i]), append(s.y, y[i])
	}
	n := int64(len(x))
	s.count = n * (n - 1) / 2
	for from := 0; from < len(x); {
		to := from + 1
		for to < len(x) && s.x[to] == s.x[from] {
			to++
		}
		ties := int64(to - from)
		s.count -= ties * (ties - 1) / 2
		from = to
	}
	return s
}

// ends gives the smallest and largest slope: both occur between neighbours in x.
func (s *slopes) ends() (lowest, highest float64) {
	lowest, highest = math.Inf(1), math.Inf(-1)
	for from := 0; from < len(s.x); {
		to := from + 1
		for to < len(s.x) && s.x[to] == s.x[from] {
			to++
		}
		if to == len(s.x) {
			break
		}
		last := to
		for last+1 < len(s.x) && s.x[last+1] == s.x[to] {
			last++
		}
		dx := s.x[to] - s.x[from]
		lowest = min(lowest, (s.y[to]-s.y[to-1])/dx)
		highest = max(highest, (s.y[last]-s.y[from])/dx)
		from = to
	}
	return lowest, highest
}

// atMost counts the slopes that do not exceed m: pairs whose height above the line of slope m falls or stays level from
// left to right.
func (s *slopes) atMost(m float64) int64 {
	for i := range s.x {
		s.sorted[i] = s.y[i] - m*s.x[i]
	}
	total := fallsWithin(s.sorted, s.spare)
	// Points of equal x have no slope. They stand in order of y, so only level pairs among them were counted.
	for from := 0; from < len(s.x); {
		height := s.y[from] - m*s.x[from]
		to := from + 1
		for to < len(s.x) && s.x[to] == s.x[from] && s.y[to]-m*s.x[to] == height {
			to++
		}
		level := int64(to - from)
		total -= level * (level - 1) / 2
		from = to
	}
	return total
}

// fallsWithin counts the pairs i < j with v[j] <= v[i] and leaves v in order (merge sort).
func fallsWithin(v, spare []float64) int64 {
	if len(v) < 2 {
		return 0
	}
	half := len(v) / 2
	left, right := v[:half], v[half:]
	count := fallsWithin(left, spare[:half]) + fallsWithin(right, spare[half:])
	i, j := 0, 0
	for k := range v {
		if j < len(right) && (i == len(left) || right[j] <= left[i]) {
			count += int64(len(left) - i)
			spare[k] = right[j]
			j++
		} else {
			spare[k] = left[i]
			i++
		}
	}
	copy(v, spare)
	return count
}

// at is the slope with the given place in order (from 0), by halving the range.
func (s *slopes) at(index int64, low, high float64) float64 {
	if s.atMost(low) > index {
		return low
	}
	for {
		middle := low + (high-low)/2
		if middle <= low || middle >= high {
			return high
		}
		if s.atMost(middle) > index {
			high = middle
		} else {
			low = middle
		}
	}
}

// limits are the places of Sen's confidence limits.
func (s *slopes) limits(x, y []float64, level float64) (lower, upper int64) {
	n := float64(len(x))
	spread := math.Sqrt((n*(n-1)*(2*n+5) - tieSpread(x) - tieSpread(y)) / 18)
	count, z := float64(s.count), twoSidedZ(level)
	lower = max(int64(math.RoundToEven((count-z*spread)/2))-1, 0)
	upper = min(int64(math.RoundToEven((count+z*spread)/2)), s.count-1)
	return lower, upper
}

// tieSpread is the sum of k (k-1) (2k+5) over groups of k equal values.
func tieSpread(v []float64) float64 {
	sorted := slices.Sorted(slices.Values(v))
	var total float64
	for from := 0; from < len(sorted); {
		to := from + 1
		for to < len(sorted) && sorted[to] == sorted[from] {
			to++
		}
		k := float64(to - from)
		total += k * (k - 1) * (2*k + 5)
		from = to
	}
	return total
}
