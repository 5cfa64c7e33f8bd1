package annotate

import (
	"context"
	"errors"
	"fmt"
	"slices"
)

// PutMeetingItem adds an item to an agenda (revision 0; its chair may) or changes it. Place moves it; 0 puts a new one last.
// The presenter of an item changes title and pack and leaves the rest to the chair.
func (s *Service) PutMeetingItem(ctx context.Context, actor Actor, meetingID string, item AgendaItem) (AgendaItem, error) {
	if item.Pack.Moments == nil {
		item.Pack.Moments = []Moment{}
	}
	if err := item.validate(); err != nil {
		return AgendaItem{}, err
	}
	var answer AgendaItem
	err := s.changeMeeting(ctx, actor, meetingID, func(w *meetingWork) error {
		stored, err := w.tx.MeetingItem(ctx, item.ID)
		switch {
		case errors.Is(err, ErrNoRow) && item.Revision == 0:
			err = s.newItem(ctx, w, item)
		case errors.Is(err, ErrNoRow), err == nil && stored.MeetingID != meetingID:
			return notFound("item")
		case err == nil:
			err = w.changeItem(ctx, item, stored)
		}
		if err != nil {
			return err
		}
		kept, err := w.item(ctx, item.ID)
		if err != nil {
			return err
		}
		answer, err = w.blinded(ctx, kept)
		return err
	})
	return answer, err
}

// blinded gives one item as members get it, with its votes.
func (w *meetingWork) blinded(ctx context.Context, item KeptItem) (AgendaItem, error) {
	view, err := viewOf(ctx, w.tx, w.KeptMeeting, []KeptItem{item}, w.actor)
	if err != nil {
		return AgendaItem{}, err
	}
	return view.blinded(item), nil
}

// newItem adds an item. A case comes from the inbox; what is not written of its pack is drawn from its facts.
func (s *Service) newItem(ctx context.Context, w *meetingWork, item AgendaItem) error {
	if err := w.onlyChair(); err != nil {
		return err
	}
	items, err := w.tx.MeetingItems(ctx, w.ID)
	if err != nil {
		return err
	}
	var p problems
	oneOf(&p, "kind", item.Kind, true, ItemCase, ItemTopic)
	if len(items) >= mostAgendaItems {
		p.add("place", "cannot be given: an agenda holds at most %d items", mostAgendaItems)
	}
	if err := p.err("The item"); err != nil {
		return err
	}
	kept := KeptItem{
		ID: item.ID, MeetingID: w.ID, Place: len(items) + 1, Revision: 1, Kind: item.Kind, Title: item.Title, Minutes: item.Minutes,
		PresenterID: item.PresenterID, Pack: item.Pack,
	}
	if item.Kind == ItemCase {
		if err := s.schedule(ctx, w, &kept, item.InboxIDs, items); err != nil {
			return err
		}
	}
	if err := w.take(ctx, &kept, item); err != nil {
		return err
	}
	if err := w.invites(ctx, item.PresenterID); err != nil {
		return err
	}
	if err := w.addItem(ctx, kept); err != nil {
		return err
	}
	return w.move(ctx, kept, item.Place)
}

func (w *meetingWork) addItem(ctx context.Context, item KeptItem) error {
	item.Record.normalise()
	if err := w.tx.InsertMeetingItem(ctx, item); errors.Is(err, ErrDuplicate) {
		return Refuse(CodeTaken, "The id of the item is in use; make another.")
	} else if err != nil {
		return err
	}
	w.seal("meeting.item-add", item.ID, item.Revision, item.content(), nil)
	return nil
}

// content is what the seal of an item covers: not its place, which follows from the other items, and not its record, which
// has a seal of its own.
func (i KeptItem) content() KeptItem {
	i.Place, i.Record = 0, ItemRecord{}
	return i
}

// changeItem changes an item of the agenda.
func (w *meetingWork) changeItem(ctx context.Context, item AgendaItem, stored KeptItem) error {
	if !w.mayPrepare(w.actor.ID, stored) && !w.chairs() {
		return Refuse(CodeForbidden, "Only the chair and the presenter of the item may change it, until the meeting is closed.")
	}
	moves := item.Place != 0 && item.Place != stored.Place
	if !w.chairs() && (moves || item.Minutes != stored.Minutes || item.PresenterID != stored.PresenterID) {
		return Refuse(CodeForbidden, "Only the chair of the meeting changes order, minutes and presenters.")
	}
	changed := stored
	changed.Title, changed.Minutes, changed.PresenterID = item.Title, item.Minutes, item.PresenterID
	if stored.Kind != ItemActions {
		changed.Pack = item.Pack
		if err := w.take(ctx, &changed, item); err != nil {
			return err
		}
	}
	if len(Differences(stored, changed)) > 0 {
		if item.Revision != stored.Revision {
			theirs, err := w.blinded(ctx, stored)
			if err != nil {
				return err
			}
			return stale("The item", item, theirs)
		}
		if err := w.invites(ctx, changed.PresenterID); err != nil {
			return err
		}
		changed.Revision++
		if err := w.tx.UpdateMeetingItem(ctx, changed); err != nil {
			return err
		}
		w.seal("meeting.item-change", changed.ID, changed.Revision, changed.content(), nil)
	}
	if moves {
		return w.move(ctx, changed, item.Place)
	}
	return nil
}

