package annotate_test

import (
	"context"
	"fmt"
	"io"
	"os"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

// begin starts an import of rows, of which the first is the header.
func begin(t testing.TB, u *annotatetest.Unit, actor annotate.Actor, rows ...[]string) annotate.Intake {
	t.Helper()
	at := 0
	intake, err := u.StartIntake(t.Context(), actor, annotate.IntakeFile{Name: "visits.csv", Hash: "h", Kind: "csv"}, func() (annotate.IntakeRow, error) {
		if at == len(rows) {
			return annotate.IntakeRow{}, io.EOF
		}
		at++
		return annotate.IntakeRow{Number: at, Cells: rows[at-1]}, nil
	})
	require.NoError(t, err)
	return intake
}

type stepOfIntake func(context.Context, annotate.Actor, string) (annotate.Intake, error)

// until repeats a step until the import is in the state.
func until(t testing.TB, actor annotate.Actor, id string, state annotate.IntakeState, step stepOfIntake) annotate.Intake {
	t.Helper()
	for range 1000 {
		intake, err := step(t.Context(), actor, id)
		require.NoError(t, err)
		if intake.State == state {
			return intake
		}
	}
	require.Fail(t, "the import never ends")
	return annotate.Intake{}
}

func accepted(u *annotatetest.Unit) stepOfIntake {
	return func(ctx context.Context, actor annotate.Actor, id string) (annotate.Intake, error) {
		return u.ApplyIntake(ctx, actor, id, false)
	}
}

var headerOfVisits = []string{"Case", "Eye", "Operation date", "Date", "Visit", "Acuity", "IOP", "ECD"}

func TestIntakeVerdicts(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		one := u.AddCase(t)
		for _, date := range []string{"2026-05-04", "2026-05-11"} {
			u.AddCase(t, func(c *annotate.Case) { c.Pseudonym, c.Date = "TWICE", date })
		}
		_, err := u.PutVisit(t.Context(), u.Clinic, annotate.Visit{ID: u.NewID(), CaseID: one.ID, Window: annotate.WindowDay1, Date: "2026-05-05", Acuity: "6/9", Pressure: pointerTo(17.5)})
		require.NoError(t, err)
		rows := [][]string{
			headerOfVisits,
			{"case-1", "OD", "", "2026-05-05", "", "", "17,5", ""},                 // 2 same
			{"CASE-1", "OD", "", "2026-06-02", "", "6/6", "14", "2210,5"},          // 3 new
			{"CASE-1", "OD", "", "2026-06-03", "month 1", "6/5", "", ""},           // 4 repeated
			{"CASE-1", "OS", "", "2026-06-02", "", "", "", ""},                     // 5 other eye
			{"CASE-9", "OD", "", "2026-06-02", "", "", "", ""},                     // 6 unknown
			{"TWICE", "OD", "", "2026-06-02", "", "", "", ""},                      // 7 ambiguous
			{"TWICE", "OD", "2026-05-11", "2026-05-12", "", "6/12", "", ""},        // 8 new
			{"TWICE", "OD", "2026-05-12", "2026-05-13", "", "6/12", "", ""},        // 9 no such operation
			{"CASE-1", "OD", "", "2026-05-01", "other", "", "", ""},                // 10 before the operation
			{"CASE-1", "OD", "", "2026-05-20", "other", "", "900", ""},             // 11 impossible
			{"CASE-1", "OD", "", "04.05.2026", "other", "", "", ""},                // 12 two ways
			{"CASE-1", "OD", "", "2026-05-21", "other", "", "", "", "", "too far"}, // 13 long row
			{"CASE-1", "OD"}, // 14 short row
		}
		intake := begin(t, u, u.Clinic, rows...)
		require.Equal(t, annotate.IntakeChecking, intake.State)
		require.Equal(t, []string{"pseudonym", "eye", "operated", "date", "window", "acuity", "pressure", "exam.density"}, intake.Matching.Fields)
		_, err = u.ApplyIntake(t.Context(), u.Clinic, intake.ID, false)
		refused(t, annotate.CodeInvalid, err)
		intake = until(t, u.Clinic, intake.ID, annotate.IntakeChecked, u.CheckIntake)
		found, err := u.IntakeRows(t.Context(), u.Clinic, intake.ID, 0, 100, "")
		require.NoError(t, err)
		got := map[int]string{}
		for _, row := range found {
			got[row.Number] = string(row.Verdict) + " " + row.Field
		}
		require.Equal(t, map[int]string{
			2: "same ", 3: "new ", 4: "refused date", 5: "no-case eye", 6: "no-case pseudonym", 7: "ambiguous operated", 8: "new ",
			9: "no-case operated", 10: "refused date", 11: "refused pressure", 12: "refused date", 13: "refused ", 14: "refused ",
		}, got)
		require.Equal(t, map[annotate.Verdict]int{"same": 1, "new": 2, "refused": 6, "no-case": 3, "ambiguous": 1}, intake.Counts)

		before, err := u.Visits(t.Context(), u.Clinic, one.ID)
		require.NoError(t, err)
		require.Len(t, before, 1, "a dry run writes nothing")
		_, err = u.ApplyIntake(t.Context(), u.Clinic, intake.ID, true)
		refused(t, annotate.CodeInvalid, err)
		intake = until(t, u.Clinic, intake.ID, annotate.IntakeApplied, accepted(u))
		require.Equal(t, 2, intake.Written)
		after, err := u.Visits(t.Context(), u.Clinic, one.ID)
		require.NoError(t, err)
		require.Len(t, after, 2)
		require.InDelta(t, 2210.5, after[1].Exam.Density, 1e-12)
		require.Equal(t, annotate.WindowMonth1, after[1].Window)

		// The same file again changes nothing.
		again := begin(t, u, u.Clinic, rows...)
		again = until(t, u.Clinic, again.ID, annotate.IntakeChecked, u.CheckIntake)
		require.Equal(t, 3, again.Counts[annotate.VerdictSame])
		require.Zero(t, again.Counts[annotate.VerdictNew]+again.Counts[annotate.VerdictChanges])
		again = until(t, u.Clinic, again.ID, annotate.IntakeApplied, accepted(u))
		require.Zero(t, again.Written)
		unchanged, err := u.Visits(t.Context(), u.Clinic, one.ID)
		require.NoError(t, err)
		require.Equal(t, after, unchanged)
		verified(t, u)
	})
}

