package outcome

import (
	"fmt"
	"slices"

	"zonule/timeline/cohort"
)

// Definition is a study: what came of the eyes, against what, allowing for what, in whom. The same definition on the same
// rows gives the same result.
type Definition struct {
	Outcome   Outcome    `json:"outcome"`
	Exposures []Exposure `json:"exposures"`
	// Adjust are codes of Covariates; nil takes the default set of the outcome, as far as the data carry it.
	Adjust     []string   `json:"adjust"`
	Population Population `json:"population"`
}

// Outcome is what came of an eye.
type Outcome struct {
	Kind OutcomeKind `json:"kind"`
	// Window is the visit at which it is read; unused for complications.
	Window string `json:"window"`
	// Complication is a code, or cohort.CapsuleRupture; for that kind only.
	Complication string `json:"complication"`
}

// OutcomeKind names an outcome.
type OutcomeKind string

const (
	Loss         OutcomeKind = "loss"         // log ratio of the counts before and at the visit
	Oedema       OutcomeKind = "oedema"       // grade 0 to 4
	Thickness    OutcomeKind = "thickness"    // change in percent of the thickness before
	AcuityGain   OutcomeKind = "acuity"       // logMAR before minus at the visit
	Complication OutcomeKind = "complication" // happened or not
)

// Exposure is what was done in the operation, and by which step of it the relation is told.
type Exposure struct {
	Kind ExposureKind `json:"kind"`
	// Code is that of the step, stage or kind of event; unused for the other kinds.
	Code  string `json:"code"`
	Scale Scale  `json:"scale"` // "" is PerUnit
}

// ExposureKind names an exposure.
type ExposureKind string

const (
	OperationTime  ExposureKind = "operation"    // min
	StepTime       ExposureKind = "step"         // min in a step
	StageTime      ExposureKind = "stage"        // min in a stage
	Interruption   ExposureKind = "interruption" // min between episodes of the same step
	Dissipated     ExposureKind = "cde"          // CDE of one machine family
	EffectiveTime  ExposureKind = "ept"          // s of one machine family
	UltrasoundTime ExposureKind = "ultrasound"   // s
	Fluid          ExposureKind = "fluid"        // 10 ml
	Events         ExposureKind = "events"       // counted, of one kind
	OVDTopUps      ExposureKind = "ovd-top-ups"  // counted
	Contacts       ExposureKind = "contacts"     // of fragments with the endothelium, counted
	AspirationTime ExposureKind = "aspiration"   // s
	HandedOver     ExposureKind = "handed-over"  // min in steps operated by another than who led
)

// Scale is the step of an exposure to which a figure belongs.
type Scale string

const (
	PerUnit     Scale = "unit"     // one minute, one second, one event
	PerDoubling Scale = "doubling" // twice as much; not for counts and interruptions, which may be 0
)

// Population chooses the cases. "" and nil choose all.
type Population struct {
	Technique string `json:"technique"`
	From      string `json:"from"` // first day, YYYY-MM-DD
	To        string `json:"to"`   // last day
	GradeFrom *int   `json:"gradeFrom"`
	GradeTo   *int   `json:"gradeTo"`
	Operator  string `json:"operator"` // who led
	// WithRuptures keeps cases with a capsule rupture in a study of another outcome; without it they are left out, because
	// what follows them differs.
	WithRuptures bool `json:"withRuptures"`
}

// mostExposures bounds one study: more is a search, not a question.
const mostExposures = 12

var outcomeKinds = []OutcomeKind{Loss, Oedema, Thickness, AcuityGain, Complication}

// Check returns why the definition asks for nothing that can be studied, in full sentences; empty when it is sound.
func (d Definition) Check() []string {
	var wrong []string
	say := func(format string, args ...any) { wrong = append(wrong, fmt.Sprintf(format, args...)) }
	switch {
	case !slices.Contains(outcomeKinds, d.Outcome.Kind):
		say("There is no outcome %q.", d.Outcome.Kind)
	case d.Outcome.Kind == Complication && d.Outcome.Complication == "":
		say("Name the complication.")
	case d.Outcome.Kind != Complication && d.Outcome.Window == "":
		say("Name the visit at which the outcome is read.")
	}
	if len(d.Exposures) == 0 || len(d.Exposures) > mostExposures {
		say("Choose between 1 and %d exposures.", mostExposures)
	}
	for i, e := range d.Exposures {
		rule, known := e.rule()
		switch {
		case !known:
			say("There is no exposure %q.", e.Kind)
		case rule.code != "" && e.Code == "":
			say("Name the step, stage or event of exposure %d.", i+1)
		case e.Scale != "" && e.Scale != PerUnit && e.Scale != PerDoubling:
			say("There is no scale %q.", e.Scale)
		case e.Scale == PerDoubling && rule.fromZero:
			say("An exposure that may be 0 cannot be told per doubling.")
		}
		if slices.Contains(d.Exposures[:i], e) {
			say("Exposure %d is named twice.", i+1)
		}
	}
	for i, code := range d.Adjust {
		if _, known := covariateOf(code); !known {
			say("There is no factor %q to adjust for.", code)
		} else if slices.Contains(d.Adjust[:i], code) {
			say("The factor %q is named twice.", code)
		}
	}
	return wrong
}

// includes reports whether the population holds the case, or would if its grade were known.
func (p Population) includes(row *cohort.Row) bool {
	grade := row.Before.NuclearGrade
	return (p.Technique == "" || row.Technique == p.Technique) &&
		(p.From == "" || row.Date >= p.From) && (p.To == "" || row.Date <= p.To) &&
		(p.Operator == "" || row.Operator == p.Operator) &&
		(p.GradeFrom == nil || grade == nil || *grade >= *p.GradeFrom) &&
		(p.GradeTo == nil || grade == nil || *grade <= *p.GradeTo)
}
