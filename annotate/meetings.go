package annotate

import (
	"context"
	"errors"
	"fmt"
	"slices"
)

// Meetings lists the meetings that are there for the actor, the latest first.
func (s *Service) Meetings(ctx context.Context, actor Actor) ([]MeetingLine, error) {
	if err := present(actor); err != nil {
		return nil, err
	}
	lines := []MeetingLine{}
	err := s.store.Read(ctx, func(tx Tx) (err error) {
		lines, err = s.meetingLines(ctx, tx, actor)
		return err
	})
	slices.Reverse(lines)
	return lines, err
}

// meetingLines gives the lines by date.
func (s *Service) meetingLines(ctx context.Context, tx Tx, actor Actor) ([]MeetingLine, error) {
	lines := []MeetingLine{}
	meetings, err := tx.MeetingsOf(ctx, actor.ID)
	if err != nil {
		return nil, err
	}
	for _, m := range meetings {
		if !m.visibleTo(actor.ID, s.today()) {
			continue
		}
		items, err := tx.MeetingItems(ctx, m.ID)
		if err != nil {
			return nil, err
		}
		line := MeetingLine{
			ID: m.ID, Title: m.Title, Date: m.Date, Start: m.Start, Room: m.Room, State: m.State, Chair: m.ChairID == actor.ID, ClosesOn: m.ClosesOn,
		}
		for _, item := range items {
			line.Minutes += item.Minutes
			if item.Kind != ItemActions {
				line.Items++
			}
		}
		lines = append(lines, line)
	}
	return lines, nil
}

// meetingsAhead gives the meetings that are running or lie ahead, the next first.
func (s *Service) meetingsAhead(ctx context.Context, tx Tx, actor Actor) ([]MeetingLine, error) {
	lines, err := s.meetingLines(ctx, tx, actor)
	lines = slices.DeleteFunc(lines, func(l MeetingLine) bool {
		return l.State == MeetingClosed || l.State == MeetingPlanned && l.Date < s.today()
	})
	return lines[:min(len(lines), mostWaiting)], err
}

// Meeting gives a meeting to a member.
func (s *Service) Meeting(ctx context.Context, actor Actor, id string) (MeetingSheet, error) {
	var sheet MeetingSheet
	err := s.onMeeting(ctx, actor, id, func(tx Tx, m KeptMeeting) (err error) {
		sheet, err = s.sheetOf(ctx, tx, m, actor)
		return err
	})
	return sheet, err
}

// NoteMeeting writes that the actor looked at something of a meeting ("meeting.view") or took it away
// ("meeting.download"); what says which.
func (s *Service) NoteMeeting(ctx context.Context, actor Actor, action, meetingID, what string) error {
	if err := present(actor); err != nil {
		return err
	}
	return s.store.Write(ctx, func(tx Tx) error {
		m, err := tx.Meeting(ctx, meetingID)
		if _, err = s.seenMeeting(actor, m, err); err != nil {
			return err
		}
		return s.record(ctx, tx, actor, AuditEntry{Action: action, ThingID: meetingID, Detail: jsonText(map[string]string{"what": what})})
	})
}

// PutMeeting plans a meeting (revision 0) or changes it. Its chair may; somebody who is invited and has the role of a chair
// may take the chair.
func (s *Service) PutMeeting(ctx context.Context, actor Actor, meeting Meeting) (MeetingSheet, error) {
	if err := present(actor); err != nil {
		return MeetingSheet{}, err
	}
	meeting.usual()
	if err := meeting.validate(); err != nil {
		return MeetingSheet{}, err
	}
	var sheet MeetingSheet
	err := s.store.Write(ctx, func(tx Tx) error {
		stored, err := tx.LockMeeting(ctx, meeting.ID)
		w := &meetingWork{KeptMeeting: stored, tx: tx, actor: actor, now: s.nowMs()}
		switch {
		case errors.Is(err, ErrNoRow):
			err = s.plan(ctx, w, meeting)
		case err == nil:
			err = s.replan(ctx, w, meeting)
		}
		if err != nil {
			return err
		}
		if err := s.finishMeeting(ctx, w); err != nil {
			return err
		}
		kept, err := tx.Meeting(ctx, meeting.ID)
		if err != nil {
			return err
		}
		sheet, err = s.sheetOf(ctx, tx, kept, actor)
		return err
	})
	return sheet, err
}

