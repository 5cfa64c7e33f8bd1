package outcome

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"zonule/timeline"
	"zonule/timeline/cohort"
)

const (
	// mostMissing is the share of cases that a factor of the default set may lack before it is left out. Source: our choice.
	mostMissing = 0.2
	// mostLost is the share of cases that all factors of the default set together may cost. Source: our choice.
	mostLost = 1.0 / 3
	// casesPerTerm and eventsPerTerm bound the default set. Source: common practice (ten cases, five events for a term with a
	// penalised fit).
	casesPerTerm, eventsPerTerm = 10, 5
)

// table is the complete cases of a study in columns.
type table struct {
	definition Definition
	rows       []*cohort.Row // by date and case id
	y          []float64     // as modelled
	variances  []float64     // of y from counting, not a number where not known; nil for outcomes without
	x          [][]float64   // by exposure, scaled
	terms      []column      // of the factors
	operators  []string
	adjusted   []Adjustment
	omitted    []Adjustment
	fell       []*cohort.Row
	fellOut    []cohort.LeftOut
	population int
	family     string
	names      Names
	outcome    reading
	reasons    []string // of those who fell
	fewest     int      // people who must have led the cases of any figure
	events     int
}

// column is one term of a factor over the complete cases.
type column struct {
	covariate, name string
	values          []float64
}

// newTable chooses the population, then the cases with everything known.
func newTable(rows []cohort.Row, d Definition, names Names) *table {
	all := make([]*cohort.Row, len(rows))
	for i := range rows {
		all[i] = &rows[i]
	}
	return tableOf(all, d, names)
}

func tableOf(rows []*cohort.Row, d Definition, names Names) *table {
	t := &table{definition: d, names: names}
	var population []*cohort.Row
	for _, row := range rows {
		if d.Population.includes(row) {
			population = append(population, row)
		}
	}
	slices.SortFunc(population, byDateAndCase)
	t.population = len(population)
	t.family = commonFamily(population)
	t.measured(population)
	chosen := t.chosen()
	t.complete(chosen)
	return t
}

func byDateAndCase(a, b *cohort.Row) int {
	if c := strings.Compare(a.Date, b.Date); c != 0 {
		return c
	}
	return strings.Compare(a.CaseID, b.CaseID)
}

// drop sets a case aside with its reason.
func (t *table) drop(row *cohort.Row, reason string) {
	t.fell, t.reasons = append(t.fell, row), append(t.reasons, reason)
	for i := range t.fellOut {
		if t.fellOut[i].Reason == reason {
			t.fellOut[i].Cases++
			return
		}
	}
	t.fellOut = append(t.fellOut, cohort.LeftOut{Reason: reason, Cases: 1})
}

// measured keeps the cases whose outcome and exposures are known.
func (t *table) measured(population []*cohort.Row) {
	d := t.definition
	t.outcome = d.Outcome.reading(d.Outcome.Kind == Complication && d.Outcome.comesAfter(population))
	readings := make([]reading, len(d.Exposures))
	names := make([]string, len(d.Exposures))
	for k, e := range d.Exposures {
		readings[k] = e.reading(t.family)
		m, _ := e.measure(t.names)
		names[k] = m.Name
	}
	t.x = make([][]float64, len(d.Exposures))
	values := make([]float64, len(d.Exposures))
	for _, row := range population {
		if row.Before.NuclearGrade == nil && (d.Population.GradeFrom != nil || d.Population.GradeTo != nil) {
			t.drop(row, "The nuclear grade is not recorded, so that it is not known whether the case belongs here.")
			continue
		}
		if d.Outcome.Kind != Complication && row.CapsuleRupture && !d.Population.WithRuptures {
			t.drop(row, "The capsule ruptured: what follows differs.")
			continue
		}
		y, reason := t.outcome(row)
		for k := 0; k < len(readings) && reason == ""; k++ {
			if values[k], reason = readings[k](row); reason == "" {
				values[k], reason = d.Exposures[k].scaled(values[k])
			}
			if strings.HasPrefix(reason, "Its time") || strings.HasPrefix(reason, "A value") {
				reason = strings.ToUpper(names[k][:1]) + names[k][1:] + ": " + reason
			}
		}
		if reason != "" {
			t.drop(row, reason)
			continue
		}
		t.rows, t.y = append(t.rows, row), append(t.y, y)
		for k, v := range values {
			t.x[k] = append(t.x[k], v)
		}
	}
}

