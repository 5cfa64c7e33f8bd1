package main

import (
	"context"
	"fmt"
	"time"

	"zonule/annotate"
	"zonule/annotate/demo"
)

// convening lets the invented people hold their meetings, each step as if the clock stood at its instant.
type convening struct {
	unit   *unit
	people map[string]annotate.User // by id
	today  time.Time
}

// at is the service with its clock at an instant (Unix ms).
func (c convening) at(instant int64) *annotate.Service {
	return newService(c.unit.store, c.unit.library, func() time.Time { return time.UnixMilli(instant) })
}

func (c convening) as(userID string) annotate.Actor { return annotate.Actor{User: c.people[userID]} }

// holdInvented holds the meetings and then looks through the cases, so that what was discussed does not wait any more.
func (p *program) holdInvented(ctx context.Context, u *unit, people map[string]annotate.User, held []demo.Held, today time.Time) error {
	c := convening{u, people, today}
	for _, h := range held {
		if err := c.hold(ctx, h); err != nil {
			return fmt.Errorf("the meeting of %s: %w", h.Meeting.Date, err)
		}
	}
	if err := u.service.SweepInbox(ctx); err != nil {
		return err
	}
	for _, h := range held {
		chair := c.as(h.Meeting.ChairID)
		for _, one := range h.Cases {
			reasons, err := u.service.CaseReasons(ctx, c.as(one.AskedBy), one.CaseID)
			if err != nil {
				return err
			}
			for _, reason := range reasons {
				if reason.State != annotate.InboxWaiting {
					continue
				}
				decision := annotate.InboxDecision{State: annotate.InboxDismissed, Reason: "Discussed at a meeting already."}
				if _, err := u.service.DecideInbox(ctx, chair, reason.ID, decision); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// hold lets one meeting be asked for, planned, held and closed, and its actions be reported.
func (c convening) hold(ctx context.Context, h demo.Held) error {
	chair := c.as(h.Meeting.ChairID)
	planned := h.Meeting
	planned.Attendees = nil
	for _, a := range h.Meeting.Attendees {
		planned.Attendees = append(planned.Attendees, annotate.Attendee{UserID: a.UserID})
	}
	if _, err := c.at(h.PlannedAt).PutMeeting(ctx, chair, planned); err != nil {
		return err
	}
	for _, one := range h.Cases {
		asked, err := c.at(one.AskedAt).AskToDiscuss(ctx, c.as(one.AskedBy), one.CaseID, one.Words)
		if err != nil {
			return err
		}
		one.Item.InboxIDs = []string{asked.ID}
		if _, err := c.at(h.PlannedAt).PutMeetingItem(ctx, chair, planned.ID, one.Item); err != nil {
			return err
		}
	}
	service := c.at(h.BeginsAt)
	sheet, err := service.SetMeetingState(ctx, chair, planned.ID, annotate.MeetingRunning)
	if err != nil {
		return err
	}
	for _, a := range h.Meeting.Attendees {
		if _, err := service.Attend(ctx, chair, planned.ID, a); err != nil {
			return err
		}
	}
	for _, action := range sheet.EarlierActions {
		if action.State != annotate.ActionDone {
			continue
		}
		action.State, action.ClosedAt = annotate.ActionClosed, planned.ID
		if _, err := service.PutMeetingAction(ctx, chair, action); err != nil {
			return err
		}
	}
	for _, one := range h.Cases {
		if err := c.discuss(ctx, service, h, one); err != nil {
			return err
		}
	}
	if _, err := service.SetMeetingState(ctx, chair, planned.ID, annotate.MeetingClosed); err != nil {
		return err
	}
	return c.report(ctx, h)
}

// discuss lets the members vote on a case and the chair write down what was said and agreed.
func (c convening) discuss(ctx context.Context, service *annotate.Service, h demo.Held, one demo.Discussed) error {
	const question = annotate.VotePreventability
	chair, meeting, item := c.as(h.Meeting.ChairID), h.Meeting.ID, one.Item.ID
	if len(one.Votes) > 0 {
		if _, err := service.SetVoting(ctx, chair, meeting, item, question, true); err != nil {
			return err
		}
		for i, vote := range one.Votes {
			if _, err := service.Vote(ctx, c.as(h.Meeting.Attendees[i].UserID), meeting, item, question, string(vote)); err != nil {
				return err
			}
		}
		if _, err := service.SetVoting(ctx, chair, meeting, item, question, false); err != nil {
			return err
		}
	}
	if _, err := service.PutItemRecord(ctx, chair, meeting, item, one.Record); err != nil {
		return err
	}
	for _, agreed := range one.Agreed {
		agreed.Action.MeetingID, agreed.Action.ItemID = meeting, item
		if _, err := service.PutMeetingAction(ctx, chair, agreed.Action); err != nil {
			return err
		}
	}
	return nil
}

// report lets the owners report the actions that they have done by today.
func (c convening) report(ctx context.Context, h demo.Held) error {
	for _, one := range h.Cases {
		for _, agreed := range one.Agreed {
			if agreed.Evidence == "" || agreed.DoneAt >= c.today.UnixMilli() {
				continue
			}
			done := agreed.Action
			done.MeetingID, done.ItemID, done.Revision = h.Meeting.ID, one.Item.ID, 1
			done.State, done.Evidence = annotate.ActionDone, agreed.Evidence
			if _, err := c.at(agreed.DoneAt).PutMeetingAction(ctx, c.as(done.OwnerID), done); err != nil {
				return err
			}
		}
	}
	return nil
}
