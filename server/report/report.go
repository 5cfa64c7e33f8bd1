package report

import (
	"zonule/annotate"
	"zonule/timeline"
)

// Format is the version of the layout of a Report. It changes when a field changes its meaning.
const Format = 1

// Rules is the version of the rules by which the figures of a report are computed and worded.
const Rules = "2026-11.2"

// Report is the content of a review report. Times are ms; "clock" is the case clock, which runs across the parts of a
// recording. Nothing in it is rounded. A value that is not there is null, and Missing says why.
type Report struct {
	Format   int    `json:"format"`
	Unit     string `json:"unit"`
	Invented bool   `json:"invented"` // the unit's data are made up
	CaseID   string `json:"caseId"`
	// CaseChange is the count of changes of the case that the report was made from.
	CaseChange int64 `json:"caseChange"`
	// Blinded says what the blinded edition leaves out; a full report has nothing here.
	Blinded []string `json:"blinded,omitempty"`
	Summary string   `json:"summary"` // one paragraph, composed from the facts below

	Case      CaseFacts       `json:"case"`
	Operators []OperatorFacts `json:"operators"`
	Risk      timeline.Risk   `json:"risk"`
	// RiskPublished is null unless Risk was fitted to the unit, as Recalibration says.
	RiskPublished *timeline.Risk          `json:"riskPublished"`
	Recalibration *annotate.Recalibration `json:"recalibration"`
	Recording     []PartFacts             `json:"recording"`
	Plan          Plan                    `json:"plan"`
	Sheet         []SheetLine             `json:"sheet"` // the running sheet, in the order of the operation
	Figure        Figure                  `json:"figure"`

	Operation OperationLine     `json:"operation"`
	Stages    []StageLine       `json:"stages"`
	Steps     []StepLine        `json:"steps"`
	Published []PublishedSeries `json:"published"`

	Happenings []Happening `json:"happenings"`
	Energy     EnergyFacts `json:"energy"`
	FollowUp   FollowUp    `json:"followUp"`
	Level      *Level      `json:"level"` // null in reports made before there was one

	Completeness annotate.Completeness     `json:"completeness"`
	Rupture      annotate.RuptureJudgement `json:"rupture"`
	Doubts       []annotate.FieldError     `json:"doubts"` // values that were kept and that a person should look at again

	Findings []FindingLine `json:"findings"` // findings, then learning points
	Threads  []Thread      `json:"threads"`
	Warnings []WarningLine `json:"warnings"`
	Missing  []Missing     `json:"missing"`
	Cautions []string      `json:"cautions"`
	Versions Versions      `json:"versions"`
	// Sections are the parts of the letter that the unit chose, in its order; empty, or null in reports made before
	// there was a choice: all in the usual order.
	Sections []string `json:"sections"`
}

// Moment is an instant of the recording and the way there.
type Moment struct {
	PartID string `json:"partId"`
	Part   int    `json:"part"`  // 1, 2, ... in the order of the operation; 0 for a part that is no longer there
	Ms     int64  `json:"ms"`    // media time in the part
	Clock  *int64 `json:"clock"` // null when the instant lies in no part
	Page   string `json:"page"`  // the moment on the tagging page
	Media  string `json:"media"` // the film at the moment (Media Fragments)
}

// CaseFacts is who and what eye.
type CaseFacts struct {
	Pseudonym string             `json:"pseudonym"`
	Eye       annotate.Eye       `json:"eye"`
	Date      string             `json:"date"`
	Before    annotate.EyeBefore `json:"before"`
	Operation annotate.Operation `json:"operation"`
}

// OperatorFacts is one person's part in the case. Operated is their time over the exclusive steps.
type OperatorFacts struct {
	ID       string                `json:"id"`
	Name     string                `json:"name"`
	Role     annotate.OperatorRole `json:"role"` // "" for one who operated and is not named in the case
	Grade    annotate.Grade        `json:"grade"`
	Operated *int64                `json:"operated"`
	Quality  timeline.Quality      `json:"quality"`
}

// PartFacts is one part of the recording.
type PartFacts struct {
	ID       string             `json:"id"`
	Part     int                `json:"part"`
	Duration int64              `json:"duration"`
	Rate     timeline.FrameRate `json:"frameRate"`
	State    annotate.PartState `json:"state"`
	RealTime bool               `json:"realTime"`
	Cuts     int                `json:"cuts"`
	Sped     int                `json:"sped"` // spans that are not in real time
	// Fingerprint is of the file's content.
	Fingerprint string `json:"fingerprint"`
	// Cleared: somebody said that no name, date or number is burned into the picture.
	Cleared bool   `json:"cleared"`
	Start   *int64 `json:"start"` // on the case clock
}

// Plan sets what was planned and usual beside what was done.
type Plan struct {
	Planned     annotate.Technique `json:"planned"`
	Performed   annotate.Technique `json:"performed"`
	Converted   *Moment            `json:"converted"` // null without a conversion, or when it has no instant
	Reason      string             `json:"reason"`
	StepList    string             `json:"stepList"` // whose usual order is meant; "" without a reading
	NotDone     []PlannedStep      `json:"notDone"`
	OutOfOrder  []string           `json:"outOfOrder"` // a sentence each
	NotInList   []PlannedStep      `json:"notInList"`  // done, but not in the planned list
	Repetitions []Repetition       `json:"repetitions"`
}

