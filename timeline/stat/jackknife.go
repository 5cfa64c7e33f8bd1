package stat

import "math"

// Jackknife gives the standard error and the Student interval of an estimate from the estimates that leave out one
// independent case each (two at least). Source: Efron B, Stein C, Ann Stat 1981;9:586-96, from memory.
func Jackknife(value float64, without []float64, level float64) Estimate {
	n := float64(len(without))
	_, squares := momentsOf(without)
	se := math.Sqrt((n - 1) / n * squares)
	return Estimate{Value: value, SE: &se, Interval: about(value, twoSidedT(level, n-1)*se, level), N: len(without)}
}
