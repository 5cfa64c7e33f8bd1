package annotate

import (
	"context"
	"maps"
	"slices"
)

// Waiting is a case in which something waits for the viewer.
type Waiting struct {
	Case CaseSummary `json:"case"`
	// Window, DueOn and Overdue are set in the list of follow-up.
	Window  Window `json:"window,omitempty"`
	DueOn   string `json:"dueOn,omitempty"`
	Overdue bool   `json:"overdue,omitempty"`
	// Comments counts the threads to answer.
	Comments int `json:"comments,omitempty"`
}

// Today is what waits for the viewer, in each list the most urgent first, and at most 100 of each.
type Today struct {
	ToRecord         []Waiting `json:"toRecord"`
	ToTag            []Waiting `json:"toTag"`
	FollowUpDue      []Waiting `json:"followUpDue"`
	CommentsToAnswer []Waiting `json:"commentsToAnswer"`
	ToSign           []Waiting `json:"toSign"`
	// Inbox counts the cases that wait for a meeting; 0 for who makes no agenda.
	Inbox int `json:"inbox"`
	// Actions are those of meetings that the viewer owns and has not reported done.
	Actions []MeetingAction `json:"actions"`
	// Meetings are those that are running or lie ahead.
	Meetings []MeetingLine `json:"meetings"`
}

const mostWaiting = 100

// Today gives what waits for the actor: in the cases that name them, and for clinic staff the follow-up of all.
func (s *Service) Today(ctx context.Context, actor Actor) (Today, error) {
	if err := present(actor); err != nil {
		return Today{}, err
	}
	var today Today
	if Can(actor, InboxEdit, RelationNone) {
		if _, err := s.sweepInbox(ctx, actor); err != nil {
			return Today{}, err
		}
	}
	err := s.store.Read(ctx, func(tx Tx) (err error) {
		if today.ToRecord, err = s.waiting(ctx, tx, actor, CaseFilter{State: "to-record", To: s.today()}); err != nil {
			return err
		}
		if today.ToTag, err = s.waiting(ctx, tx, actor, CaseFilter{State: "to-tag"}); err != nil {
			return err
		}
		if today.ToSign, err = s.waiting(ctx, tx, actor, CaseFilter{State: "to-sign"}); err != nil {
			return err
		}
		if today.FollowUpDue, err = s.waiting(ctx, tx, actor, CaseFilter{State: "follow-up-due"}); err != nil {
			return err
		}
		if today.CommentsToAnswer, err = s.toAnswer(ctx, tx, actor); err != nil {
			return err
		}
		if today.Inbox, err = s.waitingCases(ctx, tx, actor); err != nil {
			return err
		}
		if today.Actions, err = s.dueActions(ctx, tx, actor); err != nil {
			return err
		}
		today.Meetings, err = s.meetingsAhead(ctx, tx, actor)
		return err
	})
	return today, err
}

// waiting gives the actor's cases in a state, oldest first; follow-up by the date from which it is overdue.
func (s *Service) waiting(ctx context.Context, tx Tx, actor Actor, filter CaseFilter) ([]Waiting, error) {
	filter.Limit = mostWaiting
	query := s.query(actor, filter)
	followUp := filter.State == "follow-up-due"
	query.Due = followUp
	query.Own = !followUp || !query.All
	rows, err := tx.CasePage(ctx, query)
	if err != nil {
		return nil, err
	}
	list := []Waiting{}
	for _, row := range rows.Rows {
		w := Waiting{Case: s.summary(actor, row)}
		if followUp {
			w.Window, w.DueOn, w.Overdue = row.Due, row.DueOn, s.today() > row.LateOn
		}
		list = append(list, w)
	}
	return list, nil
}

func (s *Service) toAnswer(ctx context.Context, tx Tx, actor Actor) ([]Waiting, error) {
	list := []Waiting{}
	counts, err := tx.CommentsToAnswer(ctx, actor.ID)
	if err != nil || len(counts) == 0 {
		return list, err
	}
	query := s.query(actor, CaseFilter{Limit: mostWaiting})
	query.IDs = slices.Sorted(maps.Keys(counts))
	rows, err := tx.CasePage(ctx, query)
	if err != nil {
		return nil, err
	}
	for _, row := range rows.Rows {
		if row.Named {
			list = append(list, Waiting{Case: s.summary(actor, row), Comments: counts[row.ID]})
		}
	}
	return list, nil
}
