package annotate

import (
	"context"
	"errors"
)

// PutItemRecord saves what was said about an item, as it is written. Each item has its own revision, so that two people
// who write about different items do not meet.
func (s *Service) PutItemRecord(ctx context.Context, actor Actor, meetingID, itemID string, record ItemRecord) (ItemRecord, error) {
	record.normalise()
	if err := record.validate(); err != nil {
		return ItemRecord{}, err
	}
	err := s.changeMeeting(ctx, actor, meetingID, func(w *meetingWork) error {
		item, err := w.item(ctx, itemID)
		if err != nil {
			return err
		}
		if !w.mayWrite(actor.ID, item) {
			return Refuse(CodeForbidden, "Only the chair and who presents write the record; once the meeting is closed, the chair alone.")
		}
		stored := item.Record
		record.WrittenBy, record.WrittenAt = stored.WrittenBy, stored.WrittenAt
		if len(Differences(stored, record)) == 0 {
			record = stored
			return nil
		}
		if record.Revision != stored.Revision {
			return stale("The record of this item", record, stored)
		}
		if err := w.nameless(ctx, "The record", record.texts()); err != nil {
			return err
		}
		record.Revision++
		record.WrittenBy, record.WrittenAt = actor.ID, w.now
		w.seal("meeting.record", itemID, record.Revision, record, nil)
		return w.tx.UpdateItemRecord(ctx, itemID, record)
	})
	if err != nil {
		return ItemRecord{}, err
	}
	return record, nil
}

// PutRemark keeps what a member wrote about an item while the meeting runs. The author may change it.
func (s *Service) PutRemark(ctx context.Context, actor Actor, meetingID string, remark Remark) (Remark, error) {
	var p problems
	p.id("id", remark.ID)
	p.text("text", remark.Text, 1, 1000)
	if err := p.err("The remark"); err != nil {
		return Remark{}, err
	}
	err := s.changeMeeting(ctx, actor, meetingID, func(w *meetingWork) error {
		if _, err := w.item(ctx, remark.ItemID); err != nil {
			return err
		}
		if !w.TakesRemarks || w.State != MeetingRunning {
			return Refuse(CodeForbidden, "Remarks are taken while the meeting runs and its chair wants them.")
		}
		if err := w.nameless(ctx, "The remark", []writtenText{{"text", remark.Text}}); err != nil {
			return err
		}
		stored, err := w.tx.Remark(ctx, remark.ID)
		switch {
		case errors.Is(err, ErrNoRow):
			remark.MadeAt = w.now
		case err != nil:
			return err
		case stored.AuthorID != actor.ID || stored.ItemID != remark.ItemID:
			return notFound("remark")
		default:
			remark.MadeAt = stored.MadeAt
		}
		remark.AuthorID = actor.ID
		if remark == stored {
			return nil
		}
		w.seal("meeting.remark", remark.ID, 0, remark, nil)
		return w.tx.PutRemark(ctx, meetingID, remark)
	})
	if err != nil {
		return Remark{}, err
	}
	return remark, nil
}
