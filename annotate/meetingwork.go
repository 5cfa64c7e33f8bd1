package annotate

import (
	"context"
	"errors"
	"slices"
)

// visibleTo tells whether a meeting is there for a person on a day: for its chair always, for whom it invites while it is
// open to them.
func (m Meeting) visibleTo(userID, today string) bool {
	return userID == m.ChairID || m.invited(userID) && m.OpensOn <= today && today <= m.ClosesOn
}

// presenterOf is who presents an item.
func (m Meeting) presenterOf(item KeptItem) string {
	for _, id := range []string{item.PresenterID, m.PresenterID} {
		if id != "" {
			return id
		}
	}
	return m.ChairID
}

// mayPresent: the chair and the presenter of the meeting lead through every item, the presenter of an item through it.
func (m Meeting) mayPresent(userID string, item KeptItem) bool {
	return userID == m.ChairID || userID == m.PresenterID || userID == item.PresenterID
}

// mayPrepare: the chair and the presenter of an item change its pack.
func (m Meeting) mayPrepare(userID string, item KeptItem) bool {
	return m.State != MeetingClosed && (userID == m.ChairID || userID == m.presenterOf(item))
}

// mayWrite: who presents writes the record; once the meeting is closed its chair alone corrects it.
func (m Meeting) mayWrite(userID string, item KeptItem) bool {
	return userID == m.ChairID || m.State != MeetingClosed && m.mayPresent(userID, item)
}

// seenMeeting reads a meeting that the actor may see. For everybody else there is none.
func (s *Service) seenMeeting(actor Actor, m KeptMeeting, err error) (KeptMeeting, error) {
	if errors.Is(err, ErrNoRow) || err == nil && !m.visibleTo(actor.ID, s.today()) {
		return KeptMeeting{}, notFound("meeting")
	}
	return m, err
}

// onMeeting runs fn on one consistent state in which the actor may see the meeting.
func (s *Service) onMeeting(ctx context.Context, actor Actor, id string, fn func(tx Tx, m KeptMeeting) error) error {
	if err := present(actor); err != nil {
		return err
	}
	return s.store.Read(ctx, func(tx Tx) error {
		m, err := tx.Meeting(ctx, id)
		if m, err = s.seenMeeting(actor, m, err); err != nil {
			return err
		}
		return fn(tx, m)
	})
}

// meetingWork is one change to a meeting, in a transaction that holds off every other change to it.
type meetingWork struct {
	KeptMeeting
	tx      Tx
	actor   Actor
	now     int64
	entries []AuditEntry
}

// meetingSeal is what the audit log keeps of a change: which version it made, and its hash. What was said at a meeting is
// not repeated in the log.
type meetingSeal struct {
	Revision int64        `json:"revision"`
	Hash     string       `json:"hash"`
	Changes  []Difference `json:"changes,omitempty"`
}

// seal adds an audit entry about a thing of the meeting. No entry names a case: its history would tell of the meeting.
func (w *meetingWork) seal(action, thingID string, revision int64, value any, changes []Difference) {
	w.entries = append(w.entries, sealed(action, thingID, revision, value, changes))
}

func sealed(action, thingID string, revision int64, value any, changes []Difference) AuditEntry {
	return AuditEntry{Action: action, ThingID: thingID, Detail: jsonText(meetingSeal{revision, hashOf(value), changes})}
}

// note adds an audit entry that has no version.
func (w *meetingWork) note(action, thingID string) {
	w.entries = append(w.entries, AuditEntry{Action: action, ThingID: thingID})
}

// changeMeeting runs fn on a meeting that the actor may see. When fn seals or notes something, the meeting counts a change
// and the entries go to the audit log.
func (s *Service) changeMeeting(ctx context.Context, actor Actor, id string, fn func(w *meetingWork) error) error {
	if err := present(actor); err != nil {
		return err
	}
	return s.store.Write(ctx, func(tx Tx) error {
		m, err := tx.LockMeeting(ctx, id)
		if m, err = s.seenMeeting(actor, m, err); err != nil {
			return err
		}
		w := &meetingWork{KeptMeeting: m, tx: tx, actor: actor, now: s.nowMs()}
		if err := fn(w); err != nil {
			return err
		}
		return s.finishMeeting(ctx, w)
	})
}

func (s *Service) finishMeeting(ctx context.Context, w *meetingWork) error {
	if len(w.entries) == 0 {
		return nil
	}
	if err := w.tx.TouchMeeting(ctx, w.ID); err != nil {
		return err
	}
	return s.record(ctx, w.tx, w.actor, w.entries...)
}

func (w *meetingWork) chairs() bool { return w.actor.ID == w.ChairID }

func (w *meetingWork) onlyChair() error {
	if !w.chairs() {
		return Refuse(CodeForbidden, "Only the chair of the meeting may do this.")
	}
	return nil
}

// item reads an item of the meeting.
func (w *meetingWork) item(ctx context.Context, id string) (KeptItem, error) {
	return itemOf(ctx, w.tx, w.ID, id)
}

func itemOf(ctx context.Context, tx Tx, meetingID, id string) (KeptItem, error) {
	item, err := tx.MeetingItem(ctx, id)
	return found(item, err, item.MeetingID == meetingID, "item")
}

// keep stores the meeting with a new revision.
func (w *meetingWork) keep(ctx context.Context, action string, before Meeting) error {
	w.Revision++
	if err := w.tx.UpdateMeeting(ctx, w.Meeting); err != nil {
		return err
	}
	w.seal(action, w.ID, w.Revision, w.Meeting, Differences(before, w.Meeting))
	return nil
}

// invites adds a presenter to the attendees, so that the meeting is there for them.
func (w *meetingWork) invites(ctx context.Context, userID string) error {
	if userID == "" || w.invited(userID) {
		return nil
	}
	if err := knownPeople(ctx, w.tx, "The item", []writtenText{{"presenterId", userID}}, nil); err != nil {
		return err
	}
	before := w.Meeting
	w.invite(userID)
	return w.keep(ctx, "meeting.change", before)
}

// knownPeople refuses ids that are nobody's, and those of people who are no longer active unless they stood there before.
func knownPeople(ctx context.Context, tx Tx, what string, ids []writtenText, before []string) error {
	var p problems
	for _, id := range ids {
		account, err := tx.User(ctx, id.text)
		switch {
		case errors.Is(err, ErrNoRow):
			p.add(id.field, "is not a person of this unit")
		case err != nil:
			return err
		case !account.Active && !slices.Contains(before, id.text):
			p.add(id.field, "is no longer active")
		}
	}
	return p.err(what)
}
