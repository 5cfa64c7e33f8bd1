package annotate

import (
	"context"
	"errors"
	"slices"
	"strings"
)

// MeetingActions gives the actions that the actor owns and those of the meetings that are there for the actor, by due date.
func (s *Service) MeetingActions(ctx context.Context, actor Actor) ([]MeetingAction, error) {
	if err := present(actor); err != nil {
		return nil, err
	}
	actions := []MeetingAction{}
	err := s.store.Read(ctx, func(tx Tx) error {
		owned, err := tx.ActionsOwned(ctx, actor.ID)
		if err != nil {
			return err
		}
		meetings, err := tx.MeetingsOf(ctx, actor.ID)
		if err != nil {
			return err
		}
		all := owned
		for _, m := range meetings {
			if !m.visibleTo(actor.ID, s.today()) {
				continue
			}
			of, err := tx.ActionsOf(ctx, m.ID)
			if err != nil {
				return err
			}
			all = append(all, of...)
		}
		actions, err = s.shownActions(ctx, tx, actor, all)
		return err
	})
	return actions, err
}

// shownActions gives each action once, as the actor gets it: where it was agreed only to whom that meeting is open.
func (s *Service) shownActions(ctx context.Context, tx Tx, actor Actor, actions []MeetingAction) ([]MeetingAction, error) {
	shown, visible := []MeetingAction{}, map[string]bool{}
	see := func(id string) (bool, error) {
		known, asked := visible[id]
		if asked || id == "" {
			return known, nil
		}
		m, err := tx.Meeting(ctx, id)
		if err != nil {
			return false, err
		}
		visible[id] = m.visibleTo(actor.ID, s.today())
		return visible[id], nil
	}
	for _, a := range actions {
		if slices.ContainsFunc(shown, func(b MeetingAction) bool { return b.ID == a.ID }) {
			continue
		}
		agreed, err := see(a.MeetingID)
		if err != nil {
			return nil, err
		}
		closed, err := see(a.ClosedAt)
		if err != nil {
			return nil, err
		}
		if !agreed {
			a.MeetingID, a.ItemID, a.AgreedOn = "", "", ""
		}
		if a.ClosedAt != "" && !closed {
			a.ClosedAt = ""
			if a.OwnerID != actor.ID {
				a.ClosedReason = "" // it was said where the actor was not
			}
		}
		a.Overdue = a.State == ActionOpen && a.DueOn < s.today()
		shown = append(shown, a)
	}
	slices.SortStableFunc(shown, func(a, b MeetingAction) int { return strings.Compare(a.DueOn+a.ID, b.DueOn+b.ID) })
	return shown, nil
}

// actionsAt gives the actions of a meeting, and those of earlier ones that were open when it began or are still.
func (s *Service) actionsAt(ctx context.Context, tx Tx, m KeptMeeting, actor Actor) (own, earlier []MeetingAction, err error) {
	if own, err = tx.ActionsOf(ctx, m.ID); err != nil {
		return nil, nil, err
	}
	if own, err = s.shownActions(ctx, tx, actor, own); err != nil {
		return nil, nil, err
	}
	all, err := tx.Actions(ctx)
	if err != nil {
		return nil, nil, err
	}
	for _, a := range all {
		if a.agreedBefore(m.Meeting) && a.openAt(m.Meeting) {
			earlier = append(earlier, a)
		}
	}
	earlier, err = s.shownActions(ctx, tx, actor, earlier)
	return own, earlier, err
}

// agreedBefore tells whether a meeting is later than the one at which the action was agreed.
func (a MeetingAction) agreedBefore(m Meeting) bool {
	return a.MeetingID != m.ID && a.AgreedOn <= m.Date
}

// openAt reports whether an action of an earlier meeting is there to be gone through. A meeting that is over keeps those that it
// closed and those that were closed after it, so that its minutes stay as they were.
func (a MeetingAction) openAt(m Meeting) bool {
	return a.State != ActionClosed || a.ClosedAt == m.ID || m.State == MeetingClosed && a.ClosedOn > m.Date
}

func (a MeetingAction) validate() error {
	var p problems
	p.id("id", a.ID)
	p.text("text", a.Text, 1, 1000)
	p.id("ownerId", a.OwnerID)
	p.date("dueOn", a.DueOn, true)
	oneOf(&p, "state", a.State, true, ActionOpen, ActionDone, ActionClosed)
	p.text("evidence", a.Evidence, 0, 2000)
	if a.State == ActionDone && strings.TrimSpace(a.Evidence) == "" {
		p.add("evidence", "must say what shows that it was done")
	}
	p.date("reviewOn", a.ReviewOn, false)
	p.text("closedReason", a.ClosedReason, 0, 1000)
	return p.err("The action")
}

