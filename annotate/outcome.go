package annotate

import "zonule/timeline"

// ComplicationKind is an entry of the unit's list of complications.
type ComplicationKind struct {
	Code string `json:"code"`
	Name string `json:"name"`
	// Phase is "intraoperative" or "postoperative".
	Phase string `json:"phase"`
	// CapsuleRupture marks kinds that count under the audit definition of capsule rupture.
	CapsuleRupture bool `json:"capsuleRupture"`
}

// Complication happened during the operation (At) or after it (OnDate).
type Complication struct {
	ID       string `json:"id"`
	CaseID   string `json:"caseId"`
	Revision int64  `json:"revision"`
	Kind     string `json:"kind"`
	// At is the instant of an intraoperative one; nil when the recording does not show it.
	At         *timeline.Instant `json:"at,omitempty"`
	OnDate     string            `json:"onDate,omitempty"`
	Severity   int               `json:"severity"` // 1 slight, 2 moderate, 3 severe; 0 not graded
	Action     string            `json:"action,omitempty"`
	ResolvedOn string            `json:"resolvedOn,omitempty"`
	// VisitID is the visit of the case at which it was found, or "".
	VisitID string `json:"visitId,omitempty"`
	Note    string `json:"note,omitempty"`
}

// Window is the planned time of a visit.
type Window string

const (
	WindowDay1   Window = "day-1"
	WindowWeek1  Window = "week-1"
	WindowMonth1 Window = "month-1"
	WindowMonth3 Window = "month-3"
	WindowYear1  Window = "year-1"
	WindowOther  Window = "other"
)

// Windows lists the visits in order.
var Windows = []Window{WindowDay1, WindowWeek1, WindowMonth1, WindowMonth3, WindowYear1, WindowOther}

// Visit is one follow-up examination.
type Visit struct {
	ID       string `json:"id"`
	CaseID   string `json:"caseId"`
	Revision int64  `json:"revision"`
	Window   Window `json:"window"`
	Date     string `json:"date"`
	// Acuity is the corrected one; both are kept as typed.
	Acuity            string      `json:"acuity,omitempty"`
	UncorrectedAcuity string      `json:"uncorrectedAcuity,omitempty"`
	Refraction        *Refraction `json:"refraction,omitempty"`
	// Pressure is intraocular pressure in mmHg.
	Pressure    *float64         `json:"pressure,omitempty"`
	OedemaGrade *int             `json:"oedemaGrade,omitempty"` // 0 clear to 4 severe
	Thickness   *int             `json:"thickness,omitempty"`   // um
	Exam        *EndothelialExam `json:"exam,omitempty"`
	FellowExam  *EndothelialExam `json:"fellowExam,omitempty"` // of the eye that was not operated on
	Medication  string           `json:"medication,omitempty"`
	Note        string           `json:"note,omitempty"`
}
