package outcome

import (
	"context"
	"fmt"
	"math"

	"zonule/timeline/stat"
)

// oddsFit is a fitted chance with the standard errors that respect operators.
type oddsFit struct {
	model *stat.LogisticModel
	operators
}

// chances fits the chance of a complication, with profile intervals of the exposures only.
func (t *table) chances(ctx context.Context, d *stat.Design, profiled []int) (oddsFit, error) {
	m, err := stat.LogisticContext(ctx, d, t.y, stat.LogisticOptions{Level: level, Penalised: true, Profiled: profiled})
	if err != nil {
		return oddsFit{}, err
	}
	f := oddsFit{model: m}
	f.operators, err = t.byOperator(func(operators []string) (stat.Clustered, error) { return m.Clustered(d, operators) })
	return f, err
}

// widening is how many times as wide the interval that respects operators is as the plain one; 1 with too few of them.
func (f oddsFit) widening(at int) float64 {
	c := f.model.Coefficients[at]
	plain := c.Interval.Upper - c.Interval.Lower
	if !f.respected() || !(plain > 0) {
		return 1
	}
	return (f.clustered.Intervals[at].Upper - f.clustered.Intervals[at].Lower) / plain
}

// odds tells a coefficient by its profile interval, which suits rare events, scaled about the estimate to the width that
// respects operators; the plain profile interval stands beside. (Over 1,000 units each of which nothing was planted, the
// scaled one left 1 out in 4 to 6 % however much operators differed, the plain one in 4 to 32 %.) A bound that does not exist is the end of what an odds
// ratio can be.
func (f oddsFit) odds(at int) Size {
	m := f.model
	c, profile, wider := m.Coefficients[at], m.Profile[at], f.widening(at)
	low, high := 0.0, math.MaxFloat64
	s := Size{Value: ratio(c.Estimate), N: m.N, Interval: "profile", High: math.MaxFloat64, P: profile.P, EventsPerParameter: &m.EventsPerParameter}
	if profile.Lower != nil {
		low, s.Low = ratio(*profile.Lower), ratio(c.Estimate-wider*(c.Estimate-*profile.Lower))
	}
	if profile.Upper != nil {
		high, s.High = ratio(*profile.Upper), ratio(c.Estimate+wider*(*profile.Upper-c.Estimate))
	}
	if f.respected() {
		s.Interval, s.OtherLow, s.OtherHigh = "profile, clustered", &low, &high
	}
	if profile.Z != nil && wider != 1 {
		p := math.Erfc(*profile.Z / wider / math.Sqrt2)
		s.P = &p
	}
	return s
}

// ratio is the odds ratio of a coefficient.
func ratio(b float64) float64 { return finite(math.Exp(b)) }

// logistic fills the relation of a complication.
func (t *table) logistic(ctx context.Context, k int, rel *Relation) error {
	if alone, err := t.chances(ctx, t.design([]int{k}, nil), []int{1}); err == nil && !alone.alone(1) {
		size := alone.odds(1)
		rel.Unadjusted = &size
	}
	d := t.design([]int{k}, t.terms)
	m, err := t.chances(ctx, d, []int{1})
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err != nil {
		rel.Why = err.Error()
		return nil
	}
	if m.alone(1) {
		rel.Why = decidedByOne
		return nil
	}
	size := m.odds(1)
	rel.Adjusted = &size
	if smallest, err := stat.SmallestDetectable(m.widening(1)*m.model.Coefficients[1].SE, 0, level, power); err == nil {
		smallest = ratio(smallest)
		rel.SmallestSeen = &smallest
	}
	rel.Checks = append(rel.Checks, m.model.Notes...)
	t.farthestEvent(ctx, k, rel)
	t.bendOdds(ctx, k, rel)
	for _, band := range strata {
		rel.Sensitivity = append(rel.Sensitivity, t.withinGrades(band.name, band.from, band.to, func(part *table) (*Size, string) {
			return part.oddsRatioOf(ctx, k)
		}))
	}
	t.logisticChart(m, k, rel)
	return ctx.Err()
}

