package annotate_test

import (
	"bytes"
	"encoding/json"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

// later plans another meeting of the chair and begins it.
func (g *gathering) later(t *testing.T, date string) annotate.MeetingSheet {
	t.Helper()
	sheet, err := g.PutMeeting(t.Context(), g.Chair, annotate.Meeting{
		ID: g.NewID(), Title: "Next meeting", Date: date, OpensOn: "2026-06-15", ChairID: g.Chair.ID, Attendees: []annotate.Attendee{{UserID: g.Admin.ID}},
	})
	require.NoError(t, err)
	return sheet
}

func TestAnActionIsFollowedToTheEnd(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		g := gather(t, address)
		action := annotate.MeetingAction{
			ID: "action", MeetingID: g.meeting.ID, ItemID: g.item.ID, Text: "Two hooks on every tray", OwnerID: g.Trainee.ID, DueOn: "2026-07-01", State: annotate.ActionOpen,
		}
		refused(t, annotate.CodeForbidden, errOf(g.PutMeetingAction(t.Context(), g.Clinic, action)))
		refused(t, annotate.CodeNotFound, errOf(g.PutMeetingAction(t.Context(), g.Surgeon, action)))
		agreed, err := g.PutMeetingAction(t.Context(), g.Stranger, action)
		require.NoError(t, err)
		require.Equal(t, []any{int64(1), g.meeting.Date, g.meeting.ID}, []any{agreed.Revision, agreed.AgreedOn, agreed.MeetingID})
		require.Equal(t, []annotate.MeetingAction{agreed}, g.sheet(t, g.Clinic).Actions)
		require.Empty(t, g.sheet(t, g.Clinic).EarlierActions)

		// The owner is not invited: they get what they have to do and not where it was agreed.
		g.Clock.Move(20 * 24 * time.Hour)
		today, err := g.Today(t.Context(), g.Trainee)
		require.NoError(t, err)
		own := today.Actions[0]
		require.Equal(t, []any{"Two hooks on every tray", true, "", "", ""}, []any{own.Text, own.Overdue, own.MeetingID, own.ItemID, own.AgreedOn})
		own.State = annotate.ActionDone
		require.Equal(t, "evidence", refused(t, annotate.CodeInvalid, errOf(g.PutMeetingAction(t.Context(), g.Trainee, own))).Fields[0].Field)
		own.Evidence = "Photograph of the tray"
		done, err := g.PutMeetingAction(t.Context(), g.Trainee, own)
		require.NoError(t, err)
		again, err := g.PutMeetingAction(t.Context(), g.Trainee, own)
		require.NoError(t, err, "sent twice counts once")
		require.Equal(t, done, again)
		reworded := done
		reworded.Text = "One hook will do"
		refused(t, annotate.CodeForbidden, errOf(g.PutMeetingAction(t.Context(), g.Trainee, reworded)))
		old := agreed
		old.DueOn = "2026-08-01"
		require.Equal(t, annotate.ActionDone, refused(t, annotate.CodeStale, errOf(g.PutMeetingAction(t.Context(), g.Chair, old))).Theirs.(annotate.MeetingAction).State)

		// It is closed at a later meeting that runs, by its chair.
		closing := done
		closing.State = annotate.ActionClosed
		refused(t, annotate.CodeForbidden, errOf(g.PutMeetingAction(t.Context(), g.Trainee, closing)))
		refused(t, annotate.CodeInvalid, errOf(g.PutMeetingAction(t.Context(), g.Chair, closing)))
		closing.ClosedAt = g.meeting.ID
		refused(t, annotate.CodeInvalid, errOf(g.PutMeetingAction(t.Context(), g.Chair, closing)))
		next := g.later(t, "2026-07-18")
		require.Equal(t, annotate.ItemActions, next.Agenda[0].Kind)
		require.Len(t, next.EarlierActions, 1, "open actions of earlier meetings stand first")
		closing.ClosedAt = next.ID
		refused(t, annotate.CodeInvalid, errOf(g.PutMeetingAction(t.Context(), g.Chair, closing)))
		_, err = g.SetMeetingState(t.Context(), g.Chair, next.ID, annotate.MeetingRunning)
		require.NoError(t, err)
		seen, err := g.Meeting(t.Context(), g.Admin, next.ID)
		require.NoError(t, err)
		require.Equal(t, []string{"", ""}, []string{seen.EarlierActions[0].MeetingID, seen.EarlierActions[0].AgreedOn}, "who was not there is not told where")
		shut, err := g.PutMeetingAction(t.Context(), g.Chair, closing)
		require.NoError(t, err)
		require.Equal(t, []any{next.ID, "2026-07-05"}, []any{shut.ClosedAt, shut.ClosedOn})
		after, err := g.Meeting(t.Context(), g.Chair, next.ID)
		require.NoError(t, err)
		require.Equal(t, []annotate.MeetingAction{shut}, after.EarlierActions, "what a meeting closed stays in its minutes")
		require.Empty(t, g.later(t, "2026-07-25").EarlierActions)
		require.Greater(t, after.Change, seen.Change, "those who follow are told")
		reopened := shut
		reopened.State = annotate.ActionOpen
		refused(t, annotate.CodeForbidden, errOf(g.PutMeetingAction(t.Context(), g.Chair, reopened)))

		// Or by the chair of its own meeting, with a reason.
		second := action
		second.ID, second.Revision = "second", 0
		second, err = g.PutMeetingAction(t.Context(), g.Chair, second)
		require.NoError(t, err)
		second.State, second.ClosedReason = annotate.ActionClosed, "The trays are no longer used."
		_, err = g.PutMeetingAction(t.Context(), g.Chair, second)
		require.NoError(t, err)
		all, err := g.MeetingActions(t.Context(), g.Chair)
		require.NoError(t, err)
		require.Len(t, all, 2)
		refused(t, annotate.CodeNotFound, errOf(g.PutMeetingAction(t.Context(), g.Surgeon, second)))
		verified(t, g.Unit)
	})
}