func TestIntakeWholeFileOrNothing(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		one := u.AddCase(t)
		other := u.AddCase(t, func(c *annotate.Case) { c.Pseudonym = "CASE-2" })
		intake := begin(t, u, u.Surgeon, headerOfVisits,
			[]string{"CASE-1", "right", "", "2026-05-05", "day 1", "6/9", "15", ""},
			[]string{"CASE-2", "right", "", "2026-05-05", "day 1", "6/9", "15", ""})
		until(t, u.Surgeon, intake.ID, annotate.IntakeChecked, u.CheckIntake)

		// The second case becomes one for the other eye: its row cannot be written, so neither is the first.
		moved := other
		moved.Eye = annotate.LeftEye
		moved, err := u.PutCase(t.Context(), u.Surgeon, moved)
		require.NoError(t, err)
		_, err = u.ApplyIntake(t.Context(), u.Surgeon, intake.ID, true)
		refused(t, annotate.CodeTaken, err)
		visits, err := u.Visits(t.Context(), u.Surgeon, one.ID)
		require.NoError(t, err)
		require.Empty(t, visits)

		moved.Eye = annotate.RightEye
		_, err = u.PutCase(t.Context(), u.Surgeon, moved)
		require.NoError(t, err)
		applied, err := u.ApplyIntake(t.Context(), u.Surgeon, intake.ID, true)
		require.NoError(t, err)
		require.Equal(t, annotate.IntakeApplied, applied.State)
		require.Equal(t, 2, applied.Written)

		changed := begin(t, u, u.Surgeon, headerOfVisits, []string{"CASE-1", "right", "", "2026-05-06", "day 1", "", "15", "1800"})
		changed = until(t, u.Surgeon, changed.ID, annotate.IntakeChecked, u.CheckIntake)
		rows, err := u.IntakeRows(t.Context(), u.Surgeon, changed.ID, 0, 10, annotate.VerdictChanges)
		require.NoError(t, err)
		require.Len(t, rows, 1)
		require.Equal(t, "date", rows[0].Changes[0].Field)
		require.Equal(t, "2026-05-05", rows[0].Changes[0].Before)
		require.Equal(t, "exam.density", rows[0].Changes[1].Field)
		cancelled, err := u.CancelIntake(t.Context(), u.Surgeon, changed.ID)
		require.NoError(t, err)
		require.Equal(t, annotate.IntakeCancelled, cancelled.State)
		_, err = u.CheckIntake(t.Context(), u.Surgeon, changed.ID)
		refused(t, annotate.CodeTaken, err)
		verified(t, u)
	})
}

func TestIntakeRights(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		u.AddCase(t)
		row := []string{"CASE-1", "OD", "", "2026-05-05", "day 1", "6/9", "15", ""}
		for _, actor := range []annotate.Actor{u.Admin, u.Chair, {}} {
			_, err := u.StartIntake(t.Context(), actor, annotate.IntakeFile{Name: "x"}, nil)
			require.Error(t, err)
		}
		strange := begin(t, u, u.Stranger, headerOfVisits, row)
		strange = until(t, u.Stranger, strange.ID, annotate.IntakeChecked, u.CheckIntake)
		require.Equal(t, map[annotate.Verdict]int{"no-case": 1}, strange.Counts)
		for _, actor := range []annotate.Actor{u.Clinic, u.Surgeon} {
			_, err := u.Intake(t.Context(), actor, strange.ID)
			refused(t, annotate.CodeNotFound, err)
			_, err = u.IntakeRows(t.Context(), actor, strange.ID, 0, 10, "")
			refused(t, annotate.CodeNotFound, err)
			_, err = u.ApplyIntake(t.Context(), actor, strange.ID, false)
			refused(t, annotate.CodeNotFound, err)
		}
	})
}

