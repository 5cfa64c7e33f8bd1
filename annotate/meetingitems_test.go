package annotate_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

func TestAPackIsDrawnFromFacts(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		g := gather(t, address)
		pack := g.item.Pack
		require.Equal(t, "Posterior capsule rupture during sculpting, moderate.", pack.Situation)
		require.Contains(t, pack.Background, "Right eye, aged 70 to 79.\nNuclear grade 4 of 5, pseudoexfoliation.")
		require.Contains(t, pack.Background, "Phacoemulsification was planned and performed.")
		require.Contains(t, pack.Assessment, "Events: chamber shallow or collapsed (1), OVD top-up (1).")
		require.Contains(t, pack.Assessment, "No visit after the operation is recorded.")
		require.NotEmpty(t, pack.Recommendation)
		lines := []string{}
		for _, m := range pack.Moments {
			lines = append(lines, m.Clock+" "+m.Line+" / "+m.Step)
		}
		require.Equal(t, []string{"3:55 Chamber shallow or collapsed / Sculpting", "4:00 Posterior capsule rupture / Sculpting"}, lines)
		require.Equal(t, []annotate.ItemPart{{Part: 1, Duration: 600_000, Width: 1280, Height: 720, Playable: true}}, g.item.Recording)
		require.Equal(t, "Case 1", g.item.Label)

		drawn, err := g.ComposePack(t.Context(), g.Stranger, g.meeting.ID, g.item.ID)
		require.NoError(t, err)
		require.Equal(t, pack.Background, drawn.Background)
		_, err = g.ComposePack(t.Context(), g.Clinic, g.meeting.ID, g.item.ID)
		refused(t, annotate.CodeForbidden, err)
		for _, actor := range []annotate.Actor{g.Chair, g.Stranger, g.Clinic} {
			g.nobodyIn(t, g.sheet(t, actor), drawn)
		}
	})
}

func TestItemsAreChangedByTheirPresenter(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		g := gather(t, address)
		changed := g.item
		changed.Pack.Moments = append([]annotate.Moment{}, g.item.Pack.Moments...)
		changed.Pack.Assessment = "The chamber collapsed twice."
		changed.Pack.Moments = append(changed.Pack.Moments, annotate.Moment{ID: "by-hand", Part: 1, Ms: 1500, Line: "The start"})
		kept, err := g.PutMeetingItem(t.Context(), g.Stranger, g.meeting.ID, changed)
		require.NoError(t, err)
		require.Equal(t, g.item.Revision+1, kept.Revision)
		require.Len(t, kept.Pack.Moments, 3)
		require.Equal(t, "0:02", kept.Pack.Moments[2].Clock)
		_, err = g.PutMeetingItem(t.Context(), g.Clinic, g.meeting.ID, changed)
		refused(t, annotate.CodeForbidden, err)
		longer := kept
		longer.Minutes = 60
		_, err = g.PutMeetingItem(t.Context(), g.Stranger, g.meeting.ID, longer)
		refused(t, annotate.CodeForbidden, err)
		old := g.item
		old.Title = "Another"
		stale := refused(t, annotate.CodeStale, errOf(g.PutMeetingItem(t.Context(), g.Chair, g.meeting.ID, old)))
		require.Equal(t, "The chamber collapsed twice.", stale.Theirs.(annotate.AgendaItem).Pack.Assessment)
		g.nobodyIn(t, stale.Theirs, stale.Yours)

		for field, spoil := range map[string]func(*annotate.AgendaItem){
			"title":                func(i *annotate.AgendaItem) { i.Title = "" },
			"minutes":              func(i *annotate.AgendaItem) { i.Minutes = -1 },
			"pack.moments[0].part": func(i *annotate.AgendaItem) { i.Pack.Moments = []annotate.Moment{{ID: "m", Part: 2, Line: "x"}} },
			"pack.moments[0].ms": func(i *annotate.AgendaItem) {
				i.Pack.Moments = []annotate.Moment{{ID: "m", Part: 1, Ms: 600_001, Line: "x"}}
			},
			"pack.moments[1].id": func(i *annotate.AgendaItem) {
				i.Pack.Moments = []annotate.Moment{{ID: "m", Part: 1, Line: "x"}, {ID: "m", Part: 1, Line: "x"}}
			},
			"pack.situation":  func(i *annotate.AgendaItem) { i.Pack.Situation = "Done by the Surgeon." },
			"pack.background": func(i *annotate.AgendaItem) { i.Pack.Background = "Known as " + distinctive + "." },
		} {
			bad := kept
			spoil(&bad)
			require.Equal(t, field, refused(t, annotate.CodeInvalid, errOf(g.PutMeetingItem(t.Context(), g.Chair, g.meeting.ID, bad))).Fields[0].Field)
		}
		figures := kept
		figures.Pack.Situation = "2345 cells/mm² on day 1, 6/12, 2.4 mm; case 12 of 300."
		_, err = g.PutMeetingItem(t.Context(), g.Chair, g.meeting.ID, figures)
		require.NoError(t, err, "figures are no pseudonyms")
		verified(t, g.Unit)
	})
}

