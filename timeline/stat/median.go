package stat

import (
	"gonum.org/v1/gonum/stat/distuv"

	"zonule/timeline"
)

// MedianInterval gives the two order statistics, equally deep from both ends, between which the median of the population
// lies with at least the level, whatever the distribution. Values are ascending; too few for the level is TooFew (95 %
// needs six). Source: Thompson WR, Ann Math Stat 1936;7:122-8, from memory; ranks by the binomial distribution of R's qbinom.
func MedianInterval[T int64 | float64](sorted []T, level float64) (Estimate, error) {
	if err := checkLevel(level); err != nil {
		return Estimate{}, err
	}
	if len(sorted) == 0 {
		return Estimate{}, degenerate(TooFew, "There are no values.")
	}
	e := Estimate{Value: timeline.Quantile(sorted, 0.5), N: len(sorted)}
	rank := medianRank(len(sorted), (1-level)/2)
	if rank == 0 {
		return e, degenerate(TooFew, "%d values are too few for an interval of the median.", len(sorted))
	}
	e.Interval = &Interval{Lower: float64(sorted[rank-1]), Upper: float64(sorted[len(sorted)-rank]), Level: level}
	return e, nil
}

// medianRank is the largest rank r from 1 with P(B < r) at most the tail, B binomial of n fair coins; 0: there is none.
func medianRank(n int, tail float64) int {
	coins := distuv.Binomial{N: float64(n), P: 0.5}
	low, high := 0, n/2+1 // P(B < low) <= tail < P(B < high)
	for high-low > 1 {
		middle := (low + high) / 2
		if coins.CDF(float64(middle-1)) <= tail {
			low = middle
		} else {
			high = middle
		}
	}
	return low
}
