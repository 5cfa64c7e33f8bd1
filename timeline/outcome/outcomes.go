package outcome

import (
	"math"
	"strings"

	"zonule/timeline"
	"zonule/timeline/cohort"
)

// measure names the outcome.
func (o Outcome) measure(names Names) Measure {
	at := " at " + names.of(WindowName, o.Window)
	switch o.Kind {
	case Loss:
		return Measure{"loss", "loss of endothelial cells" + at, "%"}
	case Oedema:
		return Measure{"oedema", "grade of corneal oedema" + at, ""}
	case Thickness:
		return Measure{"thickness", "change of corneal thickness" + at, "%"}
	case AcuityGain:
		return Measure{"acuity", "gain of acuity" + at, "logMAR"}
	}
	if o.Complication == cohort.CapsuleRupture {
		return Measure{"complication", "capsule rupture (audit definition)", ""}
	}
	return Measure{"complication", names.of(ComplicationName, o.Complication), ""}
}

// reading gives the outcome of a case as it is modelled: for a loss ln(before / after). FollowUp says that the complication
// comes after the operation, so that a case never seen again is not known to be without.
func (o Outcome) reading(followUp bool) reading {
	switch o.Kind {
	case Loss:
		return func(r *cohort.Row) (float64, string) {
			before, after, reason := counts(r, o.Window)
			if reason != "" {
				return math.NaN(), reason
			}
			return math.Log(before.Density / after.Density), ""
		}
	case Oedema:
		return o.atVisit("The grade of oedema", func(_ *cohort.Row, v *cohort.Seen) (float64, bool) {
			return valueOf(v.OedemaGrade), v.OedemaGrade != nil
		})
	case Thickness:
		return o.atVisit("The corneal thickness before or", func(r *cohort.Row, v *cohort.Seen) (float64, bool) {
			if r.Before.Thickness == nil || v.Thickness == nil {
				return 0, false
			}
			return timeline.ThicknessChange(*r.Before.Thickness, *v.Thickness)
		})
	case AcuityGain:
		return o.atVisit("The acuity before or", func(r *cohort.Row, v *cohort.Seen) (float64, bool) {
			return valueOf(r.Before.LogMAR) - valueOf(v.LogMAR), r.Before.LogMAR != nil && v.LogMAR != nil
		})
	}
	return func(r *cohort.Row) (float64, string) {
		happened := o.happened(r)
		if followUp && !happened && len(r.After) == 0 {
			return math.NaN(), "The case was not seen after the operation, so that the complication is not known to be absent."
		}
		return indicator(happened), ""
	}
}

func (o Outcome) atVisit(what string, value func(*cohort.Row, *cohort.Seen) (float64, bool)) reading {
	return func(r *cohort.Row) (float64, string) {
		seen := false
		for i := len(r.After) - 1; i >= 0; i-- {
			if r.After[i].Window != o.Window {
				continue
			}
			seen = true
			if v, ok := value(r, &r.After[i]); ok {
				return v, ""
			}
		}
		if !seen {
			return math.NaN(), "There is no visit of that window."
		}
		return math.NaN(), what + " at the visit is not recorded."
	}
}

// happened reports whether the case had the complication of the outcome.
func (o Outcome) happened(r *cohort.Row) bool {
	if o.Complication == cohort.CapsuleRupture {
		return r.CapsuleRupture
	}
	for i := range r.Complications {
		if r.Complications[i].Kind == o.Complication {
			return true
		}
	}
	return false
}

// comesAfter reports whether any case had the complication after the operation.
func (o Outcome) comesAfter(rows []*cohort.Row) bool {
	for _, r := range rows {
		for i := range r.Complications {
			if r.Complications[i].Kind == o.Complication && r.Complications[i].Days != nil {
				return true
			}
		}
	}
	return false
}

// counts gives the two counts of a loss at a visit, the last of its window, or why they cannot be compared.
func counts(r *cohort.Row, window string) (before, after *cohort.Count, reason string) {
	before = r.Before.Count
	if before == nil || !(before.Density > 0) {
		return nil, nil, "There is no endothelial count before the operation."
	}
	seen := false
	for i := range r.After {
		if v := &r.After[i]; v.Window == window {
			seen = true
			if v.Count != nil && v.Count.Density > 0 {
				after = v.Count
			}
		}
	}
	switch {
	case !seen:
		return nil, nil, "There is no visit of that window."
	case after == nil:
		return nil, nil, "There is no endothelial count at the visit."
	case acrossInstruments(before, after) && !r.CompareInstruments:
		return nil, nil, "The two counts are of different instruments or methods, and the case does not ask for them to be compared."
	}
	return before, after, ""
}

// acrossInstruments reports whether two counts name different instruments or methods.
func acrossInstruments(before, after *cohort.Count) bool {
	return differ(before.Instrument, after.Instrument) || differ(before.Method, after.Method)
}

// betweenInstruments is what is told where counts of different instruments are compared. Source of the figures: found (PMID
// 21598434).
const betweenInstruments = "published systematic differences are 184 to 228 cells/mm², which no interval here includes."

// across reports whether case i is one whose counts are of different instruments or methods.
func (t *table) across(i int) bool {
	before, after, reason := counts(t.rows[i], t.definition.Outcome.Window)
	return reason == "" && acrossInstruments(before, after)
}

// acrossAll counts the cases whose counts are of different instruments or methods; 0 for outcomes without counts.
func (t *table) acrossAll() int {
	n := 0
	for i := range t.rows {
		if t.definition.Outcome.Kind == Loss && t.across(i) {
			n++
		}
	}
	return n
}

// differ reports whether both names are given and differ but for case and spaces.
func differ(a, b string) bool {
	a, b = strings.Join(strings.Fields(a), " "), strings.Join(strings.Fields(b), " ")
	return a != "" && b != "" && !strings.EqualFold(a, b)
}

// countingVariance is the variance of ln(before / after) from counting, CV^2/n on each side; not a number where a count does
// not tell. Source: as timeline.RelativeError.
func countingVariance(r *cohort.Row, window string) float64 {
	before, after, reason := counts(r, window)
	if reason != "" {
		return math.NaN()
	}
	variance := 0.0
	for _, c := range []*cohort.Count{before, after} {
		se, err := timeline.RelativeError(timeline.Count{Cells: c.Cells, CV: c.CV})
		if err != nil {
			return math.NaN()
		}
		variance += se * se
	}
	return variance
}

// shown is an outcome as people read it: a loss in percent of the cells before, a complication in percent of cases.
func (o Outcome) shown(value float64) float64 {
	switch o.Kind {
	case Loss:
		return 100 * -math.Expm1(-value)
	case Complication:
		return 100 * value
	}
	return value
}
