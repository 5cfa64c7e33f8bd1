package stat

import (
	"math"

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

// start is the best point of a grid of exponents.
func (f powerFit) start() ([]float64, error) {
	low, high := f.y[0], f.y[0]
	for _, v := range f.y {
		low, high = min(low, v), max(high, v)
	}
	if low == high {
		return nil, degenerate(Constant, "All durations are equal: there is no curve.")
	}
	const steps = 200
	var best []float64
	least := math.Inf(1)
	for k := -steps; k <= steps; k++ {
		if k == 0 {
			continue // n^0 is the floor itself
		}
		values, sse, ok := f.linear(steepest * float64(k) / steps)
		if ok && sse < least {
			best, least = values, sse
		}
	}
	if best == nil {
		return nil, degenerate(RankDeficient, "The case numbers do not differ enough for a curve.")
	}
	if math.Abs(best[1]) == steepest {
		return nil, degenerate(NoConvergence, "The curve has no bend that these cases could show.")
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

// refine takes Gauss-Newton steps, halved while they do not improve, until nothing moves.
func (f powerFit) refine(values []float64) ([]float64, orthogonal, []float64, error) {
	for range 200 {
		d, residuals := f.gradient(values)
		o, err := orthogonalise(d, nil)
		if err != nil {
			return nil, o, nil, degenerate(NoConvergence, "The curve and its floor cannot be told apart in these cases.")
		}
		step := o.back(o.project(residuals))
		settled := true
		for j, s := range step {
			settled = settled && math.Abs(s) <= 1e-12*(math.Abs(values[j])+1e-300)
		}
		before := floats.Dot(residuals, residuals)
		improved := false
		for range 30 {
			next := added(values, step)
			if _, rest := f.gradient(next); floats.Dot(rest, rest) < before {
				values, improved = next, true
				break
			}
			floats.Scale(0.5, step)
		}
		if settled || !improved {
			d, residuals = f.gradient(values)
			o, err = orthogonalise(d, nil)
			if err != nil {
				return nil, o, nil, degenerate(NoConvergence, "The curve and its floor cannot be told apart in these cases.")
			}
			return values, o, residuals, nil
		}
	}
	return nil, orthogonal{}, nil, degenerate(NoConvergence, "The curve did not settle.")
}
