package stat

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// Contrasts compare each group with the average of the groups, each group counting once, in the linear model
// y = X b + u_group + e of group moments.
type Contrasts struct {
	// Between and Within are the standard deviations between groups (averaged over what the cases say of it) and within.
	Between, Within float64
	Terms           []string
	N, Groups       int

	fit   contrastFit
	alone contrastState // at an endless variance between groups
	nodes []contrastState
	level float64
}

// contrastFit is what does not change with the ratio of the variances. Groups without cases are left out.
type contrastFit struct {
	size   []float64
	means  [][]float64 // per group, last of the outcome
	within []float64
	width  int
	n      float64
	place  []int // of a group in size and means; -1 without cases
}

// NewContrasts fits the model. The shrunken contrast takes the groups as drawn from a normal distribution; its variance is
// not held at its best estimate, which in a few groups is often 0 and then lies about how sure one can be, but averaged
// over its restricted likelihood with an even prior on the standard deviation. Terms must be told apart (Usable). At least
// three groups and one more case than groups, terms and two variances are needed. Source: mixed model: Henderson CR, Biometrics
// 1975;31:423-47; averaging and prior: Gelman A, Bayesian Anal 2006;1:515-33; from memory. Checked against lme4 1.1-31 at
// its ratio of variances, and by simulation.
func NewContrasts(m *GroupMoments, level float64) (*Contrasts, error) {
	if err := checkLevel(level); err != nil {
		return nil, err
	}
	c := &Contrasts{Terms: m.terms, N: m.n, level: level}
	within, _ := m.within()
	c.fit = contrastFit{within: within, width: m.width, n: float64(m.n), place: make([]int, len(m.size))}
	for g, size := range m.size {
		c.fit.place[g] = -1
		if size == 0 {
			continue
		}
		c.fit.place[g] = len(c.fit.size)
		mean := append([]float64(nil), m.sums[g]...)
		floats.Scale(1/size, mean)
		c.fit.size, c.fit.means = append(c.fit.size, size), append(c.fit.means, mean)
	}
	c.Groups = len(c.fit.size)
	p := m.width - 1
	if c.Groups < 3 {
		return nil, degenerate(TooFew, "There are %d people with cases: fewer than three have no average to be compared with.", c.Groups)
	}
	if m.n-c.Groups-p < 3 {
		return nil, degenerate(TooFew, "%d cases of %d people cannot carry %d terms.", m.n, c.Groups, p)
	}
	last := m.width - 1
	alone, ok := c.fit.at(math.Inf(1))
	if !ok {
		return nil, degenerate(RankDeficient, "The terms cannot be told apart.")
	}
	if !(alone.left > 1e-12*math.Abs(within[last*m.width+last])) {
		return nil, degenerate(Constant, "Within the groups nothing varies: there is no error to compare with.")
	}
	c.alone = alone
	c.Within = math.Sqrt(alone.left / (c.fit.n - float64(c.Groups+p)))
	c.average()
	return c, nil
}

// contrastState is the fit at one ratio of the variance between groups to that within. Inverse and variances are in
// units of the variance within.
type contrastState struct {
	ratio     float64
	total     float64 // of the weights of the groups
	centre    []float64
	slopes    *mat.VecDense
	inverse   *mat.SymDense
	shrink    []float64 // per group: what stays of its deviation
	spread    []float64 // per group: the variance of its effect, the fixed effects known
	mean      []float64 // of the shrunken deviations of terms and outcome from the centre
	left      float64
	logWeight float64 // of the ratio's root, before the outer step of the integral
	share     float64 // of the integral
}