func TestMeetingsMoveInABundle(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		g := gather(t, address)
		g.begin(t)
		_, err := g.PutItemRecord(t.Context(), g.Chair, g.meeting.ID, g.item.ID, annotate.ItemRecord{Discussion: "Talked over."})
		require.NoError(t, err)
		_, err = g.PutRemark(t.Context(), g.Clinic, g.meeting.ID, annotate.Remark{ID: "remark", ItemID: g.item.ID, Text: "Was the bottle low?"})
		require.NoError(t, err)
		_, err = g.SetVoting(t.Context(), g.Chair, g.meeting.ID, g.item.ID, annotate.VoteHarm, true)
		require.NoError(t, err)
		_, err = g.Vote(t.Context(), g.Clinic, g.meeting.ID, g.item.ID, annotate.VoteHarm, "low")
		require.NoError(t, err)
		_, err = g.LeadMeeting(t.Context(), g.Chair, g.meeting.ID, annotate.Place{ItemID: g.item.ID, Part: 1, Ms: 5})
		require.NoError(t, err)
		_, err = g.PutMeetingAction(t.Context(), g.Chair, annotate.MeetingAction{
			ID: "action", MeetingID: g.meeting.ID, Text: "Two hooks", OwnerID: g.Trainee.ID, DueOn: "2026-07-01", State: annotate.ActionOpen,
		})
		require.NoError(t, err)
		before := g.sheet(t, g.Clinic)
		var bundle bytes.Buffer
		require.NoError(t, g.Export(t.Context(), annotate.House(), "", &bundle))
		var plain annotate.Bundle
		require.NoError(t, json.Unmarshal(bundle.Bytes(), &plain))
		require.Len(t, plain.Meetings, 1)

		other := annotatetest.EmptyUnit(t, annotatetest.SQLiteAddress(t))
		require.NoError(t, other.Import(t.Context(), annotate.House(), &bundle))
		after, err := other.Meeting(t.Context(), g.Clinic, g.meeting.ID)
		require.NoError(t, err)
		require.Equal(t, before, after)
		live, err := other.FollowMeeting(t.Context(), g.Clinic, g.meeting.ID)
		require.NoError(t, err)
		require.EqualValues(t, 1, live.Place.Seq)
		verified(t, other)
	})
}

func TestVerifySeesWhatWasChangedBehindAMeeting(t *testing.T) {
	g := gather(t, annotatetest.SQLiteAddress(t))
	g.begin(t)
	record, err := g.PutItemRecord(t.Context(), g.Chair, g.meeting.ID, g.item.ID, annotate.ItemRecord{Discussion: "Talked over."})
	require.NoError(t, err)
	verified(t, g.Unit)
	record.Discussion = "Nothing was said."
	require.NoError(t, g.Store.Write(t.Context(), func(tx annotate.Tx) error {
		return tx.UpdateItemRecord(t.Context(), g.item.ID, record)
	}))
	report, err := g.Verify(t.Context())
	require.NoError(t, err)
	require.Equal(t, "meeting: the record is not what the audit log holds (meeting "+g.item.ID+")", report.Mismatches[0].String())
	require.NoError(t, g.Store.Write(t.Context(), func(tx annotate.Tx) error { return tx.DeleteMeeting(t.Context(), g.meeting.ID) }))
	report, err = g.Verify(t.Context())
	require.NoError(t, err)
	require.Len(t, report.Mismatches, 4, "meeting, two items and the record are gone")
}
