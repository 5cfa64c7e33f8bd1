package outcome

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"zonule/timeline"
	"zonule/timeline/cohort"
	"zonule/timeline/stat"
)

// caseExposures are told of one case, in this order.
var caseExposures = []Exposure{
	{Kind: OperationTime}, {Kind: StageTime, Code: "nucleus"}, {Kind: Dissipated}, {Kind: EffectiveTime}, {Kind: UltrasoundTime},
	{Kind: Fluid}, {Kind: OVDTopUps}, {Kind: Contacts}, {Kind: Interruption},
}

// lossExposures are what an expected loss rests on beside the factors of the eye, the first that is known: energy and time
// say too much of the same to be taken together.
var lossExposures = []Exposure{{Kind: StageTime, Code: "nucleus"}, {Kind: Dissipated}, {Kind: EffectiveTime}, {Kind: OperationTime}}

const (
	// fewestReference is under what there is no percentile.
	fewestReference = 20
	// outer is the percentile from which, on either side, an exposure stands out.
	outer = 90
)

// CaseLevel tells one case beside the unit's other cases of the same technique.
func CaseLevel(rows []cohort.Row, row cohort.Row) CaseAnswer {
	others := make([]cohort.Row, 0, len(rows))
	for i := range rows {
		if rows[i].CaseID != row.CaseID && rows[i].Technique == row.Technique {
			others = append(others, rows[i])
		}
	}
	a := CaseAnswer{CaseID: row.CaseID, Exposures: []CaseExposure{}, Complications: []CaseComplication{}, Notes: []string{}}
	for _, e := range caseExposures {
		if one, worth := exposureOf(others, row, e); worth {
			a.Exposures = append(a.Exposures, one)
		}
	}
	a.Loss, a.WhyNoLoss = lossOf(others, row)
	for i := range row.Complications {
		a.Complications = append(a.Complications, complicationOf(others, row, row.Complications[i]))
	}
	a.StandsOut, a.CannotSay = a.standsOut(), a.cannotSay()
	return a
}

// exposureOf places one exposure of the case; worth is false when neither the case nor any other has it.
func exposureOf(others []cohort.Row, row cohort.Row, e Exposure) (one CaseExposure, worth bool) {
	one.Exposure = e
	one.Measure, _ = e.measure()
	read := e.reading(row.Operation.MachineFamily)
	v, reason := read(&row)
	var reference []float64
	for i := range others {
		if other, missing := read(&others[i]); missing == "" {
			reference = append(reference, other)
		}
	}
	one.Reference = spreadOf(reference)
	if reason != "" {
		one.Why = reason
		return one, len(reference) > 0
	}
	one.Value = &v
	if len(reference) < fewestReference {
		one.Why = fmt.Sprintf("Only %s beside it: no percentile is told under %d.", cases(len(reference)), fewestReference)
		return one, true
	}
	slices.Sort(reference)
	below, _ := slices.BinarySearch(reference, v)
	upTo, _ := slices.BinarySearch(reference, math.Nextafter(v, math.Inf(1)))
	percentile := 100 * (float64(below) + float64(upTo-below)/2) / float64(len(reference))
	one.Percentile = &percentile
	return one, true
}

// lossOf compares the loss observed at the case's last visit that has one with what the other cases expect.
func lossOf(others []cohort.Row, row cohort.Row) (*CaseLoss, string) {
	window, why := lastCounted(row)
	if why != "" {
		return nil, why
	}
	before, after, _ := counts(&row, window)
	exposure, ok := knownExposure(row)
	if !ok {
		return nil, "No time or energy of this case is known, so that no loss is expected from it."
	}
	d := Definition{
		Outcome: Outcome{Kind: Loss, Window: window}, Exposures: []Exposure{exposure}, Adjust: knownFactors(row),
		Population: Population{Technique: row.Technique, WithRuptures: row.CapsuleRupture},
	}
	t := newTable(others, d)
	t.dropSparse(others)
	if why := t.refusal(); why != "" {
		return nil, "No loss can be expected. " + why
	}
	fit, err := t.fit(t.design([]int{0}, t.terms))
	if err != nil {
		return nil, "No loss can be expected. " + err.Error()
	}
	x, _ := exposure.reading(row.Operation.MachineFamily)(&row)
	terms := []float64{1, x}
	for _, c := range t.terms {
		terms = append(terms, termOf(c, &row))
	}
	at, err := fit.model.Predict(terms, t.weightOf(fit, countingVariance(&row, window)))
	if err != nil {
		return nil, "No loss can be expected. " + err.Error()
	}
	shown := d.Outcome.shown
	l := &CaseLoss{
		Window: window, Observed: timeline.LossPercent(before.Density, after.Density),
		Expected: shown(at.Value), Low: shown(at.New.Lower), High: shown(at.New.Upper), N: len(t.rows), AdjustedFor: []string{},
	}
	if variance := countingVariance(&row, window); !math.IsNaN(variance) {
		y, half := math.Log(before.Density/after.Density), 1.959964*math.Sqrt(variance)
		low, high := shown(y-half), shown(y+half)
		l.ObservedLow, l.ObservedHigh = &low, &high
	}
	l.Beyond = l.Observed < l.Low || l.Observed > l.High
	m, _ := exposure.measure()
	l.AdjustedFor = append(l.AdjustedFor, m.Name)
	for _, a := range t.adjusted {
		l.AdjustedFor = append(l.AdjustedFor, a.Name)
	}
	l.Text = l.words()
	return l, ""
}

