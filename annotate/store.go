package annotate

import (
	"context"
	"errors"

	"zonule/timeline"
)

// What a store says about a row; anything else that it returns is a failure of the store.
var (
	// ErrNoRow: there is no such row.
	ErrNoRow = errors.New("no such row")
	// ErrNotOne: a change meant for one row touched none or several.
	ErrNotOne = errors.New("the change did not touch exactly one row")
	// ErrDuplicate: a value that must be unique is in use.
	ErrDuplicate = errors.New("a value that must be unique is in use")
	// ErrReferred: the row is referred to, or refers to one that is not there.
	ErrReferred = errors.New("a row refers to this one, or this one to none")
)

// Store keeps what people record. It checks neither rights nor rules. A database that is away or busy is an *Error with
// CodeUnavailable.
type Store interface {
	// Read runs fn on one consistent state of the store.
	Read(ctx context.Context, fn func(Tx) error) error
	// Write runs fn in one transaction. Nothing is kept when fn or the commit fails; either error is returned.
	Write(ctx context.Context, fn func(Tx) error) error
}

// Tx is what can be done within Read and Write. Lists come in the order that their comment names.
type Tx interface {
	UserTx
	UnitTx
	CaseTx
	RowTx
	MonitoringTx
	RecordingTx
	ReadingTx
	OutcomeTx
	ReportTx
	FindingTx
	AuditTx
	IntakeTx
	TeachingTx
	StudyTx
	InboxTx
	MeetingTx
}

// Account is a user with what only the store and sign-in see.
type Account struct {
	User
	PasswordHash string `json:"passwordHash"` // "" cannot sign in
}

// Tries counts failed sign-ins of one account name or one address.
type Tries struct {
	Who         string
	Failures    int
	LastAt      int64 // Unix ms
	PausedUntil int64 // Unix ms
}

// UserTx keeps accounts.
type UserTx interface {
	User(ctx context.Context, id string) (Account, error)
	UserByLogin(ctx context.Context, login string) (Account, error)
	Users(ctx context.Context) ([]Account, error) // by id
	InsertUser(ctx context.Context, account Account) error
	// UpdateUser changes the account that still has the revision before the given one.
	UpdateUser(ctx context.Context, account Account) error

	// LockTries reads the count, which may be 0, and holds off other changes to it until the transaction ends.
	LockTries(ctx context.Context, who string) (Tries, error)
	PutTries(ctx context.Context, tries Tries) error
	// ForgetTries removes the counts whose last try was before the instant.
	ForgetTries(ctx context.Context, before int64) error
	// ForgetTriesOf removes the counts whose name begins with the text.
	ForgetTriesOf(ctx context.Context, beginning string) error
}

// UnitTx keeps the unit and its step lists.
type UnitTx interface {
	Unit(ctx context.Context) (Unit, error)
	// UpdateUnit changes the unit if it still has the revision that it had.
	UpdateUnit(ctx context.Context, unit Unit, had int64) error

	StepLists(ctx context.Context) ([]StepList, error) // every version, by id and version
	StepList(ctx context.Context, ref StepListRef) (StepList, error)
	InsertStepList(ctx context.Context, list StepList) error
}

// CaseQuery asks for a page of the case list.
type CaseQuery struct {
	CaseFilter
	// Viewer sees the cases that name or are shared with them; with All set, every case.
	Viewer string
	All    bool
	// Own leaves out cases that are only shared with the viewer or seen because of All.
	Own bool
	// IDs narrows to these cases when it is not nil.
	IDs []string
	// Today is the date against which follow-up is due.
	Today string
	// Owing leaves out cases that owe no visit, Window those that owe another, Overdue those that are not overdue.
	Owing   bool
	Window  Window
	Overdue bool
	// Due orders by the date after which follow-up is overdue.
	Due bool
}

// CaseRow is one line of the list with what is known of the next visit.
type CaseRow struct {
	CaseSummary
	Due    Window
	DueOn  string
	LateOn string
	// Named: the case names the viewer or is shared with them.
	Named bool
}

// CaseRows is one page.
type CaseRows struct {
	Rows  []CaseRow
	Next  string
	Total int
}

// FactKind is what a time of the accepted reading is about.
type FactKind string

const (
	FactOperation FactKind = "operation"
	FactStage     FactKind = "stage"
	FactStep      FactKind = "step"
)

// TimeFact is one time of the accepted reading.
type TimeFact struct {
	Kind     FactKind         `json:"kind"`
	Code     string           `json:"code"` // "" for the operation
	Total    *int64           `json:"total"`
	Episodes int              `json:"episodes"`
	Quality  timeline.Quality `json:"quality"`
}