// plan adds a meeting with the first item of every agenda.
func (s *Service) plan(ctx context.Context, w *meetingWork, meeting Meeting) error {
	// The same answer as for a meeting of others, so that it does not tell which there are.
	if meeting.Revision != 0 || !Can(w.actor, MeetingPlan, RelationNone) {
		return notFound("meeting")
	}
	if err := w.peopleOf(ctx, meeting, Meeting{}); err != nil {
		return err
	}
	for i := range meeting.Attendees {
		meeting.Attendees[i].Present, meeting.Attendees[i].Apology = false, false
	}
	meeting.Revision, meeting.State = 1, MeetingPlanned
	w.KeptMeeting = KeptMeeting{Meeting: meeting}
	if err := w.tx.InsertMeeting(ctx, w.KeptMeeting); err != nil {
		return err
	}
	w.seal("meeting.add", w.ID, w.Revision, w.Meeting, Differences(nil, w.Meeting))
	first := KeptItem{
		ID: s.newID(), MeetingID: w.ID, Place: 1, Revision: 1, Kind: ItemActions, Title: "Open actions of earlier meetings", Minutes: 5,
	}
	return w.addItem(ctx, first)
}

func (s *Service) replan(ctx context.Context, w *meetingWork, meeting Meeting) error {
	if !w.visibleTo(w.actor.ID, s.today()) {
		return notFound("meeting")
	}
	takesChair := w.actor.Has(RoleChair) && meeting.ChairID == w.actor.ID
	if !w.chairs() && !takesChair {
		return w.onlyChair()
	}
	before := w.Meeting
	meeting.State = before.State
	for i, a := range meeting.Attendees {
		at := slices.IndexFunc(before.Attendees, func(b Attendee) bool { return b.UserID == a.UserID })
		a.Present, a.Apology = false, false
		if at >= 0 {
			a = before.Attendees[at]
		}
		meeting.Attendees[i] = a
	}
	items, err := w.tx.MeetingItems(ctx, w.ID)
	if err != nil {
		return err
	}
	for _, item := range items {
		meeting.invite(item.PresenterID)
	}
	if len(Differences(before, meeting)) == 0 {
		return nil
	}
	if meeting.Revision != before.Revision {
		return stale("The meeting", meeting, before)
	}
	if err := w.peopleOf(ctx, meeting, before); err != nil {
		return err
	}
	w.Meeting = meeting
	return w.keep(ctx, "meeting.change", before)
}

// peopleOf checks that everybody named is known, and that a new chair has the role.
func (w *meetingWork) peopleOf(ctx context.Context, meeting, before Meeting) error {
	var ids []writtenText
	for i, a := range meeting.Attendees {
		ids = append(ids, writtenText{fmt.Sprintf("attendees[%d].userId", i), a.UserID})
	}
	var stood []string
	for _, a := range before.Attendees {
		stood = append(stood, a.UserID)
	}
	if err := knownPeople(ctx, w.tx, "The meeting", ids, stood); err != nil {
		return err
	}
	if meeting.ChairID == before.ChairID {
		return nil
	}
	chair, err := w.tx.User(ctx, meeting.ChairID)
	if err != nil {
		return err
	}
	var p problems
	if !chair.Has(RoleChair) {
		p.add("chairId", "must be somebody with the role of a chair")
	}
	return p.err("The meeting")
}

