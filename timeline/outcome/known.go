package outcome

import (
	"math"

	"zonule/timeline/cohort"
)

// KnownIn counts the cases of which the outcome is known. Of a complication it counts those in which it happened.
func (o Outcome) KnownIn(rows []cohort.Row) int {
	n := 0
	read := o.reading(false)
	for i := range rows {
		if o.Kind == Complication {
			if o.happened(&rows[i]) {
				n++
			}
		} else if y, reason := read(&rows[i]); reason == "" && !math.IsNaN(y) {
			n++
		}
	}
	return n
}

// KnownIn counts the cases of which the exposure is known; figures of energy count for the family of machines that most
// cases were operated with.
func (e Exposure) KnownIn(rows []cohort.Row) int {
	family := ""
	if e.Kind == Dissipated || e.Kind == EffectiveTime {
		all := make([]*cohort.Row, len(rows))
		for i := range rows {
			all[i] = &rows[i]
		}
		family = commonFamily(all)
	}
	n := 0
	read := e.reading(family)
	for i := range rows {
		if _, reason := read(&rows[i]); reason == "" {
			n++
		}
	}
	return n
}

// Scales are the steps by which a relation to the exposure can be told.
func (e Exposure) Scales() []Scale {
	if rule, _ := e.rule(); rule.fromZero {
		return []Scale{PerUnit}
	}
	return []Scale{PerUnit, PerDoubling}
}

// Named gives the name and the unit of the exposure.
func (e Exposure) Named(names Names) Measure {
	m, _ := e.measure(names)
	return m
}

// FactorKnownIn counts the cases of which a factor to adjust for is known; 0 for a code of none.
func FactorKnownIn(rows []cohort.Row, code string) int {
	c, known := covariateOf(code)
	if !known {
		return 0
	}
	n := 0
	for i := range rows {
		if !math.IsNaN(c.terms[0].value(&rows[i])) {
			n++
		}
	}
	return n
}
