package stat

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// steepest is the largest exponent, up or down, that is tried.
const steepest = 5.0

// powerFit seeks a, b and c of y = a n^-b + c; values hold them in that order, without c when there is no floor.
type powerFit struct {
	logN  []float64
	y     []float64
	floor bool
}

// linear gives a (and c) for a fixed exponent, with the sum of squares.
func (f powerFit) linear(b float64) (values []float64, sse float64, ok bool) {
	power := make([]float64, len(f.y))
	for i, l := range f.logN {
		power[i] = math.Exp(-b * l)
	}
	d := NewDesignWithoutIntercept(len(f.y))
	d.Terms, d.columns = []string{"n^-b"}, [][]float64{power}
	if f.floor {
		ones := NewDesign(len(f.y))
		d.Terms, d.columns = append(d.Terms, Intercept), append(d.columns, ones.columns...)
	}
	o, err := orthogonalise(d, nil)
	if err != nil {
		return nil, 0, false
	}
	linear, residuals := solveRefined(d, o, f.y, nil)
	values = []float64{linear[0], b}
	return append(values, linear[1:]...), floats.Dot(residuals, residuals), true
}

// exponents is the number of exponents tried between 0 and the steepest, on each side.
const exponents = 200

// start is the best exponent of a grid.
func (f powerFit) start() (float64, error) {
	if slices.Min(f.y) == slices.Max(f.y) {
		return 0, degenerate(Constant, "All durations are equal: there is no curve.")
	}
	best, least := math.NaN(), math.Inf(1)
	for k := -exponents; k <= exponents; k++ {
		b := steepest * float64(k) / exponents
		if k == 0 && f.floor {
			continue // n^0 is the floor itself
		}
		if _, sse, ok := f.linear(b); ok && sse < least {
			best, least = b, sse
		}
	}
	if math.IsNaN(best) {
		return 0, degenerate(RankDeficient, "The case numbers do not differ enough for a curve.")
	}
	if math.Abs(best) == steepest {
		return 0, degenerate(NoConvergence, "The curve has no bend that these cases could show.")
	}
	return best, nil
}

// gradient is the design of the derivatives by a, b and c, and the residuals there.
func (f powerFit) gradient(values []float64) (d *Design, residuals []float64) {
	byA, byB := make([]float64, len(f.y)), make([]float64, len(f.y))
	residuals = make([]float64, len(f.y))
	for i, l := range f.logN {
		power := math.Exp(-values[1] * l)
		byA[i], byB[i] = power, -values[0]*l*power
		residuals[i] = f.y[i] - values[0]*power
		if f.floor {
			residuals[i] -= values[2]
		}
	}
	d = NewDesignWithoutIntercept(len(f.y))
	d.Terms, d.columns = []string{"a", "b"}, [][]float64{byA, byB}
	if f.floor {
		d.Terms, d.columns = append(d.Terms, "c"), append(d.columns, NewDesign(len(f.y)).columns...)
	}
	return d, residuals
}

// refine finds where the slope of the sum of squares in the exponent, the others being at their best, is 0 next to the
// best of the grid: sharper than the minimum itself, which is flat.
func (f powerFit) refine(best float64) (values []float64, fit orthogonal, residuals []float64, err error) {
	step := steepest / exponents
	low, high := best-step, best+step
	if f.floor && best > 0 {
		low = max(low, 1e-6)
	} else if f.floor {
		high = min(high, -1e-6)
	}
	b := bisect(func(b float64) float64 {
		values, _, ok := f.linear(b)
		if !ok {
			return 0
		}
		d, residuals := f.gradient(values)
		return -floats.Dot(residuals, d.columns[1])
	}, low, high)
	values, _, ok := f.linear(b)
	if !ok || min(b-low, high-b) < 1e-9 {
		return nil, fit, nil, degenerate(NoConvergence, "The curve and its floor cannot be told apart in these cases.")
	}
	d, residuals := f.gradient(values)
	if fit, err = orthogonalise(d, nil); err != nil {
		return nil, fit, nil, degenerate(NoConvergence, "The curve and its floor cannot be told apart in these cases.")
	}
	return values, fit, residuals, nil
}