// chosen gives the factors to adjust for: those asked for, or those of the default set that the data carry.
func (t *table) chosen() []covariate {
	d := t.definition
	if d.Adjust != nil {
		var chosen []covariate
		for _, c := range covariates {
			if slices.Contains(d.Adjust, c.Code) {
				chosen = append(chosen, c)
			}
		}
		return chosen
	}
	var chosen []covariate
	terms := 0
	left := make([]int, len(t.rows)) // the cases that know every factor chosen so far
	for i := range left {
		left[i] = i
	}
	for _, c := range covariates {
		if !slices.Contains(c.usual, d.Outcome.Kind) || len(t.rows) == 0 {
			continue
		}
		knowing := slices.DeleteFunc(slices.Clone(left), func(i int) bool { return !c.knownOf(t.rows[i]) })
		share := func(known int) float64 { return 1 - float64(known)/float64(len(t.rows)) }
		switch alone, together := share(t.knowing(c)), share(len(knowing)); {
		case alone > mostMissing:
			t.omit(c, fmt.Sprintf("It is not recorded in %.0f %% of these cases; adjusting for it would lose them.", 100*alone))
		case together > mostLost:
			t.omit(c, fmt.Sprintf("Adjusting for it beside the others would lose %.0f %% of these cases.", 100*together))
		case !t.varies(c):
			t.omit(c, "It is the same in all of these cases.")
		case terms+len(c.terms) > t.room(knowing):
			t.omit(c, "There are too few cases or events for one more factor; those before it matter more.")
		default:
			chosen, left, terms = append(chosen, c), knowing, terms+len(c.terms)
		}
	}
	return chosen
}

// room is how many terms of factors some of the cases can carry.
func (t *table) room(cases []int) int {
	if t.definition.Outcome.Kind != Complication {
		return len(cases)/casesPerTerm - 1 - len(t.definition.Exposures)
	}
	events := 0
	for _, i := range cases {
		events += int(t.y[i])
	}
	return min(events, len(cases)-events)/eventsPerTerm - 1 - 1 // each exposure is fitted by itself
}

// varies reports whether any term of a factor does.
func (t *table) varies(c covariate) bool {
	return slices.ContainsFunc(c.terms, func(one term) bool {
		values := known(t.rows, one.value)
		return len(values) > 0 && slices.Min(values) < slices.Max(values)
	})
}

// knowing is how many cases know a factor.
func (t *table) knowing(c covariate) int {
	n := 0
	for _, row := range t.rows {
		if c.knownOf(row) {
			n++
		}
	}
	return n
}

func (t *table) omit(c covariate, reason string) {
	t.omitted = append(t.omitted, Adjustment{Code: c.Code, Name: c.Name, Reason: reason})
}

// complete keeps the cases whose factors are known, and drops the terms that do not vary in them.
func (t *table) complete(chosen []covariate) {
	kept := make([]int, 0, len(t.rows))
	for i, row := range t.rows {
		unknown := ""
		for _, c := range chosen {
			if unknown == "" && !c.knownOf(row) {
				unknown = c.Name
			}
		}
		if unknown != "" {
			t.drop(row, "Not recorded: "+unknown+".")
			continue
		}
		kept = append(kept, i)
	}
	t.keep(kept)
	for _, c := range chosen {
		if !t.addTerms(c) {
			t.omit(c, "It is the same in all of these cases, or in all but one.")
			continue
		}
		t.adjusted = append(t.adjusted, c.Adjustment)
	}
	t.operators = make([]string, len(t.rows))
	for i, row := range t.rows {
		t.operators[i] = row.Operator
		if t.definition.Outcome.Kind == Complication {
			t.events += int(t.y[i])
		}
	}
	if t.definition.Outcome.Kind == Loss {
		t.variances = make([]float64, len(t.rows))
		for i, row := range t.rows {
			t.variances[i] = countingVariance(row, t.definition.Outcome.Window)
		}
	}
}

