package annotate

import (
	"context"
	"fmt"
)

// InboxState is what became of a reason to discuss a case.
type InboxState string

const (
	InboxWaiting   InboxState = "waiting"
	InboxScheduled InboxState = "scheduled" // on the agenda of a meeting
	InboxDismissed InboxState = "dismissed" // the chair said why it need not be discussed
	InboxWithdrawn InboxState = "withdrawn" // the record was changed so that the rule no longer applies
)

// InboxEntry is one reason to discuss a case at a meeting. A case has at most one of each kind.
type InboxEntry struct {
	ID string `json:"id"`
	// CaseID is "" for who may not see the case.
	CaseID string `json:"caseId,omitempty"`
	// Label names the case within the inbox, such as "Case 12", and tells nothing else of it.
	Label string      `json:"label"`
	Kind  TriggerKind `json:"kind"`
	// Reason is in words and blinded: no name, no pseudonym, no date.
	Reason   string     `json:"reason"`
	RaisedAt int64      `json:"raisedAt"` // Unix ms
	State    InboxState `json:"state"`
	// DismissedReason says why it was dismissed or withdrawn.
	DismissedReason string `json:"dismissedReason,omitempty"`
	MeetingID       string `json:"meetingId,omitempty"`

	// What the case is, from its record.
	Technique    Technique `json:"technique"` // performed
	Eye          Eye       `json:"eye"`
	NuclearGrade *int      `json:"nuclearGrade"`

	// Number is that of the label.
	Number int `json:"number"`
}

// InboxLabel names the case with the number.
func InboxLabel(number int) string { return fmt.Sprintf("Case %d", number) }

// InboxSweep is up to where the cases were judged.
type InboxSweep struct {
	Number int64  // of the last flat row that was judged
	Rules  string // hash of the rules by which
}

// InboxTx keeps the reasons to discuss cases.
type InboxTx interface {
	InboxEntries(ctx context.Context) ([]InboxEntry, error)                      // by number, instant and id
	InboxEntriesOf(ctx context.Context, caseIDs ...string) ([]InboxEntry, error) // the same of some cases
	InboxEntry(ctx context.Context, id string) (InboxEntry, error)
	// LastInboxNumber is the greatest number of a case, 0 when there is none.
	LastInboxNumber(ctx context.Context) (int, error)
	// InsertInboxEntry adds an entry; the label follows from its number.
	InsertInboxEntry(ctx context.Context, entry InboxEntry) error
	// UpdateInboxEntry changes reason, instant, state and what belongs to it, of the entry that still has the state that it had.
	// Every change goes to the audit log as inboxAudit gives it, with which Verify compares.
	UpdateInboxEntry(ctx context.Context, entry InboxEntry, had InboxState) error

	InboxSweep(ctx context.Context) (InboxSweep, error)
	// LockInbox is InboxSweep and holds off every other sweep and addition to the inbox until the transaction ends.
	LockInbox(ctx context.Context) (InboxSweep, error)
	PutInboxSweep(ctx context.Context, sweep InboxSweep) error
}
