package annotate

import "zonule/timeline"

// Reading is one person's marking of one case. Statistics use only the accepted one.
type Reading struct {
	ID       string `json:"id"`
	CaseID   string `json:"caseId"`
	AuthorID string `json:"authorId"`
	// StepList is the list in use at the start; after a conversion markers may name another.
	StepList  StepListRef `json:"stepList"`
	Accepted  bool        `json:"accepted"`
	Seq       int64       `json:"seq"` // of the newest edit; 0 when there is none
	CreatedAt int64       `json:"createdAt"`
	// Choice says who made it the accepted one and why; null for one that became it by being the first, or is not it.
	Choice *ReadingChoice `json:"choice,omitempty"`
}

// ReadingChoice is the decision that a reading is the accepted one.
type ReadingChoice struct {
	By     string `json:"by"`
	At     int64  `json:"at"` // Unix ms
	Reason string `json:"reason"`
}

// Thing is a kind of item that a reading holds.
type Thing string

const (
	ThingMarker     Thing = "marker"
	ThingEvent      Thing = "event"
	ThingComment    Thing = "comment"
	ThingAcceptance Thing = "acceptance"
)

// Marker is the start and end of one episode of a step.
type Marker struct {
	ID       string            `json:"id"`
	Seq      int64             `json:"seq"` // of the edit that last touched it
	Step     string            `json:"step"`
	StepList StepListRef       `json:"stepList"`
	Start    timeline.Instant  `json:"start"`
	End      *timeline.Instant `json:"end"` // null while the step runs
	// OperatorID is who operated during the episode; "" means the case's operator.
	OperatorID string `json:"operatorId,omitempty"`
	Note       string `json:"note,omitempty"`
}

// Event is something that happened at an instant.
type Event struct {
	ID   string           `json:"id"`
	Seq  int64            `json:"seq"`
	Kind string           `json:"kind"`
	At   timeline.Instant `json:"at"`
	Note string           `json:"note,omitempty"`
	// StepList is the list that is in use from a conversion on.
	StepList *StepListRef `json:"stepList,omitempty"`
}

// Shape is drawn over the frame. Points are fractions of the frame's width and height, 0 to 1.
type Shape struct {
	Kind   string       `json:"kind"` // "arrow", "ring" or "line"
	Points [][2]float64 `json:"points"`
}

// Comment is text on an instant or a span, in a thread.
type Comment struct {
	ID       string            `json:"id"`
	Seq      int64             `json:"seq"`
	AuthorID string            `json:"authorId"`
	MadeAt   int64             `json:"madeAt"` // Unix ms
	At       timeline.Instant  `json:"at"`
	End      *timeline.Instant `json:"end,omitempty"`
	Text     string            `json:"text"`
	ReplyTo  string            `json:"replyTo,omitempty"` // id of the comment that opened the thread
	Shape    *Shape            `json:"shape,omitempty"`
	Settled  bool              `json:"settled"`
}

// Acceptance records why a warning stands. Its ID is the warning's key.
type Acceptance struct {
	ID       string `json:"id"`
	Seq      int64  `json:"seq"`
	Reason   string `json:"reason"`
	AuthorID string `json:"authorId"`
}

// Change is the new value of one item. The field that Thing names holds it; with none set the item is removed.
//
// The journal is hashed as JSON: a field that is added here, or to an item, must be left out of the JSON while empty.
type Change struct {
	Thing Thing  `json:"thing"`
	ID    string `json:"id"`
	// Base is the Seq of the version that the author saw; 0 for a new item. Another Seq in the store is a conflict.
	Base       int64       `json:"base"`
	Marker     *Marker     `json:"marker,omitempty"`
	Event      *Event      `json:"event,omitempty"`
	Comment    *Comment    `json:"comment,omitempty"`
	Acceptance *Acceptance `json:"acceptance,omitempty"`
}

// Removes reports whether the change takes the item away.
func (c Change) Removes() bool {
	return c.Marker == nil && c.Event == nil && c.Comment == nil && c.Acceptance == nil
}

// Edit is one entry of the journal: what a person did at once, made of one or more changes that hold together.
type Edit struct {
	ID string `json:"id"` // made by the client; the same id counts once
	// Action is what the person did, in one word of Actions, for the history.
	Action string `json:"action"`
	// Undoes is the id of the edit that this one takes back (undo) or brings back (redo), else "".
	Undoes   string   `json:"undoes,omitempty"`
	Changes  []Change `json:"changes"`
	Seq      int64    `json:"seq"`      // set by the server
	AuthorID string   `json:"authorId"` // set by the server
	MadeAt   int64    `json:"madeAt"`   // set by the server, Unix ms
}

// Actions lists what an edit may say it did.
var Actions = []string{"add", "move", "relabel", "split", "merge", "remove", "note", "operator", "comment", "settle", "accept-warning", "undo", "redo"}

// ReadingState is the fold of a reading's journal.
type ReadingState struct {
	Reading
	Markers     []Marker     `json:"markers"`
	Events      []Event      `json:"events"`
	Comments    []Comment    `json:"comments"`
	Acceptances []Acceptance `json:"acceptances"`
}

// EditAnswer says what became of one edit.
type EditAnswer struct {
	ID  string `json:"id"`
	Seq int64  `json:"seq"`
	// AlreadyDone is true when the id had been applied before: nothing was done twice.
	AlreadyDone bool `json:"alreadyDone"`
}