// CaseFacts follow from everything else that a case holds. They can be made anew at any time.
type CaseFacts struct {
	CaseID       string     `json:"caseId"`
	Recorded     bool       `json:"recorded"`
	Tagged       bool       `json:"tagged"`
	Signed       bool       `json:"signed"`
	Operation    *int64     `json:"operation"` // ms
	Due          Window     `json:"due"`       // the next visit that is wanted; "" when follow-up is complete
	DueOn        string     `json:"dueOn"`
	LateOn       string     `json:"lateOn"` // after this date it is overdue
	OpenComments int        `json:"openComments"`
	Times        []TimeFact `json:"times"` // in the order of the operation
	Items        ItemFacts  `json:"items"`
}

// CaseTx keeps cases and what follows from them.
type CaseTx interface {
	Case(ctx context.Context, id string) (Case, error)
	// LockCase reads a case and holds off every other change to it until the transaction ends.
	LockCase(ctx context.Context, id string) (Case, error)
	CaseIDs(ctx context.Context) ([]string, error) // in order
	InsertCase(ctx context.Context, c Case) error
	UpdateCase(ctx context.Context, c Case) error
	// TouchCase sets the count of changes and the time of the last.
	TouchCase(ctx context.Context, id string, change, at int64) error
	CasePage(ctx context.Context, query CaseQuery) (CaseRows, error)

	// TallyRows gives all operations that the query asks for, whatever its page, in no order.
	TallyRows(ctx context.Context, query CaseQuery) ([]TallyRow, error)

	CaseFacts(ctx context.Context, caseID string) (CaseFacts, error)
	PutCaseFacts(ctx context.Context, facts ...CaseFacts) error
	// UpdateDue sets of the facts which visit the case owes next.
	UpdateDue(ctx context.Context, caseID string, window Window, dueOn, lateOn string) error
}

// RecordingTx keeps the parts of recordings.
type RecordingTx interface {
	Parts(ctx context.Context, caseID string) ([]Part, error) // by position
	Part(ctx context.Context, id string) (Part, error)
	InsertPart(ctx context.Context, part Part) error
	UpdatePart(ctx context.Context, part Part) error
	DeletePart(ctx context.Context, id string) error
	// PartUses counts the markers, events, comments and complications that stand on a part.
	PartUses(ctx context.Context, id string) (int, error)
}

// KeptEdit is an edit with the reading it belongs to.
type KeptEdit struct {
	ReadingID string
	Edit
}

// ReadingTx keeps readings and their journals.
type ReadingTx interface {
	Readings(ctx context.Context, caseID string) ([]Reading, error) // oldest first
	Reading(ctx context.Context, id string) (Reading, error)
	InsertReading(ctx context.Context, reading Reading) error
	// UpdateReading sets step list, acceptance and seq.
	UpdateReading(ctx context.Context, reading Reading) error
	// RepeatedReadings gives every reading of cases that have more than one, by case, oldest first.
	RepeatedReadings(ctx context.Context) ([]Reading, error)
	ReadingState(ctx context.Context, id string) (ReadingState, error) // items by id

	Edits(ctx context.Context, readingID string, after int64) ([]Edit, error) // by seq
	EditsByID(ctx context.Context, ids []string) ([]KeptEdit, error)
	AppendEdits(ctx context.Context, readingID string, edits []Edit) error
	// PutItems makes the rows of items what the changes say; a change without an item removes the row.
	PutItems(ctx context.Context, readingID string, changes []Change) error
	// CommentsToAnswer counts, by case, the open threads of accepted readings in which somebody else spoke last and
	// the user takes part or is an operator of the case.
	CommentsToAnswer(ctx context.Context, userID string) (map[string]int, error)
}

// OutcomeTx keeps complications and visits.
type OutcomeTx interface {
	Complications(ctx context.Context, caseID string) ([]Complication, error) // by id
	Complication(ctx context.Context, id string) (Complication, error)
	InsertComplication(ctx context.Context, complication Complication) error
	UpdateComplication(ctx context.Context, complication Complication) error
	DeleteComplication(ctx context.Context, id string) error

	Visits(ctx context.Context, caseID string) ([]Visit, error) // by date and id
	Visit(ctx context.Context, id string) (Visit, error)
	InsertVisit(ctx context.Context, visit Visit) error
	UpdateVisit(ctx context.Context, visit Visit) error
	DeleteVisit(ctx context.Context, id string) error
}

// ReportTx keeps signed reports.
type ReportTx interface {
	Reports(ctx context.Context, caseID string) ([]SignedReport, error) // by number, with addenda
	Report(ctx context.Context, id string) (SignedReport, error)
	ReportContent(ctx context.Context, id string) (SignedContent, error)
	InsertReport(ctx context.Context, report SignedReport, content SignedContent) error
	// InsertAddendum adds the addendum as the given one, from 1, of its report.
	InsertAddendum(ctx context.Context, addendum Addendum, place int) error
}

// FindingTx keeps findings and learning points.
type FindingTx interface {
	Findings(ctx context.Context, caseID string) ([]Finding, error) // by place and id
	Finding(ctx context.Context, id string) (Finding, error)
	InsertFinding(ctx context.Context, finding Finding) error
	// UpdateFinding changes the finding that still has the revision before the given one.
	UpdateFinding(ctx context.Context, finding Finding) error
	DeleteFinding(ctx context.Context, id string) error
}

