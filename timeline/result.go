package timeline

// Quality says what a duration is worth.
type Quality string

const (
	// Measured: every episode was recorded from start to end, in real time or with its edits declared.
	Measured Quality = "measured"
	// LowerBound: something is missing (a cut, an unrecorded gap, an end); say "at least".
	LowerBound Quality = "lower-bound"
	// NotRecorded: no episode was marked, or none began within the recording. It is never 0.
	NotRecorded Quality = "not-recorded"
	// NoStatistics: a part is edited without declaring how, so the length means nothing outside this film.
	NoStatistics Quality = "no-statistics"
)

// Figure is the time of one step, stage or operator. Times are ms of the case clock; nil: there is none.
//
// Total is the length of the union of the episodes, without unrecorded gaps between parts, since nobody saw what
// happened there: "at least" must be true. Span = LastEnd - FirstStart = Total + Unrecorded + Interrupted.
type Figure struct {
	Total       *int64  `json:"total"`
	Episodes    int     `json:"episodes"` // maximal intervals of the union
	FirstStart  *int64  `json:"firstStart"`
	LastEnd     *int64  `json:"lastEnd"`
	Span        *int64  `json:"span"`
	Interrupted *int64  `json:"interrupted"`
	Unrecorded  int64   `json:"unrecorded"` // within episodes, in gaps between parts
	Running     bool    `json:"running"`    // a marker has no end
	Quality     Quality `json:"quality"`
}

// OperatorFigure is the same over the episodes of one operator.
type OperatorFigure struct {
	Operator string `json:"operator"`
	Figure
}

// StepFigure is the time of one step. At is where its first episode starts in the recording.
type StepFigure struct {
	Step
	Figure
	At        *Instant         `json:"at"`
	Operators []OperatorFigure `json:"operators"`
}

// StageFigure is the time of one stage: the union over its exclusive steps.
type StageFigure struct {
	Stage string `json:"stage"`
	Figure
}

// Operation is the whole. Time = End - Start = Tagged + Untagged + Unrecorded.
type Operation struct {
	// Time runs from the first start to the last end of the exclusive steps, gaps included: it is time that passed.
	Time       *int64  `json:"time"`
	Start      *int64  `json:"start"`
	End        *int64  `json:"end"`
	Tagged     *int64  `json:"tagged"`     // the union of the exclusive steps, as far as recorded
	Untagged   *int64  `json:"untagged"`   // recorded, but in no exclusive step
	Unrecorded int64   `json:"unrecorded"` // in gaps between parts
	Quality    Quality `json:"quality"`
	// Operators gives the time of each over the union of the exclusive steps.
	Operators []OperatorFigure `json:"operators"`
}

// MarkFigure is one marker on the case clock. Start and End are nil where the marker lies in no part; an End beyond
// the part is brought back to its end.
type MarkFigure struct {
	ID      string  `json:"id"`
	Step    string  `json:"step"`
	Start   *int64  `json:"start"`
	End     *int64  `json:"end"`
	Total   *int64  `json:"total"`
	Quality Quality `json:"quality"`
}

// Result is everything that one reading says about time.
type Result struct {
	// Steps holds, in the order of the step list, each step that was marked or is required.
	Steps     []StepFigure  `json:"steps"`
	Stages    []StageFigure `json:"stages"`
	Operation Operation     `json:"operation"`
	Marks     []MarkFigure  `json:"marks"` // by start; those without one last
	Gaps      []Span        `json:"gaps"`  // unrecorded case-clock time between parts
	Warnings  []Warning     `json:"warnings"`
}

// Step gives the figure of a step; false when it was neither marked nor required.
func (r Result) Step(code string) (StepFigure, bool) {
	for _, step := range r.Steps {
		if step.Code == code {
			return step, true
		}
	}
	return StepFigure{}, false
}

// Stage gives the figure of a stage; false when the step list has no such stage.
func (r Result) Stage(code string) (StageFigure, bool) {
	for _, stage := range r.Stages {
		if stage.Stage == code {
			return stage, true
		}
	}
	return StageFigure{}, false
}

// WarningCode names a kind of warning.
type WarningCode string

const (
	WarnOverlap     WarningCode = "overlap"
	WarnNoLength    WarningCode = "no-length"
	WarnEndFirst    WarningCode = "end-before-start"
	WarnNoEnd       WarningCode = "no-end"
	WarnBeyond      WarningCode = "beyond-recording"
	WarnAbsent      WarningCode = "required-step-absent"
	WarnOrder       WarningCode = "unusual-order"
	WarnUntagged    WarningCode = "untagged-gap"
	WarnOutside     WarningCode = "complication-outside"
	WarnImplausible WarningCode = "implausible-length"
)

// Warning is something about a reading that a person should look at. It refuses nothing and may be accepted with a
// reason, under its Key, which stays the same as long as the same markers are concerned.
type Warning struct {
	Key          string      `json:"key"`
	Code         WarningCode `json:"code"`
	Message      string      `json:"message"`      // a sentence for a person
	At           *Instant    `json:"at"`           // where to look; nil when there is no such place
	Marks        []string    `json:"marks"`        // ids of the markers concerned
	Step         string      `json:"step"`         // code of the step concerned, or ""
	Complication string      `json:"complication"` // id of the complication concerned, or ""
}
