package stat

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// Contrasts compare each group with the average of the groups, each group counting once, in the linear model
// y = X b + u_group + e of group moments. The slopes b come from the cases within groups alone, so that they hold even if
// the groups were given cases that go with their effects.
type Contrasts struct {
	Terms     []string
	N, Groups int
	// Within is the standard deviation within groups, Between that between them, averaged over what the cases say of it.
	Within, Between float64

	size    []float64   // per group with cases
	effects []float64   // per group: mean outcome less that of its terms
	terms   [][]float64 // per group: mean of the terms
	inverse *mat.SymDense
	rss     float64 // within groups
	place   []int   // of a group in size; -1 without cases
	nodes   []contrastNode
	level   float64
	student float64 // quantile of the contrasts alone
}

// NewContrasts fits the model. The shrunken contrast takes the groups as drawn from a normal distribution, whose variance
// is not held at its best estimate (in a few groups that is often 0, and then lies about how sure one can be) but
// averaged over its likelihood, with an even prior on the standard deviation. Terms must be told apart (Usable). At least
// three groups, and three cases more than groups and terms, are needed. Source: random intercepts: Henderson CR,
// Biometrics 1975;31:423-47; slopes within groups: Mundlak Y, Econometrica 1978;46:69-85; averaging and prior: Gelman A,
// Bayesian Anal 2006;1:515-33; from memory. Checked against lme4 1.1-31 at its ratio of variances, against R lm, and by
// simulation.
func NewContrasts(m *GroupMoments, level float64) (*Contrasts, error) {
	if err := checkLevel(level); err != nil {
		return nil, err
	}
	c := &Contrasts{Terms: m.terms, N: m.n, level: level, place: make([]int, len(m.size))}
	for g, size := range m.size {
		c.place[g] = -1
		if size > 0 {
			c.place[g] = len(c.size)
			c.size = append(c.size, size)
		}
	}
	c.Groups = len(c.size)
	if c.Groups < 3 {
		return nil, degenerate(TooFew, "There are %d people with cases: fewer than three have no average to be compared with.", c.Groups)
	}
	if m.n-c.Groups-len(m.terms) < 3 {
		return nil, degenerate(TooFew, "%d cases of %d people cannot carry %d terms.", m.n, c.Groups, len(m.terms))
	}
	if err := c.fitWithin(m); err != nil {
		return nil, err
	}
	c.student = twoSidedT(level, c.freedomWithin())
	c.average()
	return c, nil
}

// fitWithin finds the slopes within groups and what they leave of the means.
func (c *Contrasts) fitWithin(m *GroupMoments) error {
	within, _ := m.within()
	p := len(m.terms)
	slopes := mat.NewVecDense(max(p, 1), nil)
	c.rss = within[p*m.width+p]
	spread := c.rss
	if p > 0 {
		a, right := mat.NewSymDense(p, nil), mat.NewVecDense(p, nil)
		for j := range p {
			right.SetVec(j, within[j*m.width+p])
			for k := j; k < p; k++ {
				a.SetSym(j, k, within[j*m.width+k])
			}
		}
		var root mat.Cholesky
		c.inverse = mat.NewSymDense(p, nil)
		if !root.Factorize(a) || root.InverseTo(c.inverse) != nil || root.SolveVecTo(slopes, right) != nil {
			return degenerate(RankDeficient, "The terms cannot be told apart from each other or from the groups.")
		}
		c.rss -= mat.Dot(right, slopes)
	}
	if !(c.rss > 1e-12*spread) {
		return degenerate(Constant, "Within the groups nothing varies: there is no error to compare with.")
	}
	c.Within = math.Sqrt(c.rss / c.freedomWithin())
	for g, size := range m.size {
		if size == 0 {
			continue
		}
		means := append([]float64(nil), m.sums[g]...)
		floats.Scale(1/size, means)
		effect := means[p]
		for j := range p {
			effect -= means[j] * slopes.AtVec(j)
		}
		c.effects, c.terms = append(c.effects, effect), append(c.terms, means[:p])
	}
	return nil
}

func (c *Contrasts) freedomWithin() float64 { return float64(c.N - c.Groups - len(c.Terms)) }

// contrastNode is the model at one ratio of the variance between groups to that within. Shrink is what stays of a group's
// deviation from the centre, spread the variance of its effect in units of that within, the rest being known.
type contrastNode struct {
	ratio  float64
	total  float64 // of the weights
	centre float64
	shrink []float64
	spread []float64
	left   float64 // sum of squares, of which the variance within follows
	height float64 // log likelihood of the root of the ratio, up to a constant
	share  float64
	all    groupAverages
}

