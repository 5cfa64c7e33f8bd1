package stat

import (
	"math"
	"slices"

	"zonule/timeline"
)

// Description summarises one sample in its own unit. Pointers are nil where a statistic does not exist: spread of a
// single value, geometric figures with a value of zero or less.
type Description struct {
	N      int       `json:"n"`
	Mean   float64   `json:"mean"`
	SD     *float64  `json:"sd"`
	SEM    *float64  `json:"sem"`
	MeanCI *Interval `json:"meanInterval"`

	GeometricMean *float64  `json:"geometricMean"`
	GeometricSD   *float64  `json:"geometricSd"`
	GeometricCI   *Interval `json:"geometricInterval"`

	Median float64 `json:"median"`
	Q1     float64 `json:"q1"`
	Q3     float64 `json:"q3"`
	IQR    float64 `json:"iqr"`
	// MAD is 1.4826 times the median distance from the median, comparable with an SD of normal values.
	MAD   float64  `json:"mad"`
	Notes []string `json:"notes,omitempty"`
}

// Describe gives mean with t interval, geometric mean, median, quartiles (type 7) and MAD of x. Source: textbook
// formulas, common practice; checked against NIST StRD certified values and R 4.2.2.
func Describe(x []float64, level float64) (Description, error) {
	if err := checkLevel(level); err != nil {
		return Description{}, err
	}
	if len(x) == 0 {
		return Description{}, degenerate(TooFew, "There are no values.")
	}
	if err := checkFinite("The sample", x); err != nil {
		return Description{}, err
	}
	d := Description{N: len(x)}
	d.Mean, d.SD, d.SEM, d.MeanCI = meanInterval(x, level)
	sorted := slices.Sorted(slices.Values(x))
	d.Median, d.Q1, d.Q3 = timeline.Quantile(sorted, 0.5), timeline.Quantile(sorted, 0.25), timeline.Quantile(sorted, 0.75)
	d.IQR = d.Q3 - d.Q1
	d.MAD = 1.4826 * medianDistance(sorted, d.Median)
	if sorted[0] <= 0 {
		d.Notes = append(d.Notes, "No geometric mean: a value is zero or less.")
		return d, nil
	}
	logs := make([]float64, len(x))
	for i, v := range x {
		logs[i] = math.Log(v)
	}
	logMean, logSD, _, logCI := meanInterval(logs, level)
	d.GeometricMean = pointTo(math.Exp(logMean))
	if logSD != nil {
		d.GeometricSD = pointTo(math.Exp(*logSD))
		d.GeometricCI = &Interval{math.Exp(logCI.Lower), math.Exp(logCI.Upper), level}
	}
	return d, nil
}

func meanInterval(x []float64, level float64) (mean float64, sd, sem *float64, ci *Interval) {
	n := float64(len(x))
	mean, squares := momentsOf(x)
	if len(x) < 2 {
		return mean, nil, nil, nil
	}
	s := math.Sqrt(squares / (n - 1))
	e := s / math.Sqrt(n)
	return mean, &s, &e, about(mean, twoSidedT(level, n-1)*e, level)
}

// momentsOf gives the mean and the sum of squared deviations in two passes; one pass loses all digits on values with a
// large offset.
func momentsOf(x []float64) (mean, squares float64) {
	n := float64(len(x))
	mean = sum(x) / n
	deviation := make([]float64, len(x))
	for i, v := range x {
		deviation[i] = v - mean
	}
	shift := sum(deviation) / n
	mean += shift
	for i, v := range x {
		d := v - mean
		deviation[i] = d * d
	}
	return mean, sum(deviation)
}

// sum adds with Neumaier's compensation: the error does not grow with the number of values. Source: Neumaier A, ZAMM
// 1974;54:39-51, from memory.
func sum(x []float64) float64 {
	var total, lost float64
	for _, v := range x {
		t := total + v
		if math.Abs(total) >= math.Abs(v) {
			lost += (total - t) + v
		} else {
			lost += (v - t) + total
		}
		total = t
	}
	return total + lost
}

func medianDistance(x []float64, centre float64) float64 {
	distance := make([]float64, len(x))
	for i, v := range x {
		distance[i] = math.Abs(v - centre)
	}
	slices.Sort(distance)
	return timeline.Quantile(distance, 0.5)
}

// Autocorrelation is the lag-1 autocorrelation of values in their given order: the sum of products of neighbouring
// deviations over the sum of squared deviations. Source: NIST StRD, univariate summary statistics.
func Autocorrelation(x []float64) (float64, error) {
	if len(x) < 2 {
		return 0, degenerate(TooFew, "An autocorrelation needs two values.")
	}
	mean, squares := momentsOf(x)
	if squares == 0 {
		return 0, degenerate(Constant, "All values are equal: the autocorrelation is undefined.")
	}
	products := make([]float64, len(x)-1)
	for i := range products {
		products[i] = (x[i] - mean) * (x[i+1] - mean)
	}
	return sum(products) / squares, nil
}