// take checks the texts of an item for names and takes its moments over.
func (w *meetingWork) take(ctx context.Context, kept *KeptItem, item AgendaItem) error {
	if err := w.nameless(ctx, "The item", item.texts()); err != nil {
		return err
	}
	kept.Pack.Moments = nil
	if kept.CaseID == "" || kept.Revision == 1 && len(item.Pack.Moments) == 0 && item.Revision == 0 {
		return nil
	}
	c, err := w.tx.Case(ctx, kept.CaseID)
	if err != nil {
		return err
	}
	if c.withdrawn() {
		return nil // they are not shown, and come back should the consent have been taken back by mistake
	}
	parts, err := w.tx.Parts(ctx, kept.CaseID)
	if err != nil {
		return err
	}
	var p problems
	moments := make([]KeptMoment, 0, len(item.Pack.Moments))
	for i, m := range item.Pack.Moments {
		field := fmt.Sprintf("pack.moments[%d].", i)
		if m.Part < 1 || m.Part > len(parts) {
			p.add(field+"part", "must be the number of a part of the recording")
			continue
		}
		part := parts[m.Part-1]
		if m.Ms < 0 || m.Ms > part.Facts.Duration {
			p.add(field+"ms", "lies outside the part")
		}
		moments = append(moments, KeptMoment{ID: m.ID, PartID: part.ID, Ms: m.Ms, Line: m.Line, Step: m.Step})
	}
	kept.Moments = moments
	return p.err("The item")
}

// move puts an item at a place from 2 on; the first item stays where it is.
func (w *meetingWork) move(ctx context.Context, item KeptItem, place int) error {
	items, err := w.tx.MeetingItems(ctx, w.ID)
	if err != nil {
		return err
	}
	if place == 0 || item.Kind == ItemActions {
		return nil
	}
	var ids []string
	for _, other := range items {
		if other.ID != item.ID {
			ids = append(ids, other.ID)
		}
	}
	at := min(max(place, 2), len(items)) - 1
	ids = slices.Insert(ids, at, item.ID)
	w.note("meeting.item-move", item.ID)
	return w.tx.PlaceMeetingItems(ctx, ids)
}

// RemoveMeetingItem takes an item off the agenda of which nothing is recorded; what brought its case here waits again.
func (s *Service) RemoveMeetingItem(ctx context.Context, actor Actor, meetingID, itemID string, revision int64) error {
	return s.changeMeeting(ctx, actor, meetingID, func(w *meetingWork) error {
		if err := w.onlyChair(); err != nil {
			return err
		}
		item, err := w.item(ctx, itemID)
		if err != nil {
			return err
		}
		if item.Revision != revision {
			theirs, err := w.blinded(ctx, item)
			if err != nil {
				return err
			}
			return stale("The item", nil, theirs)
		}
		actions, err := w.tx.ActionsOf(ctx, w.ID)
		if err != nil {
			return err
		}
		remarks, err := w.tx.Remarks(ctx, w.ID)
		if err != nil {
			return err
		}
		votings, err := w.tx.Votings(ctx, w.ID)
		if err != nil {
			return err
		}
		recorded := item.Record.Revision > 0 ||
			slices.ContainsFunc(actions, func(a MeetingAction) bool { return a.ItemID == itemID }) ||
			slices.ContainsFunc(remarks, func(r Remark) bool { return r.ItemID == itemID }) ||
			slices.ContainsFunc(votings, func(v KeptVoting) bool { return v.ItemID == itemID })
		if item.Kind == ItemActions || recorded {
			return Refuse(CodeForbidden, "The item stays: something of it is recorded, or it is the first of the agenda.")
		}
		place, err := w.tx.MeetingPlace(ctx, w.ID)
		if err != nil {
			return err
		}
		if place.Place.ItemID == itemID && w.State == MeetingRunning {
			return Refuse(CodeForbidden, "The meeting is at this item now; go on to another first.")
		}
		if err := w.unschedule(ctx, item); err != nil {
			return err
		}
		if err := w.tx.DeleteMeetingItem(ctx, itemID); err != nil {
			return err
		}
		w.note("meeting.item-remove", itemID)
		items, err := w.tx.MeetingItems(ctx, w.ID)
		if err != nil {
			return err
		}
		ids := make([]string, len(items))
		for i, other := range items {
			ids[i] = other.ID
		}
		return w.tx.PlaceMeetingItems(ctx, ids)
	})
}

// ComposePack draws the pack of a case from its facts anew, for the chair and the presenter of the item; nothing is saved.
func (s *Service) ComposePack(ctx context.Context, actor Actor, meetingID, itemID string) (Pack, error) {
	var pack Pack
	err := s.onMeeting(ctx, actor, meetingID, func(tx Tx, m KeptMeeting) error {
		item, err := itemOf(ctx, tx, meetingID, itemID)
		if err != nil {
			return err
		}
		if !m.mayPrepare(actor.ID, item) {
			return Refuse(CodeForbidden, "Only the chair and the presenter of the item prepare it.")
		}
		if item.CaseID == "" {
			return notFound("case")
		}
		drawn, err := s.composed(ctx, tx, item)
		if err != nil {
			return err
		}
		item.Pack, item.Moments = drawn.Pack, drawn.moments
		view, err := viewOf(ctx, tx, m, []KeptItem{item}, actor)
		pack = view.blinded(item).Pack
		return err
	})
	return pack, err
}
