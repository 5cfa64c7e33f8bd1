package outcome

import (
	"math"
	"slices"

	"zonule/timeline"
	"zonule/timeline/cohort"
)

// covariate is a factor known before the operation, with the reason to allow for it. A factor has several terms where it has
// more than two levels. Values are not a number when unknown.
type covariate struct {
	Adjustment
	terms []term
	// usual lists the outcomes whose default set holds it.
	usual []OutcomeKind
}

// knownOf reports whether the factor is known of a case.
func (c covariate) knownOf(row *cohort.Row) bool {
	return !slices.ContainsFunc(c.terms, func(one term) bool { return math.IsNaN(one.value(row)) })
}

type term struct {
	name  string
	value func(row *cohort.Row) float64
}

var (
	ofCornea   = []OutcomeKind{Loss, Oedema, Thickness}
	everywhere = outcomeKinds
)

// covariates stand in order of importance: where the data cannot carry all, the first are taken. Source: that these factors
// go with time and outcome is common practice and found in part (Narendran 2009; Hayashi 1996 for the nucleus); the order is
// our choice.
var covariates = []covariate{
	{
		Adjustment{"nuclearGrade", "nuclear grade", "A hard nucleus takes longer and more energy, and such eyes lose more cells and tear more often whatever the time."},
		[]term{{"nuclear grade", func(r *cohort.Row) float64 { return valueOf(r.Before.NuclearGrade) }}}, everywhere,
	},
	{
		Adjustment{"acuityBefore", "acuity before", "Who sees little before has more to gain."},
		[]term{{"logMAR before", func(r *cohort.Row) float64 { return valueOf(r.Before.LogMAR) }}}, []OutcomeKind{AcuityGain},
	},
	{
		Adjustment{"pupil", "pupil size", "A small pupil makes every step harder and goes with complications."},
		[]term{{"medium pupil", levelOf("medium")}, {"small pupil", levelOf("small")}}, everywhere,
	},
	{
		Adjustment{"pseudoexfoliation", "pseudoexfoliation", "Weak zonules and a small pupil make the operation longer, and the endothelium of such eyes is poorer."},
		[]term{{"pseudoexfoliation", answerOf(func(b cohort.Before) timeline.Answer { return b.Pseudoexfoliation })}}, everywhere,
	},
	{
		Adjustment{"trainee", "trainee operating", "Trainees take longer, are given other eyes and differ in more than time."},
		[]term{{"trainee operating", traineeOf}}, everywhere,
	},
	{
		Adjustment{"age", "age", "Older eyes have harder nuclei and fewer cells in reserve."},
		[]term{{"age in decades", func(r *cohort.Row) float64 { return valueOf(r.Before.Age) / 10 }}}, everywhere,
	},
	{
		Adjustment{"chamberDepth", "chamber depth", "In a shallow chamber the tip works nearer to the endothelium, and takes longer."},
		[]term{{"chamber depth", func(r *cohort.Row) float64 { return valueOf(r.Before.ChamberDepth) }}}, everywhere,
	},
	{
		Adjustment{"axialLength", "axial length", "Short and long eyes behave differently under pressure and carry other risks."},
		[]term{{"axial length", func(r *cohort.Row) float64 { return valueOf(r.Before.AxialLength) }}}, everywhere,
	},
	{
		Adjustment{"brunescentOrWhite", "brunescent or white lens", "Such lenses take longer and carry the highest risk of a rupture."},
		[]term{{"brunescent or white lens", answerOf(func(b cohort.Before) timeline.Answer { return b.BrunescentOrWhite })}}, []OutcomeKind{Complication},
	},
	{
		Adjustment{"guttata", "guttata", "Such a cornea loses more cells and swells more, and is operated on with more care."},
		[]term{{"guttata", answerOf(func(b cohort.Before) timeline.Answer { return b.Guttata })}}, ofCornea,
	},
	{
		Adjustment{"diabetes", "diabetes", "The endothelium and the pupil of diabetic eyes differ."},
		[]term{{"diabetes", answerOf(func(b cohort.Before) timeline.Answer { return b.Diabetes })}}, everywhere,
	},
	{
		Adjustment{"previousVitrectomy", "previous vitrectomy", "Without vitreous the chamber is unstable and the capsule less supported."},
		[]term{{"previous vitrectomy", answerOf(func(b cohort.Before) timeline.Answer { return b.PreviousVitrectomy })}}, []OutcomeKind{Complication},
	},
	{
		Adjustment{"thicknessBefore", "corneal thickness before", "A cornea that is thick before has less room to swell."},
		[]term{{"thickness before", func(r *cohort.Row) float64 { return valueOf(r.Before.Thickness) / 100 }}}, []OutcomeKind{Thickness},
	},
	{
		Adjustment{"dispersive", "dispersive OVD", "It is chosen for difficult eyes and shields the endothelium. It is chosen with the operation, so it is not in the usual set."},
		[]term{{"dispersive OVD", func(r *cohort.Row) float64 { return indicator(r.Operation.Dispersive) }}}, nil,
	},
	{
		Adjustment{"converted", "technique converted", "Converted operations are long and differ in every way. Conversion comes during the operation, so it is not in the usual set."},
		[]term{{"technique converted", func(r *cohort.Row) float64 { return indicator(r.Converted) }}}, nil,
	},
}

// Covariates lists what a study can adjust for, in order of importance, each with its reason.
func Covariates() []Adjustment {
	list := make([]Adjustment, len(covariates))
	for i, c := range covariates {
		list[i] = c.Adjustment
	}
	return list
}

// Usual gives the codes of the default set of an outcome, in order of importance.
func Usual(kind OutcomeKind) []string {
	codes := []string{}
	for _, c := range covariates {
		if slices.Contains(c.usual, kind) {
			codes = append(codes, c.Code)
		}
	}
	return codes
}

func covariateOf(code string) (covariate, bool) {
	for _, c := range covariates {
		if c.Code == code {
			return c, true
		}
	}
	return covariate{}, false
}

func valueOf[T int | float64](v *T) float64 {
	if v == nil {
		return math.NaN()
	}
	return float64(*v)
}

func levelOf(wanted string) func(*cohort.Row) float64 {
	return func(r *cohort.Row) float64 {
		if r.Before.Pupil == "" {
			return math.NaN()
		}
		return indicator(r.Before.Pupil == wanted)
	}
}

func answerOf(pick func(cohort.Before) timeline.Answer) func(*cohort.Row) float64 {
	return func(r *cohort.Row) float64 {
		switch pick(r.Before) {
		case timeline.Yes:
			return 1
		case timeline.No:
			return 0
		}
		return math.NaN()
	}
}

func traineeOf(r *cohort.Row) float64 {
	switch r.Grade {
	case "":
		return math.NaN()
	case "junior-trainee", "senior-trainee", "fellow":
		return 1
	}
	return 0
}

func indicator(is bool) float64 {
	if is {
		return 1
	}
	return 0
}
