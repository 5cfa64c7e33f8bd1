package outcome

import (
	"fmt"
	"slices"

	"zonule/timeline/cohort"
	"zonule/timeline/stat"
)

// publishedSteps is what published series say of the step of a complication. Source: found, Grinton M and others, Eye
// 2021;35:1213-20; Jeang LJ and others, J Acad Ophthalmol 2022;14:e70-3.
var publishedSteps = map[string]string{
	"posterior-capsule-rupture": "Of 82 ruptures in operations by trainees in one published series, 44.0 % happened during quadrant removal and 21.3 % during cortex removal (Grinton 2021); of 69 in another, 58 % during phaco (Jeang 2022).",
}

// complicationOf tells how often the step of a complication carries it.
func complicationOf(others []*cohort.Row, row *cohort.Row, mishap cohort.Mishap, names Names) CaseComplication {
	one := CaseComplication{Kind: mishap.Kind, Name: names.of(ComplicationName, mishap.Kind), Step: mishap.Step, After: mishap.Days != nil, Published: publishedSteps[mishap.Kind]}
	during := CaseShare{}
	var lengths []float64
	var counted []*cohort.Row
	for _, other := range others {
		here, ever := hadIt(other, mishap)
		if ever || !one.After || len(other.After) > 0 {
			one.Ever.Cases++
			if mishap.Step == "" {
				counted = append(counted, other)
			}
		}
		if ever {
			one.Ever.Events++
		}
		if mishap.Step == "" || !didStep(other, mishap.Step) {
			continue
		}
		during.Cases++
		counted = append(counted, other)
		if here {
			during.Events++
		}
		if total, reason := partTime(other, other.Steps, mishap.Step); reason == "" && !ever {
			lengths = append(lengths, total)
		}
	}
	one.Ever.fill()
	if mishap.Step != "" {
		one.StepName = names.of(StepName, mishap.Step)
		during.fill()
		one.InStep = &during
		if total, reason := partTime(row, row.Steps, mishap.Step); reason == "" && len(lengths) >= fewestReference {
			if middle := spreadOf(lengths).Median; middle > 0 {
				longer := total / middle
				one.Longer = &longer
			}
		}
	}
	if one.Withheld = untoldOf(counted, row); one.Withheld != "" {
		one.InStep, one.Ever = nil, CaseShare{}
	}
	one.Text = one.told()
	return one
}

// fewestLed is how many people must have led the other cases of which complications are counted beside a case. Source: our
// choice, as for studies.
const fewestLed = 3

// untoldOf is Untold of other cases to whoever reads of one; where one person leads everything there is nobody else to hide.
func untoldOf(others []*cohort.Row, row *cohort.Row) string {
	if !slices.ContainsFunc(others, func(o *cohort.Row) bool { return o.Operator != row.Operator }) {
		return ""
	}
	return Untold(others, fewestLed, "the unit's other cases")
}

// hadIt reports whether a case had the complication during the same step, and whether at all.
func hadIt(other *cohort.Row, mishap cohort.Mishap) (here, ever bool) {
	for _, m := range other.Complications {
		if m.Kind == mishap.Kind {
			ever = true
			here = here || m.Step == mishap.Step
		}
	}
	return here, ever
}

// didStep reports whether the step was marked, however much of it was recorded.
func didStep(row *cohort.Row, code string) bool {
	for i := range row.Steps {
		if row.Steps[i].Code == code {
			return row.Steps[i].Episodes > 0
		}
	}
	return false
}

func (s *CaseShare) fill() {
	if s.Cases < fewestShare {
		return
	}
	rate, err := stat.Wilson(s.Events, s.Cases, level)
	if err != nil {
		return
	}
	percent, low, high := 100*rate.Value, 100*rate.Interval.Lower, 100*rate.Interval.Upper
	s.Percent, s.Low, s.High = &percent, &low, &high
}

// words tells "4 of 100, 4.00 %, 95 % interval 1.57 to 9.84".
func (s CaseShare) words() string {
	text := fmt.Sprintf("%d of %d", s.Events, s.Cases)
	if s.Percent != nil {
		text += fmt.Sprintf(", %s %%, 95 %% interval %s to %s", figure(*s.Percent), figure(*s.Low), figure(*s.High))
	}
	return text
}

// words names a complication and when it happened.
func (c CaseComplication) words() string {
	switch {
	case c.After:
		return c.Name + " after the operation"
	case c.Step == "":
		return c.Name + " in no marked step"
	}
	return c.Name + " during the step " + c.StepName
}

// told is a sentence or two on how often the step carries it.
func (c CaseComplication) told() string {
	name := capital(c.words())
	var text string
	switch {
	case c.Withheld != "":
		text = name + ". " + c.Withheld
	case c.InStep == nil && c.Ever.Cases == 0 && c.After:
		text = name + "; no other case of this technique was seen again."
	case c.InStep == nil && c.Ever.Cases == 0:
		text = name + "; there is no other case of this technique."
	case c.InStep == nil:
		text = fmt.Sprintf("%s; so it was in %s of the unit's other cases.", name, c.Ever.words())
	case c.InStep.Cases == 0:
		text = name + "; no other case with this step is tagged."
	default:
		text = fmt.Sprintf("%s; of the unit's other cases with this step, it carried this complication in %s.", name, c.InStep.words())
	}
	if c.Longer != nil {
		text += fmt.Sprintf(" The step took %s times as long as usual without it; what followed the complication is part of that time.", figure(*c.Longer))
	}
	return text
}
