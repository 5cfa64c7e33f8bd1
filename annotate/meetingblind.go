package annotate

import (
	"context"
	"slices"
	"strings"

	"zonule/timeline"
)

const (
	withdrawnWords = "Consent was withdrawn: the recording, its pictures and the prepared moments are taken out."
	noConsentWords = "No consent to show the recording is kept with the case."
	unclearedWords = "Nobody has confirmed yet that nothing is burned into the picture."
	elsewhereWords = "The recording lies at an address of its own, which would tell where it comes from."
)

// withdrawn reports whether the patient said no or took the consent back.
func (c Case) withdrawn() bool {
	return c.Consent.WithdrawnOn != "" || c.Consent.Review == No || c.Consent.Recording == No
}

// meetingView is what members' answers are made of.
type meetingView struct {
	meeting KeptMeeting
	cases   map[string]Case
	parts   map[string][]Part // by case
	votings []KeptVoting
	viewer  string
}

func viewOf(ctx context.Context, tx Tx, m KeptMeeting, items []KeptItem, viewer Actor) (meetingView, error) {
	view := meetingView{meeting: m, viewer: viewer.ID}
	var ids []string
	for _, item := range items {
		if item.CaseID != "" {
			ids = append(ids, item.CaseID)
		}
	}
	var err error
	if view.cases, err = tx.Cases(ctx, ids); err != nil {
		return view, err
	}
	if view.parts, err = tx.PartsOf(ctx, ids); err != nil {
		return view, err
	}
	view.votings, err = tx.Votings(ctx, m.ID)
	return view, err
}

// blinded makes of a stored item what members get. It is the one place where an item leaves for them: it names no case, no
// part of the store, no patient and no date, and no operator unless the meeting names operators. Recording and moments of a
// case whose consent was withdrawn are not there.
func (v meetingView) blinded(item KeptItem) AgendaItem {
	answer := AgendaItem{
		ID: item.ID, Revision: item.Revision, Place: item.Place, Kind: item.Kind, Title: item.Title, Label: item.Label, Minutes: item.Minutes,
		PresenterID: item.PresenterID, InboxIDs: []string{}, Pack: item.Pack, Record: item.Record,
		Operators: []ItemOperator{}, Recording: []ItemPart{}, Votes: []ItemVote{},
	}
	// Whoever may see the case finds it in the inbox under the id of the entry.
	if v.viewer == v.meeting.ChairID {
		answer.InboxIDs = append(answer.InboxIDs, item.InboxIDs...)
	}
	answer.Pack.Moments = []Moment{}
	answer.Record.normalise()
	for _, voting := range v.votings {
		if voting.ItemID == item.ID {
			answer.Votes = append(answer.Votes, voting.shown(v.viewer))
		}
	}
	if item.CaseID == "" {
		return answer
	}
	c, parts := v.cases[item.CaseID], v.parts[item.CaseID]
	if v.meeting.NamesOperators {
		for _, o := range c.Operators {
			answer.Operators = append(answer.Operators, ItemOperator{UserID: o.UserID, Role: o.Role})
		}
	}
	if c.withdrawn() {
		answer.Withdrawn = withdrawnWords
		return answer
	}
	for i, part := range parts {
		reason := unshown(c, part)
		answer.Recording = append(answer.Recording, ItemPart{
			Part: i + 1, Duration: part.Facts.Duration, Width: part.Facts.Width, Height: part.Facts.Height, Playable: reason == "", Reason: reason,
		})
	}
	answer.Pack.Moments = blindedMoments(item.Moments, parts)
	return answer
}

// unshown says why members may not watch a part, "" when they may.
func unshown(c Case, part Part) string {
	switch {
	case c.withdrawn():
		return withdrawnWords
	case !c.Showable():
		return noConsentWords
	case part.ClearedAt == 0:
		return unclearedWords
	case strings.HasPrefix(part.Source, "https:"):
		return elsewhereWords
	case part.State != PartOK:
		return "The recording is not there now, or is another file than was registered."
	case !part.Facts.Playable:
		return "A browser cannot play this recording."
	}
	return ""
}

// blindedMoments numbers the parts. A moment whose part is gone is left out.
func blindedMoments(kept []KeptMoment, parts []Part) []Moment {
	moments := []Moment{}
	clock, clockErr := clockOf(parts)
	for _, m := range kept {
		at := slices.IndexFunc(parts, func(p Part) bool { return p.ID == m.PartID })
		if at < 0 {
			continue
		}
		moment := Moment{ID: m.ID, Part: at + 1, Ms: m.Ms, Line: m.Line, Step: m.Step}
		if clockErr == nil {
			if ms, err := clock.Case(timeline.Instant{Part: m.PartID, Ms: m.Ms}); err == nil {
				moment.Clock = minutes(float64(ms))
			}
		}
		moments = append(moments, moment)
	}
	return moments
}

// blindedPlace leaves of a place what the item, as members get it, still has.
func blindedPlace(place Place, item AgendaItem) Place {
	if item.Withdrawn != "" || place.Part > len(item.Recording) {
		place.MomentID, place.Part, place.Ms, place.Playing, place.Rate = "", 0, 0, false, 0
	}
	if !slices.ContainsFunc(item.Pack.Moments, func(m Moment) bool { return m.ID == place.MomentID }) {
		place.MomentID = ""
	}
	return place
}

// sheetOf gives a meeting as the actor gets it.
func (s *Service) sheetOf(ctx context.Context, tx Tx, m KeptMeeting, actor Actor) (MeetingSheet, error) {
	sheet := MeetingSheet{
		Meeting: m.Meeting, Change: m.Change, Agenda: []AgendaItem{}, EarlierActions: []MeetingAction{}, Actions: []MeetingAction{}, Remarks: []Remark{},
		May: MeetingRights{Chair: m.ChairID == actor.ID, Present: []string{}, Prepare: []string{}, Write: []string{}},
	}
	items, err := tx.MeetingItems(ctx, m.ID)
	if err != nil {
		return sheet, err
	}
	view, err := viewOf(ctx, tx, m, items, actor)
	if err != nil {
		return sheet, err
	}
	for _, item := range items {
		sheet.Agenda = append(sheet.Agenda, view.blinded(item))
		for _, right := range []struct {
			may bool
			ids *[]string
		}{
			{m.mayPresent(actor.ID, item), &sheet.May.Present}, {m.mayPrepare(actor.ID, item), &sheet.May.Prepare},
			{m.mayWrite(actor.ID, item), &sheet.May.Write},
		} {
			if right.may {
				*right.ids = append(*right.ids, item.ID)
			}
		}
	}
	remarks, err := tx.Remarks(ctx, m.ID)
	if err != nil {
		return sheet, err
	}
	sheet.Remarks = append(sheet.Remarks, remarks...)
	sheet.Actions, sheet.EarlierActions, err = s.actionsAt(ctx, tx, m, actor)
	return sheet, err
}
