package cohort

import "zonule/timeline"

// Row is the flat row of facts of one case. Nil and "" mean unknown; nothing in it is rounded.
type Row struct {
	CaseID    string `json:"caseId"`
	Date      string `json:"date"`      // of the operation, YYYY-MM-DD
	Technique string `json:"technique"` // performed
	Converted bool   `json:"converted"` // performed differs from planned

	Operator   string   `json:"operator"` // id of the person who led
	Grade      string   `json:"grade"`    // of the operator on that day
	Supervisor string   `json:"supervisor"`
	Assistants []string `json:"assistants,omitempty"`

	Before    Before    `json:"before"`
	Operation Operation `json:"operation"`

	// StepList is the id of the list with which the accepted reading was marked, "" without one.
	StepList string `json:"stepList"`
	Tagged   bool   `json:"tagged"`
	Time     *int64 `json:"time"` // operation time, ms; nil when it cannot be told
	Measured bool   `json:"measured"`
	// Steps and Stages stand in the order of the list.
	Steps  []Part         `json:"steps,omitempty"`
	Stages []Part         `json:"stages,omitempty"`
	Events map[string]int `json:"events,omitempty"` // counted, by kind
	// Interruption is the time between episodes of the same step, all steps together, ms.
	Interruption int64 `json:"interruption"`
	Untagged     int64 `json:"untagged"` // ms

	Complications []Mishap `json:"complications,omitempty"`
	// CompareInstruments: counts from different instruments or methods are compared, because the case says so.
	CompareInstruments bool `json:"compareInstruments,omitempty"`
	// CapsuleRupture tells whether any complication counts under the audit definition.
	CapsuleRupture bool   `json:"capsuleRupture"`
	After          []Seen `json:"after,omitempty"` // visits, by date
}

// Before is the eye before the operation, as far as a comparison uses it.
type Before struct {
	Age                *int            `json:"age,omitempty"`
	Sex                string          `json:"sex,omitempty"`
	NuclearGrade       *int            `json:"nuclearGrade,omitempty"` // 1 to 5
	Pupil              string          `json:"pupil,omitempty"`        // "large", "medium", "small"
	AxialLength        *float64        `json:"axialLength,omitempty"`  // mm
	ChamberDepth       *float64        `json:"chamberDepth,omitempty"` // mm
	Thickness          *int            `json:"thickness,omitempty"`    // um
	LogMAR             *float64        `json:"logMAR,omitempty"`       // corrected
	Pseudoexfoliation  timeline.Answer `json:"pseudoexfoliation,omitempty"`
	BrunescentOrWhite  timeline.Answer `json:"brunescentOrWhite,omitempty"`
	Diabetes           timeline.Answer `json:"diabetes,omitempty"`
	Guttata            timeline.Answer `json:"guttata,omitempty"`
	PreviousVitrectomy timeline.Answer `json:"previousVitrectomy,omitempty"`
	ExpectedLow        float64         `json:"expectedLow"`  // chance of capsule rupture or vitreous loss, percent, not recalibrated
	ExpectedHigh       float64         `json:"expectedHigh"` // equal to ExpectedLow when every factor is known
	Count              *Count          `json:"count,omitempty"`
}

// Count is one endothelial count.
type Count struct {
	Density    float64  `json:"density"` // cells/mm2
	Cells      *int     `json:"cells,omitempty"`
	CV         *float64 `json:"cv,omitempty"` // fraction
	Instrument string   `json:"instrument,omitempty"`
	Method     string   `json:"method,omitempty"`
	Date       string   `json:"date"`
}

// Operation is what the machine said and what was used.
type Operation struct {
	MachineFamily  string          `json:"machineFamily,omitempty"`
	CDE            *float64        `json:"cde,omitempty"` // entered, else computed from times and powers
	EPT            *float64        `json:"ept,omitempty"` // s; the same
	UltrasoundTime *float64        `json:"ultrasoundTime,omitempty"`
	AspirationTime *float64        `json:"aspirationTime,omitempty"`
	FluidUsed      *float64        `json:"fluidUsed,omitempty"` // ml
	Dispersive     bool            `json:"dispersive"`          // an OVD of that kind was used
	Dye            timeline.Answer `json:"dye,omitempty"`
	PupilDevice    string          `json:"pupilDevice,omitempty"`
}

// Part is the time of one step or stage.
type Part struct {
	Code     string           `json:"code"`
	Total    *int64           `json:"total"` // ms; nil when it is not recorded
	Episodes int              `json:"episodes"`
	Quality  timeline.Quality `json:"quality"`
	// At is where the step starts in the recording; nil when it is not recorded, and for stages.
	At *timeline.Instant `json:"at,omitempty"`
	// ByOperator splits the time by who operated; a stage may have it too. Without it the time is that of the operator of
	// the case, unless other steps tell that several people operated.
	ByOperator []Share `json:"byOperator,omitempty"`
}

// Share is what one person did of a step or stage.
type Share struct {
	Operator string           `json:"operator"`
	Total    *int64           `json:"total"` // ms
	Episodes int              `json:"episodes"`
	Quality  timeline.Quality `json:"quality"`
	// At is where their first episode starts in the recording.
	At *timeline.Instant `json:"at,omitempty"`
}

// Mishap is a complication of the case.
type Mishap struct {
	Kind string `json:"kind"`
	// Step is the step during which it happened, "" when it was in none or after the operation.
	Step     string `json:"step,omitempty"`
	Severity int    `json:"severity"`       // 0 not graded
	Days     *int   `json:"days,omitempty"` // after the operation; nil for one during it
}

// Seen is what one visit found.
type Seen struct {
	Window      string   `json:"window"`
	Days        int      `json:"days"` // after the operation
	LogMAR      *float64 `json:"logMAR,omitempty"`
	OedemaGrade *int     `json:"oedemaGrade,omitempty"`
	Thickness   *int     `json:"thickness,omitempty"` // um
	Pressure    *float64 `json:"pressure,omitempty"`  // mmHg
	Count       *Count   `json:"count,omitempty"`
}
