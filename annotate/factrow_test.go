package annotate_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
	"zonule/timeline"
	"zonule/timeline/cohort"
)

// rowOf reads the row of a case as it is stored.
func rowOf(t *testing.T, u *annotatetest.Unit, caseID string) cohort.Row {
	t.Helper()
	var row cohort.Row
	require.NoError(t, u.Store.Read(t.Context(), func(tx annotate.Tx) (err error) {
		row, err = tx.CaseRow(t.Context(), caseID)
		return err
	}))
	return row
}

// TestRowOfAPartCase follows a row through the changes to its case.
func TestRowOfAPartCase(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c := u.AddCase(t, func(c *annotate.Case) {
			c.Before.NuclearGrade, c.Before.Acuity = pointerTo(4), "6/60"
			c.Before.Exam = &annotate.EndothelialExam{Density: 2500, Cells: pointerTo(100), CV: pointerTo(0.3), Date: "2026-04-20"}
			c.Operation.OVDs, c.Operation.LongitudinalTime, c.Operation.LongitudinalPower = []string{"dispersive"}, pointerTo(30.0), pointerTo(20.0)
			c.Operation.TorsionalTime, c.Operation.TorsionalAmplitude = pointerTo(0.0), pointerTo(0.0)
		})
		row := rowOf(t, u, c.ID)
		require.Equal(t, []string{c.Date, "phaco", u.Surgeon.ID, "consultant", u.Trainer.ID},
			[]string{row.Date, row.Technique, row.Operator, row.Grade, row.Supervisor})
		require.Equal(t, []string{u.Trainee.ID}, row.Assistants)
		require.InDelta(t, 1, *row.Before.LogMAR, 1e-12, "-log10(6/60); arithmetic")
		require.InDelta(t, 6, *row.Operation.CDE, 1e-12, "30 s x 20 %; arithmetic")
		require.True(t, row.Operation.Dispersive)
		require.Equal(t, "2026-04-20", row.Before.Count.Date)
		require.Less(t, row.Before.ExpectedLow, row.Before.ExpectedHigh)
		require.Nil(t, row.Time)
		require.Empty(t, row.Steps)

		part, reading := u.AddPart(t, c.ID, 600_000), u.AddReading(t, u.Surgeon, c.ID)
		theirs := u.Marker(part.ID, "removal", 40_000, 70_000)
		theirs.OperatorID = u.Trainee.ID
		add(t, u, u.Surgeon, reading.ID, u.Add(
			u.Marker(part.ID, "capsulorhexis", 10_000, 30_000), theirs, u.Marker(part.ID, "removal", 80_000, 100_000),
		))
		_, err := u.PutComplication(t.Context(), u.Surgeon, annotate.Complication{
			ID: u.NewID(), CaseID: c.ID, Kind: "posterior-capsule-rupture", At: &timeline.Instant{Part: part.ID, Ms: 50_000}, Severity: 2,
		})
		require.NoError(t, err)
		_, err = u.PutVisit(t.Context(), u.Clinic, annotate.Visit{
			ID: u.NewID(), CaseID: c.ID, Window: annotate.WindowWeek1, Date: "2026-05-11", Acuity: "6/6", OedemaGrade: pointerTo(1),
		})
		require.NoError(t, err)

		row = rowOf(t, u, c.ID)
		require.Equal(t, int64(90_000), *row.Time, "10 s to 100 s")
		require.True(t, row.Measured)
		require.Equal(t, int64(20_000), row.Untagged, "30 to 40 s and 70 to 80 s")
		require.Equal(t, int64(10_000), row.Interruption, "between the two episodes of the removal")
		require.Equal(t, "phaco", row.StepList)
		removal := partOf(t, row.Steps, "removal")
		require.Equal(t, int64(50_000), *removal.Total)
		require.Equal(t, &timeline.Instant{Part: part.ID, Ms: 40_000}, removal.At)
		require.Equal(t, []cohort.Share{
			{Operator: u.Trainee.ID, Total: pointerTo(int64(30_000)), Episodes: 1, Quality: timeline.Measured, At: &timeline.Instant{Part: part.ID, Ms: 40_000}},
			{Operator: u.Surgeon.ID, Total: pointerTo(int64(20_000)), Episodes: 1, Quality: timeline.Measured, At: &timeline.Instant{Part: part.ID, Ms: 80_000}},
		}, removal.ByOperator)
		for _, stage := range row.Stages {
			var sum int64
			for _, share := range stage.ByOperator {
				sum += *share.Total
			}
			if stage.Total != nil {
				require.Equal(t, *stage.Total, sum, "nobody worked at the same time as another in stage %s", stage.Code)
			}
		}
		require.Equal(t, []cohort.Mishap{{Kind: "posterior-capsule-rupture", Step: "removal", Severity: 2}}, row.Complications)
		require.True(t, row.CapsuleRupture)
		require.Equal(t, 7, row.After[0].Days)
		require.Zero(t, *row.After[0].LogMAR)
		verified(t, u)
	})
}

// TestRowOfACaseOfOnePerson: who did all of it is not repeated for every step.
func TestRowOfACaseOfOnePerson(t *testing.T) {
	u := annotatetest.NewUnit(t, annotatetest.SQLiteAddress(t))
	c, part, reading := u.Marked(t)
	add(t, u, u.Surgeon, reading.ID, u.Add(u.Marker(part.ID, "removal", 40_000, 70_000)))
	removal := partOf(t, rowOf(t, u, c.ID).Steps, "removal")
	require.Empty(t, removal.ByOperator)
	require.Equal(t, int64(30_000), *removal.Total)
}

func partOf(t *testing.T, parts []cohort.Part, code string) cohort.Part {
	t.Helper()
	for _, part := range parts {
		if part.Code == code {
			return part
		}
	}
	require.Fail(t, "there is no part "+code)
	return cohort.Part{}
}

// TestRowsAreFilledAfterAnUpgrade: right after the migration there are no rows, and those of an older program may have
// another form.
func TestRowsAreFilledAfterAnUpgrade(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u, c := fullUnit(t, address)
		want := rowOf(t, u, c.ID)
		for _, damage := range []string{"DELETE FROM case_rows", "UPDATE case_rows SET form = 0, body = '{}'"} {
			_, err := behind(t, address).Exec(damage)
			require.NoError(t, err)
			report, err := u.Verify(t.Context())
			require.NoError(t, err)
			require.Len(t, subjects(report, "facts"), report.Cases, "%v", report.Mismatches)
			require.NoError(t, u.FillRows(t.Context()))
			verified(t, u)
			require.Equal(t, want, rowOf(t, u, c.ID))
		}
	})
}

// subjects gives the cases with a mismatch of the subject.
func subjects(report annotate.VerifyReport, subject string) map[string]bool {
	cases := map[string]bool{}
	for _, m := range report.Mismatches {
		if m.Subject == subject {
			cases[m.CaseID] = true
		}
	}
	return cases
}