// lastCounted is the window of the last visit whose count can be compared, or why there is none.
func lastCounted(row cohort.Row) (window, why string) {
	why = "The case has no visit with an endothelial count yet."
	for i := len(row.After) - 1; i >= 0; i-- {
		if row.After[i].Count == nil {
			continue
		}
		if _, _, reason := counts(&row, row.After[i].Window); reason != "" {
			why = reason
			continue
		}
		return row.After[i].Window, ""
	}
	return "", why
}

func knownExposure(row cohort.Row) (Exposure, bool) {
	for _, e := range lossExposures {
		if _, reason := e.reading(row.Operation.MachineFamily)(&row); reason == "" {
			return e, true
		}
	}
	return Exposure{}, false
}

// knownFactors are the usual factors of a loss that are known of the case.
func knownFactors(row cohort.Row) []string {
	codes := []string{}
	for _, c := range covariates {
		if slices.Contains(c.usual, Loss) && !math.IsNaN(c.terms[0].value(&row)) {
			codes = append(codes, c.Code)
		}
	}
	return codes
}

// dropSparse narrows the factors to those that the other cases carry, as for a default set, and builds the table again.
func (t *table) dropSparse(rows []cohort.Row) {
	d := t.definition
	open := d
	open.Adjust = nil
	usual := newTable(rows, open)
	codes := []string{}
	for _, a := range usual.adjusted {
		if slices.Contains(d.Adjust, a.Code) {
			codes = append(codes, a.Code)
		}
	}
	d.Adjust = codes
	*t = *newTable(rows, d)
}

func termOf(c column, row *cohort.Row) float64 {
	factor, _ := covariateOf(c.covariate)
	for _, one := range factor.terms {
		if one.name == c.name {
			return one.value(row)
		}
	}
	return math.NaN()
}

// weightOf is the weight of a new case by its own counting variance, on the scale of the fit.
func (t *table) weightOf(f linearFit, variance float64) float64 {
	if f.weights == nil || math.IsNaN(variance) {
		return 1
	}
	// The weights are proportional to 1/(between + variance): two cases of the fit give the factor and the spread between.
	variances := t.assumed()
	low, high := 0, 0
	for i, v := range variances {
		if v < variances[low] {
			low = i
		}
		if v > variances[high] {
			high = i
		}
	}
	a, b := 1/f.weights[low], 1/f.weights[high]
	if variances[high] == variances[low] {
		return f.weights[low]
	}
	slope := (b - a) / (variances[high] - variances[low])
	return 1 / (a + slope*(variance-variances[low]))
}

func (l *CaseLoss) words() string {
	text := fmt.Sprintf("%s %% of the cells were lost at %s", figure(l.Observed), strings.ReplaceAll(l.Window, "-", " "))
	if l.ObservedLow != nil {
		text += fmt.Sprintf(" (counting alone: %s to %s)", figure(*l.ObservedLow), figure(*l.ObservedHigh))
	} else {
		text += " (its counting error is not known)"
	}
	text += fmt.Sprintf("; such an eye with such a %s lost %s %% (95 %% of such cases %s to %s; %s).", l.AdjustedFor[0], figure(l.Expected), figure(l.Low), figure(l.High), cases(l.N))
	if l.Beyond {
		return text + " This loss lies outside what such cases show."
	}
	return text + " This loss lies within what such cases show."
}

