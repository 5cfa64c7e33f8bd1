package annotate_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

// The header of an invented table with everything that a visit may hold.
var deepHeader = []string{
	"case", "eye", "date", "visit", "BCVA", "UCVA", "sphere", "cyl", "axis", "IOP", "oedema", "CCT", "drops", "note",
	"ECD 1", "cells 1", "CV 1", "ECD 2", "cells 2", "CV 2", "hex", "microscope",
}

// written reads a file of rows in and gives the import as it then stands.
func written(t *testing.T, u *annotatetest.Unit, actor annotate.Actor, baseline bool, rows ...[]string) (annotate.Intake, []annotate.IntakeRow) {
	t.Helper()
	intake := begin(t, u, actor, rows...)
	matching := intake.Matching
	matching.Baseline = baseline
	_, err := u.PutIntakeMatching(t.Context(), actor, intake.ID, matching)
	require.NoError(t, err)
	until(t, actor, intake.ID, annotate.IntakeChecked, u.CheckIntake)
	intake = until(t, actor, intake.ID, annotate.IntakeApplied, accepted(u))
	told, err := u.IntakeRows(t.Context(), actor, intake.ID, 0, 100, "")
	require.NoError(t, err)
	return intake, told
}

func TestIntakeOfEverythingThatAVisitHolds(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c, _, _ := u.Marked(t)
		row := []string{
			c.Pseudonym, "OD", "2026-06-02", "", "6/6", "6/9", "-0,25", "-0,75", "95", "14", "0", "545", "steroid drops", "well",
			"2400", "100", "30", "2000", "100", "0,34", "55", "non-contact",
		}
		first, told := written(t, u, u.Clinic, false, deepHeader, row)
		require.Equal(t, 1, first.Written, "%+v", told)
		visits, err := u.Visits(t.Context(), u.Clinic, c.ID)
		require.NoError(t, err)
		require.Len(t, visits, 1)
		got := visits[0]
		require.Equal(t, annotate.WindowMonth1, got.Window)
		require.Equal(t, "6/9", got.UncorrectedAcuity)
		require.Equal(t, "steroid drops", got.Medication)
		require.Equal(t, &annotate.Refraction{Sphere: pointerTo(-0.25), Cylinder: pointerTo(-0.75), Axis: pointerTo(95.0)}, got.Refraction)
		require.Len(t, got.Exam.ImageCounts, 2)
		require.InDelta(t, 0.30, *got.Exam.ImageCounts[0].CV, 1e-12)
		require.Equal(t, 200, *got.Exam.Cells)
		// 200 cells on 100/2400 + 100/2000 mm²: worked by hand.
		require.InDelta(t, 200/(100.0/2400+100.0/2000), got.Exam.Density, 1e-9)
		require.InDelta(t, 55, *got.Exam.Hexagonality, 0)
		verified(t, u)

		again, told := written(t, u, u.Clinic, false, deepHeader, row)
		require.Zero(t, again.Written)
		require.Equal(t, annotate.VerdictSame, told[0].Verdict)

		// Other images stand in place of those, and the whole is pooled anew; an image without its cells is refused.
		one := append([]string{}, row...)
		one[17], one[18], one[19] = "", "", ""
		half := append([]string{}, row...)
		half[2], half[15] = "2026-08-01", ""
		_, told = written(t, u, u.Clinic, false, deepHeader, one, half)
		require.Equal(t, annotate.VerdictChanges, told[0].Verdict)
		require.Equal(t, annotate.VerdictRefused, told[1].Verdict)
		require.Equal(t, "exam.imageCounts[0].density", told[1].Field)
		visits, err = u.Visits(t.Context(), u.Clinic, c.ID)
		require.NoError(t, err)
		require.InDelta(t, 2400, visits[0].Exam.Density, 1e-9)
		require.Equal(t, 100, *visits[0].Exam.Cells)
		verified(t, u)
	})
}

