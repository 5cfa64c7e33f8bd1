package annotate

import (
	"context"
	"errors"
	"fmt"
	"slices"
)

// Vote counts the actor's answer to a question. Nobody can tell later who gave which; therefore it cannot be changed.
func (s *Service) Vote(ctx context.Context, actor Actor, meetingID, itemID string, question VoteQuestion, value string) (ItemVote, error) {
	var p problems
	oneOf(&p, "question", question, true, VoteHarm, VotePreventability)
	oneOf(&p, "value", value, true, answersOf(question)...)
	if err := p.err("The vote"); err != nil {
		return ItemVote{}, err
	}
	return s.voting(ctx, actor, meetingID, itemID, question, func(w *meetingWork, v KeptVoting) error {
		if !v.Open {
			return Refuse(CodeForbidden, "This vote is not open.")
		}
		err := w.tx.InsertVote(ctx, itemID, question, value, actor.ID)
		if errors.Is(err, ErrDuplicate) {
			return Refuse(CodeForbidden, "You have voted on this. Votes are anonymous and cannot be changed.")
		}
		// What was voted is in no log.
		w.note("meeting.vote", itemID)
		return err
	})
}

// SetVoting opens a vote or closes it; the chair of the meeting may. One that was closed stays closed: a further vote would
// be told by the difference.
func (s *Service) SetVoting(ctx context.Context, actor Actor, meetingID, itemID string, question VoteQuestion, open bool) (ItemVote, error) {
	var p problems
	oneOf(&p, "question", question, true, VoteHarm, VotePreventability)
	if err := p.err("The vote"); err != nil {
		return ItemVote{}, err
	}
	return s.voting(ctx, actor, meetingID, itemID, question, func(w *meetingWork, v KeptVoting) error {
		begun := v.ItemID != ""
		switch {
		case !w.chairs():
			return w.onlyChair()
		case begun && v.Open == open:
			return nil
		case open && begun:
			return Refuse(CodeForbidden, "This vote was closed and its counts were shown; it stays closed.")
		case open && (!w.TakesVotes || w.State != MeetingRunning):
			return Refuse(CodeForbidden, "Votes are taken while the meeting runs and its chair wants them.")
		case !open && !begun:
			return notFound("vote")
		}
		w.note("meeting.voting", itemID)
		return w.tx.PutVoting(ctx, itemID, question, open)
	})
}

// voting runs fn on the vote on one question of a case, a zero one when none was opened.
func (s *Service) voting(
	ctx context.Context, actor Actor, meetingID, itemID string, question VoteQuestion, fn func(w *meetingWork, v KeptVoting) error,
) (ItemVote, error) {
	var answer ItemVote
	err := s.changeMeeting(ctx, actor, meetingID, func(w *meetingWork) error {
		item, err := w.item(ctx, itemID)
		if err != nil {
			return err
		}
		if item.Kind != ItemCase {
			return notFound("vote")
		}
		kept, err := w.votingOn(ctx, itemID, question)
		if err != nil {
			return err
		}
		if err := fn(w, kept); err != nil {
			return err
		}
		if kept, err = w.votingOn(ctx, itemID, question); err != nil {
			return err
		}
		answer = kept.shown(actor.ID)
		return nil
	})
	return answer, err
}

func (w *meetingWork) votingOn(ctx context.Context, itemID string, question VoteQuestion) (KeptVoting, error) {
	all, err := w.tx.Votings(ctx, w.ID)
	if err != nil {
		return KeptVoting{}, err
	}
	for _, v := range all {
		if v.ItemID == itemID && v.Question == question {
			return v, nil
		}
	}
	return KeptVoting{}, nil
}

// shown is a vote as a member gets it.
func (v KeptVoting) shown(userID string) ItemVote {
	vote := ItemVote{Question: v.Question, Open: v.Open, Voted: len(v.Voters), Own: slices.Contains(v.Voters, userID), Counts: []VoteCount{}}
	switch {
	case v.Open:
		vote.Why = "The counts are shown once the chair has closed the vote."
	case len(v.Voters) < fewestVotes:
		vote.Why = fmt.Sprintf("Fewer than %d voted; the counts would tell who said what.", fewestVotes)
	default:
		for _, answer := range answersOf(v.Question) {
			count := VoteCount{Value: answer}
			for _, c := range v.Counts {
				if c.Value == answer {
					count.Count = c.Count
				}
			}
			vote.Counts = append(vote.Counts, count)
		}
	}
	return vote
}
