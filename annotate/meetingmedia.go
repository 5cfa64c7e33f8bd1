package annotate

import (
	"context"
	"slices"
)

// MeetingFilm is what a server needs to show the recording of an item. It never leaves the server.
type MeetingFilm struct {
	Part Part
	Ms   int64 // media time of the moment, 0 for the part
}

// MeetingPart gives a part of the recording of an item to a member, by its number.
func (s *Service) MeetingPart(ctx context.Context, actor Actor, meetingID, itemID string, number int) (MeetingFilm, error) {
	return s.meetingFilm(ctx, actor, meetingID, itemID, func(_ KeptItem, parts []Part) (MeetingFilm, error) {
		if number < 1 || number > len(parts) {
			return MeetingFilm{}, notFound("recording")
		}
		return MeetingFilm{Part: parts[number-1]}, nil
	})
}

// MeetingMoment gives where in the recording of an item a prepared moment lies.
func (s *Service) MeetingMoment(ctx context.Context, actor Actor, meetingID, itemID, momentID string) (MeetingFilm, error) {
	return s.meetingFilm(ctx, actor, meetingID, itemID, func(item KeptItem, parts []Part) (MeetingFilm, error) {
		at := slices.IndexFunc(item.Moments, func(m KeptMoment) bool { return m.ID == momentID })
		if at < 0 {
			return MeetingFilm{}, notFound("moment")
		}
		part := slices.IndexFunc(parts, func(p Part) bool { return p.ID == item.Moments[at].PartID })
		if part < 0 {
			return MeetingFilm{}, notFound("moment")
		}
		return MeetingFilm{Part: parts[part], Ms: item.Moments[at].Ms}, nil
	})
}

// meetingFilm asks at every request whether the part may be shown: consent may have been withdrawn a moment ago.
func (s *Service) meetingFilm(
	ctx context.Context, actor Actor, meetingID, itemID string, find func(KeptItem, []Part) (MeetingFilm, error),
) (MeetingFilm, error) {
	var film MeetingFilm
	err := s.onMeeting(ctx, actor, meetingID, func(tx Tx, _ KeptMeeting) error {
		item, err := itemOf(ctx, tx, meetingID, itemID)
		if err != nil {
			return err
		}
		if item.CaseID == "" {
			return notFound("recording")
		}
		c, err := tx.Case(ctx, item.CaseID)
		if err != nil {
			return err
		}
		parts, err := tx.Parts(ctx, item.CaseID)
		if err != nil {
			return err
		}
		if film, err = find(item, parts); err != nil {
			return err
		}
		if reason := unshown(c, film.Part); reason != "" {
			return Refuse(CodeForbidden, "%s", reason)
		}
		return nil
	})
	if err != nil {
		return MeetingFilm{}, err
	}
	return film, nil
}