// PlannedStep is a step of the usual order.
type PlannedStep struct {
	Code     string `json:"code"`
	Name     string `json:"name"`
	Required bool   `json:"required"`
}

// Repetition is a step that was done in more than one episode.
type Repetition struct {
	Code     string `json:"code"`
	Name     string `json:"name"`
	Episodes int    `json:"episodes"`
}

// SheetLine is one line of the running sheet: an episode of a step, an event or a complication.
type SheetLine struct {
	Kind     string           `json:"kind"` // "step", "event" or "complication"
	Code     string           `json:"code"`
	Name     string           `json:"name"`
	Stage    string           `json:"stage"`
	At       *Moment          `json:"at"`
	End      *int64           `json:"end"`    // clock
	Length   *int64           `json:"length"` // ms
	Quality  timeline.Quality `json:"quality"`
	Operator string           `json:"operator"`
	Usual    int              `json:"usual"` // place in the usual order, from 1; 0: not in it
	Note     string           `json:"note"`
}

// Figure is what the figure of the operation is drawn from. Times are on the case clock.
type Figure struct {
	Start  int64           `json:"start"`
	End    int64           `json:"end"`
	Stages []Band          `json:"stages"`
	Rows   []FigureRow     `json:"rows"`
	Parts  []PartStart     `json:"parts"`
	Gaps   []timeline.Span `json:"gaps"` // not recorded
}

// Band is one stretch of a stage.
type Band struct {
	Stage string `json:"stage"`
	Name  string `json:"name"`
	timeline.Span
}

// FigureRow is the row of a step (bars), an event kind or a complication kind (points).
type FigureRow struct {
	Kind   string  `json:"kind"` // "step", "event" or "complication"
	Code   string  `json:"code"`
	Name   string  `json:"name"`
	Stage  string  `json:"stage"`
	Total  *int64  `json:"total"`
	Bars   []Bar   `json:"bars"`
	Points []Point `json:"points"`
}

// Bar is one episode.
type Bar struct {
	timeline.Span
	Quality timeline.Quality `json:"quality"`
	Page    string           `json:"page"`
}

// Point is one instant.
type Point struct {
	At   int64  `json:"at"`
	Page string `json:"page"`
}

// PartStart is where a part of the recording begins.
type PartStart struct {
	Part int   `json:"part"`
	At   int64 `json:"at"`
}

// Place is the place of a time in the unit's own reference group: its other cases of the same technique.
type Place struct {
	N          int      `json:"n"`
	Median     *float64 `json:"median"` // ms, as the quartiles; null under 20 cases
	Q1         *float64 `json:"q1"`
	Q3         *float64 `json:"q3"`
	Percentile *float64 `json:"percentile"` // mid-rank; null under 20 cases or when the time is not measured
	Why        string   `json:"why"`        // why there is no percentile, in words
}

// OperationLine is the whole operation.
type OperationLine struct {
	timeline.Operation
	Place Place `json:"place"`
}

// StageLine is one stage.
type StageLine struct {
	timeline.StageFigure
	Name   string `json:"name"`
	Number int    `json:"number"` // from 1, in the order of the step list
	Place  Place  `json:"place"`
}

// StepLine is one step.
type StepLine struct {
	timeline.StepFigure
	StageNumber int            `json:"stageNumber"`
	Moment      *Moment        `json:"moment"` // where its first episode starts
	Shares      []OperatorTime `json:"shares"`
	Place       Place          `json:"place"`
}

// OperatorTime is how long somebody operated in a step.
type OperatorTime struct {
	Name    string           `json:"name"`
	Total   *int64           `json:"total"`
	Quality timeline.Quality `json:"quality"`
}

// PublishedSeries is a public series beside which the case stands.
type PublishedSeries struct {
	Code       string         `json:"code"`
	Name       string         `json:"name"`
	Citation   string         `json:"citation"`
	Definition string         `json:"definition"`
	Operations int            `json:"operations"`
	Rows       []PublishedRow `json:"rows"`
}

// PublishedRow is one phase of the series under its own name and the steps of ours that stand beside it.
type PublishedRow struct {
	Phase      string           `json:"phase"`
	Whole      bool             `json:"whole"`
	Steps      []string         `json:"steps"` // names
	Definition string           `json:"definition"`
	Total      *int64           `json:"total"` // this case
	Quality    timeline.Quality `json:"quality"`
	N          int              `json:"n"`
	Median     int64            `json:"median"`
	P25        int64            `json:"p25"`
	P75        int64            `json:"p75"`
	Place      string           `json:"place"` // in words; "" when this case has no measured time
	Low        *int             `json:"low"`   // the published percentiles between which this case lies
	High       *int             `json:"high"`
}

// Versions says by what the report was made.
type Versions struct {
	Rules     string            `json:"rules"`
	StepLists []StepListVersion `json:"stepLists"`
	// Reading is the accepted reading and the number of its last edit.
	Reading string `json:"reading"`
	Edit    int64  `json:"edit"`
}

// StepListVersion names a step list.
type StepListVersion struct {
	annotate.StepListRef
	Name string `json:"name"`
}