// RemoveMeeting takes a planned meeting away of which nothing is recorded. What was on its agenda waits again.
func (s *Service) RemoveMeeting(ctx context.Context, actor Actor, id string, revision int64) error {
	if err := present(actor); err != nil {
		return err
	}
	return s.store.Write(ctx, func(tx Tx) error {
		m, err := tx.LockMeeting(ctx, id)
		if m, err = s.seenMeeting(actor, m, err); err != nil {
			return err
		}
		w := &meetingWork{KeptMeeting: m, tx: tx, actor: actor, now: s.nowMs()}
		if err := w.onlyChair(); err != nil {
			return err
		}
		if m.Revision != revision {
			return stale("The meeting", nil, m.Meeting)
		}
		items, err := tx.MeetingItems(ctx, id)
		if err != nil {
			return err
		}
		actions, err := tx.ActionsOf(ctx, id)
		if err != nil {
			return err
		}
		recorded := slices.ContainsFunc(items, func(i KeptItem) bool { return i.Record.Revision > 0 })
		if m.State != MeetingPlanned || recorded || len(actions) > 0 {
			return Refuse(CodeForbidden, "The meeting has begun or something of it is recorded; it stays. Close it instead.")
		}
		for _, item := range items {
			if err := w.unschedule(ctx, item); err != nil {
				return err
			}
			w.note("meeting.item-remove", item.ID)
		}
		if err := tx.DeleteMeeting(ctx, id); err != nil {
			return err
		}
		w.note("meeting.remove", id)
		return s.record(ctx, tx, actor, w.entries...)
	})
}

// SetMeetingState begins a meeting, ends it, or goes on with one that was ended; its chair may.
func (s *Service) SetMeetingState(ctx context.Context, actor Actor, id string, state MeetingState) (MeetingSheet, error) {
	var p problems
	oneOf(&p, "state", state, true, MeetingPlanned, MeetingRunning, MeetingClosed)
	if err := p.err("The meeting"); err != nil {
		return MeetingSheet{}, err
	}
	return s.changedSheet(ctx, actor, id, func(w *meetingWork) error {
		if err := w.onlyChair(); err != nil {
			return err
		}
		if w.State == state {
			return nil
		}
		if state == MeetingPlanned {
			return Refuse(CodeForbidden, "A meeting that has begun cannot be planned again; close it, or go on with it.")
		}
		before := w.Meeting
		w.State = state
		if state == MeetingRunning {
			w.OpensOn = min(w.OpensOn, s.today()) // nobody who is invited stands before a closed door
		}
		return w.keep(ctx, "meeting.state", before)
	})
}

// Attend records who was there or sent an apology: the chair for everybody, everybody an apology of their own.
func (s *Service) Attend(ctx context.Context, actor Actor, id string, attendee Attendee) (MeetingSheet, error) {
	return s.changedSheet(ctx, actor, id, func(w *meetingWork) error {
		at := slices.IndexFunc(w.Attendees, func(a Attendee) bool { return a.UserID == attendee.UserID })
		if at < 0 {
			return notFound("attendee")
		}
		own := attendee.UserID == actor.ID && attendee.Present == w.Attendees[at].Present
		if !w.chairs() && !own {
			return w.onlyChair()
		}
		if w.Attendees[at] == attendee {
			return nil
		}
		before := w.Meeting
		w.Attendees = slices.Clone(w.Attendees)
		w.Attendees[at] = attendee
		if err := w.tx.UpdateMeeting(ctx, w.Meeting); err != nil {
			return err
		}
		w.seal("meeting.attendance", w.ID, w.Revision, w.Meeting, Differences(before, w.Meeting))
		return nil
	})
}

// changedSheet is changeMeeting that answers with the meeting as it is then.
func (s *Service) changedSheet(ctx context.Context, actor Actor, id string, fn func(w *meetingWork) error) (MeetingSheet, error) {
	var sheet MeetingSheet
	err := s.changeMeeting(ctx, actor, id, fn)
	if err != nil {
		return sheet, err
	}
	return s.Meeting(ctx, actor, id)
}