func (t *table) keep(kept []int) {
	pick := func(values []float64) []float64 {
		some := make([]float64, len(kept))
		for at, i := range kept {
			some[at] = values[i]
		}
		return some
	}
	rows := make([]*cohort.Row, len(kept))
	for at, i := range kept {
		rows[at] = t.rows[i]
	}
	t.rows, t.y = rows, pick(t.y)
	for k := range t.x {
		t.x[k] = pick(t.x[k])
	}
}

// tells reports whether a term says something: it is not the same in all cases, nor in all but one, which alone would decide it.
func tells(values []float64) bool {
	sorted := slices.Sorted(slices.Values(values))
	n := len(sorted)
	return n > 2 && sorted[0] < sorted[n-2] && sorted[1] < sorted[n-1]
}

// addTerms appends those terms of a factor that tell something; false when none does.
func (t *table) addTerms(c covariate) bool {
	added := false
	for _, term := range c.terms {
		values := make([]float64, len(t.rows))
		for i, row := range t.rows {
			values[i] = term.value(row)
		}
		if !tells(values) {
			continue
		}
		t.terms = append(t.terms, column{c.Code, term.name, values})
		added = true
	}
	return added
}

// differences compares those kept with those who fell out, as far as each is known.
func (t *table) differences() []Difference {
	list := []Difference{}
	if len(t.fell) == 0 || len(t.rows) == 0 || Untold(t.fell, t.fewest, "") != "" {
		return list
	}
	quantities := []struct {
		Measure
		value func(*cohort.Row) float64
	}{
		{Measure{"nuclearGrade", "nuclear grade", ""}, func(r *cohort.Row) float64 { return valueOf(r.Before.NuclearGrade) }},
		{Measure{"age", "age", "years"}, func(r *cohort.Row) float64 { return valueOf(r.Before.Age) }},
		{Measure{"chamberDepth", "chamber depth", "mm"}, func(r *cohort.Row) float64 { return valueOf(r.Before.ChamberDepth) }},
		{Measure{"trainee", "share operated by trainees", ""}, traineeOf},
		{Measure{"operation", "operation time", "min"}, func(r *cohort.Row) float64 {
			v, _ := measuredTime(r, r.Time, r.Measured, "")
			return v
		}},
		{Measure{"rupture", "share with a capsule rupture", ""}, func(r *cohort.Row) float64 { return indicator(r.CapsuleRupture) }},
	}
	for _, q := range quantities {
		kept, fell := known(t.rows, q.value), known(t.fell, q.value)
		if min(len(kept), len(fell)) < fewestShare {
			continue // of so few one might be known again
		}
		d := Difference{Measure: q.Measure, Kept: spreadOf(kept), Fell: spreadOf(fell)}
		if pooled := math.Sqrt((d.Kept.SD*d.Kept.SD + d.Fell.SD*d.Fell.SD) / 2); pooled > 0 {
			standardised := (d.Kept.Mean - d.Fell.Mean) / pooled
			d.Standardised = &standardised
		}
		list = append(list, d)
	}
	return list
}

func known(rows []*cohort.Row, value func(*cohort.Row) float64) []float64 {
	var values []float64
	for _, r := range rows {
		if v := value(r); !math.IsNaN(v) {
			values = append(values, v)
		}
	}
	return values
}

// spreadOf describes values; the order of the sum is theirs.
func spreadOf(values []float64) Spread {
	s := Spread{N: len(values)}
	if s.N == 0 {
		return s
	}
	sorted := slices.Sorted(slices.Values(values))
	for _, v := range values {
		s.Mean += v / float64(s.N)
	}
	if sorted[0] == sorted[s.N-1] {
		s.Mean = sorted[0] // and not what rounding makes of it
	}
	if s.N > 1 {
		for _, v := range values {
			s.SD += (v - s.Mean) * (v - s.Mean) / float64(s.N-1)
		}
		s.SD = math.Sqrt(s.SD)
	}
	s.Q1, s.Median, s.Q3 = timeline.Quantile(sorted, 0.25), timeline.Quantile(sorted, 0.5), timeline.Quantile(sorted, 0.75)
	return s
}
