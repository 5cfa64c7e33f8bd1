package outcome

import (
	"context"
	"math"
	"slices"

	"zonule/timeline/stat"
)

// fewestOperators is under what intervals do not allow for operators. Source: our choice; with fewer clusters the
// corrected intervals are too wide to say anything.
const fewestOperators = 5

// linearFit is a fitted line with what its intervals rest on.
type linearFit struct {
	model     *stat.LinearModel
	clustered *stat.Clustered // nil with too few operators
	weights   []float64       // nil: none
	share     float64         // of the residual variance that is counting error
}

// fit fits the outcome on a design, weighted by counting error where it is known of at least half of the cases.
func (t *table) fit(d *stat.Design) (linearFit, error) {
	variances := t.assumed()
	var f linearFit
	if variances == nil {
		model, err := stat.LeastSquares(d, t.y, nil, level)
		if err != nil {
			return f, err
		}
		f.model = model
	} else {
		o, err := stat.LeastSquaresWithErrors(d, t.y, variances, level)
		if err != nil {
			return f, err
		}
		f.model, f.weights, f.share = o.Model, o.Weights, o.Share
	}
	if distinct(t.operators) >= fewestOperators && !slices.Contains(t.operators, "") {
		clustered, err := f.model.Clustered(t.operators)
		if err != nil {
			return f, err
		}
		f.clustered = &clustered
	}
	return f, nil
}

// assumed gives the counting variances with the median of the known for the others; nil when fewer than half are known.
func (t *table) assumed() []float64 {
	if t.variances == nil {
		return nil
	}
	var known []float64
	for _, v := range t.variances {
		if !math.IsNaN(v) {
			known = append(known, v)
		}
	}
	if 2*len(known) < len(t.variances) || len(known) == 0 {
		return nil
	}
	middle := spreadOf(known).Median
	filled := slices.Clone(t.variances)
	for i, v := range filled {
		if math.IsNaN(v) {
			filled[i] = middle
		}
	}
	return filled
}

// told turns a coefficient into the size that is shown: of a loss, the percent fewer cells left.
func (t *table) told(b float64) float64 {
	if t.definition.Outcome.Kind == Loss {
		return 100 * -math.Expm1(-b)
	}
	return b
}

// size tells a coefficient: clustered by operator, HC3 beside; with few operators HC3 alone.
func (t *table) size(f linearFit, at int) Size {
	c := f.model.Coefficients[at]
	s := Size{Value: t.told(c.Estimate), N: f.model.N, Interval: "hc3"}
	interval, p := c.Interval, c.P
	if c.RobustInterval != nil {
		interval = *c.RobustInterval
	}
	if c.RobustP != nil {
		p = *c.RobustP
	}
	if f.clustered != nil {
		low, high := t.told(interval.Lower), t.told(interval.Upper)
		s.OtherLow, s.OtherHigh = &low, &high
		s.Interval, interval, p = "clustered", f.clustered.Intervals[at], f.clustered.P[at]
	}
	s.Low, s.High, s.P = t.told(interval.Lower), t.told(interval.Upper), &p
	return s
}

// errorOf is the standard error behind the interval of size, with its degrees of freedom.
func (f linearFit) errorOf(at int) (se, df float64) {
	if f.clustered != nil {
		return f.clustered.SE[at], f.clustered.DF[at]
	}
	c := f.model.Coefficients[at]
	if c.RobustSE != nil {
		return *c.RobustSE, float64(f.model.DF)
	}
	return c.SE, float64(f.model.DF)
}

// linear fills the relation of a measured outcome.
func (t *table) linear(ctx context.Context, k int, rel *Relation) error {
	alone, err := t.fit(t.design([]int{k}, nil))
	if err == nil {
		size := t.size(alone, 1)
		rel.Unadjusted = &size
	}
	d := t.design([]int{k}, t.terms)
	fit, err := t.fit(d)
	if err != nil {
		rel.Why = err.Error()
		return ctx.Err()
	}
	size := t.size(fit, 1)
	rel.Adjusted = &size
	se, df := fit.errorOf(1)
	if smallest, err := stat.SmallestDetectable(se, df, level, power); err == nil {
		smallest = t.told(smallest)
		rel.SmallestSeen = &smallest
	}
	if ctx.Err() != nil {
		return ctx.Err()
	}
	t.influence(fit, k, rel)
	t.bend(k, rel)
	if ctx.Err() != nil {
		return ctx.Err()
	}
	t.linearSensitivity(fit, d, k, rel)
	t.linearChart(fit, d, k, rel)
	return ctx.Err()
}

// part is the table of some of its cases.
func (t *table) part(keep func(i int) bool) *table {
	some := &table{definition: t.definition, names: t.names, fewest: t.fewest}
	var at []int
	for i := range t.rows {
		if keep(i) {
			at = append(at, i)
		}
	}
	pick := func(values []float64) []float64 {
		kept := make([]float64, len(at))
		for j, i := range at {
			kept[j] = values[i]
		}
		return kept
	}
	for _, i := range at {
		some.rows, some.operators = append(some.rows, t.rows[i]), append(some.operators, t.operators[i])
	}
	some.y = pick(t.y)
	if t.variances != nil {
		some.variances = pick(t.variances)
	}
	for _, x := range t.x {
		some.x = append(some.x, pick(x))
	}
	for _, c := range t.terms {
		// A term that no longer varies is left out.
		if values := pick(c.values); len(values) > 0 && slices.Min(values) < slices.Max(values) {
			some.terms = append(some.terms, column{c.covariate, c.name, values})
		}
	}
	if t.definition.Outcome.Kind == Complication {
		for _, y := range some.y {
			some.events += int(y)
		}
	}
	return some
}
