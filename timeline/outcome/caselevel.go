package outcome

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"zonule/timeline/cohort"
)

// caseExposures are told of one case, in this order.
var caseExposures = []Exposure{
	{Kind: OperationTime}, {Kind: StageTime, Code: "nucleus"}, {Kind: Dissipated}, {Kind: EffectiveTime}, {Kind: UltrasoundTime},
	{Kind: Fluid}, {Kind: OVDTopUps}, {Kind: Contacts}, {Kind: Interruption},
}

const (
	// fewestReference is under what there is no percentile.
	fewestReference = 20
	// outer is the percentile from which, on either side, an exposure stands out. Source: our choice.
	outer = 90
	// fewestShare is under what no percentage is told.
	fewestShare = 5
)

// CaseLevel tells one case beside the unit's other cases of the same technique. The order of the rows does not matter, and
// they may hold the case itself, which is never part of its own reference.
func CaseLevel(rows []*cohort.Row, row *cohort.Row, names Names) CaseAnswer {
	others := othersOf(rows, row)
	a := CaseAnswer{
		Technique: row.Technique, Others: len(others), Exposures: []CaseExposure{}, Complications: []CaseComplication{}, Notes: []string{},
	}
	placed := 0
	for _, e := range caseExposures {
		if one, worth := exposureOf(others, row, e, names); worth {
			a.Exposures = append(a.Exposures, one)
			if one.Percentile != nil {
				placed++
			}
		}
	}
	if placed > 1 {
		a.Notes = append(a.Notes, fmt.Sprintf("%d exposures are placed here; of so many, about %.0f lie among the highest or lowest tenth in any case, by chance.", placed, math.Ceil(float64(placed)*(100-outer)*2/100)))
	}
	a.lossOf(others, row, names)
	for i := range row.Complications {
		a.Complications = append(a.Complications, complicationOf(others, row, row.Complications[i], names))
	}
	if a.Loss != nil {
		if before, after, _ := counts(row, a.Loss.Window); acrossInstruments(before, after) {
			a.Notes = append(a.Notes, "The two counts of this case are of different instruments or methods and are compared at its request; "+betweenInstruments)
		}
	}
	a.StandsOut, a.CannotSay = a.standsOut(), a.cannotSay()
	return a
}

// othersOf chooses the reference, by date and case id, so that sums come out the same whatever the order of the rows.
func othersOf(rows []*cohort.Row, row *cohort.Row) []*cohort.Row {
	others := make([]*cohort.Row, 0, len(rows))
	for _, other := range rows {
		if other.CaseID != row.CaseID && other.Technique == row.Technique {
			others = append(others, other)
		}
	}
	slices.SortFunc(others, byDateAndCase)
	return others
}

// exposureOf places one exposure of the case; worth is false when neither the case nor any other has it.
func exposureOf(others []*cohort.Row, row *cohort.Row, e Exposure, names Names) (one CaseExposure, worth bool) {
	one.Exposure = e
	one.Measure, _ = e.measure(names)
	read := e.reading(row.Operation.MachineFamily)
	v, reason := read(row)
	reference := make([]float64, 0, len(others))
	for _, other := range others {
		if value, missing := read(other); missing == "" {
			reference = append(reference, value)
		}
	}
	one.N = len(reference)
	if one.N >= fewestReference {
		spread := spreadOf(reference)
		one.Reference = &spread
	}
	if reason != "" {
		one.Why = reason
		return one, one.N > 0
	}
	one.Value = &v
	if one.N < fewestReference {
		one.Why = fmt.Sprintf("Known of %s; no percentile is told under %d.", otherCases(one.N), fewestReference)
		return one, true
	}
	below, equal := 0, 0
	for _, value := range reference {
		switch {
		case value < v:
			below++
		case value == v:
			equal++
		}
	}
	percentile := 100 * (float64(below) + float64(equal)/2) / float64(one.N)
	one.Percentile = &percentile
	return one, true
}

// standsOut is one sentence of what lies outside.
func (a *CaseAnswer) standsOut() string {
	var aside, out []string
	placed := 0
	for _, e := range a.Exposures {
		if e.Percentile == nil {
			continue
		}
		placed++
		value := strings.TrimSpace(e.valueWords() + " " + e.Unit)
		switch {
		case *e.Percentile > outer:
			aside = append(aside, fmt.Sprintf("%s (%s, more than in %s)", e.Name, value, shareWords(*e.Percentile, e.N)))
		case *e.Percentile < 100-outer:
			aside = append(aside, fmt.Sprintf("%s (%s, less than in %s)", e.Name, value, shareWords(100-*e.Percentile, e.N)))
		}
	}
	if len(aside) > 0 {
		out = append(out, "beside the unit's other cases, "+strings.Join(aside, ", "))
	}
	if l := a.Loss; l != nil && (l.Beyond || l.Below) {
		side := map[bool]string{true: "larger", false: "smaller"}[l.Beyond]
		out = append(out, fmt.Sprintf("the loss of cells (%s %%), %s than such cases show (%s to %s %%)", figure(l.Observed), side, figure(l.Low), figure(l.High)))
	}
	for _, m := range a.Complications {
		out = append(out, m.words())
	}
	switch {
	case len(out) > 0:
		return "What stands out: " + strings.Join(out, "; ") + "."
	case placed == 0 && a.Loss == nil:
		return "Too little is recorded here, or of other cases, to tell what stands out."
	}
	return "Nothing that was measured stands out beside the unit's other cases."
}

// valueWords writes the value of the case; what was counted has no decimals.
func (e *CaseExposure) valueWords() string {
	switch e.Exposure.Kind {
	case OVDTopUps, Contacts, Events:
		return fmt.Sprintf("%.0f", *e.Value)
	}
	return figure(*e.Value)
}

// shareWords tells a mid-rank percentile among n without claiming more than n can tell.
func shareWords(percentile float64, n int) string {
	if percentile >= 100 {
		return fmt.Sprintf("all %d", n)
	}
	return fmt.Sprintf("about %.0f %%", min(percentile, 99))
}

// cannotSay is one sentence of what these figures do not tell.
func (a *CaseAnswer) cannotSay() string {
	switch {
	case a.Loss == nil:
		return "Whether more cells were lost than such cases lose cannot be said: " + lowerFirst(a.WhyNoLoss)
	case a.Loss.ObservedLow == nil:
		return "How much of the loss is counting error cannot be said: cells counted or their variation is missing."
	case *a.Loss.ObservedLow < 0 && *a.Loss.ObservedHigh > 0:
		return "Whether any cells were lost at all cannot be said: the difference lies within counting error."
	}
	return "Whether a shorter time or less energy would have left more cells in this eye cannot be said from one case, nor from many that were not assigned by chance."
}

func lowerFirst(text string) string {
	if text == "" {
		return text
	}
	return strings.ToLower(text[:1]) + text[1:]
}

func otherCases(n int) string {
	switch n {
	case 0:
		return "no other case"
	case 1:
		return "1 other case"
	}
	return fmt.Sprintf("%d other cases", n)
}
