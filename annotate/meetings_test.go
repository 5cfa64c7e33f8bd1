package annotate_test

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
	"zonule/timeline"
)

// gathering is a unit with a meeting at which one case is discussed. Chair, stranger and clinic are members; the operators
// of the case are not.
type gathering struct {
	*annotatetest.Unit
	meeting annotate.MeetingSheet
	case1   annotate.Case
	part    annotate.Part
	item    annotate.AgendaItem
}

const distinctive = "ZETA-7741-Q"

// gather makes the meeting. Its case has a cleared recording, consent, a rupture at 4:00 and two events.
func gather(t *testing.T, address string) *gathering {
	t.Helper()
	g := &gathering{Unit: annotatetest.NewUnit(t, address)}
	age, grade := 74, 4
	g.case1 = g.AddCase(t, func(c *annotate.Case) {
		c.Pseudonym = distinctive
		c.Before.Age, c.Before.NuclearGrade, c.Before.Pseudoexfoliation = &age, &grade, annotate.Yes
		c.Consent = annotate.Consent{Recording: annotate.Yes, Review: annotate.Yes}
	})
	g.part = g.AddPart(t, g.case1.ID, 600_000)
	reading := g.AddReading(t, g.Surgeon, g.case1.ID)
	sculpt := g.Marker(g.part.ID, "sculpting", 120_000, 300_000)
	edit := g.Add(sculpt)
	for kind, ms := range map[string]int64{"chamber-collapse": 235_000, "ovd-top-up": 100_000} {
		event := annotate.Event{ID: g.NewID(), Kind: kind, At: timeline.Instant{Part: g.part.ID, Ms: ms}}
		edit.Changes = append(edit.Changes, annotate.Change{Thing: annotate.ThingEvent, ID: event.ID, Event: &event})
	}
	_, err := g.AddEdits(t.Context(), g.Surgeon, reading.ID, []annotate.Edit{edit})
	require.NoError(t, err)
	_, err = g.PutComplication(t.Context(), g.Surgeon, annotate.Complication{
		ID: g.NewID(), CaseID: g.case1.ID, Kind: "posterior-capsule-rupture", Severity: 2, At: &timeline.Instant{Part: g.part.ID, Ms: 240_000},
		Action: "vitrectomy by a man called Quillfeather",
	})
	require.NoError(t, err)
	_, err = g.ClearPart(t.Context(), g.Surgeon, g.case1.ID, g.part.ID, true)
	require.NoError(t, err)

	g.meeting, err = g.PutMeeting(t.Context(), g.Chair, annotate.Meeting{
		ID: g.NewID(), Title: "June meeting", Date: "2026-06-20", Start: "08:00", Room: "Library", ChairID: g.Chair.ID, PresenterID: g.Stranger.ID,
		Attendees: []annotate.Attendee{{UserID: g.Clinic.ID}}, TakesVotes: true, TakesRemarks: true,
	})
	require.NoError(t, err)
	g.item = g.addCase(t, g.case1)
	return g
}

// addCase puts a case on the agenda.
func (g *gathering) addCase(t *testing.T, c annotate.Case) annotate.AgendaItem {
	t.Helper()
	inbox, err := g.Inbox(t.Context(), g.Chair)
	require.NoError(t, err)
	var ids []string
	for _, entry := range inbox.Entries {
		var owner string
		require.NoError(t, g.Store.Read(t.Context(), func(tx annotate.Tx) error {
			stored, err := tx.InboxEntry(t.Context(), entry.ID)
			owner = stored.CaseID
			return err
		}))
		if owner == c.ID && entry.State == annotate.InboxWaiting {
			ids = append(ids, entry.ID)
		}
	}
	item, err := g.PutMeetingItem(t.Context(), g.Chair, g.meeting.ID, annotate.AgendaItem{
		ID: g.NewID(), Kind: annotate.ItemCase, Title: "Rupture in a hard eye", Minutes: 10, InboxIDs: ids,
	})
	require.NoError(t, err)
	return item
}

// sheet reads the meeting as somebody gets it.
func (g *gathering) sheet(t *testing.T, actor annotate.Actor) annotate.MeetingSheet {
	t.Helper()
	sheet, err := g.Meeting(t.Context(), actor, g.meeting.ID)
	require.NoError(t, err)
	return sheet
}

func (g *gathering) begin(t *testing.T) {
	t.Helper()
	_, err := g.SetMeetingState(t.Context(), g.Chair, g.meeting.ID, annotate.MeetingRunning)
	require.NoError(t, err)
}

