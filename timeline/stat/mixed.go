package stat

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// MixedModel is a linear model with one random intercept per group (operator): y = X b + u_group + e.
type MixedModel struct {
	Coefficients []Coefficient `json:"coefficients"` // with normal intervals
	Groups       []GroupEffect `json:"groups"`       // in order of first appearance
	VarGroup     float64       `json:"varGroup"`
	VarResidual  float64       `json:"varResidual"`
	ICC          float64       `json:"icc"`
	LogLik       float64       `json:"logLik"` // restricted, if so fitted
	// Singular says that the groups differ no more than chance: the variance between them is estimated as 0.
	Singular bool     `json:"singular"`
	N        int      `json:"n"`
	Notes    []string `json:"notes,omitempty"`
}

// GroupEffect is the predicted effect u of one group, shrunken towards 0 the more the fewer its cases. On a log outcome
// exp(u) is its ratio to the group as a whole. SE and interval are those of prediction, with the error of the fixed
// effects; ConditionalSD takes the fixed effects as known.
type GroupEffect struct {
	Group string `json:"group"`
	Estimate
	ConditionalSD float64 `json:"conditionalSd"`
}

// MixedOptions chooses the fit: restricted maximum likelihood (REML), or maximum likelihood.
type MixedOptions struct {
	Level             float64
	MaximumLikelihood bool
}

// Mixed fits the model. Cost is that of one orthogonalisation of the design; each step of the search looks at the groups
// only. Source: Patterson HD, Thompson R, Biometrika 1971;58:545-54; Henderson CR, Biometrics 1975;31:423-47; Bates D and
// others, J Stat Softw 2015;67(1), from memory; checked against lme4 1.1-31.
func Mixed(d *Design, y []float64, groups []string, options MixedOptions) (*MixedModel, error) {
	if err := checkRegression(d, y, options.Level); err != nil {
		return nil, err
	}
	n, p := d.rows, len(d.columns)
	if len(groups) != n {
		return nil, degenerate(Invalid, "There are %d groups for %d observations.", len(groups), n)
	}
	sums := sumsByGroup(groups)
	if len(sums.names) < 2 {
		return nil, degenerate(TooFew, "A model of groups needs two groups.")
	}
	if len(sums.names) >= n {
		return nil, degenerate(TooFew, "Every group has one case: group and error cannot be told apart.")
	}
	if n <= p+1 {
		return nil, degenerate(TooFew, "%d observations cannot carry %d terms and two variances.", n, p)
	}
	o, err := orthogonalise(d, nil)
	if err != nil {
		return nil, err
	}
	base, residuals := solveRefined(d, o, y, nil)
	sums.fill(o, residuals)
	f := &mixedFit{groupSums: sums, rss: floats.Dot(residuals, residuals), n: n, p: p, restricted: !options.MaximumLikelihood}
	if !(f.rss > 0) {
		return nil, degenerate(Constant, "The terms explain the outcome without error: there are no variances to tell apart.")
	}
	ratio, err := f.search()
	if err != nil {
		return nil, err
	}
	return f.model(d, o, base, ratio, options.Level), nil
}

// groupSums are, per group, its size and the sums of its rows of Q and of its residuals.
type groupSums struct {
	names  []string
	member []int // group of each row
	size   []float64
	rows   [][]float64
	rest   []float64
}

func sumsByGroup(groups []string) groupSums {
	place := map[string]int{}
	g := groupSums{member: make([]int, len(groups))}
	for i, name := range groups {
		at, known := place[name]
		if !known {
			at = len(g.names)
			place[name] = at
			g.names, g.size = append(g.names, name), append(g.size, 0)
		}
		g.member[i] = at
		g.size[at]++
	}
	return g
}

func (g *groupSums) fill(o orthogonal, residuals []float64) {
	g.rest, g.rows = make([]float64, len(g.names)), make([][]float64, len(g.names))
	for at := range g.rows {
		g.rows[at] = make([]float64, len(o.q))
	}
	for i, at := range g.member {
		g.rest[at] += residuals[i]
	}
	for j, q := range o.q {
		for i, at := range g.member {
			g.rows[at][j] += q[i]
		}
	}
}

// model turns the fit at a ratio of variances into what people read.
func (f *mixedFit) model(d *Design, o orthogonal, base []float64, ratio, level float64) *MixedModel {
	s := f.at(ratio)
	m := &MixedModel{N: f.n, Singular: ratio == 0, LogLik: -s.deviance / 2}
	if f.restricted {
		for j := range f.p {
			m.LogLik -= math.Log(o.r[j][j]) // back from the coordinates of Q to those of the design
		}
	}
	m.VarResidual = s.left / f.freedom()
	m.VarGroup = ratio * m.VarResidual
	m.ICC = ratio / (1 + ratio)
	b := o.back(s.shift)
	floats.Add(b, base)
	covariance := make([][]float64, f.p)
	for j := range covariance {
		covariance[j] = make([]float64, f.p)
		for k := range covariance {
			covariance[j][k] = m.VarResidual * s.inverse.At(j, k)
		}
	}
	se := o.spread(covariance)
	z := twoSidedZ(level)
	for j, term := range d.Terms {
		m.Coefficients = append(m.Coefficients, Coefficient{
			Term: term, Estimate: b[j], SE: se[j], Statistic: b[j] / se[j], P: normalTwoSided(b[j] / se[j]),
			Interval: *about(b[j], z*se[j], level),
		})
	}
	m.Groups = f.effects(s, m.VarResidual, ratio, level)
	if m.Singular {
		m.Notes = append(m.Notes, "The groups differ no more than chance: every shrunken effect is 0.")
	}
	if len(f.names) < 5 {
		m.Notes = append(m.Notes, "There are under five groups: the variance between them is hardly known, and intervals are too short.")
	}
	return m
}

// effects predicts each group. The interval uses Student's t with one degree of freedom less than groups, since the
// variance between groups rests on them.
func (f *mixedFit) effects(s mixedState, variance, ratio, level float64) []GroupEffect {
	t := twoSidedT(level, float64(len(f.names)-1))
	effects := make([]GroupEffect, len(f.names))
	for g, name := range f.names {
		shrink := ratio / (1 + f.size[g]*ratio)
		row := mat.NewVecDense(f.p, f.rows[g])
		value := shrink * (f.rest[g] - floats.Dot(f.rows[g], s.shift))
		conditional := variance * shrink
		se := math.Sqrt(conditional + variance*shrink*shrink*mat.Inner(row, s.inverse, row))
		effects[g] = GroupEffect{
			Group:         name,
			ConditionalSD: math.Sqrt(conditional),
			Estimate:      Estimate{Value: value, SE: &se, Interval: about(value, t*se, level), N: int(f.size[g])},
		}
	}
	return effects
}