func TestIntakeOfTheEyeBefore(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c := u.AddCase(t) // operated on 2026-05-04
		header := []string{"case", "eye", "date", "visit", "BCVA", "IOP", "ECD", "cells", "CV", "note"}
		rows := [][]string{
			header,
			{"CASE-1", "OD", "2026-04-20", "", "6/18", "17", "2550", "120", "31", "seen early"},
			{"CASE-1", "OD", "2026-05-05", "", "6/9", "18", "", "", "", ""},
		}
		plain, told := written(t, u, u.Surgeon, false, rows...)
		require.Equal(t, 1, plain.Written)
		require.Equal(t, "date", told[0].Field)
		require.Contains(t, told[0].Message, "before")

		done, told := written(t, u, u.Surgeon, true, rows...)
		require.Equal(t, 1, done.Written, "%+v", told)
		require.Equal(t, annotate.VerdictChanges, told[0].Verdict)
		require.Equal(t, "not kept, because the eye before has no place for it: note", told[0].Message)
		require.Equal(t, annotate.VerdictSame, told[1].Verdict)
		stored, err := u.Case(t.Context(), u.Surgeon, c.ID)
		require.NoError(t, err)
		require.InDelta(t, 2550, stored.Before.Exam.Density, 0)
		require.InDelta(t, 0.31, *stored.Before.Exam.CV, 1e-12)
		require.Equal(t, "2026-04-20", stored.Before.Exam.Date)
		require.Equal(t, "6/18", stored.Before.Acuity)
		require.Equal(t, c.Revision+1, stored.Revision)
		verified(t, u)

		again, told := written(t, u, u.Surgeon, true, rows...)
		require.Zero(t, again.Written, "%+v", told)

		// What a check made of a row does not stand in the way of the next check: matched otherwise, the row on the day of the
		// operation is no longer about the first day.
		other := u.AddCase(t, func(c *annotate.Case) { c.Pseudonym = "CASE-2" })
		intake := begin(t, u, u.Surgeon, header,
			[]string{"CASE-2", "OD", other.Date, "", "6/18", "", "", "", "", ""}, []string{"CASE-2", "OD", "2026-05-05", "", "6/9", "", "", "", "", ""})
		for _, baseline := range []bool{false, true} {
			intake.Matching.Baseline = baseline
			_, err = u.PutIntakeMatching(t.Context(), u.Surgeon, intake.ID, intake.Matching)
			require.NoError(t, err)
			checked := until(t, u.Surgeon, intake.ID, annotate.IntakeChecked, u.CheckIntake)
			want := map[annotate.Verdict]int{"new": 1, "refused": 1}
			if baseline {
				want = map[annotate.Verdict]int{"new": 1, "changes": 1}
			}
			require.Equal(t, want, checked.Counts)
		}

		// Named in words it needs no choice; a second row about the same eye is refused, and so is one after the operation.
		_, told = written(t, u, u.Surgeon, false, header,
			[]string{"CASE-1", "OD", "2026-04-20", "pre-op", "", "16", "", "", "", ""},
			[]string{"CASE-1", "OD", "2026-04-21", "baseline", "", "15", "", "", "", ""},
			[]string{"CASE-1", "OD", "2026-05-05", "before", "", "15", "", "", "", ""})
		require.Equal(t, []annotate.Verdict{annotate.VerdictChanges, annotate.VerdictRefused, annotate.VerdictRefused},
			[]annotate.Verdict{told[0].Verdict, told[1].Verdict, told[2].Verdict})
		require.Equal(t, "before.pressure", told[0].Changes[0].Field)

		// The clinic records what followed and not what was before.
		_, told = written(t, u, u.Clinic, true, header, []string{"CASE-1", "OD", "2026-04-20", "", "6/24", "", "", "", "", ""})
		require.Equal(t, annotate.VerdictRefused, told[0].Verdict)
		require.Equal(t, "pseudonym", told[0].Field)
		verified(t, u)
	})
}
