package annotate

import "context"

// KeptMeeting is a meeting as it is stored.
type KeptMeeting struct {
	Meeting
	// Change counts every change to anything of the meeting.
	Change int64 `json:"change"`
}

// KeptItem is an item of an agenda as it is stored. It names the case and the parts of its recording and therefore never
// leaves the server but in a bundle: blindedItem makes of it what members get.
type KeptItem struct {
	ID          string       `json:"id"`
	MeetingID   string       `json:"meetingId"`
	CaseID      string       `json:"caseId,omitempty"`
	Place       int          `json:"place"`
	Revision    int64        `json:"revision"`
	Kind        ItemKind     `json:"kind"`
	Title       string       `json:"title"`
	Label       string       `json:"label,omitempty"`
	Minutes     int          `json:"minutes"`
	PresenterID string       `json:"presenterId,omitempty"`
	InboxIDs    []string     `json:"inboxIds,omitempty"`
	Pack        Pack         `json:"pack"` // without its moments
	Moments     []KeptMoment `json:"moments,omitempty"`
	Record      ItemRecord   `json:"record"`
}

// KeptMoment is a prepared instant as it is stored: it names the part.
type KeptMoment struct {
	ID     string `json:"id"`
	PartID string `json:"partId"`
	Ms     int64  `json:"ms"`
	Line   string `json:"line"`
	Step   string `json:"step,omitempty"`
}

// KeptVoting is a vote on one question: the counts, and who has voted, in the order of their ids.
type KeptVoting struct {
	ItemID   string       `json:"itemId"`
	Question VoteQuestion `json:"question"`
	Open     bool         `json:"open"`
	Counts   []VoteCount  `json:"counts"`
	Voters   []string     `json:"voters"`
}

// LivePlace is what a server must know to tell those who follow a meeting.
type LivePlace struct {
	Place  Place
	State  MeetingState
	Change int64
}

// MeetingTx keeps meetings, their agendas, records, votes and remarks, and where a running one is.
type MeetingTx interface {
	Meeting(ctx context.Context, id string) (KeptMeeting, error)
	// LockMeeting reads a meeting and holds off every other change to it until the transaction ends.
	LockMeeting(ctx context.Context, id string) (KeptMeeting, error)
	Meetings(ctx context.Context) ([]KeptMeeting, error) // by date and id
	// MeetingsOf gives those that a person chairs or is invited to, by date and id.
	MeetingsOf(ctx context.Context, userID string) ([]KeptMeeting, error)
	InsertMeeting(ctx context.Context, meeting KeptMeeting) error
	// UpdateMeeting changes a meeting with its attendees.
	UpdateMeeting(ctx context.Context, meeting Meeting) error
	// TouchMeeting counts a change to something of the meeting.
	TouchMeeting(ctx context.Context, id string) error
	// DeleteMeeting removes a meeting with everything that belongs to it.
	DeleteMeeting(ctx context.Context, id string) error

	MeetingItems(ctx context.Context, meetingID string) ([]KeptItem, error) // by place
	MeetingItem(ctx context.Context, id string) (KeptItem, error)
	InsertMeetingItem(ctx context.Context, item KeptItem) error
	// UpdateMeetingItem changes everything of an item but its case, place and record.
	UpdateMeetingItem(ctx context.Context, item KeptItem) error
	UpdateItemRecord(ctx context.Context, itemID string, record ItemRecord) error
	// PlaceMeetingItems puts the items in the order given, from place 1 on.
	PlaceMeetingItems(ctx context.Context, ids []string) error
	DeleteMeetingItem(ctx context.Context, id string) error

	Votings(ctx context.Context, meetingID string) ([]KeptVoting, error) // by item and question
	// PutVoting opens or closes a vote.
	PutVoting(ctx context.Context, itemID string, question VoteQuestion, open bool) error
	// InsertVote counts one vote and, apart from it, that the person has voted; ErrDuplicate when they had.
	InsertVote(ctx context.Context, itemID string, question VoteQuestion, value, userID string) error
	// InsertVoting adds a whole vote, as a bundle holds it.
	InsertVoting(ctx context.Context, voting KeptVoting) error

	Remarks(ctx context.Context, meetingID string) ([]Remark, error) // oldest first
	Remark(ctx context.Context, id string) (Remark, error)
	PutRemark(ctx context.Context, meetingID string, remark Remark) error

	// MeetingPlace gives where a meeting is; a zero place before the first.
	MeetingPlace(ctx context.Context, meetingID string) (LivePlace, error)
	PutMeetingPlace(ctx context.Context, meetingID string, place Place) error
	MeetingActionTx
}

// MeetingActionTx keeps what meetings agreed on.
type MeetingActionTx interface {
	MeetingAction(ctx context.Context, id string) (MeetingAction, error)
	ActionsOf(ctx context.Context, meetingID string) ([]MeetingAction, error)  // by due date and id
	ActionsOwned(ctx context.Context, ownerID string) ([]MeetingAction, error) // by due date and id
	Actions(ctx context.Context) ([]MeetingAction, error)                      // of all meetings, by due date and id
	InsertMeetingAction(ctx context.Context, action MeetingAction) error
	// UpdateMeetingAction changes the action that still has the revision before the given one.
	UpdateMeetingAction(ctx context.Context, action MeetingAction) error
}
