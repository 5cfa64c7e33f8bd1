package annotate_test

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
	"zonule/timeline/cohort"
)

// TestWhoSeesWhichChart asks for the chart of the unit and of each person as everybody.
func TestWhoSeesWhichChart(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := newTheatre(t, address)
		for _, row := range []struct {
			name     string
			actor    annotate.Actor
			operator string
			code     annotate.Code
			cases    int
			linked   int
		}{
			{"trainee, own", u.Trainee, annotate.Myself, "", 8, 8},
			{"trainee, unit", u.Trainee, "", annotate.CodeForbidden, 0, 0},
			{"trainee, trainer", u.Trainee, u.Trainer.ID, annotate.CodeNotFound, 0, 0},
			{"surgeon, unit", u.Surgeon, "", annotate.CodeForbidden, 0, 0},
			{"trainer, unit", u.Trainer, "", "", 46, 18},
			{"trainer, trainee", u.Trainer, u.Trainee.ID, "", 8, 8},
			{"trainer, surgeon", u.Trainer, u.Surgeon.ID, annotate.CodeNotFound, 0, 0},
			{"chair, unit", u.Chair, "", "", 46, 0},
			{"chair, trainee", u.Chair, u.Trainee.ID, annotate.CodeNotFound, 0, 0},
			{"clinic, unit", u.Clinic, "", "", 46, 46},
			{"administrator, unit", u.Admin, "", annotate.CodeForbidden, 0, 0},
		} {
			t.Run(row.name, func(t *testing.T) {
				answer, err := u.Monitoring(t.Context(), row.actor, cohort.MonitoringQuestion{Kind: cohort.CapsuleRupture, Operator: row.operator})
				require.Equal(t, row.code, annotate.CodeOf(err))
				linked := 0
				for _, point := range answer.Points {
					if point.CaseID != "" {
						linked++
					}
				}
				require.Equal(t, row.cases, answer.N)
				require.Equal(t, row.linked, linked)
			})
		}
		funnel, err := u.Funnel(t.Context(), u.Surgeon, cohort.FunnelQuestion{Kind: cohort.CapsuleRupture})
		require.NoError(t, err)
		require.Equal(t, u.Surgeon.ID, funnel.Question.Own)
		_, err = u.Funnel(t.Context(), u.Admin, cohort.FunnelQuestion{Kind: cohort.CapsuleRupture})
		require.Equal(t, annotate.CodeForbidden, annotate.CodeOf(err))
		_, err = u.Funnel(t.Context(), u.Surgeon, cohort.FunnelQuestion{Kind: "bad luck"})
		require.Equal(t, annotate.CodeInvalid, annotate.CodeOf(err))
	})
}

// TestReviews records reviews, which the charts then begin again after, and which stand in the audit log and the bundle.
func TestReviews(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := newTheatre(t, address)
		review := annotate.MonitoringReview{ID: u.NewID(), Operator: u.Trainee.ID, Kind: cohort.CapsuleRupture, Date: "2026-03-04", Reason: "All cases looked at together"}
		kept, err := u.AddMonitoringReview(t.Context(), u.Trainer, review)
		require.NoError(t, err)
		require.Equal(t, u.Trainer.ID, kept.AuthorID)
		again, err := u.AddMonitoringReview(t.Context(), u.Trainer, review)
		require.NoError(t, err)
		require.Equal(t, kept, again)
		changed := review
		changed.Reason = "Another"
		_, err = u.AddMonitoringReview(t.Context(), u.Trainer, changed)
		require.Equal(t, annotate.CodeTaken, annotate.CodeOf(err))
		for name, row := range map[string]struct {
			actor    annotate.Actor
			operator string
			date     string
			code     annotate.Code
		}{
			"a trainee":        {u.Trainee, annotate.Myself, "2026-03-05", annotate.CodeForbidden},
			"not supervised":   {u.Trainer, u.Surgeon.ID, "2026-03-05", annotate.CodeNotFound},
			"unit, by surgeon": {u.Surgeon, "", "2026-03-05", annotate.CodeForbidden},
			"future":           {u.Trainer, "", "2027-03-05", annotate.CodeInvalid},
			"unit, by chair":   {u.Chair, "", "2026-03-05", ""},
			"own, by surgeon":  {u.Surgeon, annotate.Myself, "2026-03-05", ""},
		} {
			_, err := u.AddMonitoringReview(t.Context(), row.actor, annotate.MonitoringReview{
				ID: u.NewID(), Operator: row.operator, Kind: cohort.CapsuleRupture, Date: row.date, Reason: "Looked at",
			})
			require.Equal(t, row.code, annotate.CodeOf(err), name)
		}
		answer, err := u.Monitoring(t.Context(), u.Trainee, cohort.MonitoringQuestion{Kind: cohort.CapsuleRupture, Operator: annotate.Myself})
		require.NoError(t, err)
		require.Equal(t, []cohort.Restart{{Date: "2026-03-04", Reason: "All cases looked at together"}}, answer.Question.Restarts)
		moved := annotatetest.EmptyUnit(t, annotatetest.SQLiteAddress(t))
		require.NoError(t, moved.Import(t.Context(), annotate.House(), bytes.NewReader(export(t, u.Unit, ""))))
		verified(t, moved)
		require.Equal(t, read(t, export(t, u.Unit, "")).Reviews, read(t, export(t, moved, "")).Reviews)
		require.Len(t, read(t, export(t, moved, "")).Reviews, 3)
	})
}
