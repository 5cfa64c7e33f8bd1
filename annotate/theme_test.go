package annotate_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

// discussed adds a ruptured case to the agenda and writes its record.
func (g *gathering) discussed(t *testing.T, n int, record annotate.ItemRecord) {
	t.Helper()
	c := g.AddCase(t, func(c *annotate.Case) { c.Pseudonym = fmt.Sprintf("OTHER-%d", n) })
	_, err := g.PutComplication(t.Context(), g.Surgeon, annotate.Complication{ID: g.NewID(), CaseID: c.ID, Kind: "posterior-capsule-rupture", Severity: 1})
	require.NoError(t, err)
	item := g.addCase(t, c)
	_, err = g.PutItemRecord(t.Context(), g.Chair, g.meeting.ID, item.ID, record)
	require.NoError(t, err)
}

func TestThemesOfClosedMeetings(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		g := gather(t, address)
		g.begin(t)
		themes := func(actor annotate.Actor) annotate.Themes {
			answer, err := g.Themes(t.Context(), actor)
			require.NoError(t, err)
			return answer
		}
		_, err := g.PutItemRecord(t.Context(), g.Chair, g.meeting.ID, g.item.ID, annotate.ItemRecord{
			Harm: "low", Preventability: "probably", Factors: []annotate.Factor{{Family: "task", Text: "no OVD"}, {Family: "task", Text: "no hook"}},
			Learning: []annotate.LearningPoint{{Text: "Fill before leaving."}},
		})
		require.NoError(t, err)
		g.discussed(t, 1, annotate.ItemRecord{Harm: "low", Factors: []annotate.Factor{{Family: "task", Text: "no light"}, {Family: "team", Text: "handed over late"}}})
		require.Zero(t, themes(g.Trainee).Meetings, "a meeting that runs belongs to its members")

		_, err = g.SetMeetingState(t.Context(), g.Chair, g.meeting.ID, annotate.MeetingClosed)
		require.NoError(t, err)
		two := themes(g.Trainee)
		require.Equal(t, 1, two.Meetings)
		require.Empty(t, two.Quarters, "two cases are too few to stay unnamed")
		require.Empty(t, two.Factors)
		require.Contains(t, two.Notes[0], "2 of the cases")
		require.Equal(t, []annotate.ThemePoint{{Quarter: "2026 Q2", Text: "Fill before leaving."}}, two.Learning)

		_, err = g.SetMeetingState(t.Context(), g.Chair, g.meeting.ID, annotate.MeetingRunning)
		require.NoError(t, err)
		g.discussed(t, 2, annotate.ItemRecord{Harm: "none", Factors: []annotate.Factor{{Family: "patient", Text: "small pupil"}}})
		_, err = g.SetMeetingState(t.Context(), g.Chair, g.meeting.ID, annotate.MeetingClosed)
		require.NoError(t, err)
		three := themes(g.Stranger)
		require.Equal(t, []annotate.ThemeQuarter{{Quarter: "2026 Q2", Cases: 3}}, three.Quarters)
		require.Equal(t, []annotate.Theme{
			{Code: "patient", Name: "Patient", Counts: []int{1}, Total: 1},
			{Code: "task", Name: "Task and technology", Counts: []int{2}, Total: 2},
			{Code: "team", Name: "Team", Counts: []int{1}, Total: 1},
		}, three.Factors, "a case counts once for a family")
		require.Equal(t, "capsule-rupture", three.Reasons[0].Code)
		require.Equal(t, 3, three.Reasons[0].Total)
		require.Equal(t, []annotate.Theme{{Code: "sculpting", Name: "sculpting", Counts: []int{1}, Total: 1}}, three.Steps)
		require.Equal(t, 2, three.Harm[1].Total)
		g.nobodyIn(t, three)

		_, err = g.Themes(t.Context(), g.Admin)
		require.Equal(t, annotate.CodeForbidden, annotate.CodeOf(err))
	})
}