// AuditTx keeps the audit log.
type AuditTx interface {
	// LastAudit reads the newest entry, a zero one when there is none, and within Write holds off other additions
	// until the transaction ends.
	LastAudit(ctx context.Context) (AuditEntry, error)
	InsertAudit(ctx context.Context, entries ...AuditEntry) error       // in their order
	CaseAudit(ctx context.Context, caseID string) ([]AuditEntry, error) // newest first
	// AuditAfter gives at most limit entries from the one after seq on, oldest first.
	AuditAfter(ctx context.Context, seq int64, limit int) ([]AuditEntry, error)
}

// IntakeTx keeps imports of visits, the rows of their files and how columns were matched.
type IntakeTx interface {
	Intake(ctx context.Context, id string) (Intake, error)
	// LockIntake reads an import and holds off every other change to it until the transaction ends.
	LockIntake(ctx context.Context, id string) (Intake, error)
	// PutIntake adds an import or changes it.
	PutIntake(ctx context.Context, intake Intake) error
	// ForgetIntakes removes the imports made before the instant, with their rows.
	ForgetIntakes(ctx context.Context, before int64) error
	// IntakeRows gives at most limit rows after the one with the number, in order; with verdicts, only theirs.
	IntakeRows(ctx context.Context, id string, after, limit int, verdicts ...Verdict) ([]IntakeRow, error)
	// PutIntakeRows adds rows or changes them.
	PutIntakeRows(ctx context.Context, id string, rows []IntakeRow) error
	ForgetIntakeRows(ctx context.Context, id string) error
	// IntakeIdentities gives the number of the first row with each of the identities, among the rows up to one.
	IntakeIdentities(ctx context.Context, id string, last int, identities []string) (map[string]int, error)

	// IntakeMatching gives what a person last said about the columns with the key.
	IntakeMatching(ctx context.Context, personID, key string) (IntakeMatching, error)
	PutIntakeMatching(ctx context.Context, personID, key string, matching IntakeMatching) error

	// CasesNamed gives the ids, in order, of the cases whose pseudonym is one of the given, in lower case.
	CasesNamed(ctx context.Context, pseudonyms []string) ([]string, error)
	ManyCasesTx
}

// ManyCasesTx reads and writes what belongs to many cases at once. Maps go by case id; a case with nothing has no entry.
type ManyCasesTx interface {
	Cases(ctx context.Context, ids []string) (map[string]Case, error)
	// LockCases holds off every other change to the cases until the transaction ends. The ids are in order.
	LockCases(ctx context.Context, ids []string) error
	VisitsOf(ctx context.Context, caseIDs []string) (map[string][]Visit, error)               // by date and id
	PartsOf(ctx context.Context, caseIDs []string) (map[string][]Part, error)                 // by position
	ComplicationsOf(ctx context.Context, caseIDs []string) (map[string][]Complication, error) // by id
	ReadingsOf(ctx context.Context, caseIDs []string) (map[string][]Reading, error)           // oldest first
	ReportsOf(ctx context.Context, caseIDs []string) (map[string][]SignedReport, error)       // by number, with addenda
	// PutVisits adds visits or changes them.
	PutVisits(ctx context.Context, visits []Visit) error
	// TouchCases counts one change to each of the cases and sets its time.
	TouchCases(ctx context.Context, ids []string, at int64) error
}

// TeachingTx keeps assessment forms, what was judged with them, goals, and which comments a person has seen.
type TeachingTx interface {
	AssessmentForms(ctx context.Context) ([]AssessmentForm, error) // every version, by id and version
	AssessmentForm(ctx context.Context, ref AssessmentFormRef) (AssessmentForm, error)
	InsertAssessmentForm(ctx context.Context, form AssessmentForm) error

	Assessments(ctx context.Context, caseID string) ([]Assessment, error)      // by id
	AssessmentsOf(ctx context.Context, subjectID string) ([]Assessment, error) // by id
	Assessment(ctx context.Context, id string) (Assessment, error)
	InsertAssessment(ctx context.Context, assessment Assessment) error
	UpdateAssessment(ctx context.Context, assessment Assessment) error

	Goals(ctx context.Context, traineeID string) ([]Goal, error) // by id
	Goal(ctx context.Context, id string) (Goal, error)
	InsertGoal(ctx context.Context, goal Goal) error
	// UpdateGoal changes the goal that still has the revision before the given one.
	UpdateGoal(ctx context.Context, goal Goal) error
	// Supervises tells whether one person supervised another in at least one case.
	Supervises(ctx context.Context, trainerID, traineeID string) (bool, error)

	// FeedbackTo gives at most limit comments of others on accepted readings, of cases in which the user took part or in
	// threads in which the user wrote: unseen ones first, then the latest.
	FeedbackTo(ctx context.Context, userID string, limit int) ([]Feedback, error)
	PutCommentsSeen(ctx context.Context, userID, readingID string, commentIDs []string, at int64) error
}
