package annotate

import (
	"context"
	"slices"
	"strings"

	"zonule/timeline"
)

// Feedback is what somebody else said on a moment of a case in which one took part, or in answer to oneself.
type Feedback struct {
	CaseID    string            `json:"caseId"`
	Pseudonym string            `json:"pseudonym"`
	Eye       Eye               `json:"eye"`
	Date      string            `json:"date"` // of the operation
	ReadingID string            `json:"readingId"`
	CommentID string            `json:"commentId"`
	ReplyTo   string            `json:"replyTo,omitempty"`
	AuthorID  string            `json:"authorId"`
	MadeAt    int64             `json:"madeAt"` // Unix ms
	At        timeline.Instant  `json:"at"`
	End       *timeline.Instant `json:"end"`
	Text      string            `json:"text"`
	Settled   bool              `json:"settled"` // the thread is
	Seen      bool              `json:"seen"`
}

// mostFeedback bounds one answer.
const mostFeedback = 200

// Feedback gives the latest comments of others on accepted readings of cases in which the actor took part, and in threads
// of the actor's own: what the actor has not seen first, then the latest.
func (s *Service) Feedback(ctx context.Context, actor Actor) ([]Feedback, error) {
	if err := present(actor); err != nil {
		return nil, err
	}
	list := []Feedback{}
	err := s.store.Read(ctx, func(tx Tx) error {
		found, err := tx.FeedbackTo(ctx, actor.ID, mostFeedback)
		if err != nil {
			return err
		}
		// Somebody may have written there before the case was taken from them.
		visible, err := sightOf(ctx, tx, actor, ReadingView)
		for _, f := range found {
			if visible.sees(f.CaseID) {
				list = append(list, f)
			}
		}
		return err
	})
	return list, err
}

// SeeComments notes that the actor has seen comments of a reading. An id that is none of its comments is passed over.
func (s *Service) SeeComments(ctx context.Context, actor Actor, readingID string, ids []string) error {
	if err := present(actor); err != nil {
		return err
	}
	return s.store.Write(ctx, func(tx Tx) error {
		if _, _, err := seeReading(ctx, tx, actor, readingID); err != nil {
			return err
		}
		state, err := tx.ReadingState(ctx, readingID)
		if err != nil {
			return err
		}
		known := []string{}
		for _, comment := range state.Comments {
			if slices.Contains(ids, comment.ID) {
				known = append(known, comment.ID)
			}
		}
		slices.SortFunc(known, strings.Compare)
		return tx.PutCommentsSeen(ctx, actor.ID, readingID, known, s.nowMs())
	})
}
