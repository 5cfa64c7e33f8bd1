package annotate

// ActionState is how far an action is.
type ActionState string

const (
	ActionOpen ActionState = "open"
	// ActionDone: the owner says so, with evidence. It stays on the agenda until a meeting closes it.
	ActionDone   ActionState = "done"
	ActionClosed ActionState = "closed"
)

// MeetingAction is what a meeting agreed that somebody does. The owner reports it done; it is closed only at a later
// meeting by its chair, or by the chair of its own meeting with a reason.
type MeetingAction struct {
	ID       string `json:"id"`
	Revision int64  `json:"revision"` // 0 asks for a new action
	// MeetingID and ItemID say where it was agreed. They are "" for who may not see that meeting.
	MeetingID string      `json:"meetingId"`
	ItemID    string      `json:"itemId" required:"false"`
	Text      string      `json:"text"`
	OwnerID   string      `json:"ownerId"`
	DueOn     string      `json:"dueOn"`
	State     ActionState `json:"state"`
	Evidence  string      `json:"evidence" required:"false"` // that it was done
	ReviewOn  string      `json:"reviewOn" required:"false"` // when to look whether it helped
	// ClosedAt is the id of the later meeting that closed it, or "".
	ClosedAt     string `json:"closedAt" required:"false"`
	ClosedReason string `json:"closedReason" required:"false"`
	ClosedOn     string `json:"closedOn" required:"false"` // set by the server
	AgreedOn     string `json:"agreedOn" required:"false"` // date of its meeting, set by the server
	// Overdue: it is open and its day has passed. Set by the server.
	Overdue bool `json:"overdue" required:"false"`
}