func errOf[T any](_ T, err error) error { return err }

func TestTheOrderOfTheAgenda(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		g := gather(t, address)
		topic, err := g.PutMeetingItem(t.Context(), g.Chair, g.meeting.ID, annotate.AgendaItem{
			ID: "topic", Kind: annotate.ItemTopic, Title: "Theatre lists", Minutes: 5, Place: 2, PresenterID: g.Trainer.ID,
		})
		require.NoError(t, err)
		order := func() []string {
			var titles []string
			for i, item := range g.sheet(t, g.Chair).Agenda {
				require.Equal(t, i+1, item.Place)
				titles = append(titles, item.Title)
			}
			return titles
		}
		require.Equal(t, []string{"Open actions of earlier meetings", "Theatre lists", "Rupture in a hard eye"}, order())
		require.NotEmpty(t, g.sheet(t, g.Trainer).Title, "who presents an item is invited")
		topic.Place = 99
		_, err = g.PutMeetingItem(t.Context(), g.Chair, g.meeting.ID, topic)
		require.NoError(t, err)
		require.Equal(t, []string{"Open actions of earlier meetings", "Rupture in a hard eye", "Theatre lists"}, order())

		first := g.sheet(t, g.Chair).Agenda[0]
		refused(t, annotate.CodeForbidden, g.RemoveMeetingItem(t.Context(), g.Chair, g.meeting.ID, first.ID, first.Revision))
		refused(t, annotate.CodeStale, g.RemoveMeetingItem(t.Context(), g.Chair, g.meeting.ID, g.item.ID, 9))
		require.NoError(t, g.RemoveMeetingItem(t.Context(), g.Chair, g.meeting.ID, g.item.ID, g.item.Revision))
		require.Equal(t, []string{"Open actions of earlier meetings", "Theatre lists"}, order())
		require.Equal(t, annotate.InboxWaiting, inboxOf(t, g.Unit, g.Chair)[0].State)
		again := g.addCase(t, g.case1)
		_, err = g.PutMeetingItem(t.Context(), g.Chair, g.meeting.ID, annotate.AgendaItem{ID: "twice", Kind: annotate.ItemCase, Title: "x", InboxIDs: again.InboxIDs})
		require.Equal(t, "inboxIds[0]", refused(t, annotate.CodeInvalid, err).Fields[0].Field)
		verified(t, g.Unit)
	})
}

