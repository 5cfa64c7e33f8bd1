package report

import (
	"zonule/annotate"
	"zonule/timeline"
)

// Happening is an event or a complication with its instant and the step that ran then.
type Happening struct {
	Kind           string  `json:"kind"`  // "event" or "complication"
	Phase          string  `json:"phase"` // "intraoperative" or "postoperative"
	Code           string  `json:"code"`
	Name           string  `json:"name"`
	CapsuleRupture bool    `json:"capsuleRupture"` // counts under the audit definition
	At             *Moment `json:"at"`
	Step           string  `json:"step"` // name of the exclusive step that ran; "" when none did
	OnDate         string  `json:"onDate"`
	Severity       int     `json:"severity"`
	Action         string  `json:"action"`
	ResolvedOn     string  `json:"resolvedOn"`
	Note           string  `json:"note"`
}

// EnergyFacts is what the machine said.
type EnergyFacts struct {
	MachineFamily  string   `json:"machineFamily"`
	CDE            *float64 `json:"cde"` // no unit
	UltrasoundTime *float64 `json:"ultrasoundTime"`
	FluidUsed      *float64 `json:"fluidUsed"`
	// What follows from times and powers stands beside what was entered, which counts.
	annotate.EnergyRecord
}

// FollowUp is what the eye did afterwards.
type FollowUp struct {
	Baseline *annotate.EndothelialExam `json:"baseline"`
	Visits   []VisitLine               `json:"visits"`
	Lost     *annotate.LostToFollowUp  `json:"lost"` // null while visits are expected
}

// VisitLine is one visit beside the eye before the operation.
type VisitLine struct {
	annotate.Visit
	Days            *int                 `json:"days"`            // since the operation
	ThicknessChange *float64             `json:"thicknessChange"` // percent
	Loss            *timeline.LossResult `json:"loss"`            // null without two counts
	FellowLoss      *timeline.LossResult `json:"fellowLoss"`      // of the eye that was not operated on
	Flags           []string             `json:"flags"`           // what passed a limit of the unit, in words
}

// Thread is a comment with its answers.
type Thread struct {
	At      *Moment  `json:"at"`
	End     *Moment  `json:"end"`
	Settled bool     `json:"settled"`
	Step    string   `json:"step"`
	Remarks []Remark `json:"remarks"`
}

// Remark is what one person said.
type Remark struct {
	Author string `json:"author"`
	MadeAt int64  `json:"madeAt"` // Unix ms
	Text   string `json:"text"`
	Drawn  bool   `json:"drawn"` // a shape is drawn on the frame
}

// WarningLine is something about the reading that a person should look at, or has accepted with a reason.
type WarningLine struct {
	timeline.Warning
	Moment     *Moment `json:"moment"`
	Accepted   string  `json:"accepted"` // the reason; "" when it stands open
	AcceptedBy string  `json:"acceptedBy"`
}

// Missing is something that the record cannot say.
type Missing struct {
	Code string  `json:"code"`
	Text string  `json:"text"`
	At   *Moment `json:"at"`
}
