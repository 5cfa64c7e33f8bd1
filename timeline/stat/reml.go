package stat

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// mixedFit is the profiled likelihood of a random intercept as a function of one number: the ratio of the variance between
// groups to that within. Rows are those of Q, residuals those of ordinary least squares, so Q'Q = 1 and Q'rest = 0.
type mixedFit struct {
	groupSums
	rss        float64
	n, p       int
	restricted bool
}

// mixedState is the likelihood at one ratio. Shift is what the fixed effects move from least squares, in the
// coordinates of Q; inverse is (Q'V^-1 Q)^-1 in units of the residual variance; left the weighted sum of squares.
type mixedState struct {
	shift    []float64
	inverse  *mat.SymDense
	left     float64
	deviance float64
	slope    float64 // of the deviance
}

func (f *mixedFit) freedom() float64 {
	if f.restricted {
		return float64(f.n - f.p)
	}
	return float64(f.n)
}

// at evaluates the deviance (-2 log likelihood) and its slope. With c = ratio/(1 + n ratio) per group of n,
// V^-1 = 1 - sum of c J over groups, so everything follows from the group sums.
func (f *mixedFit) at(ratio float64) mixedState {
	a := mat.NewSymDense(f.p, nil)
	change := mat.NewSymDense(f.p, nil)
	right := make([]float64, f.p)
	for j := range f.p {
		a.SetSym(j, j, 1)
	}
	left, logV, logVSlope := f.rss, 0.0, 0.0
	for g, size := range f.size {
		c, cSlope := ratio/(1+size*ratio), 1/((1+size*ratio)*(1+size*ratio))
		row := mat.NewVecDense(f.p, f.rows[g])
		a.SymRankOne(a, -c, row)
		change.SymRankOne(change, -cSlope, row)
		floats.AddScaled(right, -c*f.rest[g], f.rows[g])
		left -= c * f.rest[g] * f.rest[g]
		logV += math.Log1p(size * ratio)
		logVSlope += size / (1 + size*ratio)
	}
	var root mat.Cholesky
	root.Factorize(a) // V is positive definite, so this cannot fail
	s := mixedState{inverse: mat.NewSymDense(f.p, nil), shift: make([]float64, f.p)}
	_ = root.InverseTo(s.inverse)
	shift := mat.NewVecDense(f.p, s.shift)
	shift.MulVec(s.inverse, mat.NewVecDense(f.p, right))
	s.left = left - floats.Dot(right, s.shift)

	var leftSlope float64
	for g, size := range f.size {
		rest := f.rest[g] - floats.Dot(f.rows[g], s.shift)
		leftSlope -= rest * rest / ((1 + size*ratio) * (1 + size*ratio))
	}
	free := f.freedom()
	s.deviance = logV + free*(1+math.Log(2*math.Pi*s.left/free))
	s.slope = logVSlope + free*leftSlope/s.left
	if f.restricted {
		s.deviance += root.LogDet()
		for j := range f.p {
			for k := range f.p {
				s.slope += s.inverse.At(j, k) * change.At(k, j)
			}
		}
	}
	return s
}

// search finds the ratio of least deviance: the best of a coarse grid over sixteen decades, then the root of the slope next
// to it. A root of the slope is sharper than a minimum of the deviance, which is flat there.
func (f *mixedFit) search() (float64, error) {
	const from, to, perDecade = -6, 10, 4
	best, least := 0.0, f.at(0).deviance
	ratios := []float64{0}
	for k := from * perDecade; k <= to*perDecade; k++ {
		ratio := math.Pow(10, float64(k)/perDecade)
		ratios = append(ratios, ratio)
		if d := f.at(ratio).deviance; d < least {
			best, least = ratio, d
		}
	}
	last := len(ratios) - 1
	if best == ratios[last] {
		return 0, degenerate(Constant, "Within the groups nothing varies: the variances cannot be told apart.")
	}
	low, high := 0.0, ratios[1]
	for i := 1; i < last; i++ {
		if ratios[i] == best {
			low, high = ratios[i-1], ratios[i+1]
		}
	}
	if best == 0 && f.at(0).slope >= 0 {
		return 0, nil
	}
	return bisect(func(ratio float64) float64 { return f.at(ratio).slope }, low, high), nil
}