// oddsRatioOf is the adjusted relation in a part of the cases, or why there is none.
func (t *table) oddsRatioOf(ctx context.Context, k int) (*Size, string) {
	switch n := len(t.rows); {
	case n < fewestCases:
		return nil, fmt.Sprintf("%s: under %d nothing is modelled.", capital(cases(n)), fewestCases)
	case t.events < fewestEvents:
		return nil, fmt.Sprintf("%s with the complication: under %d nothing is modelled.", capital(cases(t.events)), fewestEvents)
	case n-t.events < fewestEvents:
		return nil, fmt.Sprintf("%s without the complication: under %d nothing is modelled.", capital(cases(n-t.events)), fewestEvents)
	case !t.moves(k):
		return nil, hardlyVaries
	}
	m, err := t.chances(ctx, t.design([]int{k}, t.terms), []int{1})
	if err != nil {
		return nil, err.Error()
	}
	if m.alone(1) {
		return nil, decidedByOne
	}
	size := m.odds(1)
	return &size, ""
}

// farthestEvent leaves out the case with the complication that lies farthest from the others in the exposure, on the side of
// the relation.
func (t *table) farthestEvent(ctx context.Context, k int, rel *Relation) {
	side := sign(math.Log(rel.Adjusted.Value))
	farthest := -1
	for i, y := range t.y {
		if y == 1 && (farthest < 0 || side*t.x[k][i] > side*t.x[k][farthest]) {
			farthest = i
		}
	}
	if farthest < 0 {
		return
	}
	rest := t.part(func(i int) bool { return i != farthest })
	one := Sensitivity{Name: "without the event farthest out"}
	if one.Why = rest.withheld("the other cases"); one.Why == "" {
		one.Size, one.Why = rest.oddsRatioOf(ctx, k)
	}
	rel.Sensitivity = append(rel.Sensitivity, one)
	if one.Size == nil {
		return
	}
	without := t.sizeWords(*one.Size)
	if !oddsFound(*rel.Adjusted) {
		rel.Checks = append(rel.Checks, "Without the event farthest out it is "+without+".")
		return
	}
	share := 100 * (1 - math.Log(one.Size.Value)/math.Log(rel.Adjusted.Value))
	rel.Driving = append(rel.Driving, Driver{t.rows[farthest].CaseID, share})
	switch {
	case oddsFound(*one.Size):
		rel.Checks = append(rel.Checks, "The event farthest out does not make this alone: without it it is "+without+".")
	case share > 100*muchChange:
		rel.Checks = append(rel.Checks, "One case drives this: without the event farthest out it is "+without+".")
	default:
		rel.Checks = append(rel.Checks, "This is only just found: without the event farthest out it is "+without+".")
	}
}

// bendOdds is bend for the log odds, where there are events for one more term.
func (t *table) bendOdds(ctx context.Context, k int, rel *Relation) {
	d, ok := t.bent(k)
	square := len(d.Terms) - 1
	if !ok || min(t.events, len(t.y)-t.events) < eventsPerTerm*square {
		return
	}
	m, err := t.chances(ctx, d, []int{square})
	if err != nil {
		return
	}
	if p := m.odds(square).P; p != nil && !m.alone(square) {
		rel.Checks = append(rel.Checks, bendWords(*p))
	}
}

// oddsFound reports whether the interval leaves an odds ratio of 1 out.
func oddsFound(s Size) bool { return s.Low > 1 || s.High < 1 }

// logisticTogether fits all exposures beside each other.
func (t *table) logisticTogether(ctx context.Context, d *stat.Design, varying []int, r *Result) error {
	if terms := len(d.Terms); min(t.events, len(t.y)-t.events) < eventsPerTerm*(terms-1) {
		r.Notes = append(r.Notes, fmt.Sprintf("There are too few events (%d) to fit all exposures beside each other.", t.events))
		return ctx.Err()
	}
	profiled := make([]int, len(varying))
	for at := range varying {
		profiled[at] = 1 + at
	}
	m, err := t.chances(ctx, d, profiled)
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err != nil {
		r.Collinear = append(r.Collinear, "The exposures cannot be fitted beside each other: "+err.Error())
		return nil
	}
	for at, k := range varying {
		if m.alone(1 + at) {
			continue
		}
		size := m.odds(1 + at)
		r.Relations[k].Together = &size
	}
	return nil
}
