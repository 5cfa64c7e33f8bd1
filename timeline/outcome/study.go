package outcome

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"zonule/timeline/cohort"
	"zonule/timeline/stat"
)

const (
	level = 0.95
	// fewestCases and fewestEvents are under what nothing is modelled. Source: our choice, stated on the page.
	fewestCases, fewestEvents = 20, 10
	// power is that of the smallest relation told.
	power = 0.8
)

// Study answers a definition from the rows of a unit.
func Study(rows []cohort.Row, d Definition) Result {
	result, err := StudyContext(context.Background(), rows, d, Options{})
	if err != nil {
		result.Why = err.Error() // only a cancelled context gives an error, and this one is not
	}
	return result
}

// StudyContext is Study with options, which can be cancelled. The only error is the context's.
func StudyContext(ctx context.Context, rows []cohort.Row, d Definition, options Options) (Result, error) {
	r := Result{
		Definition: d, FellOut: []cohort.LeftOut{}, Differences: []Difference{}, AdjustedFor: []Adjustment{}, NotAdjusted: []Adjustment{},
		Relations: []Relation{}, Collinear: []string{}, Answer: []string{}, CannotSay: []string{}, Notes: []string{}, Methods: studyMethods,
	}
	if wrong := d.Check(); len(wrong) > 0 {
		r.Why = wrong[0]
		return r, nil
	}
	r.Outcome = d.Outcome.measure(options.Names)
	t := newTable(rows, d, options.Names)
	t.fewest = options.Operators
	r.Population = t.population
	if why := Untold(slices.Concat(t.rows, t.fell), t.fewest, "the cases chosen"); why != "" && t.population > 0 {
		r.Why, r.Withheld = why, true // what of them is missing would tell of them, too
		return r, nil
	}
	r.N, r.Operators, r.FellOut = len(t.rows), distinct(t.operators), append(r.FellOut, t.fellOut...)
	if why := t.withheld("the cases of which everything is known"); why != "" && len(t.rows) > 0 {
		r.Why, r.Withheld = why, true
		return r, nil
	}
	r.Events, r.Differences = t.events, t.differences()
	r.Why = t.refusal()
	if r.Why == "" {
		t.dropCombinations()
	}
	r.AdjustedFor, r.NotAdjusted = append(r.AdjustedFor, t.adjusted...), append(r.NotAdjusted, t.omitted...)
	if r.Why != "" {
		return r, nil
	}
	shown := make([]float64, len(t.y))
	for i, y := range t.y {
		shown[i] = d.Outcome.shown(y)
	}
	r.Summary = new(Spread)
	*r.Summary = spreadOf(shown)
	for k := range d.Exposures {
		relation, err := t.relation(ctx, k)
		if err != nil {
			return r, err
		}
		r.Relations = append(r.Relations, relation)
		if options.Progress != nil {
			options.Progress(k+1, len(d.Exposures))
		}
	}
	if err := t.together(ctx, &r); err != nil {
		return r, err
	}
	r.correct()
	t.counting(&r)
	t.tell(&r)
	return r, nil
}

// refusal says what is missing for a model, "" when nothing is.
func (t *table) refusal() string {
	n := len(t.rows)
	why := ""
	switch complication := t.definition.Outcome.Kind == Complication; {
	case t.population == 0:
		return "The definition chooses no case."
	case n < fewestCases:
		why = fmt.Sprintf("Everything is known of %s; nothing is modelled under %d.", cases(n), fewestCases)
	case complication && t.events < fewestEvents:
		why = fmt.Sprintf("%s had this complication; nothing is modelled under %d.", capital(cases(t.events)), fewestEvents)
	case complication && n-t.events < fewestEvents:
		why = fmt.Sprintf("%s did not have this complication; nothing is modelled under %d.", capital(cases(n-t.events)), fewestEvents)
	default:
		return ""
	}
	if len(t.fellOut) > 0 {
		most := slices.MaxFunc(t.fellOut, func(a, b cohort.LeftOut) int { return a.Cases - b.Cases })
		why += fmt.Sprintf(" Most often missing, in %s: %s", cases(most.Cases), most.Reason)
	}
	return why
}

// dropCombinations drops factors, the least important first, until none is a combination of the others.
func (t *table) dropCombinations() {
	for len(t.terms) > 0 {
		_, err := stat.LeastSquares(t.design(nil, t.terms), t.y, nil, level)
		var degenerate *stat.Degenerate
		if err == nil || !errors.As(err, &degenerate) || degenerate.Reason != stat.RankDeficient {
			return
		}
		last := t.terms[len(t.terms)-1].covariate
		t.terms = slices.DeleteFunc(t.terms, func(c column) bool { return c.covariate == last })
		at := slices.IndexFunc(t.adjusted, func(a Adjustment) bool { return a.Code == last })
		out := t.adjusted[at]
		out.Reason = "In these cases it is a combination of the other factors."
		t.adjusted = slices.Delete(t.adjusted, at, at+1)
		t.omitted = append(t.omitted, out)
	}
}

