package annotate_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
	"zonule/timeline"
)

func TestComplications(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c, part, _ := u.Marked(t)
		during := annotate.Complication{ID: u.NewID(), CaseID: c.ID, Kind: "vitreous-loss", At: &timeline.Instant{Part: part.ID, Ms: 5000}, Severity: 2}
		kept, err := u.PutComplication(t.Context(), u.Surgeon, during)
		require.NoError(t, err)
		require.Equal(t, int64(1), kept.Revision)
		again, err := u.PutComplication(t.Context(), u.Surgeon, during)
		require.NoError(t, err)
		require.Equal(t, kept, again)
		changed := kept
		changed.Note = "One quadrant was lost for a moment."
		changed, err = u.PutComplication(t.Context(), u.Trainer, changed)
		require.NoError(t, err)
		kept.Note = "No."
		_, err = u.PutComplication(t.Context(), u.Surgeon, kept)
		require.Equal(t, changed, refused(t, annotate.CodeStale, err).Theirs)
		refused(t, annotate.CodeStale, u.RemoveComplication(t.Context(), u.Surgeon, c.ID, during.ID, 1))

		outside := during
		outside.ID, outside.At = u.NewID(), &timeline.Instant{Part: part.ID, Ms: 600_001}
		_, err = u.PutComplication(t.Context(), u.Surgeon, outside)
		require.Equal(t, "at.ms", refused(t, annotate.CodeInvalid, err).Fields[0].Field)

		// Clinic staff record what came after, and see neither instant nor film.
		_, err = u.PutComplication(t.Context(), u.Clinic, during)
		refused(t, annotate.CodeForbidden, err)
		sneaky := changed
		sneaky.Kind, sneaky.At, sneaky.OnDate = "uveitis", nil, "2026-05-05"
		_, err = u.PutComplication(t.Context(), u.Clinic, sneaky)
		refused(t, annotate.CodeForbidden, err)
		refused(t, annotate.CodeForbidden, u.RemoveComplication(t.Context(), u.Clinic, c.ID, during.ID, changed.Revision))
		after := annotate.Complication{ID: u.NewID(), CaseID: c.ID, Kind: "corneal-oedema", OnDate: "2026-05-05", Severity: 1}
		after, err = u.PutComplication(t.Context(), u.Clinic, after)
		require.NoError(t, err)
		seen, err := u.Complications(t.Context(), u.Clinic, c.ID)
		require.NoError(t, err)
		require.Len(t, seen, 2)
		for _, complication := range seen {
			require.Nil(t, complication.At)
		}
		page, err := u.Cases(t.Context(), u.Surgeon, annotate.CaseFilter{})
		require.NoError(t, err)
		require.Equal(t, []string{"corneal-oedema", "vitreous-loss"}, page.Cases[0].Complications)

		require.NoError(t, u.RemoveComplication(t.Context(), u.Clinic, c.ID, after.ID, 1))
		refused(t, annotate.CodeNotFound, u.RemoveComplication(t.Context(), u.Clinic, c.ID, after.ID, 1))
		other := u.AddCase(t)
		refused(t, annotate.CodeNotFound, u.RemoveComplication(t.Context(), u.Surgeon, other.ID, during.ID, 2))
		stolen := changed
		stolen.CaseID, stolen.At = other.ID, nil
		_, err = u.PutComplication(t.Context(), u.Surgeon, stolen)
		refused(t, annotate.CodeTaken, err)
		verified(t, u)
	})
}

func TestVisits(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c := u.AddCase(t)
		visit := annotate.Visit{
			ID: u.NewID(), CaseID: c.ID, Window: annotate.WindowDay1, Date: "2026-05-05", Acuity: "6/9", Pressure: pointerTo(17.5),
			OedemaGrade: pointerTo(1), Thickness: pointerTo(561),
			Exam: &annotate.EndothelialExam{Density: 2210.5, CV: pointerTo(33.0), Cells: pointerTo(98), Instrument: "specular microscope"},
			Note: "Klar. Σαφές. 清楚。",
		}
		kept, err := u.PutVisit(t.Context(), u.Clinic, visit)
		require.NoError(t, err)
		require.InDelta(t, 0.33, *kept.Exam.CV, 1e-12)
		again, err := u.PutVisit(t.Context(), u.Clinic, visit)
		require.NoError(t, err)
		require.Equal(t, kept, again)
		list, err := u.Visits(t.Context(), u.Surgeon, c.ID)
		require.NoError(t, err)
		require.Equal(t, []annotate.Visit{kept}, list)
		changed := kept
		changed.Exam = nil
		changed, err = u.PutVisit(t.Context(), u.Surgeon, changed)
		require.NoError(t, err)
		require.Equal(t, int64(2), changed.Revision)
		kept.Pressure = nil
		_, err = u.PutVisit(t.Context(), u.Clinic, kept)
		require.Equal(t, changed, refused(t, annotate.CodeStale, err).Theirs)
		visit.ID, visit.Date = u.NewID(), "2026-05-03"
		_, err = u.PutVisit(t.Context(), u.Clinic, visit)
		require.Equal(t, "date", refused(t, annotate.CodeInvalid, err).Fields[0].Field)
		refused(t, annotate.CodeStale, u.RemoveVisit(t.Context(), u.Clinic, c.ID, changed.ID, 1))
		require.NoError(t, u.RemoveVisit(t.Context(), u.Clinic, c.ID, changed.ID, 2))
		verified(t, u)
	})
}