// groupAverages are what every contrast at a node needs of all groups.
type groupAverages struct {
	away, shrink, spread float64   // averages of the shrunken deviations, of shrink and of spread
	terms, centre        []float64 // of the terms, by shrink and by the weights of the centre
}

// at weighs the mean of a group of n by n/(1 + n ratio).
func (c *Contrasts) at(ratio float64) contrastNode {
	s := contrastNode{ratio: ratio, shrink: make([]float64, c.Groups), spread: make([]float64, c.Groups), left: c.rss}
	var logV float64
	for g, n := range c.size {
		grown := 1 + n*ratio
		s.shrink[g], s.spread[g] = n*ratio/grown, ratio/grown
		s.total += n / grown
		s.centre += n / grown * c.effects[g]
		logV += math.Log(grown)
	}
	s.centre /= s.total
	for g, n := range c.size {
		away := c.effects[g] - s.centre
		s.left += n / (1 + n*ratio) * away * away
	}
	s.height = -(logV + math.Log(s.total) + c.freedom()*math.Log(s.left)) / 2
	return s
}

// freedom is that of the variance within at a given ratio, the prior being even on the standard deviation between.
func (c *Contrasts) freedom() float64 { return float64(c.N - len(c.Terms) - 2) }

// averaged fills what the contrasts at a node share.
func (c *Contrasts) averaged(s contrastNode) contrastNode {
	groups := float64(c.Groups)
	s.all = groupAverages{
		shrink: floats.Sum(s.shrink) / groups, spread: floats.Sum(s.spread) / groups,
		terms: make([]float64, len(c.Terms)), centre: make([]float64, len(c.Terms)),
	}
	for g, terms := range c.terms {
		s.all.away += s.shrink[g] * (c.effects[g] - s.centre) / groups
		floats.AddScaled(s.all.terms, s.shrink[g]/groups, terms)
		floats.AddScaled(s.all.centre, c.size[g]*(1-s.shrink[g])/s.total, terms) // n (1 - shrink) is n/(1 + n ratio)
	}
	return s
}

// contrast gives the deviation of a group from the average of the groups, and its variance in units of that within.
func (c *Contrasts) contrast(s *contrastNode, group int) (value, variance float64) {
	groups := float64(c.Groups)
	value = s.shrink[group]*(c.effects[group]-s.centre) - s.all.away
	// The common level moves the deviation as far as the group is shrunken otherwise than the rest.
	level := s.shrink[group] - s.all.shrink
	variance = s.spread[group]*(1-2/groups) + s.all.spread/groups + level*level/s.total
	shift := make([]float64, len(c.Terms))
	for j := range shift {
		shift[j] = s.shrink[group]*c.terms[group][j] - s.all.terms[j] - level*s.all.centre[j]
	}
	return value, variance + c.slopesError(shift)
}

// slopesError is what the error of the slopes adds to the variance of a contrast in which the terms weigh so much.
func (c *Contrasts) slopesError(shift []float64) float64 {
	var variance float64
	for j, v := range shift {
		for k, w := range shift {
			variance += v * w * c.inverse.At(j, k)
		}
	}
	return variance
}

// Alone is the contrast of a group without being drawn towards 0: an exact Student interval for normal errors of equal
// spread. False for a group without cases.
func (c *Contrasts) Alone(group int) (Estimate, bool) {
	at := c.place[group]
	if at < 0 {
		return Estimate{}, false
	}
	groups := float64(c.Groups)
	value, variance := c.effects[at]-floats.Sum(c.effects)/groups, (1-2/groups)/c.size[at]
	shift := append([]float64(nil), c.terms[at]...)
	for g, n := range c.size {
		variance += 1 / (n * groups * groups)
		floats.AddScaled(shift, -1/groups, c.terms[g])
	}
	se := c.Within * math.Sqrt(variance+c.slopesError(shift))
	return Estimate{Value: value, SE: &se, Interval: about(value, c.student*se, c.level), N: int(c.size[at])}, true
}

// Shrunken is the contrast of a group, drawn towards 0 the more the fewer its cases and the less the groups differ. False
// for a group without cases.
func (c *Contrasts) Shrunken(group int) (Estimate, bool) {
	at := c.place[group]
	if at < 0 {
		return Estimate{}, false
	}
	mix := studentMixture{freedom: c.freedom()}
	for i := range c.nodes {
		value, variance := c.contrast(&c.nodes[i], at)
		mix.add(c.nodes[i].share, value, math.Sqrt(variance*c.nodes[i].left/mix.freedom))
	}
	mean, sd := mix.moments()
	tail := (1 - c.level) / 2
	return Estimate{
		Value: mean, SE: &sd, N: int(c.size[at]),
		Interval: &Interval{Lower: mix.quantile(tail), Upper: mix.quantile(1 - tail), Level: c.level},
	}, true
}
