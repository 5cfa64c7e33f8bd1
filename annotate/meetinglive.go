package annotate

import "context"

// FollowMeeting gives where a meeting is to somebody whom it is open to.
func (s *Service) FollowMeeting(ctx context.Context, actor Actor, meetingID string) (LivePlace, error) {
	var live LivePlace
	err := s.onMeeting(ctx, actor, meetingID, func(tx Tx, m KeptMeeting) (err error) {
		live, err = livePlace(ctx, tx, m)
		return err
	})
	return live, err
}

// LiveMeeting gives where a meeting is, for a server that tells those who follow it. Who may follow is asked of
// FollowMeeting.
func (s *Service) LiveMeeting(ctx context.Context, meetingID string) (LivePlace, error) {
	var live LivePlace
	err := s.store.Read(ctx, func(tx Tx) error {
		m, err := tx.Meeting(ctx, meetingID)
		if err != nil {
			return err
		}
		live, err = livePlace(ctx, tx, m)
		return err
	})
	return live, err
}

// livePlace reads the place of a meeting, without what a withdrawn consent takes out.
func livePlace(ctx context.Context, tx Tx, m KeptMeeting) (LivePlace, error) {
	live, err := tx.MeetingPlace(ctx, m.ID)
	if err != nil || live.Place.ItemID == "" {
		live.Place.State = live.State
		return live, err
	}
	item, err := itemOf(ctx, tx, m.ID, live.Place.ItemID)
	if CodeOf(err) == CodeNotFound {
		live.Place = Place{Seq: live.Place.Seq, At: live.Place.At, State: live.State}
		return live, nil
	}
	if err != nil {
		return live, err
	}
	view, err := viewOf(ctx, tx, m, []KeptItem{item}, Actor{})
	live.Place = blindedPlace(live.Place, view.blinded(item))
	live.Place.State = live.State
	return live, err
}

const mostRate = 16

// LeadMeeting moves a running meeting to a place: its chair and its presenter may, and the presenter of the item.
func (s *Service) LeadMeeting(ctx context.Context, actor Actor, meetingID string, place Place) (Place, error) {
	if err := present(actor); err != nil {
		return Place{}, err
	}
	err := s.store.Write(ctx, func(tx Tx) error {
		m, err := tx.LockMeeting(ctx, meetingID)
		if m, err = s.seenMeeting(actor, m, err); err != nil {
			return err
		}
		item, err := itemOf(ctx, tx, meetingID, place.ItemID)
		if err != nil {
			return err
		}
		switch {
		case !m.mayPresent(actor.ID, item):
			return Refuse(CodeForbidden, "Only the chair and who presents lead the meeting.")
		case m.State != MeetingRunning:
			return Refuse(CodeForbidden, "The meeting is not running; its chair begins it.")
		}
		view, err := viewOf(ctx, tx, m, []KeptItem{item}, actor)
		if err != nil {
			return err
		}
		if err := place.validate(view.blinded(item)); err != nil {
			return err
		}
		now, err := tx.MeetingPlace(ctx, meetingID)
		if err != nil {
			return err
		}
		place.Seq, place.At, place.PresenterID, place.State = now.Place.Seq+1, s.nowMs(), actor.ID, m.State
		place.ItemAt = place.At
		if now.Place.ItemID == place.ItemID {
			place.ItemAt = now.Place.ItemAt
		}
		return tx.PutMeetingPlace(ctx, meetingID, place)
	})
	if err != nil {
		return Place{}, err
	}
	return place, nil
}

// validate checks a place against the item as members get it.
func (p Place) validate(item AgendaItem) error {
	var problems problems
	if p.MomentID != "" && blindedPlace(p, item).MomentID == "" {
		problems.add("momentId", "is not a moment of this item")
	}
	oneOf(&problems, "slide", p.Slide, false, PackSections...)
	if p.Part < 0 || p.Part > len(item.Recording) {
		problems.add("part", "is not a part of the recording of this item")
	} else if p.Ms < 0 || p.Part == 0 && p.Ms > 0 || p.Part > 0 && p.Ms > item.Recording[p.Part-1].Duration {
		problems.add("ms", "lies outside the part")
	}
	if p.Rate < 0 || p.Rate > mostRate {
		problems.add("rate", "must lie between 0 and %d", mostRate)
	}
	return problems.err("The place")
}
