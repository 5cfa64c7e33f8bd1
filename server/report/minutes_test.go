package report

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
)

func someMinutes() (Minutes, MinutesEdition) {
	percent, low, high := 1.5, 0.5, 4.3
	m := Minutes{
		MeetingSheet: annotate.MeetingSheet{
			Meeting: annotate.Meeting{
				Title: "Morbidity meeting, spring", Date: "2026-04-14", Start: "07:45", Room: "Library", ChairID: "n", PresenterID: "m",
				Attendees: []annotate.Attendee{{UserID: "m", Present: true}, {UserID: "t", Apology: true}, {UserID: "g"}},
				State:     annotate.MeetingClosed,
			},
			Agenda: []annotate.AgendaItem{
				{ID: "1", Place: 1, Kind: annotate.ItemActions, Title: "Open actions of earlier meetings"},
				{
					ID: "2", Place: 2, Kind: annotate.ItemCase, Title: "Rupture while the last piece was removed", Label: "Case 12",
					Pack: annotate.Pack{Situation: "Capsule rupture.", Moments: []annotate.Moment{{ID: "mo", Part: 1, Ms: 1000, Clock: "12:41"}}},
					Record: annotate.ItemRecord{
						Discussion: "The chamber shallowed.", Harm: "low", Preventability: "probably",
						Factors:  []annotate.Factor{{Family: "task", Text: "No dispersive OVD at hand."}, {Family: "patient", Text: "A hard nucleus."}},
						Learning: []annotate.LearningPoint{{Text: "Fill before leaving.", MomentID: "mo"}},
					},
					Votes: []annotate.ItemVote{
						{Question: annotate.VotePreventability, Voted: 4, Counts: []annotate.VoteCount{{Value: "probably", Count: 3}, {Value: "clearly", Count: 1}}},
						{Question: annotate.VoteHarm, Open: true, Voted: 1, Why: "The vote is open."},
					},
				},
				{ID: "3", Place: 3, Kind: annotate.ItemCase, Title: "Case 13", Label: "Case 13", Withdrawn: "Consent was withdrawn: nothing is shown."},
			},
			EarlierActions: []annotate.MeetingAction{{Text: "Order a second pump", OwnerID: "g", DueOn: "2026-04-01", State: annotate.ActionOpen, Overdue: true, AgreedOn: "2026-01-13"}},
			Actions:        []annotate.MeetingAction{{Text: "Put OVD on every tray", OwnerID: "m", DueOn: "2026-05-01", State: annotate.ActionDone, Evidence: "Tray list 7", ReviewOn: "2026-07-01"}},
			Remarks:        []annotate.Remark{{ID: "r", ItemID: "2", AuthorID: "m", Text: "Seen twice this year."}},
			May:            annotate.MeetingRights{Chair: true},
		},
		Denominators: annotate.MeetingDenominators{
			From: "2026-01-14", To: "2026-04-14", Operations: 200, RuptureEvents: 3, Rupture: annotate.Rate{Percent: &percent, Low: &low, High: &high},
			Complications: []annotate.KindRate{{Name: "Vitreous loss", Count: 3, Of: 200, Rate: annotate.Rate{Percent: &percent, Low: &low, High: &high}}},
			Notes:         []string{"Crude rates."},
		},
	}
	names := map[string]string{"n": "Noor", "m": "Mara", "t": "Tomas", "g": "Grace"}
	return m, MinutesEdition{
		Unit: "A unit", Invented: true, Name: func(id string) string { return names[id] }, Reader: "Grace Reader",
		Made: time.Date(2026, 4, 14, 9, 0, 0, 0, time.UTC),
	}
}

func TestMinutesSayWhatWasAgreed(t *testing.T) {
	m, e := someMinutes()
	html, err := MinutesHTML(m, e)
	require.NoError(t, err)
	text := string(html)
	for _, said := range []string{
		"Morbidity meeting, spring", "14 April 2026, 07:45", "Library", "Noor", "Apologies", "Tomas", "3 of 200", "1.5 % (0.5 to 4.3)",
		"2. Rupture while the last piece was removed (Case 12)", "The chamber shallowed.", "No dispersive OVD at hand.", "Low", "Probably preventable",
		"Probably preventable 3, clearly preventable 1 (4 voted)", "The vote is open.", "Fill before leaving. (seen at 12:41)", "Seen twice this year.",
		"3. Case 13", "Consent was withdrawn", "Order a second pump", "Open, overdue", "Put OVD on every tray", "Done, says its owner", "Evidence: Tray list 7",
		"Confidential", "Grace Reader", inventedNotice,
	} {
		require.Contains(t, text, said)
	}
	require.NotContains(t, text, "Open actions of earlier meetings", "the first item is the table of actions")
	require.Less(t, strings.Index(text, "A hard nucleus."), strings.Index(text, "No dispersive OVD"), "families stand in their order")
	require.Less(t, strings.Index(text, "Order a second pump"), strings.Index(text, "The chamber shallowed."), "open actions come first")
}

// TestMinutesTellWhatWasClosed: here, at a later meeting, or by the chair of the meeting itself.
func TestMinutesTellWhatWasClosed(t *testing.T) {
	m, e := someMinutes()
	m.ID = "this"
	closed := annotate.MeetingAction{MeetingID: "before", Text: "A", OwnerID: "g", DueOn: "2026-04-01", State: annotate.ActionClosed, ClosedAt: "this", ClosedOn: "2026-04-14", ClosedReason: "Seen on the trays."}
	for name, one := range map[string]struct {
		change     func(a *annotate.MeetingAction)
		state, sub string
	}{
		"here":      {func(*annotate.MeetingAction) {}, "Closed at this meeting", "Seen on the trays."},
		"later":     {func(a *annotate.MeetingAction) { a.ClosedAt, a.ClosedOn = "", "2026-06-02" }, "Open then, closed 2 June 2026", ""},
		"its chair": {func(a *annotate.MeetingAction) { a.MeetingID, a.ClosedAt, a.ClosedOn = "this", "", "2026-05-02" }, "Closed 2 May 2026", "Seen on the trays."},
	} {
		a := closed
		one.change(&a)
		cell := actionState(m, a)
		require.Equal(t, one.state, cell.Text, name)
		require.Equal(t, one.sub, cell.Sub, name)
	}
	m.EarlierActions = []annotate.MeetingAction{closed}
	html, err := MinutesHTML(m, e)
	require.NoError(t, err)
	require.Contains(t, string(html), "Closed at this meeting")
}

func TestMinutesAreTheSameForTheSameMeeting(t *testing.T) {
	m, e := someMinutes()
	first, err := MinutesPDF(m, e)
	require.NoError(t, err)
	again, err := MinutesPDF(m, e)
	require.NoError(t, err)
	require.Equal(t, first, again)

	chairs, err := minutesDocument(m, e)
	require.NoError(t, err)
	m.May, e.Reader = annotate.MeetingRights{}, "Somebody Else"
	m.Agenda[1].InboxIDs, m.Agenda[1].Votes[0].Own = []string{"of the chair"}, true
	others, err := minutesDocument(m, e)
	require.NoError(t, err)
	require.Equal(t, chairs.Hash, others.Hash, "readers with other rights read the same")
	require.NotEqual(t, chairs.Watermark, others.Watermark)

	_, err = MinutesPDF(Minutes{}, MinutesEdition{Name: func(string) string { return "" }})
	require.NoError(t, err, "an empty meeting is told, not refused")
}
