package annotate

import "regexp"

// MeetingState is how far a meeting is.
type MeetingState string

const (
	MeetingPlanned MeetingState = "planned"
	MeetingRunning MeetingState = "running"
	MeetingClosed  MeetingState = "closed"
)

// Meeting is a morbidity meeting, without its agenda. Its chair sees it always, because the chair plans it and answers for
// it; the other members (presenter and attendees) see it from OpensOn to ClosesOn. For everybody else it does not exist.
type Meeting struct {
	ID          string     `json:"id"`
	Revision    int64      `json:"revision"` // 0 asks for a new meeting
	Title       string     `json:"title"`
	Date        string     `json:"date"`
	Start       string     `json:"start" required:"false"` // HH:MM at the unit, or ""
	Room        string     `json:"room" required:"false"`
	ChairID     string     `json:"chairId"`
	PresenterID string     `json:"presenterId" required:"false"` // who presents what no other person presents; "" the chair
	Attendees   []Attendee `json:"attendees"`
	// State is changed by its own route.
	State MeetingState `json:"state" required:"false"`
	// OpensOn and ClosesOn bound the days on which members see it; "" asks for 7 days before to 30 days after.
	OpensOn  string `json:"opensOn" required:"false"`
	ClosesOn string `json:"closesOn" required:"false"`
	// From and To bound the operations that are the denominators; "" asks for the 90 days up to the meeting.
	From string `json:"from" required:"false"`
	To   string `json:"to" required:"false"`
	// TakesVotes and TakesRemarks let members vote and write remarks while it runs.
	TakesVotes   bool `json:"takesVotes" required:"false"`
	TakesRemarks bool `json:"takesRemarks" required:"false"`
	// NamesOperators shows the operators of the cases; the patient stays unnamed always. NamesReason says why.
	NamesOperators bool   `json:"namesOperators" required:"false"`
	NamesReason    string `json:"namesReason" required:"false"`
}

// Attendee is somebody who is invited.
type Attendee struct {
	UserID  string `json:"userId"`
	Present bool   `json:"present" required:"false"` // changed by the route of the attendance
	Apology bool   `json:"apology" required:"false"`
}

// ItemKind is what an item of the agenda is about.
type ItemKind string

const (
	// ItemActions is the first item of every agenda: the open actions of earlier meetings.
	ItemActions ItemKind = "actions"
	ItemCase    ItemKind = "case"
	ItemTopic   ItemKind = "topic"
)

// AgendaItem is one item of an agenda as members get it: it names no case, patient, operator or date of operation.
type AgendaItem struct {
	ID          string   `json:"id"`
	Revision    int64    `json:"revision"` // 0 asks for a new item
	Place       int      `json:"place"`    // from 1; 1 holds the open actions
	Kind        ItemKind `json:"kind"`
	Title       string   `json:"title"`
	Label       string   `json:"label" required:"false"` // such as "Case 12", set by the server
	Minutes     int      `json:"minutes"`
	PresenterID string   `json:"presenterId" required:"false"` // "" the presenter of the meeting
	// InboxIDs are the entries of the inbox that brought the case here. They are given with a new item and stay.
	InboxIDs []string `json:"inboxIds" required:"false"`
	Pack     Pack     `json:"pack" required:"false"`
	// Withdrawn says in words that consent was withdrawn: recording, stills and moments are gone. Set by the server.
	Withdrawn string `json:"withdrawn" required:"false"`
	// Operators are named only when the meeting names operators. Set by the server.
	Operators []ItemOperator `json:"operators" required:"false"`
	// Recording is what can be watched of the case. Set by the server.
	Recording []ItemPart `json:"recording" required:"false"`
	// Record and votes are changed by their own routes.
	Record ItemRecord `json:"record" required:"false"`
	Votes  []ItemVote `json:"votes" required:"false"`
}

// PackSection is one text of a pack.
type PackSection string

// PackSections lists them in the order in which clinicians hand over (SBAR).
var PackSections = []PackSection{"situation", "background", "assessment", "recommendation"}

// Pack is what is shown of a case, in the order situation, background, assessment, recommendation.
type Pack struct {
	Situation      string `json:"situation"`
	Background     string `json:"background"`
	Assessment     string `json:"assessment"`
	Recommendation string `json:"recommendation"`
	// Moments are shown in this order.
	Moments []Moment `json:"moments"`
}

// Moment is a prepared instant of the recording.
type Moment struct {
	ID string `json:"id"`
	// Part is the number, from 1, of the part of the recording; Ms is media time in it.
	Part int    `json:"part"`
	Ms   int64  `json:"ms"`
	Line string `json:"line"`                  // what to look at
	Step string `json:"step" required:"false"` // name of the step, for the heading
	// Clock is the case clock of the instant, such as "12:41"; set by the server, "" when it is not known.
	Clock string `json:"clock" required:"false"`
}

// ItemPart is one part of the recording of a case as members get it.
type ItemPart struct {
	Part     int   `json:"part"`     // number, from 1
	Duration int64 `json:"duration"` // ms
	Width    int   `json:"width"`
	Height   int   `json:"height"`
	// Playable: the part may be shown and can be played here; Reason says why not.
	Playable bool   `json:"playable"`
	Reason   string `json:"reason"`
}

// ItemOperator is who operated, once the chair has the operators named.
type ItemOperator struct {
	UserID string       `json:"userId"`
	Role   OperatorRole `json:"role"`
}

