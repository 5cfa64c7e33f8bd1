package outcome

import (
	"fmt"
	"math"
	"slices"

	"zonule/timeline"
	"zonule/timeline/cohort"
)

// lossExposures are what an expected loss rests on beside the factors of the eye, the first that is known: energy and time
// say too much of the same to be taken together.
var lossExposures = []Exposure{{Kind: StageTime, Code: "nucleus"}, {Kind: Dissipated}, {Kind: EffectiveTime}, {Kind: OperationTime}}

// lossOf compares the loss observed at the case's last visit that has one with what the other cases expect.
func (a *CaseAnswer) lossOf(others []*cohort.Row, row *cohort.Row, names Names) {
	var window string
	if window, a.WhyNoLoss = lastCounted(row); a.WhyNoLoss != "" {
		return
	}
	exposure, ok := knownExposure(row)
	if !ok {
		a.WhyNoLoss = "No time or energy of this case is known, so that no loss is expected from it."
		return
	}
	d := Definition{
		Outcome: Outcome{Kind: Loss, Window: window}, Exposures: []Exposure{exposure}, Adjust: knownFactors(row),
		Population: Population{Technique: row.Technique, WithRuptures: row.CapsuleRupture},
	}
	if len(others) == 0 {
		a.WhyNoLoss = "The unit has no other case of this technique."
		return
	}
	others = sameMachine(others, row, exposure)
	if len(others) == 0 {
		a.WhyNoLoss = "The unit has no other case of this technique whose energy was told by the same family of machines."
		return
	}
	t := caseTable(others, d, names)
	if why := t.refusal(); why != "" {
		a.WhyNoLoss = why
		return
	}
	t.dropCombinations()
	l, err := t.expected(row, exposure)
	if err != nil {
		a.WhyNoLoss = err.Error()
		return
	}
	m, _ := exposure.measure(names)
	l.Window, l.AdjustedFor = window, []string{m.Name}
	for _, factor := range t.adjusted {
		l.AdjustedFor = append(l.AdjustedFor, factor.Name)
	}
	l.observe(row)
	l.Text = l.words(names.of(WindowName, window))
	a.Loss = &l
	if x, _ := exposure.reading(row.Operation.MachineFamily)(row); x < slices.Min(t.x[0]) || x > slices.Max(t.x[0]) {
		a.Notes = append(a.Notes, fmt.Sprintf("The %s of this case lies outside what the cases behind the expected loss show: there the line only continues.", m.Name))
	}
	if before, after, _ := counts(row, window); acrossInstruments(before, after) {
		a.Notes = append(a.Notes, "The two counts of this case are of different instruments or methods, which may differ by more than was lost.")
	}
	if row.CapsuleRupture {
		a.Notes = append(a.Notes, "The capsule ruptured in this case. Most of the cases behind the expected loss had no rupture, and what follows a rupture differs.")
	}
}

// sameMachine keeps the cases whose energy can be compared with that of the row, where the exposure is one.
func sameMachine(others []*cohort.Row, row *cohort.Row, e Exposure) []*cohort.Row {
	if e.Kind != Dissipated && e.Kind != EffectiveTime {
		return others
	}
	return slices.DeleteFunc(slices.Clone(others), func(o *cohort.Row) bool { return o.Operation.MachineFamily != row.Operation.MachineFamily })
}

// lastCounted is the window of the last visit whose count can be compared, or why there is none.
func lastCounted(row *cohort.Row) (window, why string) {
	why = "The case has no visit with an endothelial count yet."
	for i := len(row.After) - 1; i >= 0; i-- {
		if row.After[i].Count == nil {
			continue
		}
		if _, _, reason := counts(row, row.After[i].Window); reason != "" {
			why = reason
			continue
		}
		return row.After[i].Window, ""
	}
	return "", why
}

func knownExposure(row *cohort.Row) (Exposure, bool) {
	for _, e := range lossExposures {
		if _, reason := e.reading(row.Operation.MachineFamily)(row); reason == "" {
			return e, true
		}
	}
	return Exposure{}, false
}

// knownFactors are the usual factors of a loss that are known of the case.
func knownFactors(row *cohort.Row) []string {
	codes := []string{}
	for _, c := range covariates {
		if slices.Contains(c.usual, Loss) && !math.IsNaN(c.terms[0].value(row)) {
			codes = append(codes, c.Code)
		}
	}
	return codes
}

// caseTable is the table of the other cases, adjusted for those of the definition's factors that the cases carry, as for a
// default set.
func caseTable(others []*cohort.Row, d Definition, names Names) *table {
	open := d
	open.Adjust = nil
	usual := tableOf(others, open, names)
	codes := []string{}
	for _, factor := range usual.adjusted {
		if slices.Contains(d.Adjust, factor.Code) {
			codes = append(codes, factor.Code)
		}
	}
	if len(codes) == len(usual.adjusted) {
		return usual
	}
	d.Adjust = codes
	return tableOf(others, d, names)
}

// expected predicts the loss of one more case: the fitted value and the 95 % prediction interval.
func (t *table) expected(row *cohort.Row, e Exposure) (CaseLoss, error) {
	fit, err := t.fit(t.design([]int{0}, t.terms))
	if err != nil {
		return CaseLoss{}, err
	}
	x, _ := e.reading(row.Operation.MachineFamily)(row)
	terms := []float64{1, x}
	for _, c := range t.terms {
		terms = append(terms, termOf(c, row))
	}
	at, err := fit.model.Predict(terms, t.weightOf(fit, countingVariance(row, t.definition.Outcome.Window)))
	if err != nil {
		return CaseLoss{}, err
	}
	shown := t.definition.Outcome.shown
	return CaseLoss{Expected: shown(at.Value), Low: shown(at.New.Lower), High: shown(at.New.Upper), N: len(t.rows)}, nil
}

// observe fills what was seen of the case, and judges it. The interval of the prediction holds the counting error of this
// case, so that the observed loss is compared without its own interval.
func (l *CaseLoss) observe(row *cohort.Row) {
	before, after, _ := counts(row, l.Window)
	l.Observed = timeline.LossPercent(before.Density, after.Density)
	if variance := countingVariance(row, l.Window); !math.IsNaN(variance) {
		shown := Outcome{Kind: Loss}.shown
		y, half := math.Log(before.Density/after.Density), 1.959964*math.Sqrt(variance)
		low, high := shown(y-half), shown(y+half)
		l.ObservedLow, l.ObservedHigh = &low, &high
	}
	l.Beyond, l.Below = l.Observed > l.High, l.Observed < l.Low
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

func (l *CaseLoss) words(window string) string {
	text := fmt.Sprintf("%s %% of the cells were lost at %s", figure(l.Observed), window)
	if l.Observed < 0 {
		text = fmt.Sprintf("%s %% more cells were counted at %s than before", figure(-l.Observed), window)
	}
	if l.ObservedLow != nil {
		text += fmt.Sprintf(" (a loss of %s to %s %% by counting error alone)", figure(*l.ObservedLow), figure(*l.ObservedHigh))
	} else {
		text += " (its counting error is not known)"
	}
	text += fmt.Sprintf("; expected of such an eye with such a %s: %s %% (19 of 20 such cases lie between %s and %s %%; %s).",
		l.AdjustedFor[0], figure(l.Expected), figure(l.Low), figure(l.High), cases(l.N))
	switch {
	case l.Beyond:
		return text + " This loss is larger than such cases show."
	case l.Below:
		return text + " This loss is smaller than such cases show."
	}
	return text + " This loss lies within what such cases show."
}
