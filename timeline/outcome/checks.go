package outcome

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"zonule/timeline/stat"
)

const (
	// mostDrivers is how many cases are tried as those that drive a relation.
	mostDrivers = 3
	// muchChange is the share of a coefficient that counts as a change. Source: our choice.
	muchChange = 1.0 / 3
	// muchMoved is the share of the interval's width (about four standard errors) that counts as far. Source: our choice: the
	// three cases that lean most move a figure by half a standard error or one where nothing is wrong.
	muchMoved = 3.0 / 8
	// farOff is the studentised residual from which a case counts as far off. Source: common practice.
	farOff = 4
)

// influence finds the cases that carry the relation most and says in words whether it rests on them.
func (t *table) influence(f linearFit, k int, rel *Relation) {
	pull, err := f.model.Pull(1)
	if err != nil {
		return
	}
	b := f.model.Coefficients[1].Estimate
	order := make([]int, len(pull))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(x, y int) int { return cmp.Compare(pull[y]*sign(b), pull[x]*sign(b)) })
	order = order[:min(mostDrivers, len(order))]
	without, changed := t.without(order, k, rel)
	for _, i := range order {
		if share := 100 * pull[i] / b; (found(*rel.Adjusted) || changed > 0) && b != 0 && share > 5 {
			rel.Driving = append(rel.Driving, Driver{CaseID: t.rows[i].CaseID, Share: share})
		}
	}
	switch {
	case without == nil:
	case changed > 0:
		rel.Checks = append(rel.Checks, fmt.Sprintf("%s this: without %s, the figure is %s.", driveThis(changed), itOrThem(changed), t.sizeWords(*without)))
	case !found(*rel.Adjusted):
		rel.Checks = append(rel.Checks, fmt.Sprintf("Without the %d cases that lean most this way the figure is %s.", len(order), t.sizeWords(*without)))
	default:
		rel.Checks = append(rel.Checks, fmt.Sprintf("No small number of cases drives this: without the %d that carry it most the figure is %s.", len(order), t.sizeWords(*without)))
	}
	if without != nil {
		rel.Sensitivity = append(rel.Sensitivity, Sensitivity{Name: "without the most influential cases", Size: without})
	}
	t.residuals(f, rel)
}

// without refits without the cases that carry the relation most: all of them, then, if that changes much, the fewest that do.
func (t *table) without(order []int, k int, rel *Relation) (size *Size, changed int) {
	refit := func(count int) *Size {
		rest := t.part(func(i int) bool { return !slices.Contains(order[:count], i) })
		if rest.withheld("") != "" {
			return nil
		}
		size, _ := rest.lineOf(k)
		return size
	}
	all := refit(len(order))
	if all == nil || !changes(*rel.Adjusted, *all) {
		return all, 0
	}
	for count := 1; count < len(order); count++ {
		if s := refit(count); s != nil && changes(*rel.Adjusted, *s) {
			return s, count
		}
	}
	return all, len(order)
}

// changes reports whether a size, where none is 0, tells something else without some cases: a finding has gone, or it has moved
// by much of itself and by more than a few cases of a healthy unit move it.
func changes(from, to Size) bool {
	if found(from) && !found(to) {
		return true
	}
	moved := math.Abs(to.Value - from.Value)
	return moved > muchChange*math.Abs(from.Value) && moved > muchMoved*(to.High-to.Low)
}

// found reports whether the interval leaves "none" out, for a size of which 0 is none.
func found(s Size) bool { return s.Low > 0 || s.High < 0 }

func sign(v float64) float64 {
	if v < 0 {
		return -1
	}
	return 1
}

// residuals says what lies far off the line.
func (t *table) residuals(f linearFit, rel *Relation) {
	influence := f.model.Influence()
	far := 0
	for _, s := range influence.Studentised {
		if math.Abs(s) > farOff {
			far++
		}
	}
	if far > 0 {
		rel.Checks = append(rel.Checks, fmt.Sprintf("%s over %d standard deviations from what the line expects: look whether the record is right.", lieOff(far), farOff))
	} else {
		rel.Checks = append(rel.Checks, fmt.Sprintf("No case lies over %d standard deviations from what the line expects.", farOff))
	}
}

// bend asks whether the relation is a straight line: the square of the exposure beside it.
func (t *table) bend(k int, rel *Relation) {
	d, ok := t.bent(k)
	if !ok {
		return
	}
	square := len(d.Terms) - 1
	fit, err := t.fit(d)
	if err != nil || fit.alone(square) {
		return
	}
	rel.Checks = append(rel.Checks, bendWords(*t.size(fit, square).P))
}

// bent is the design with the square of an exposure as its last term.
func (t *table) bent(k int) (*stat.Design, bool) {
	x := t.x[k]
	mean := spreadOf(x).Mean
	squares := make([]float64, len(x))
	for i, v := range x {
		squares[i] = (v - mean) * (v - mean)
	}
	d := t.design([]int{k}, t.terms)
	return d, d.Add("square", squares) == nil
}

func bendWords(p float64) string {
	if p < 0.05 {
		return fmt.Sprintf("The relation is not a straight line (p %s for a bend): one figure for the whole range says too little; look at the points.", pWords(p))
	}
	return fmt.Sprintf("No bend is shown (p %s); in few cases one can go unseen.", pWords(p))
}