// PutMeetingAction adds an action (revision 0) or changes it. Who writes the record of a meeting adds and words its actions;
// the owner reports one done, with evidence; it is closed only at a later meeting by its chair, or by the chair of its own
// meeting with a reason.
func (s *Service) PutMeetingAction(ctx context.Context, actor Actor, action MeetingAction) (MeetingAction, error) {
	if err := present(actor); err != nil {
		return MeetingAction{}, err
	}
	if err := action.validate(); err != nil {
		return MeetingAction{}, err
	}
	var answer MeetingAction
	err := s.store.Write(ctx, func(tx Tx) error {
		stored, err := tx.MeetingAction(ctx, action.ID)
		switch {
		case errors.Is(err, ErrNoRow) && action.Revision == 0:
			err = s.agree(ctx, tx, actor, action)
		case errors.Is(err, ErrNoRow):
			err = notFound("action")
		case err == nil:
			err = s.changeAction(ctx, tx, actor, action, stored)
		}
		if err != nil {
			return err
		}
		kept, err := tx.MeetingAction(ctx, action.ID)
		if err != nil {
			return err
		}
		shown, err := s.shownActions(ctx, tx, actor, []MeetingAction{kept})
		if err == nil {
			answer = shown[0]
		}
		return err
	})
	return answer, err
}

// agree adds an action to a meeting.
func (s *Service) agree(ctx context.Context, tx Tx, actor Actor, action MeetingAction) error {
	m, err := tx.LockMeeting(ctx, action.MeetingID)
	if m, err = s.seenMeeting(actor, m, err); err != nil {
		return err
	}
	w := &meetingWork{KeptMeeting: m, tx: tx, actor: actor, now: s.nowMs()}
	item := KeptItem{}
	if action.ItemID != "" {
		if item, err = w.item(ctx, action.ItemID); err != nil {
			return err
		}
	}
	if !m.mayWrite(actor.ID, item) {
		return Refuse(CodeForbidden, "Only the chair and who presents write down actions; once the meeting is closed, the chair alone.")
	}
	if action.State != ActionOpen {
		return Refuse(CodeForbidden, "A new action is open.")
	}
	if err := knownPeople(ctx, tx, "The action", []writtenText{{"ownerId", action.OwnerID}}, nil); err != nil {
		return err
	}
	action.Revision, action.AgreedOn = 1, m.Date
	action.ClosedAt, action.ClosedReason, action.ClosedOn, action.Overdue = "", "", "", false
	if err := tx.InsertMeetingAction(ctx, action); err != nil {
		return err
	}
	w.seal("action.add", action.ID, action.Revision, action, Differences(nil, action))
	return s.finishMeeting(ctx, w)
}

func (s *Service) changeAction(ctx context.Context, tx Tx, actor Actor, action, stored MeetingAction) error {
	m, err := tx.LockMeeting(ctx, stored.MeetingID)
	if err != nil {
		return err
	}
	// It may have changed while this waited for the meeting.
	if stored, err = tx.MeetingAction(ctx, stored.ID); err != nil {
		return err
	}
	rights, err := s.rightsOver(ctx, tx, actor, m, stored, action.ClosedAt)
	if err != nil {
		return err
	}
	changed := stored
	changed.Revision, changed.State, changed.Evidence = action.Revision, action.State, action.Evidence
	changed.Text, changed.OwnerID, changed.DueOn, changed.ReviewOn = action.Text, action.OwnerID, action.DueOn, action.ReviewOn
	changed.ClosedAt, changed.ClosedReason = "", ""
	if action.State == ActionClosed {
		changed.ClosedReason, changed.ClosedAt = action.ClosedReason, stored.ClosedAt
		if rights.laterChair {
			changed.ClosedAt = action.ClosedAt
		}
	}
	changed.ClosedOn = stored.ClosedOn
	differences := Differences(stored, changed)
	if len(differences) == 0 {
		return nil
	}
	if action.Revision != stored.Revision {
		shown, err := s.shownActions(ctx, tx, actor, []MeetingAction{stored})
		if err != nil {
			return err
		}
		return stale("The action", action, shown[0])
	}
	if err := rights.allow(stored, changed); err != nil {
		return err
	}
	if changed.OwnerID != stored.OwnerID {
		if err := knownPeople(ctx, tx, "The action", []writtenText{{"ownerId", changed.OwnerID}}, nil); err != nil {
			return err
		}
	}
	changed.ClosedOn = ""
	if changed.State == ActionClosed {
		changed.ClosedOn = s.today()
	}
	changed.Revision++
	if err := tx.UpdateMeetingAction(ctx, changed); err != nil {
		return err
	}
	w := &meetingWork{KeptMeeting: m, tx: tx, actor: actor, now: s.nowMs()}
	w.seal("action.change", changed.ID, changed.Revision, changed, differences)
	if rights.laterChair {
		if err := tx.TouchMeeting(ctx, action.ClosedAt); err != nil {
			return err
		}
	}
	return s.finishMeeting(ctx, w)
}