// design is the intercept, then exposures, then factors.
func (t *table) design(exposures []int, terms []column) *stat.Design {
	d := stat.NewDesign(len(t.rows))
	for _, k := range exposures {
		m, _ := t.definition.Exposures[k].measure(t.names)
		must(d.Add(m.Name, t.x[k]))
	}
	for _, c := range terms {
		must(d.Add(c.name, c.values))
	}
	return d
}

// must holds what the table guarantees: columns of one length, of finite values.
func must(err error) {
	if err != nil {
		panic(err)
	}
}

// relation studies one exposure.
func (t *table) relation(ctx context.Context, k int) (Relation, error) {
	e := t.definition.Exposures[k]
	rel := Relation{Exposure: e, Sensitivity: []Sensitivity{}, Driving: []Driver{}, Checks: []string{}}
	rel.Measure, rel.Per = e.measure(t.names)
	raw := make([]float64, len(t.rows))
	for i, v := range t.x[k] {
		raw[i] = e.unscaled(v)
	}
	rel.Summary = spreadOf(raw)
	if !t.moves(k) {
		rel.Why = hardlyVaries
		return rel, nil
	}
	if rho, err := stat.Spearman(t.x[k], t.y, level); err == nil {
		rel.Rank = &Rank{Rho: rho.Rho.Value, P: rho.P}
		if rho.Rho.Interval != nil {
			rel.Rank.Low, rel.Rank.High = &rho.Rho.Interval.Lower, &rho.Rho.Interval.Upper
		}
	}
	if t.definition.Outcome.Kind == Complication {
		return rel, t.logistic(ctx, k, &rel)
	}
	return rel, t.linear(ctx, k, &rel)
}

// leastRange is the range of an exposure, in steps by which it is told, under which no relation is told: the figure would be
// drawn out far beyond what the cases hold. Source: our choice.
const leastRange = 0.05

const hardlyVaries = "It is the same, or nearly so, in all of these cases."

// moves reports whether an exposure varies enough to be told.
func (t *table) moves(k int) bool { return slices.Max(t.x[k])-slices.Min(t.x[k]) >= leastRange }

// together fits all exposures beside each other, and tells which cannot be told apart.
func (t *table) together(ctx context.Context, r *Result) error {
	if len(r.Relations) < 2 {
		return ctx.Err()
	}
	var varying []int
	for k := range r.Relations {
		if t.moves(k) {
			varying = append(varying, k)
		}
	}
	t.alike(varying, r)
	d := t.design(varying, t.terms)
	if t.definition.Outcome.Kind == Complication {
		return t.logisticTogether(ctx, d, varying, r)
	}
	fit, err := t.fit(d)
	if err != nil {
		r.Collinear = append(r.Collinear, "The exposures cannot be fitted beside each other: "+err.Error())
		return ctx.Err()
	}
	inflation := fit.model.InflationFactors(d)
	for at, k := range varying {
		if inflation[1+at] > mostInflation {
			r.Collinear = append(r.Collinear, fmt.Sprintf("The other exposures and factors already tell most of the %s (its variance is inflated %.0f times): what it says beside them is not to be relied on.", r.Relations[k].Name, inflation[1+at]))
		}
		if !fit.alone(1 + at) {
			size := t.size(fit, 1+at)
			r.Relations[k].Together = &size
		}
	}
	return ctx.Err()
}

const (
	// mostInflation and mostAlike are from what on two exposures count as saying the same. Source: common practice.
	mostInflation = 5
	mostAlike     = 0.8
)

// alike tells pairs of exposures that go with each other.
func (t *table) alike(varying []int, r *Result) {
	for a, k := range varying {
		for _, l := range varying[:a] {
			rho, err := stat.Spearman(t.x[l], t.x[k], level)
			if err != nil || rho.Rho.Value < mostAlike && rho.Rho.Value > -mostAlike {
				continue
			}
			r.Collinear = append(r.Collinear, fmt.Sprintf("%s and %s go together (rank correlation %.2f): these data can hardly tell one from the other.", capital(r.Relations[l].Name), r.Relations[k].Name, rho.Rho.Value))
		}
	}
}

// correct adjusts the p values for their number.
func (r *Result) correct() {
	p := make([]*float64, len(r.Relations))
	for i, rel := range r.Relations {
		if rel.Adjusted != nil {
			p[i] = rel.Adjusted.P
		}
	}
	adjusted, err := stat.Adjust(p)
	if err != nil {
		r.Notes = append(r.Notes, err.Error())
		return
	}
	for i := range r.Relations {
		r.Relations[i].Holm, r.Relations[i].BenjaminiHochberg = adjusted.Holm[i], adjusted.BenjaminiHochberg[i]
	}
}

// distinct is how many names there are; nobody has none.
func distinct(names []string) int {
	seen := map[string]bool{}
	for _, name := range names {
		if name != "" {
			seen[name] = true
		}
	}
	return len(seen)
}
