package annotate

import "slices"

// Action is something that may be done with a case, or with the unit.
type Action string

const (
	CaseView       Action = "case.view"
	CaseEdit       Action = "case.edit"
	CaseShare      Action = "case.share"
	RecordingView  Action = "recording.view"
	RecordingEdit  Action = "recording.edit"
	ReadingView    Action = "reading.view"
	ReadingMark    Action = "reading.mark"
	ReadingComment Action = "reading.comment"
	ReadingAccept  Action = "reading.accept"
	OutcomeEdit    Action = "outcome.edit"
	ReportView     Action = "report.view"
	ReportSign     Action = "report.sign"
	ReportAddendum Action = "report.addendum"
	FindingEdit    Action = "finding.edit"
	AssessmentView Action = "assessment.view"
	CaseAssess     Action = "case.assess"
	CaseDiscuss    Action = "case.discuss" // ask a meeting to

	CaseCreate          Action = "case.create"
	MediaBrowse         Action = "media.browse"
	UserManage          Action = "user.manage"
	UnitEdit            Action = "unit.edit"
	StepListEdit        Action = "step-list.edit"
	AssessmentFormEdit  Action = "assessment-form.edit"
	BundleUse           Action = "bundle.use"   // export and import
	IntakeUse           Action = "intake.use"   // import of visits from a file
	UnitSummary         Action = "unit.summary" // rates and completeness of the cases that one may see
	UnitSums            Action = "unit.sums"    // the same of the whole unit, without naming cases
	CompareUse          Action = "compare.use"  // own times and results beside an unnamed group
	InboxView           Action = "inbox.view"   // what waits for a meeting
	InboxEdit           Action = "inbox.edit"
	MeetingPlan         Action = "meeting.plan" // what a meeting holds is its members' alone, see Meeting
	MonitoringReviewAdd Action = "monitoring.review"
	StudyUse            Action = "study.use" // studies of the whole unit, which name nobody
)

// CaseActions lists what may be done with a case, in the order in which a page asks.
var CaseActions = []Action{
	CaseView, CaseEdit, CaseShare, RecordingView, RecordingEdit, ReadingView, ReadingMark, ReadingComment, ReadingAccept,
	OutcomeEdit, ReportView, ReportSign, ReportAddendum, FindingEdit, AssessmentView, CaseAssess, CaseDiscuss,
}

// UnitActions lists what may be done beside cases.
var UnitActions = []Action{CaseCreate, MediaBrowse, UserManage, UnitEdit, StepListEdit, BundleUse, IntakeUse, UnitSummary, UnitSums, AssessmentFormEdit, CompareUse, MonitoringReviewAdd, StudyUse, InboxView, InboxEdit, MeetingPlan}

// Relation is what a person has to do with a case.
type Relation string

const (
	RelationNone       Relation = ""
	RelationOperator   Relation = "operator"
	RelationAssistant  Relation = "assistant"
	RelationSupervisor Relation = "supervisor"
	RelationShared     Relation = "shared" // somebody shared the case with them
)

// Relations lists every relation, the nearest first.
var Relations = []Relation{RelationOperator, RelationSupervisor, RelationAssistant, RelationShared, RelationNone}

// RelationTo tells what a user has to do with a case.
func RelationTo(user User, c Case) Relation {
	for _, o := range c.Operators {
		if o.UserID == user.ID {
			return map[OperatorRole]Relation{
				OperatorLead: RelationOperator, OperatorSupervisor: RelationSupervisor, OperatorAssistant: RelationAssistant,
			}[o.Role]
		}
	}
	if slices.Contains(c.SharedWith, user.ID) {
		return RelationShared
	}
	return RelationNone
}

// grant says who may do an action: people with one of the relations to the case, whatever their role in the unit, and
// people with one of the roles, whatever their relation.
type grant struct {
	relations []Relation
	roles     []Role
}

var (
	theOperators = []Relation{RelationOperator, RelationSupervisor, RelationAssistant}
	theSigners   = []Relation{RelationOperator, RelationSupervisor}
	theReaders   = []Relation{RelationOperator, RelationSupervisor, RelationAssistant, RelationShared}
	theClinic    = []Role{RoleClinic}
	thePeople    = []Role{RoleSurgeon, RoleTrainee, RoleTrainer}             // who operate
	theFollowers = []Role{RoleSurgeon, RoleTrainee, RoleTrainer, RoleClinic} // who see eyes again
	theClinical  = []Role{RoleSurgeon, RoleTrainee, RoleTrainer, RoleChair, RoleMember, RoleClinic}
	theCharted   = []Role{RoleSurgeon, RoleTrainer, RoleChair} // who begin a chart again after a review
	theReviewers = []Role{RoleTrainer, RoleChair, RoleClinic}  // who answer for the unit's results
	theManagers  = []Role{RoleAdministrator}
	theChairs    = []Role{RoleChair}
	theCallers   = []Role{RoleTrainer, RoleChair} // who see what waits for a meeting
	theTeachers  = []Role{RoleTrainer, RoleAdministrator}
)