func TestToday(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address) // on 2026-06-15
		today := func(actor annotate.Actor) annotate.Today {
			list, err := u.Today(t.Context(), actor)
			require.NoError(t, err)
			return list
		}
		on := func(date string) annotate.Case {
			return u.AddCase(t, func(c *annotate.Case) { c.Date, c.SharedWith = date, []string{u.Chair.ID} })
		}
		planned, fresh, old := on("2026-06-20"), on("2026-06-14"), on("2026-05-04")
		u.AddPart(t, fresh.ID, 60_000)
		part, reading := u.AddPart(t, old.ID, 60_000), u.AddReading(t, u.Surgeon, old.ID)

		list := today(u.Surgeon)
		require.Empty(t, list.ToRecord, "an operation that is planned is not waited for")
		require.Len(t, list.ToTag, 2)
		require.Equal(t, old.ID, list.ToTag[0].Case.ID, "the oldest first")
		require.Len(t, list.FollowUpDue, 2)
		require.Equal(t, []any{old.ID, annotate.WindowDay1, "2026-05-05", true},
			[]any{list.FollowUpDue[0].Case.ID, list.FollowUpDue[0].Window, list.FollowUpDue[0].DueOn, list.FollowUpDue[0].Overdue})
		require.Equal(t, []any{fresh.ID, "2026-06-15", false, "due"},
			[]any{list.FollowUpDue[1].Case.ID, list.FollowUpDue[1].DueOn, list.FollowUpDue[1].Overdue, list.FollowUpDue[1].Case.FollowUp})
		require.Empty(t, list.ToSign)
		for _, other := range []annotate.Actor{u.Stranger, u.Admin, u.Chair} {
			require.Equal(t, annotate.Today{
				ToRecord: []annotate.Waiting{}, ToTag: []annotate.Waiting{}, FollowUpDue: []annotate.Waiting{},
				CommentsToAnswer: []annotate.Waiting{}, ToSign: []annotate.Waiting{},
				Actions: []annotate.MeetingAction{}, Meetings: []annotate.MeetingLine{},
			}, today(other), other.Login)
		}
		clinic := today(u.Clinic)
		require.Len(t, clinic.FollowUpDue, 2, "the follow-up of all cases is the clinic's")
		require.Empty(t, clinic.ToTag)

		opener := say(u, part.ID, "Why?", "")
		add(t, u, u.Chair, reading.ID, edit(u, "comment", speak(opener, 0)))
		require.Equal(t, 1, today(u.Surgeon).CommentsToAnswer[0].Comments)
		require.Empty(t, today(u.Chair).CommentsToAnswer, "who spoke last waits for others")
		require.Equal(t, 1, today(u.Surgeon).ToTag[0].Case.OpenComments)
		u.Clock.Move(time.Minute)
		add(t, u, u.Surgeon, reading.ID, edit(u, "comment", speak(say(u, part.ID, "Because.", opener.ID), 0)))
		require.Empty(t, today(u.Surgeon).CommentsToAnswer)
		require.Equal(t, old.ID, today(u.Chair).CommentsToAnswer[0].Case.ID, "it is the asker's turn, although the case is only shared")
		require.Len(t, today(u.Trainer).CommentsToAnswer, 1)
		opener.Settled = true
		add(t, u, u.Chair, reading.ID, edit(u, "settle", speak(opener, 1)))
		require.Empty(t, today(u.Trainer).CommentsToAnswer)

		for i, step := range []string{"side-port", "main-incision", "capsulorhexis", "removal", "cortex", "lens-insertion", "ovd-removal", "wound-closure"} {
			add(t, u, u.Surgeon, reading.ID, u.Add(u.Marker(part.ID, step, int64(i)*1000, int64(i)*1000+900)))
		}
		for _, window := range []annotate.Window{annotate.WindowDay1, annotate.WindowMonth1} {
			_, err := u.PutVisit(t.Context(), u.Clinic, annotate.Visit{ID: u.NewID(), CaseID: old.ID, Window: window, Date: "2026-06-01"})
			require.NoError(t, err)
		}
		require.Equal(t, old.ID, today(u.Trainer).ToSign[0].Case.ID)
		require.Equal(t, "complete", today(u.Trainer).ToSign[0].Case.FollowUp)
		signed(t, u, old.ID)
		require.Empty(t, today(u.Trainer).ToSign)
		u.Clock.Move(6 * 24 * time.Hour)
		require.Equal(t, planned.ID, today(u.Surgeon).ToRecord[0].Case.ID)
		verified(t, u)
	})
}