// actionRights is what somebody has to do with an action.
type actionRights struct {
	owner, writer bool
	chair         bool // of its own meeting
	laterChair    bool // of the running, later meeting at which it is to be closed
}

func (s *Service) rightsOver(ctx context.Context, tx Tx, actor Actor, m KeptMeeting, action MeetingAction, closedAt string) (actionRights, error) {
	visible := m.visibleTo(actor.ID, s.today())
	rights := actionRights{owner: action.OwnerID == actor.ID, chair: visible && m.ChairID == actor.ID}
	item := KeptItem{}
	if action.ItemID != "" {
		var err error
		if item, err = itemOf(ctx, tx, m.ID, action.ItemID); err != nil {
			return rights, err
		}
	}
	rights.writer = visible && m.mayWrite(actor.ID, item)
	if closedAt != "" {
		later, err := tx.Meeting(ctx, closedAt)
		if err != nil && !errors.Is(err, ErrNoRow) {
			return rights, err
		}
		rights.laterChair = err == nil && later.ChairID == actor.ID && later.State == MeetingRunning && action.agreedBefore(later.Meeting)
	}
	if !visible && !rights.owner && !rights.laterChair {
		sees, err := s.seesEarlier(ctx, tx, actor, action)
		if err == nil && !sees {
			err = notFound("action")
		}
		return rights, err
	}
	return rights, nil
}

// seesEarlier tells whether an action stands before the actor on the agenda of a later meeting.
func (s *Service) seesEarlier(ctx context.Context, tx Tx, actor Actor, action MeetingAction) (bool, error) {
	meetings, err := tx.MeetingsOf(ctx, actor.ID)
	return slices.ContainsFunc(meetings, func(m KeptMeeting) bool {
		return action.State != ActionClosed && action.agreedBefore(m.Meeting) && m.visibleTo(actor.ID, s.today())
	}), err
}

// allow refuses a change that nobody of these rights may make.
func (r actionRights) allow(stored, changed MeetingAction) error {
	reworded := stored.Text != changed.Text || stored.OwnerID != changed.OwnerID || stored.DueOn != changed.DueOn || stored.ReviewOn != changed.ReviewOn
	reported := stored.Evidence != changed.Evidence || stored.State != changed.State && changed.State != ActionClosed
	closing := changed.State == ActionClosed && stored.State != ActionClosed
	switch {
	case stored.State == ActionClosed:
		return Refuse(CodeForbidden, "The action is closed; agree on a new one.")
	case closing && !r.laterChair && !r.chair:
		return Refuse(CodeForbidden, "An action is closed at a later meeting by its chair, or by the chair of its own meeting with a reason.")
	case closing && !r.laterChair && strings.TrimSpace(changed.ClosedReason) == "":
		var p problems
		p.add("closedReason", "must say why the action is closed outside a later meeting")
		return p.err("The action")
	case reworded && !r.writer && !r.chair && !r.laterChair:
		return Refuse(CodeForbidden, "Only who writes the record of its meeting changes the wording, the owner and the dates.")
	case reported && !r.owner && !r.chair && !r.laterChair:
		return Refuse(CodeForbidden, "Only the owner and the chair report what was done.")
	}
	return nil
}

// dueActions gives the actions that the actor owns and that are not closed, for Today.
func (s *Service) dueActions(ctx context.Context, tx Tx, actor Actor) ([]MeetingAction, error) {
	owned, err := tx.ActionsOwned(ctx, actor.ID)
	if err != nil {
		return nil, err
	}
	open := slices.DeleteFunc(owned, func(a MeetingAction) bool { return a.State != ActionOpen })
	return s.shownActions(ctx, tx, actor, open[:min(len(open), mostWaiting)])
}
