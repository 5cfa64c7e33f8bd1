package cohort

import (
	"zonule/timeline"
	"zonule/timeline/stat"
)

// ReadingPair is two readings of one case. Readings are on the case clock, ms.
type ReadingPair struct {
	CaseID   string
	Date     string
	Readings stat.Readings
}

// Agreement is how far two readers agree over a set of cases. Differences are second minus first, ms.
type Agreement struct {
	Cases   int       `json:"cases"` // compared
	LeftOut []LeftOut `json:"leftOut"`
	// Kappa is pooled over the time of all cases; its interval is nil under 5 cases.
	Kappa   *stat.Estimate  `json:"kappa"`
	Steps   []StepAgreement `json:"steps"` // in the order of the items asked for
	Notes   []string        `json:"notes"`
	Methods []Method        `json:"methods"`
}

// StepAgreement compares the durations and boundaries of one step over the cases in which either reading has it.
type StepAgreement struct {
	Item
	Both       int                     `json:"both"` // cases in which both readings have the step
	OnlyFirst  int                     `json:"onlyFirst"`
	OnlySecond int                     `json:"onlySecond"`
	Points     []AgreementPoint        `json:"points"`
	Limits     *stat.LimitsOfAgreement `json:"limits"` // nil under 5 cases: Why tells
	Overlap    *float64                `json:"overlap"`
	Boundaries stat.Boundaries         `json:"boundaries"`
	Why        string                  `json:"why,omitempty"`
}

// AgreementPoint is one case of a Bland-Altman plot, ms.
type AgreementPoint struct {
	CaseID     string  `json:"caseId,omitempty"`
	Date       string  `json:"date"`
	Mean       float64 `json:"mean"`
	Difference float64 `json:"difference"`
}

// SideBySide is two readings of one case on one axis, ms of the case clock.
type SideBySide struct {
	Extent      timeline.Span         `json:"extent"`
	First       []Labelled            `json:"first"`
	Second      []Labelled            `json:"second"`
	Differences []Difference          `json:"differences"` // by start
	Agreement   stat.ReadingAgreement `json:"agreement"`
}

// Labelled is one span with its step.
type Labelled struct {
	Label string `json:"label"`
	timeline.Span
}

// Difference is a span in which the readings say different things; "" is no step. Within tells that it is no longer than
// a hand-picked instant is good for, so it counts as agreement.
type Difference struct {
	timeline.Span
	First  string `json:"first"`
	Second string `json:"second"`
	Within bool   `json:"within"`
}
