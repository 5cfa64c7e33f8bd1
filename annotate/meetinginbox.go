package annotate

import (
	"context"
	"errors"
	"fmt"
	"slices"
)

// inboxSchedule is the audit entry of a reason that came onto an agenda or went off it. The history of the case leaves it
// out.
const inboxSchedule = "inbox.schedule"

// schedule ties an item to the case of its inbox entries, which all must be about the same one, and marks them.
func (s *Service) schedule(ctx context.Context, w *meetingWork, item *KeptItem, entries []string, others []KeptItem) error {
	var p problems
	if len(entries) == 0 {
		p.add("inboxIds", "must name an entry of the inbox")
	}
	for i, id := range entries {
		field := fmt.Sprintf("inboxIds[%d]", i)
		entry, err := w.tx.InboxEntry(ctx, id)
		switch {
		case errors.Is(err, ErrNoRow):
			p.add(field, "is not an entry of the inbox")
			continue
		case err != nil:
			return err
		case entry.State != InboxWaiting:
			p.add(field, "does not wait for a meeting: it is on an agenda, dismissed or withdrawn")
		case item.CaseID != "" && entry.CaseID != item.CaseID:
			p.add(field, "is about another case than the first")
		}
		item.CaseID, item.Label = entry.CaseID, entry.Label
		item.InboxIDs = append(item.InboxIDs, id)
		if len(p.fields) > 0 {
			continue
		}
		scheduled := entry
		scheduled.State, scheduled.MeetingID, scheduled.DismissedReason = InboxScheduled, w.ID, ""
		if err := w.mark(ctx, entry, scheduled); err != nil {
			return err
		}
	}
	if slices.ContainsFunc(others, func(o KeptItem) bool { return o.CaseID != "" && o.CaseID == item.CaseID }) {
		p.add("inboxIds", "is about a case that is on this agenda already")
	}
	if err := p.err("The item"); err != nil {
		return err
	}
	pack, err := s.composed(ctx, w.tx, *item)
	if err != nil {
		return err
	}
	item.fill(pack)
	return nil
}

// fill takes over of a composed pack what nobody has written.
func (i *KeptItem) fill(pack composed) {
	for _, section := range []struct{ to, from *string }{
		{&i.Pack.Situation, &pack.Situation}, {&i.Pack.Background, &pack.Background},
		{&i.Pack.Assessment, &pack.Assessment}, {&i.Pack.Recommendation, &pack.Recommendation},
	} {
		if *section.to == "" {
			*section.to = *section.from
		}
	}
	i.Moments = pack.moments
}

// unschedule lets what brought the case here wait again.
func (w *meetingWork) unschedule(ctx context.Context, item KeptItem) error {
	for _, id := range item.InboxIDs {
		entry, err := w.tx.InboxEntry(ctx, id)
		if err != nil {
			return err
		}
		if entry.State != InboxScheduled || entry.MeetingID != w.ID {
			continue
		}
		waiting := entry
		waiting.State, waiting.MeetingID = InboxWaiting, ""
		if err := w.mark(ctx, entry, waiting); err != nil {
			return err
		}
	}
	return nil
}

// mark keeps an entry of the inbox that came onto the agenda or went off it.
func (w *meetingWork) mark(ctx context.Context, before, after InboxEntry) error {
	entry := inboxAudit(before, after)
	entry.Action = inboxSchedule
	w.entries = append(w.entries, entry)
	err := w.tx.UpdateInboxEntry(ctx, after, before.State)
	if errors.Is(err, ErrNotOne) {
		return Refuse(CodeUnavailable, "The entry of the inbox was changed at this moment. Try again.")
	}
	return err
}

// hideMeeting takes out of an entry of the inbox at which meeting it is discussed, unless that is there for the actor. It
// tells whether the entry is then still to be shown: who makes no agenda is not told that there is one.
func (s *Service) hideMeeting(ctx context.Context, tx Tx, actor Actor, entry *InboxEntry) (bool, error) {
	if entry.MeetingID == "" {
		return true, nil
	}
	m, err := tx.Meeting(ctx, entry.MeetingID)
	if err != nil && !errors.Is(err, ErrNoRow) {
		return false, err
	}
	if err == nil && m.visibleTo(actor.ID, s.today()) {
		return true, nil
	}
	entry.MeetingID = ""
	return Can(actor, InboxEdit, RelationNone), nil
}