func TestIntakeMatchingIsRemembered(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		u.AddCase(t)
		odd := []string{"who", "which", "when", "mm"}
		row := []string{"CASE-1", "OD", "04.06.2026", "15,5"}
		intake := begin(t, u, u.Clinic, odd, row)
		require.Equal(t, annotate.IntakeToMatch, intake.State)
		_, err := u.CheckIntake(t.Context(), u.Clinic, intake.ID)
		refused(t, annotate.CodeInvalid, err)
		intake, err = u.PutIntakeMatching(t.Context(), u.Clinic, intake.ID, annotate.IntakeMatching{
			Fields: []string{"pseudonym", "eye", "date", "pressure"}, Dates: "day-first", Decimals: "comma",
		})
		require.NoError(t, err)
		intake = until(t, u.Clinic, intake.ID, annotate.IntakeChecked, u.CheckIntake)
		require.Equal(t, 1, intake.Counts[annotate.VerdictNew])

		// The person's own choice stands for them, in whatever order the columns come; others begin with the unit's.
		again := begin(t, u, u.Surgeon, []string{"mm", "when", "which", "who"}, row)
		require.True(t, again.Remembered)
		require.Equal(t, []string{"pressure", "date", "eye", "pseudonym"}, again.Matching.Fields)
		require.Equal(t, "day-first", again.Matching.Dates)
	})
}

// TestManyRows prints what an import of ROWS rows costs; it runs with 3,000 so that several batches are gone through.
func TestManyRows(t *testing.T) {
	count := 1500
	if asked := os.Getenv("ROWS"); asked != "" {
		var err error
		count, err = strconv.Atoi(asked)
		require.NoError(t, err)
	}
	const perCase = 5
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		rows := [][]string{headerOfVisits}
		for n := 0; len(rows) <= count; n++ {
			name := fmt.Sprintf("MANY-%d", n)
			u.AddCase(t, func(c *annotate.Case) { c.Pseudonym, c.Date = name, "2025-01-06" })
			for i := range perCase {
				rows = append(rows, []string{name, "OD", "", []string{"2025-01-07", "2025-01-14", "2025-02-03", "2025-04-07", "2026-01-06"}[i], "", "6/9", "15,5", "2100"})
			}
		}
		lap := time.Now()
		tell := func(what string) {
			t.Logf("%d rows, %s: %v", len(rows)-1, what, time.Since(lap).Round(time.Millisecond))
			lap = time.Now()
		}
		intake := begin(t, u, u.Clinic, rows...)
		tell("staged")
		intake = until(t, u.Clinic, intake.ID, annotate.IntakeChecked, u.CheckIntake)
		tell("checked")
		require.Equal(t, len(rows)-1, intake.Counts[annotate.VerdictNew])
		intake = until(t, u.Clinic, intake.ID, annotate.IntakeApplied, accepted(u))
		tell("written")
		require.Equal(t, len(rows)-1, intake.Written)
		require.Equal(t, len(rows)-1, intake.Done)
	})
}

// TestIntakeWholeFileStopped: a request that ends in the middle of a whole file leaves nothing of it.
func TestIntakeWholeFileStopped(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		const cases, perCase = 80, 5
		rows, ids := [][]string{headerOfVisits}, []string{}
		for n := range cases {
			name := fmt.Sprintf("STOP-%d", n)
			ids = append(ids, u.AddCase(t, func(c *annotate.Case) { c.Pseudonym, c.Date = name, "2025-01-06" }).ID)
			for _, date := range []string{"2025-01-07", "2025-01-14", "2025-02-03", "2025-04-07", "2026-01-06"} {
				rows = append(rows, []string{name, "OD", "", date, "", "6/9", "15,5", "2100"})
			}
		}
		intake := begin(t, u, u.Clinic, rows...)
		until(t, u.Clinic, intake.ID, annotate.IntakeChecked, u.CheckIntake)
		stopped := 0
		for delay := 2 * time.Millisecond; ; delay *= 2 {
			ctx, end := context.WithTimeout(t.Context(), delay)
			_, err := u.ApplyIntake(ctx, u.Clinic, intake.ID, true)
			end()
			there := 0
			for _, id := range ids {
				visits, err := u.Visits(t.Context(), u.Clinic, id)
				require.NoError(t, err)
				there += len(visits)
			}
			if err == nil {
				require.Equal(t, cases*perCase, there)
				break
			}
			stopped++
			require.Zero(t, there)
		}
		require.Positive(t, stopped)
		verified(t, u)
	})
}
