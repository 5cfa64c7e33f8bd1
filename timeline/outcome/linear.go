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
	model *stat.LinearModel
	operators
	weights []float64 // nil: none
	share   float64   // of the residual variance that is counting error
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
	var err error
	f.operators, err = t.byOperator(f.model.Clustered)
	return f, err
}

// operators is what a fit says when the cases of one operator may go together.
type operators struct {
	clustered *stat.Clustered // nil where there is one operator, or somebody unknown
	enough    bool            // for intervals that allow for them
}

func (t *table) byOperator(clustered func(operators []string) (stat.Clustered, error)) (operators, error) {
	n := distinct(t.operators)
	if n < 2 || slices.Contains(t.operators, "") {
		return operators{}, nil
	}
	c, err := clustered(t.operators)
	return operators{&c, n >= fewestOperators}, err
}

// respected reports whether intervals can allow for operators.
func (o operators) respected() bool { return o.clustered != nil && o.enough }

// alone reports whether one operator alone decides a coefficient.
func (o operators) alone(at int) bool { return o.clustered != nil && o.clustered.Alone[at] }

// decidedByOne is told in place of a figure that one operator alone decides: no spread between operators stands against it.
const decidedByOne = "One operator alone decides this figure: these data cannot tell the exposure from the operator."

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
		return finite(100 * -math.Expm1(-b))
	}
	return b
}

// finite keeps a number within those that can be written.
func finite(v float64) float64 { return max(-math.MaxFloat64, min(v, math.MaxFloat64)) }

// size tells a coefficient: clustered by operator, HC3 beside; with few operators HC3 alone.
func (t *table) size(f linearFit, at int) Size {
	c := f.model.Coefficients[at]
	s := Size{Value: t.told(c.Estimate), N: f.model.N, Interval: "classical"}
	interval, p := c.Interval, c.P
	if c.RobustInterval != nil {
		s.Interval, interval = "hc3", *c.RobustInterval
	}
	if c.RobustP != nil {
		p = *c.RobustP
	}
	if f.respected() {
		low, high := t.told(interval.Lower), t.told(interval.Upper)
		s.OtherLow, s.OtherHigh = &low, &high
		s.Interval, interval, p = "clustered", f.clustered.Intervals[at], f.clustered.P[at]
	}
	s.Low, s.High, s.P = t.told(interval.Lower), t.told(interval.Upper), &p
	return s
}

// errorOf is the standard error behind the interval of size, with its degrees of freedom.
func (f linearFit) errorOf(at int) (se, df float64) {
	if f.respected() {
		return f.clustered.SE[at], f.clustered.DF[at]
	}
	c := f.model.Coefficients[at]
	if c.RobustSE != nil {
		return *c.RobustSE, float64(f.model.DF)
	}
	return c.SE, float64(f.model.DF)
}

// meanAt is the interval of the fitted value at a row of terms that rests on what those of the coefficients rest on.
func (f linearFit) meanAt(row []float64, plain stat.Interval) stat.Interval {
	if f.respected() {
		if mean, known := f.clustered.Mean(row); known {
			return mean
		}
	}
	if mean, known := f.model.RobustMean(row); known {
		return mean
	}
	return plain
}

// linear fills the relation of a measured outcome.
func (t *table) linear(ctx context.Context, k int, rel *Relation) error {
	alone, err := t.fit(t.design([]int{k}, nil))
	if err == nil && !alone.alone(1) {
		size := t.size(alone, 1)
		rel.Unadjusted = &size
	}
	d := t.design([]int{k}, t.terms)
	fit, err := t.fit(d)
	if err != nil {
		rel.Why = err.Error()
		return ctx.Err()
	}
	if fit.alone(1) {
		rel.Why, rel.Sensitivity = decidedByOne, append(rel.Sensitivity, t.withinOperators(k))
		return ctx.Err()
	}
	size := t.size(fit, 1)
	rel.Adjusted = &size
	if fit.model.Coefficients[1].RobustInterval == nil {
		rel.Checks = append(rel.Checks, "One case alone carries a term of this model: the interval that takes all cases for independent supposes that all values spread alike.")
	}
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
		// A term that no longer tells anything is left out.
		if values := pick(c.values); tells(values) {
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