// publishedSteps is what published series say of the step of a complication. Source: found, Grinton M and others, Eye
// 2021;35:1213-20; Jeang LJ and others, J Acad Ophthalmol 2022;14:e70-3.
var publishedSteps = map[string]string{
	"posterior-capsule-rupture": "Of 82 ruptures in operations by trainees in one published series, 44.0 % happened during quadrant removal and 21.3 % during cortex removal (Grinton 2021); of 69 in another, 58 % during phaco (Jeang 2022).",
}

// complicationOf tells how often the step of a complication carries it.
func complicationOf(others []cohort.Row, row cohort.Row, mishap cohort.Mishap) CaseComplication {
	one := CaseComplication{Kind: mishap.Kind, Step: mishap.Step, Published: publishedSteps[mishap.Kind]}
	name := strings.ReplaceAll(mishap.Kind, "-", " ")
	var lengths []float64
	for i := range others {
		here, ever := false, false
		for _, m := range others[i].Complications {
			if m.Kind == mishap.Kind {
				ever = true
				here = here || m.Step == mishap.Step
			}
		}
		if ever {
			one.OfKind++
		}
		if mishap.Step == "" {
			continue
		}
		if total, reason := partTime(&others[i], others[i].Steps, mishap.Step); reason == "" {
			one.StepCases++
			if here {
				one.InStep++
			}
			if !ever {
				lengths = append(lengths, total)
			}
		}
	}
	if mishap.Step == "" {
		one.Text = fmt.Sprintf("%s: in no marked step. %s of the unit's other %s had it.", capital(name), capital(number(one.OfKind)), cases(len(others)))
		return one
	}
	step := strings.ReplaceAll(mishap.Step, "-", " ")
	if one.StepCases == 0 {
		one.Text = fmt.Sprintf("%s during the step %s; no other case with this step is tagged.", capital(name), step)
		return one
	}
	rate, err := stat.Wilson(one.InStep, one.StepCases, level)
	if err != nil {
		one.Text = err.Error()
		return one
	}
	one.Percent, one.Low, one.High = 100*rate.Value, 100*rate.Interval.Lower, 100*rate.Interval.Upper
	one.Text = fmt.Sprintf("%s during the step %s, which carries it in %s %% of the unit's other cases (%d of %d, 95 %% interval %s to %s).",
		capital(name), step, figure(one.Percent), one.InStep, one.StepCases, figure(one.Low), figure(one.High))
	if total, reason := partTime(&row, row.Steps, mishap.Step); reason == "" && len(lengths) >= fewestReference {
		if middle := spreadOf(lengths).Median; middle > 0 {
			longer := total / middle
			one.Longer = &longer
			one.Text += fmt.Sprintf(" The step took %s times as long as usual without it; what followed the complication is part of that time.", figure(longer))
		}
	}
	return one
}

func number(n int) string {
	if n == 0 {
		return "none"
	}
	return fmt.Sprint(n)
}

// standsOut is one sentence of what lies outside.
func (a *CaseAnswer) standsOut() string {
	var out []string
	placed := 0
	for _, e := range a.Exposures {
		if e.Percentile == nil {
			continue
		}
		placed++
		unit := ""
		if e.Unit != "" {
			unit = " " + e.Unit
		}
		if *e.Percentile > outer {
			out = append(out, fmt.Sprintf("%s (%s%s) was higher than in %.0f %% of the unit's other cases", e.Name, figure(*e.Value), unit, *e.Percentile))
		} else if *e.Percentile < 100-outer {
			out = append(out, fmt.Sprintf("%s (%s%s) was lower than in %.0f %% of the unit's other cases", e.Name, figure(*e.Value), unit, 100-*e.Percentile))
		}
	}
	if a.Loss != nil && a.Loss.Beyond {
		out = append(out, fmt.Sprintf("the loss of cells (%s %%) lies outside the %s to %s %% of such cases", figure(a.Loss.Observed), figure(a.Loss.Low), figure(a.Loss.High)))
	}
	for _, m := range a.Complications {
		name := strings.ReplaceAll(m.Kind, "-", " ")
		if m.Step != "" {
			name += " during the step " + strings.ReplaceAll(m.Step, "-", " ")
		}
		out = append(out, name)
	}
	switch {
	case len(out) > 0:
		return "What stands out: " + strings.Join(out, "; ") + "."
	case placed == 0 && a.Loss == nil:
		return "Too little is recorded here, or of other cases, to tell what stands out."
	}
	return "Nothing that was measured stands out beside the unit's other cases."
}

// cannotSay is one sentence of what these figures do not tell.
func (a *CaseAnswer) cannotSay() string {
	switch {
	case a.Loss == nil:
		return "What came of the endothelium cannot be said: " + lowerFirst(a.WhyNoLoss)
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