func TestAWithdrawnConsentTakesTheRecordingOutAtOnce(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		g := gather(t, address)
		g.begin(t)
		moment := g.item.Pack.Moments[1]
		place, err := g.LeadMeeting(t.Context(), g.Stranger, g.meeting.ID, annotate.Place{ItemID: g.item.ID, MomentID: moment.ID, Part: 1, Ms: 240_000, Playing: true})
		require.NoError(t, err)
		film, err := g.MeetingMoment(t.Context(), g.Clinic, g.meeting.ID, g.item.ID, moment.ID)
		require.NoError(t, err)
		require.Equal(t, []any{g.part.ID, int64(240_000)}, []any{film.Part.ID, film.Ms})

		c, err := g.Case(t.Context(), g.Surgeon, g.case1.ID)
		require.NoError(t, err)
		c.Consent.WithdrawnOn = "2026-06-15"
		withdrawn, err := g.PutCase(t.Context(), g.Surgeon, c)
		require.NoError(t, err)
		for _, actor := range []annotate.Actor{g.Chair, g.Clinic} {
			item := g.sheet(t, actor).Agenda[1]
			require.Contains(t, item.Withdrawn, "Consent was withdrawn")
			require.Empty(t, item.Recording)
			require.Empty(t, item.Pack.Moments)
			_, err = g.MeetingMoment(t.Context(), actor, g.meeting.ID, g.item.ID, moment.ID)
			refused(t, annotate.CodeForbidden, err)
			_, err = g.MeetingPart(t.Context(), actor, g.meeting.ID, g.item.ID, 1)
			refused(t, annotate.CodeForbidden, err)
		}
		live, err := g.FollowMeeting(t.Context(), g.Clinic, g.meeting.ID)
		require.NoError(t, err)
		require.Equal(t, annotate.Place{Seq: place.Seq, ItemID: g.item.ID, At: place.At, ItemAt: place.ItemAt, PresenterID: g.Stranger.ID, State: annotate.MeetingRunning}, live.Place)
		_, err = g.LeadMeeting(t.Context(), g.Stranger, g.meeting.ID, annotate.Place{ItemID: g.item.ID, Part: 1})
		refused(t, annotate.CodeInvalid, err)
		_, err = g.LeadMeeting(t.Context(), g.Stranger, g.meeting.ID, annotate.Place{ItemID: g.item.ID, Slide: "summary"})
		require.Equal(t, "slide", refused(t, annotate.CodeInvalid, err).Fields[0].Field)
		text, err := g.LeadMeeting(t.Context(), g.Stranger, g.meeting.ID, annotate.Place{ItemID: g.item.ID, Slide: "background", ItemAt: 5})
		require.NoError(t, err)
		require.Equal(t, place.At, text.ItemAt, "the time of an item runs from when the meeting came to it")
		live, err = g.FollowMeeting(t.Context(), g.Clinic, g.meeting.ID)
		require.NoError(t, err)
		require.Equal(t, annotate.PackSection("background"), live.Place.Slide, "texts stay when the recording is taken out")
		edited := g.sheet(t, g.Chair).Agenda[1]
		edited.Title = "Without the film"
		_, err = g.PutMeetingItem(t.Context(), g.Chair, g.meeting.ID, edited)
		require.NoError(t, err)

		withdrawn.Consent.WithdrawnOn = ""
		_, err = g.PutCase(t.Context(), g.Surgeon, withdrawn)
		require.NoError(t, err)
		require.Len(t, g.sheet(t, g.Clinic).Agenda[1].Pack.Moments, 2, "taken back by mistake, nothing is lost")
		_, err = g.ClearPart(t.Context(), g.Surgeon, g.case1.ID, g.part.ID, false)
		require.NoError(t, err)
		require.False(t, g.sheet(t, g.Clinic).Agenda[1].Recording[0].Playable)
		_, err = g.MeetingPart(t.Context(), g.Clinic, g.meeting.ID, g.item.ID, 1)
		refused(t, annotate.CodeForbidden, err)
	})
}

func TestOperatorsAreNamedOnlyWithAReason(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		g := gather(t, address)
		require.Empty(t, g.sheet(t, g.Chair).Agenda[1].Operators)
		named := g.meeting.Meeting
		named.NamesOperators, named.NamesReason = true, "The operators asked for it."
		sheet, err := g.PutMeeting(t.Context(), g.Chair, named)
		require.NoError(t, err)
		require.Equal(t, annotate.ItemOperator{UserID: g.Surgeon.ID, Role: annotate.OperatorLead}, sheet.Agenda[1].Operators[0])
		item := sheet.Agenda[1]
		item.Pack.Situation = "Done by the surgeon, known as " + distinctive
		_, err = g.PutMeetingItem(t.Context(), g.Chair, g.meeting.ID, item)
		require.Len(t, refused(t, annotate.CodeInvalid, err).Fields, 1, "the patient stays unnamed")
	})
}