// at weighs the mean of a group of n by n/(1 + n ratio); beside the sums within groups nothing else is needed.
func (f *contrastFit) at(ratio float64) (contrastState, bool) {
	p := f.width - 1
	s := contrastState{
		ratio: ratio, centre: make([]float64, f.width), mean: make([]float64, f.width),
		shrink: make([]float64, len(f.size)), spread: make([]float64, len(f.size)),
	}
	endless := math.IsInf(ratio, 1)
	weights, logV := make([]float64, len(f.size)), 0.0
	for g, n := range f.size {
		if endless {
			weights[g], s.shrink[g], s.spread[g] = 1, 1, 1/n
		} else {
			grown := 1 + n*ratio
			weights[g], s.shrink[g], s.spread[g] = n/grown, n*ratio/grown, ratio/grown
			logV += math.Log(grown)
		}
		s.total += weights[g]
		floats.AddScaled(s.centre, weights[g], f.means[g])
	}
	floats.Scale(1/s.total, s.centre)
	sums := append([]float64(nil), f.within...)
	away := make([]float64, f.width)
	for g, mean := range f.means {
		floats.SubTo(away, mean, s.centre)
		floats.AddScaled(s.mean, s.shrink[g]/float64(len(f.size)), away)
		if endless {
			continue // the means of the groups say nothing of the slopes
		}
		for j, v := range away {
			floats.AddScaled(sums[j*f.width:(j+1)*f.width], weights[g]*v, away)
		}
	}
	a, right := mat.NewSymDense(max(p, 1), nil), mat.NewVecDense(max(p, 1), nil)
	if p == 0 {
		a.SetSym(0, 0, 1) // a term that is not there, so that the algebra stays the same
	}
	for j := range p {
		right.SetVec(j, sums[j*f.width+p])
		for k := j; k < p; k++ {
			a.SetSym(j, k, sums[j*f.width+k])
		}
	}
	var root mat.Cholesky
	if !root.Factorize(a) {
		return s, false
	}
	s.inverse, s.slopes = mat.NewSymDense(max(p, 1), nil), mat.NewVecDense(max(p, 1), nil)
	if root.InverseTo(s.inverse) != nil || root.SolveVecTo(s.slopes, right) != nil {
		return s, false
	}
	s.left = sums[p*f.width+p] - mat.Dot(right, s.slopes)
	s.logWeight = -(logV + math.Log(s.total) + root.LogDet() + f.freedom()*math.Log(s.left)) / 2
	return s, true
}

// freedom is that of the variance within at a given ratio, the prior being even on the standard deviation between.
func (f *contrastFit) freedom() float64 { return f.n - float64(f.width) - 1 }

// contrast gives the deviation of a group from the average of the groups, and its variance in units of that within.
func (s *contrastState) contrast(f *contrastFit, g int) (value, variance float64) {
	p, groups := f.width-1, float64(len(f.size))
	shift := make([]float64, f.width)
	for j := range shift {
		shift[j] = s.shrink[g]*(f.means[g][j]-s.centre[j]) - s.mean[j]
	}
	value = shift[p]
	x := mat.NewVecDense(max(p, 1), nil)
	for j := range p {
		x.SetVec(j, shift[j])
		value -= shift[j] * s.slopes.AtVec(j)
	}
	// The deviation moves with the common level as far as the group is shrunken less than the others.
	level := s.shrink[g] - floats.Sum(s.shrink)/groups
	if !math.IsInf(s.ratio, 1) {
		variance = level * level / s.total
	}
	variance += s.spread[g]*(1-2/groups) + floats.Sum(s.spread)/(groups*groups)
	return value, variance + mat.Inner(x, s.inverse, x)
}

// Alone is the contrast of a group without being drawn towards 0: exact Student intervals for normal errors of equal spread.
func (c *Contrasts) Alone(group int) (Estimate, bool) {
	g := c.fit.place[group]
	if g < 0 {
		return Estimate{}, false
	}
	value, variance := c.alone.contrast(&c.fit, g)
	se := c.Within * math.Sqrt(variance)
	t := twoSidedT(c.level, c.fit.n-float64(c.Groups+c.fit.width-1))
	return Estimate{Value: value, SE: &se, Interval: about(value, t*se, c.level), N: int(c.fit.size[g])}, true
}

// Shrunken is the contrast of a group, drawn towards 0 the more the fewer its cases and the less the groups differ.
func (c *Contrasts) Shrunken(group int) (Estimate, bool) {
	g := c.fit.place[group]
	if g < 0 {
		return Estimate{}, false
	}
	mix := studentMixture{freedom: c.fit.freedom()}
	for i := range c.nodes {
		s := &c.nodes[i]
		value, variance := s.contrast(&c.fit, g)
		mix.add(s.share, value, math.Sqrt(variance*s.left/mix.freedom))
	}
	mean, sd := mix.moments()
	tail := (1 - c.level) / 2
	return Estimate{
		Value: mean, SE: &sd, N: int(c.fit.size[g]),
		Interval: &Interval{Lower: mix.quantile(tail), Upper: mix.quantile(1 - tail), Level: c.level},
	}, true
}
