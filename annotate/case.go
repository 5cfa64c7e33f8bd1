package annotate

// Eye is the side that was operated on; it is never inferred from a picture, which may be mirrored.
type Eye string

const (
	RightEye Eye = "OD"
	LeftEye  Eye = "OS"
)

// Answer is a tri-state: unknown is not no.
type Answer string

const (
	Unknown Answer = ""
	Yes     Answer = "yes"
	No      Answer = "no"
)

// Technique of the operation, planned or performed.
type Technique string

const (
	TechniquePhaco Technique = "phaco"
	TechniqueMSICS Technique = "msics"
	TechniqueECCE  Technique = "ecce"
)

// OperatorRole is what a person did in one case.
type OperatorRole string

const (
	OperatorLead       OperatorRole = "operator"
	OperatorSupervisor OperatorRole = "supervisor"
	OperatorAssistant  OperatorRole = "assistant"
)

// Operator is a person's part in one case, with the grade held on that day.
type Operator struct {
	UserID string       `json:"userId"`
	Role   OperatorRole `json:"role"`
	Grade  Grade        `json:"grade,omitempty"`
}

// Case is one operation on one eye. Patients are pseudonyms: no name, birth date or record number has a field.
type Case struct {
	ID         string     `json:"id"`
	Revision   int64      `json:"revision"` // 0 asks for a new case
	Pseudonym  string     `json:"pseudonym"`
	Eye        Eye        `json:"eye"`
	Date       string     `json:"date"` // YYYY-MM-DD
	Before     EyeBefore  `json:"before"`
	Operation  Operation  `json:"operation"`
	Operators  []Operator `json:"operators"`
	SharedWith []string   `json:"sharedWith"` // user ids
	// LostToFollowUp is set when no further visit is to be expected; the case then owes none.
	LostToFollowUp *LostToFollowUp `json:"lostToFollowUp" required:"false"`
	// CompareInstruments asks for endothelial counts from different instruments or methods to be compared all the same.
	CompareInstruments bool    `json:"compareInstruments" required:"false"`
	Consent            Consent `json:"consent" required:"false"`
	CreatedBy          string  `json:"createdBy"`
	CreatedAt          int64   `json:"createdAt"` // Unix ms
	UpdatedAt          int64   `json:"updatedAt"`
	// Change counts every change to anything that belongs to the case; a report names the count it was made from.
	Change int64 `json:"change"`
}

// LostToFollowUp says since when no visit is expected, and why.
type LostToFollowUp struct {
	On     string `json:"on"` // date
	Reason string `json:"reason"`
}

// CaseSummary is one line of the case list.
type CaseSummary struct {
	ID           string       `json:"id"`
	Pseudonym    string       `json:"pseudonym"`
	Eye          Eye          `json:"eye"`
	Date         string       `json:"date"`
	NuclearGrade *int         `json:"nuclearGrade,omitempty"`
	Planned      Technique    `json:"techniquePlanned"`
	Performed    Technique    `json:"techniquePerformed"`
	Operators    []Operator   `json:"operators"`
	Stages       []StageShare `json:"stages"`    // in the order of the operation; empty until tagged
	Operation    *int64       `json:"operation"` // operation time, ms; null until tagged
	Recorded     bool         `json:"recorded"`
	Tagged       bool         `json:"tagged"`
	FollowUp     string       `json:"followUp"` // "due", "overdue", "complete" or "" (not yet due)
	Report       ReportState  `json:"report"`   // "draft" or "signed"
	// Complications are the codes recorded for the case.
	Complications []string `json:"complications"`
	OpenComments  int      `json:"openComments"`
}

// StageShare is the length of one stage.
type StageShare struct {
	Stage string `json:"stage"`
	Total int64  `json:"total"` // ms
}

// CaseFilter narrows and orders the case list. Zero values do not narrow.
type CaseFilter struct {
	Query        string // matched against pseudonym and operator names
	Eye          Eye
	Technique    Technique // performed
	Operator     string    // user id
	From, To     string    // dates, inclusive
	Complication string    // code, or "any"
	State        string    // "to-record", "to-tag", "follow-up-due", "to-sign", "signed"
	Sort         string    // "date" (default), "pseudonym", "grade", "duration"
	Descending   bool
	Cursor       string
	Limit        int // 1 to 200; 0 means 50
}

// CasePage is one page of the list. Next is "" on the last page.
type CasePage struct {
	Cases []CaseSummary `json:"cases"`
	Next  string        `json:"next"`
	Total int           `json:"total"` // of the whole filtered list
}