// grants is the whole of who may do what. Clinic staff see every case without its recording and readings, and edit
// follow-up only (visits and postoperative complications; see PutComplication). A reading that is not the accepted one
// is marked by its author alone (see mayMark).
var grants = map[Action]grant{
	CaseView:       {theReaders, theClinic},
	CaseEdit:       {theOperators, nil},
	CaseShare:      {theSigners, nil},
	RecordingView:  {theReaders, nil},
	RecordingEdit:  {theOperators, nil},
	ReadingView:    {theReaders, nil},
	ReadingMark:    {theOperators, nil},
	ReadingComment: {theReaders, nil},
	ReadingAccept:  {theSigners, nil},
	OutcomeEdit:    {theOperators, theClinic},
	ReportView:     {theReaders, nil},
	ReportSign:     {theSigners, nil},
	ReportAddendum: {theOperators, nil},
	FindingEdit:    {theOperators, nil},
	AssessmentView: {theOperators, nil},
	CaseAssess:     {theOperators, nil},
	CaseDiscuss:    {theOperators, nil},

	CaseCreate:          {nil, thePeople},
	MediaBrowse:         {nil, thePeople},
	UserManage:          {nil, theManagers},
	UnitEdit:            {nil, theManagers},
	StepListEdit:        {nil, theManagers},
	AssessmentFormEdit:  {nil, theTeachers},
	BundleUse:           {nil, nil},
	IntakeUse:           {nil, theFollowers},
	UnitSummary:         {nil, theClinical},
	UnitSums:            {nil, theReviewers},
	CompareUse:          {nil, theClinical},
	MonitoringReviewAdd: {nil, theCharted},
	InboxView:           {nil, theCallers},
	InboxEdit:           {nil, theChairs},
	MeetingPlan:         {nil, theChairs},
	StudyUse:            {nil, theClinical},
}

// houseMay is what whoever can open the database may do from the command line, without being a person of the unit.
var houseMay = []Action{CaseView, RecordingView, ReadingView, ReportView, UserManage, UnitEdit, StepListEdit, BundleUse}

// houseID stands for the command line in the audit log.
const houseID = "house"

// House is the actor of the command line: somebody who can open the database itself.
func House() Actor {
	return Actor{User: User{ID: houseID, Name: "Command line", Active: true}, house: true}
}

// Can tells whether the actor, who stands in the relation to the case, may do the action. Somebody whose only role is
// administrator manages the unit and sees no case.
func Can(actor Actor, action Action, relation Relation) bool {
	if actor.house {
		return slices.Contains(houseMay, action)
	}
	if actor.ID == "" || !actor.Active {
		return false
	}
	g := grants[action]
	if actor.Has(g.roles...) {
		return true
	}
	clinical := slices.ContainsFunc(actor.Roles, func(r Role) bool { return r != RoleAdministrator })
	return clinical && slices.Contains(g.relations, relation)
}

// present refuses when nobody is signed in.
func present(actor Actor) error {
	if actor.ID == "" || !actor.Active {
		return Refuse(CodeSignedOut, "Please sign in.")
	}
	return nil
}

// mayManage refuses an action on the unit that the actor may not do.
func mayManage(actor Actor, action Action) error {
	if err := present(actor); err != nil {
		return err
	}
	if !Can(actor, action, RelationNone) {
		return forbidden(action)
	}
	return nil
}

// MayBrowse refuses people who do not operate: only they look for recordings in the media roots.
func (s *Service) MayBrowse(actor Actor) error { return mayManage(actor, MediaBrowse) }

// MayImport refuses people who may not import visits, before their file is read.
func (s *Service) MayImport(actor Actor) error { return mayManage(actor, IntakeUse) }

// whoMay says in words who may do an action, for the refusal.
var whoMay = map[Action]string{
	CaseEdit:            "Only the operators and the supervisor of the case may change it.",
	CaseShare:           "Only the operator and the supervisor may change whom the case is shared with.",
	RecordingView:       "You do not see the recording of this case.",
	RecordingEdit:       "Only the operators and the supervisor of the case may change its recording.",
	ReadingView:         "You do not see the readings of this case.",
	ReadingMark:         "Only the operators and the supervisor of the case may mark its recording.",
	ReadingComment:      "You may not comment on this case.",
	ReadingAccept:       "Only the operator and the supervisor may choose the accepted reading.",
	OutcomeEdit:         "Only the operators, the supervisor and the clinic may record what followed.",
	ReportView:          "You do not see the reports of this case.",
	ReportSign:          "Only the operator and the supervisor may sign the report.",
	ReportAddendum:      "Only the operators and the supervisor may add to the report.",
	FindingEdit:         "Only the operators and the supervisor may write findings and learning points.",
	AssessmentView:      "Only the operators and the supervisor see the assessments of the case.",
	CaseAssess:          "Only the operators and the supervisor of the case may assess it.",
	CaseDiscuss:         "Only the operators and the supervisor of the case may ask to discuss it.",
	InboxView:           "Only chairs and trainers see what waits for a meeting.",
	InboxEdit:           "Only chairs decide what is discussed.",
	MeetingPlan:         "Only chairs plan a meeting.",
	CaseCreate:          "Only surgeons, trainees and trainers may register a case.",
	MediaBrowse:         "Only surgeons, trainees and trainers may look for recordings.",
	UserManage:          "Only an administrator may do this.",
	UnitEdit:            "Only an administrator may do this.",
	StepListEdit:        "Only an administrator may do this.",
	AssessmentFormEdit:  "Only trainers and administrators may change the assessment forms.",
	IntakeUse:           "Only surgeons, trainees, trainers and the clinic may import visits.",
	UnitSummary:         "Only people with a part in the care of patients see the record of the unit.",
	CompareUse:          "Only people with a part in the care of patients compare operations.",
	MonitoringReviewAdd: "Only surgeons, trainers and chairs record a review.",
	StudyUse:            "Only people with a part in the care of patients study operations.",
	UnitSums:            "Only trainers, chairs and the clinic see the record of the whole unit.",
	BundleUse:           "Bundles are written and read on the command line only.",
}

func forbidden(action Action) error { return Refuse(CodeForbidden, "%s", whoMay[action]) }

func notFound(what string) error {
	return Refuse(CodeNotFound, "There is no such %s, or it is not yours to see.", what)
}