// FactorFamily is one of the seven families of contributory factors of the London Protocol (Taylor-Adams and Vincent).
type FactorFamily string

// FactorFamilies lists them from the patient outwards.
var FactorFamilies = []FactorFamily{"patient", "task", "individual", "team", "environment", "organisation", "institution"}

// Harm is how much harm came to the patient, in the five classes in common use; "" is not judged.
type Harm string

// Harms lists the classes, least first.
var Harms = []Harm{"none", "low", "moderate", "severe", "death"}

// Preventability is whether it could have been prevented; "" is not judged.
type Preventability string

// Preventabilities lists the answers, least preventable first.
var Preventabilities = []Preventability{"not", "probably-not", "probably", "clearly"}

// ItemRecord is what was said about one item. It is saved as it is written, with a revision of its own.
type ItemRecord struct {
	Revision       int64           `json:"revision"`
	Discussion     string          `json:"discussion"`
	Factors        []Factor        `json:"factors"`
	Harm           Harm            `json:"harm"`
	Preventability Preventability  `json:"preventability"`
	Learning       []LearningPoint `json:"learning"`
	WrittenBy      string          `json:"writtenBy" required:"false"` // who saved last, set by the server
	WrittenAt      int64           `json:"writtenAt" required:"false"` // Unix ms
}

// Factor is one contributory factor.
type Factor struct {
	Family FactorFamily `json:"family"`
	Text   string       `json:"text"`
}

// LearningPoint is what others may learn; MomentID may name the moment that shows it.
type LearningPoint struct {
	Text     string `json:"text"`
	MomentID string `json:"momentId" required:"false"`
}

// VoteQuestion is what members may vote on.
type VoteQuestion string

const (
	VoteHarm           VoteQuestion = "harm"
	VotePreventability VoteQuestion = "preventability"
)

// ItemVote is a vote on one question of an item. Who voted is kept apart from what was voted.
type ItemVote struct {
	Question VoteQuestion `json:"question"`
	Open     bool         `json:"open"`
	Voted    int          `json:"voted"` // how many
	Own      bool         `json:"own"`   // whether the viewer has voted
	// Counts are there once the vote is closed and at least three have voted; before, there are none and Why says why.
	Counts []VoteCount `json:"counts"`
	Why    string      `json:"why"`
}

// VoteCount is how many chose an answer.
type VoteCount struct {
	Value string `json:"value"`
	Count int    `json:"count"`
}

// fewestVotes is how many must have voted before counts are shown. Source: our definition.
const fewestVotes = 3

// Remark is what a member wrote about an item while the meeting ran.
type Remark struct {
	ID       string `json:"id"`
	ItemID   string `json:"itemId"`
	AuthorID string `json:"authorId" required:"false"` // set by the server
	Text     string `json:"text"`
	MadeAt   int64  `json:"madeAt" required:"false"` // Unix ms
}

// MeetingSheet is a meeting as a member gets it.
type MeetingSheet struct {
	Meeting
	Agenda []AgendaItem `json:"agenda"` // in order
	// EarlierActions are those of earlier meetings, which the first item goes through; Actions those of this one.
	EarlierActions []MeetingAction `json:"earlierActions"`
	Actions        []MeetingAction `json:"actions"`
	Remarks        []Remark        `json:"remarks"` // oldest first
	May            MeetingRights   `json:"may"`
	// Change counts every change to anything of the meeting.
	Change int64 `json:"change"`
}

// MeetingRights is what the viewer may do in a meeting.
type MeetingRights struct {
	Chair bool `json:"chair"` // plan it, begin and end it, name operators, close votes and actions
	// Present, Prepare and Write list the ids of the items that the viewer may lead the others through, change the pack of,
	// and write the record of.
	Present []string `json:"present"`
	Prepare []string `json:"prepare"`
	Write   []string `json:"write"`
}

// MeetingLine is one line of the list of meetings.
type MeetingLine struct {
	ID       string       `json:"id"`
	Title    string       `json:"title"`
	Date     string       `json:"date"`
	Start    string       `json:"start"`
	Room     string       `json:"room"`
	State    MeetingState `json:"state"`
	Items    int          `json:"items"`   // cases and topics
	Minutes  int          `json:"minutes"` // of all items
	Chair    bool         `json:"chair"`   // the viewer chairs it
	ClosesOn string       `json:"closesOn"`
}

// Place is where a running meeting is: what every member's device shows.
type Place struct {
	Seq         int64        `json:"seq" required:"false"` // counts the places of the meeting
	ItemID      string       `json:"itemId"`
	MomentID    string       `json:"momentId" required:"false"`
	Slide       PackSection  `json:"slide" required:"false"` // the text of the pack that is shown; "" none
	Part        int          `json:"part" required:"false"`  // number of the part of the recording, 0 none
	Ms          int64        `json:"ms" required:"false"`    // media time when the presenter sent it
	Playing     bool         `json:"playing" required:"false"`
	Rate        float64      `json:"rate" required:"false"`        // of playing; 0 stands for 1
	At          int64        `json:"at" required:"false"`          // Unix ms on the server when it was taken
	ItemAt      int64        `json:"itemAt" required:"false"`      // Unix ms on the server when the meeting came to the item
	PresenterID string       `json:"presenterId" required:"false"` // who led there, set by the server
	State       MeetingState `json:"state" required:"false"`
}

var clockForm = regexp.MustCompile(`^([01][0-9]|2[0-3]):[0-5][0-9]$`)