// nobodyIn checks that an answer names neither the case nor its parts, patient, operators or date.
func (g *gathering) nobodyIn(t *testing.T, answers ...any) {
	t.Helper()
	for _, answer := range answers {
		text, err := json.Marshal(answer)
		require.NoError(t, err)
		for name, secret := range map[string]string{
			"case": g.case1.ID, "part": g.part.ID, "pseudonym": distinctive, "date": g.case1.Date, "lead": g.Surgeon.ID,
			"supervisor": g.Trainer.ID, "assistant": g.Trainee.ID, "free text": "Quillfeather", "source": g.part.Source,
		} {
			require.NotContains(t, strings.ToLower(string(text)), strings.ToLower(secret), name)
		}
	}
}

func TestAMeetingIsThereForItsMembersWhileItIsOpen(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		g := gather(t, address)
		require.Equal(t, []string{"2026-06-13", "2026-07-20", "2026-03-22", "2026-06-20"},
			[]string{g.meeting.OpensOn, g.meeting.ClosesOn, g.meeting.From, g.meeting.To})
		require.Len(t, g.meeting.Attendees, 3, "chair and presenter are invited by being named")
		for _, actor := range []annotate.Actor{g.Surgeon, g.Trainer, g.Trainee, g.Admin} {
			_, err := g.Meeting(t.Context(), actor, g.meeting.ID)
			require.Equal(t, "There is no such meeting, or it is not yours to see.", refused(t, annotate.CodeNotFound, err).Message)
			lines, err := g.Meetings(t.Context(), actor)
			require.NoError(t, err)
			require.Empty(t, lines)
			taken := g.meeting.Meeting
			_, err = g.PutMeeting(t.Context(), actor, taken)
			refused(t, annotate.CodeNotFound, err)
			taken.ID, taken.Revision = g.NewID(), 0
			_, err = g.PutMeeting(t.Context(), actor, taken)
			refused(t, annotate.CodeNotFound, err)
		}
		for _, actor := range []annotate.Actor{g.Chair, g.Stranger, g.Clinic} {
			require.Equal(t, "June meeting", g.sheet(t, actor).Title)
			today, err := g.Today(t.Context(), actor)
			require.NoError(t, err)
			require.Len(t, today.Meetings, 1)
			require.Equal(t, 1, today.Meetings[0].Items)
		}
		g.Clock.Move(-3 * 24 * time.Hour) // before it opens
		for _, actor := range []annotate.Actor{g.Stranger, g.Clinic} {
			_, err := g.Meeting(t.Context(), actor, g.meeting.ID)
			refused(t, annotate.CodeNotFound, err)
		}
		g.sheet(t, g.Chair)
		g.Clock.Move(40 * 24 * time.Hour) // after it closed
		_, err := g.Meeting(t.Context(), g.Clinic, g.meeting.ID)
		refused(t, annotate.CodeNotFound, err)
		_, err = g.PutItemRecord(t.Context(), g.Stranger, g.meeting.ID, g.item.ID, annotate.ItemRecord{})
		refused(t, annotate.CodeNotFound, err)
		g.sheet(t, g.Chair)
		history, err := g.CaseHistory(t.Context(), g.Surgeon, g.case1.ID)
		require.NoError(t, err)
		text, err := json.Marshal(history)
		require.NoError(t, err)
		for _, told := range []string{g.meeting.ID, "scheduled", g.item.ID} {
			require.NotContains(t, string(text), told, "the history of the case does not tell that there is a meeting")
		}
		entries := inboxOf(t, g.Unit, g.Trainer)
		require.Empty(t, entries, "nor does the inbox, to a trainer who is not invited")
		require.Equal(t, g.meeting.ID, inboxOf(t, g.Unit, g.Chair)[0].MeetingID)
		verified(t, g.Unit)
	})
}

