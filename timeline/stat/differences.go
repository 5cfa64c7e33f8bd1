package stat

import (
	"math"
	"slices"
)

// differences are all x - y of two groups, in order, without holding them: counting takes one pass over both groups.
type differences struct {
	x, y  []int64 // ascending
	count int64
}

func newDifferences(x, y []int64) differences {
	return differences{
		x: slices.Sorted(slices.Values(x)), y: slices.Sorted(slices.Values(y)),
		count: int64(len(x)) * int64(len(y)),
	}
}

// atMost counts the differences that do not exceed d.
func (p differences) atMost(d int64) int64 {
	var count int64
	first := 0
	for _, x := range p.x {
		// y >= x - d
		for first < len(p.y) && p.y[first] < x-d {
			first++
		}
		count += int64(len(p.y) - first)
	}
	return count
}

// at is the k-th smallest difference, k from 1, found by halving the range of whole milliseconds.
func (p differences) at(k int64) int64 {
	low, high := p.x[0]-p.y[len(p.y)-1], p.x[len(p.x)-1]-p.y[0]
	for low < high {
		middle := low + (high-low)/2
		if p.atMost(middle) >= k {
			high = middle
		} else {
			low = middle + 1
		}
	}
	return low
}

// median is the Hodges-Lehmann estimate.
func (p differences) median() float64 {
	upper := p.at(p.count/2 + 1)
	if p.count%2 == 1 {
		return float64(upper)
	}
	return float64(p.at(p.count/2)+upper) / 2
}

// normalInterval holds the shifts at which the continuity-corrected normal statistic of x - d against y stays within the
// normal quantiles. Between two differences the statistic is constant, with the ties within the groups only, so each
// limit is one of the differences. Source: the definition behind R's asymptotic wilcox.test interval.
func (p differences) normalInterval(sd, level float64) *Interval {
	if sd == 0 {
		return nil
	}
	z := twoSidedZ(level)
	return &Interval{Lower: float64(p.crossing(z, sd)), Upper: float64(p.crossing(-z, sd)), Level: level}
}

// crossing is the smallest difference beyond which the statistic is at most z.
func (p differences) crossing(z, sd float64) int64 {
	statistic := func(larger int64) float64 {
		deviation := float64(larger) - float64(p.count)/2
		return (deviation - math.Copysign(min(0.5, math.Abs(deviation)), deviation)) / sd
	}
	low, high := int64(1), p.count
	for low < high {
		middle := low + (high-low)/2
		if statistic(p.count-middle) <= z {
			high = middle
		} else {
			low = middle + 1
		}
	}
	return p.at(low)
}