// strata are the bands of nuclear grade within which a relation is told too.
var strata = []struct {
	name     string
	from, to int
}{{"within nuclear grade 1 to 2", 1, 2}, {"within nuclear grade 3", 3, 3}, {"within nuclear grade 4 to 5", 4, 5}}

// linearSensitivity finds the relation in other ways and in parts of the cases.
func (t *table) linearSensitivity(f linearFit, d *stat.Design, k int, rel *Relation) {
	rel.Sensitivity = append(rel.Sensitivity, t.robustLine(d))
	if f.weights != nil {
		if plain, err := t.unweighted().fit(d); err == nil && !plain.alone(1) {
			size := t.size(plain, 1)
			rel.Sensitivity = append(rel.Sensitivity, Sensitivity{Name: "every count weighing the same", Size: &size})
		}
	}
	if t.acrossAll() > 0 {
		rel.Sensitivity = append(rel.Sensitivity, t.sameInstrument(k))
	}
	rel.Sensitivity = append(rel.Sensitivity, t.withinOperators(k))
	for _, band := range strata {
		rel.Sensitivity = append(rel.Sensitivity, t.withinGrades(band.name, band.from, band.to, func(part *table) (*Size, string) {
			return part.lineOf(k)
		}))
	}
}

// lineOf is the adjusted relation in a part of the cases, or why there is none.
func (t *table) lineOf(k int) (*Size, string) {
	if len(t.rows) < fewestCases {
		return nil, fmt.Sprintf("%s: under %d nothing is modelled.", capital(cases(len(t.rows))), fewestCases)
	}
	if !t.moves(k) {
		return nil, hardlyVaries
	}
	fit, err := t.fit(t.design([]int{k}, t.terms))
	if err != nil {
		return nil, err.Error()
	}
	if fit.alone(1) {
		return nil, decidedByOne
	}
	size := t.size(fit, 1)
	return &size, ""
}

// sameInstrument leaves out the cases whose counts are of different instruments.
func (t *table) sameInstrument(k int) Sensitivity {
	one := Sensitivity{Name: "without counts of different instruments"}
	part := t.part(func(i int) bool { return !t.across(i) })
	if one.Why = part.withheld("these cases"); one.Why == "" || len(part.rows) == 0 {
		one.Size, one.Why = part.lineOf(k)
	}
	return one
}

// mostRanked bounds the time of the robust line: of more cases, evenly spaced ones in time are taken.
const mostRanked = 10_000

// robustLine is the median slope of what the factors leave of outcome and exposure.
func (t *table) robustLine(d *stat.Design) Sensitivity {
	one := Sensitivity{Name: "robust line (Theil-Sen) after the factors"}
	x, y, err := stat.AddedVariable(d, t.y, nil, 1)
	if err != nil {
		one.Why = err.Error()
		return one
	}
	if n := len(x); n > mostRanked {
		one.Name += fmt.Sprintf(", on %d cases evenly spaced in time", mostRanked)
		for i := range mostRanked {
			at := i * (n - 1) / (mostRanked - 1)
			x[i], y[i] = x[at], y[at]
		}
		x, y = x[:mostRanked], y[:mostRanked]
	}
	line, err := stat.TheilSen(x, y, level)
	if err != nil {
		one.Why = err.Error()
		return one
	}
	one.Size = &Size{Value: t.told(line.Slope.Value), N: len(x), Interval: "rank"}
	if line.Slope.Interval != nil {
		one.Size.Low, one.Size.High = t.told(line.Slope.Interval.Lower), t.told(line.Slope.Interval.Upper)
	}
	return one
}

// unweighted is the same table with nothing known of counting error.
func (t *table) unweighted() *table {
	plain := *t
	plain.variances = nil
	return &plain
}

func (t *table) withinGrades(name string, from, to int, model func(*table) (*Size, string)) Sensitivity {
	one := Sensitivity{Name: name}
	part := t.part(func(i int) bool {
		grade := t.rows[i].Before.NuclearGrade
		return grade != nil && *grade >= from && *grade <= to
	})
	if one.Why = part.withheld("these cases"); one.Why == "" || len(part.rows) == 0 {
		one.Size, one.Why = model(part)
	}
	return one
}

// mostOperators bounds the terms of the model that compares cases of the same operator.
const mostOperators = 30

// withinOperators compares only cases of the same operator: each has an own level.
func (t *table) withinOperators(k int) Sensitivity {
	one := Sensitivity{Name: "between cases of the same operator"}
	names := slices.Compact(slices.Sorted(slices.Values(t.operators)))
	switch {
	case len(names) < 2:
		one.Why = "There is one operator."
		return one
	case len(names) > mostOperators || len(t.rows) < casesPerTerm*(len(names)+len(t.terms)):
		one.Why = "There are too many operators for so many cases."
		return one
	}
	// Trainee or not is told by who operates.
	terms := slices.DeleteFunc(slices.Clone(t.terms), func(c column) bool { return c.covariate == "trainee" })
	d := t.design([]int{k}, terms)
	if err := d.AddFactor("operator", names, t.operators); err != nil {
		one.Why = err.Error()
		return one
	}
	fit, err := t.fit(d)
	if err != nil {
		one.Why = err.Error()
		return one
	}
	size := t.size(fit, 1)
	one.Size = &size
	return one
}