func TestPlanningAMeeting(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		g := gather(t, address)
		changed := g.meeting.Meeting
		changed.Title = "Moved"
		first, err := g.PutMeeting(t.Context(), g.Chair, changed)
		require.NoError(t, err)
		require.Equal(t, g.meeting.Revision+1, first.Revision)
		again, err := g.PutMeeting(t.Context(), g.Chair, changed)
		require.NoError(t, err, "the same change sent twice counts once")
		require.Equal(t, first.Revision, again.Revision)
		other := g.meeting.Meeting
		other.Title = "Moved elsewhere"
		_, err = g.PutMeeting(t.Context(), g.Chair, other)
		require.Equal(t, "Moved", refused(t, annotate.CodeStale, err).Theirs.(annotate.Meeting).Title)
		_, err = g.PutMeeting(t.Context(), g.Clinic, first.Meeting)
		refused(t, annotate.CodeForbidden, err)

		for field, spoil := range map[string]func(*annotate.Meeting){
			"title": func(m *annotate.Meeting) { m.Title = " " }, "date": func(m *annotate.Meeting) { m.Date = "soon" },
			"start": func(m *annotate.Meeting) { m.Start = "25:00" }, "opensOn": func(m *annotate.Meeting) { m.OpensOn = "2027-01-01" },
			"closesOn": func(m *annotate.Meeting) { m.ClosesOn = "2026-01-01" }, "to": func(m *annotate.Meeting) { m.To = "2020-01-01" },
			"namesReason":         func(m *annotate.Meeting) { m.NamesOperators = true },
			"attendees[0].userId": func(m *annotate.Meeting) { m.Attendees = []annotate.Attendee{{UserID: "nobody"}} },
			"chairId":             func(m *annotate.Meeting) { m.ChairID = g.Clinic.ID },
		} {
			bad := first.Meeting
			spoil(&bad)
			_, err := g.PutMeeting(t.Context(), g.Chair, bad)
			require.Equal(t, field, refused(t, annotate.CodeInvalid, err).Fields[0].Field)
		}

		apology := annotate.Attendee{UserID: g.Clinic.ID, Apology: true}
		sheet, err := g.Attend(t.Context(), g.Clinic, g.meeting.ID, apology)
		require.NoError(t, err)
		require.Contains(t, sheet.Attendees, apology)
		_, err = g.Attend(t.Context(), g.Clinic, g.meeting.ID, annotate.Attendee{UserID: g.Clinic.ID, Present: true})
		refused(t, annotate.CodeForbidden, err)
		sheet, err = g.Attend(t.Context(), g.Chair, g.meeting.ID, annotate.Attendee{UserID: g.Stranger.ID, Present: true})
		require.NoError(t, err)
		kept, err := g.PutMeeting(t.Context(), g.Chair, sheet.Meeting)
		require.NoError(t, err)
		require.Contains(t, kept.Attendees, annotate.Attendee{UserID: g.Stranger.ID, Present: true})

		err = g.RemoveMeeting(t.Context(), g.Chair, g.meeting.ID, kept.Revision)
		require.NoError(t, err)
		_, err = g.Meeting(t.Context(), g.Chair, g.meeting.ID)
		refused(t, annotate.CodeNotFound, err)
		require.Equal(t, annotate.InboxWaiting, inboxOf(t, g.Unit, g.Chair)[0].State, "what was on the agenda waits again")
		verified(t, g.Unit)
	})
}

func TestTheChairChangesHands(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		g := gather(t, address)
		deputy := g.Stranger
		deputy.Roles = append(deputy.Roles, annotate.RoleChair)
		require.NoError(t, g.Store.Write(t.Context(), func(tx annotate.Tx) error {
			account, err := tx.User(t.Context(), deputy.ID)
			account.Roles, account.Revision = deputy.Roles, account.Revision+1
			return firstOf(err, tx.UpdateUser(t.Context(), account))
		}))
		taken := g.meeting.Meeting
		taken.ChairID = deputy.ID
		sheet, err := g.PutMeeting(t.Context(), deputy, taken)
		require.NoError(t, err)
		require.True(t, sheet.May.Chair)
		_, err = g.SetMeetingState(t.Context(), g.Chair, g.meeting.ID, annotate.MeetingRunning)
		refused(t, annotate.CodeForbidden, err)
	})
}

func firstOf(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

func TestAMeetingThatBeginsIsOpen(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		g := gather(t, address)
		late := g.meeting.Meeting
		late.Date, late.OpensOn, late.ClosesOn = "2027-06-20", "2027-06-13", "2027-07-20"
		_, err := g.PutMeeting(t.Context(), g.Chair, late)
		require.NoError(t, err)
		_, err = g.Meeting(t.Context(), g.Clinic, g.meeting.ID)
		refused(t, annotate.CodeNotFound, err)

		g.begin(t)
		require.Equal(t, annotate.MeetingRunning, g.sheet(t, g.Clinic).State, "who is invited comes in, though it begins before its days")
	})
}
