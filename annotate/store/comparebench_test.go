package store_test

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/jmoiron/sqlx"
	_ "github.com/lib/pq" // the driver that opens the database behind the store
	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
	"zonule/timeline"
	"zonule/timeline/cohort"
)

// comparedCases is what a national programme records in a quarter of a year, or a department in twenty years.
const comparedCases = 100_000

// BenchmarkComparison answers the compare page's question about 100,000 invented cases with all steps and stages: the
// first time after a start, warm, after a case has changed, and for the reference group of a report. Beside it the same
// medians by PostgreSQL's percentile_cont, which must be the same numbers.
func BenchmarkComparison(b *testing.B) {
	address := annotatetest.PostgresAddress(b)
	u := annotatetest.NewUnit(b, address)
	db := behind(b, address)
	rows := inventRows(b, u)
	fillTables(b, u, db, rows)
	ids := []string{rows[0].CaseID, rows[1].CaseID}
	rows = nil
	q := annotate.CompareQuestion{Question: cohort.Question{List: "phaco"}}
	ask := func(b *testing.B, server *annotatetest.Unit) cohort.Comparison {
		answer, err := server.Comparison(b.Context(), u.Surgeon, q)
		require.NoError(b, err)
		return answer
	}
	// A machine that does other things too makes the wall clock a poor measure; the work is told beside it.
	measure := func(name string, run func(b *testing.B)) {
		b.Run(name, func(b *testing.B) {
			before := worked(b)
			run(b)
			b.ReportMetric(float64((worked(b)-before).Milliseconds())/float64(b.N), "cpu-ms/op")
		})
	}
	var warm *annotatetest.Unit
	var answer cohort.Comparison
	measure("cold", func(inner *testing.B) {
		for inner.Loop() {
			inner.StopTimer()
			warm = annotatetest.EmptyUnit(b, address) // of the outer benchmark, which the others ask
			before := heap()
			inner.StartTimer()
			answer = ask(inner, warm)
			inner.StopTimer()
			inner.ReportMetric(float64(heap()-before)/(1<<20), "MB-held")
			inner.StartTimer()
		}
	})
	measure("warm", func(b *testing.B) {
		for b.Loop() {
			answer = ask(b, warm)
		}
	})
	measure("narrowed", func(b *testing.B) {
		narrow := q
		narrow.GradeFrom, narrow.GradeTo, narrow.From = 3, 4, "2016-01-01"
		for b.Loop() {
			_, err := warm.Comparison(b.Context(), u.Surgeon, narrow)
			require.NoError(b, err)
		}
	})
	measure("after-a-change", func(b *testing.B) {
		for i := 0; b.Loop(); i++ {
			b.StopTimer()
			touch(b, u, ids[i%2])
			b.StartTimer()
			answer = ask(b, warm)
		}
	})
	measure("reference-group", func(b *testing.B) {
		c, part, reading := u.Marked(b)
		_, err := u.AddEdits(b.Context(), u.Surgeon, reading.ID, []annotate.Edit{u.Add(u.Marker(part.ID, "removal", 1000, 9000))})
		require.NoError(b, err)
		for b.Loop() {
			_, err := warm.CaseFile(b.Context(), u.Surgeon, c.ID)
			require.NoError(b, err)
		}
	})
	answer = ask(b, warm)
	b.Run("percentile_cont", func(b *testing.B) {
		var medians map[string]float64
		for b.Loop() {
			medians = mediansBySQL(b, db)
		}
		compared := 0
		for _, row := range answer.Rows {
			if row.Kind == cohort.OfStep && row.Group != nil {
				compared++
				require.InEpsilon(b, medians[row.Code], row.Group.Median, 1e-12, row.Code)
			}
		}
		require.Greater(b, compared, 10)
	})
}

// worked is the time that this process has computed; PostgreSQL's is not in it.
func worked(b *testing.B) time.Duration {
	var usage syscall.Rusage
	require.NoError(b, syscall.Getrusage(syscall.RUSAGE_SELF, &usage))
	return time.Duration(usage.Utime.Nano() + usage.Stime.Nano())
}

// heap is what is in use after the garbage has been collected.
func heap() int64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return int64(m.HeapAlloc)
}

func touch(b *testing.B, u *annotatetest.Unit, caseID string) {
	require.NoError(b, u.Store.Write(b.Context(), func(tx annotate.Tx) error {
		row, err := tx.CaseRow(b.Context(), caseID)
		if err != nil {
			return err
		}
		return tx.PutCaseRows(b.Context(), 1, row)
	}))
}

// mediansBySQL computes the quantiles of every step and stage over the measured times of the tagged cases, as a person
// with SQL would.
func mediansBySQL(b *testing.B, db *sqlx.DB) map[string]float64 {
	var found []struct {
		Kind, Code         string
		Q1, Median, Q3, P5 float64
		P95                float64
	}
	require.NoError(b, db.Select(&found, `SELECT s.kind, s.code, percentile_cont(0.25) WITHIN GROUP (ORDER BY s.total_ms) AS q1,
		percentile_cont(0.5) WITHIN GROUP (ORDER BY s.total_ms) AS median, percentile_cont(0.75) WITHIN GROUP (ORDER BY s.total_ms) AS q3,
		percentile_cont(0.05) WITHIN GROUP (ORDER BY s.total_ms) AS p5, percentile_cont(0.95) WITHIN GROUP (ORDER BY s.total_ms) AS p95
		FROM cases c JOIN case_facts f ON f.case_id = c.id JOIN case_steps s ON s.case_id = c.id
		WHERE f.tagged AND s.quality = 'measured' GROUP BY s.kind, s.code`))
	medians := map[string]float64{}
	for _, row := range found {
		if row.Kind == string(annotate.FactStep) {
			medians[row.Code] = row.Median
		}
	}
	return medians
}

// inventRows makes the rows of 40 operators, the surgeon among them.
func inventRows(b *testing.B, u *annotatetest.Unit) []cohort.Row {
	operators := []string{u.Surgeon.ID}
	for i := range 39 {
		id := fmt.Sprintf("0197c2a4-1111-7000-8000-%012x", i)
		operators = append(operators, id)
		require.NoError(b, u.Store.Write(b.Context(), func(tx annotate.Tx) error {
			return tx.InsertUser(b.Context(), annotate.Account{User: annotate.User{ID: id, Revision: 1, Login: id, Name: id, Roles: []annotate.Role{annotate.RoleSurgeon}, Active: true}})
		}))
	}
	var list annotate.StepList
	require.NoError(b, u.Store.Read(b.Context(), func(tx annotate.Tx) (err error) {
		list, err = tx.StepList(b.Context(), annotate.StepListRef{ID: "phaco", Version: 1})
		return err
	}))
	random := rand.New(rand.NewPCG(4, 17))
	day := time.Date(2006, 1, 1, 0, 0, 0, 0, time.UTC)
	rows := make([]cohort.Row, comparedCases)
	for i := range rows {
		operator := random.IntN(len(operators))
		grade, age, axial, depth := 1+random.IntN(5), 55+random.IntN(40), 23.5+random.NormFloat64(), 3.1+0.3*random.NormFloat64()
		id := fmt.Sprintf("0197c2a4-2222-7000-8000-%012x", i)
		row := cohort.Row{
			CaseID: id, Date: day.AddDate(0, 0, i/14).Format(time.DateOnly), Technique: "phaco", Operator: operators[operator],
			Grade: "consultant", StepList: "phaco", Tagged: true, Measured: true,
			Before: cohort.Before{
				Age: &age, Sex: []string{"female", "male"}[random.IntN(2)], NuclearGrade: &grade, Pupil: []string{"large", "medium", "small"}[random.IntN(3)],
				AxialLength: &axial, ChamberDepth: &depth, Pseudoexfoliation: timeline.No, BrunescentOrWhite: timeline.No, ExpectedLow: 1.2, ExpectedHigh: 1.9,
				Count: &cohort.Count{Density: 2300 + 200*random.NormFloat64(), Date: "2026-01-01", Instrument: "specular"},
			},
			Events: map[string]int{"ovd-top-up": 1 + random.IntN(3)},
			After:  []cohort.Seen{{Window: "day-1", Days: 1}, {Window: "month-1", Days: 30, Count: &cohort.Count{Density: 2000, Date: "2026-02-01"}}},
		}
		var whole int64
		stages := map[string]int64{}
		for n, step := range list.Steps {
			total := int64(math.Exp(10 + 0.1*float64(n) + 0.1*float64(grade) + 0.02*float64(operator%7) + 0.35*random.NormFloat64()))
			whole, stages[step.Stage] = whole+total, stages[step.Stage]+total
			row.Steps = append(row.Steps, cohort.Part{Code: step.Code, Total: &total, Episodes: 1, Quality: timeline.Measured, At: &timeline.Instant{Part: "part-" + id, Ms: whole}})
		}
		for _, stage := range list.Stages {
			total := stages[stage.Code]
			row.Stages = append(row.Stages, cohort.Part{Code: stage.Code, Total: &total, Episodes: 1, Quality: timeline.Measured, At: &timeline.Instant{Part: "part-" + id}})
		}
		row.Time = &whole
		rows[i] = row
	}
	return rows
}

// fillTables copies the rows into the tables that the comparison and the SQL beside it read.
func fillTables(b *testing.B, u *annotatetest.Unit, db *sqlx.DB, rows []cohort.Row) {
	copyInto(b, db, "cases", []string{"id", "revision", "pseudonym", "pseudonym_key", "search", "eye", "date", "technique_planned",
		"technique_performed", "eye_before", "operation", "created_by", "created_at", "updated_at", "change"}, rows, func(r cohort.Row, add func(...any)) {
		add(r.CaseID, 1, r.CaseID, []byte(r.CaseID), r.CaseID, "OD", r.Date, "phaco", "phaco", "{}", "{}", u.Surgeon.ID, 0, 0, 1)
	})
	copyInto(b, db, "case_operators", []string{"case_id", "user_id", "role", "grade", "place"}, rows, func(r cohort.Row, add func(...any)) {
		add(r.CaseID, r.Operator, "operator", r.Grade, 1)
	})
	copyInto(b, db, "case_facts", []string{"case_id", "recorded", "tagged", "signed", "operation_ms", "due_window", "due_on", "late_on", "open_comments"}, rows, func(r cohort.Row, add func(...any)) {
		add(r.CaseID, true, true, false, *r.Time, "", "", "", 0)
	})
	copyInto(b, db, "case_steps", []string{"case_id", "kind", "code", "place", "total_ms", "episodes", "quality"}, rows, func(r cohort.Row, add func(...any)) {
		for i, part := range r.Stages {
			add(r.CaseID, "stage", part.Code, i, *part.Total, 1, "measured")
		}
		for i, part := range r.Steps {
			add(r.CaseID, "step", part.Code, i+100, *part.Total, 1, "measured")
		}
	})
	number := 0
	copyInto(b, db, "case_rows", []string{"case_id", "number", "form", "body"}, rows, func(r cohort.Row, add func(...any)) {
		body, err := json.Marshal(r)
		require.NoError(b, err)
		number++
		add(r.CaseID, number, 1, string(body))
	})
	_, err := db.Exec("ANALYZE")
	require.NoError(b, err)
}

func copyInto(b *testing.B, db *sqlx.DB, table string, columns []string, rows []cohort.Row, fill func(cohort.Row, func(...any))) {
	tx, err := db.Begin()
	require.NoError(b, err)
	statement, err := tx.Prepare("COPY " + table + " (" + strings.Join(columns, ", ") + ") FROM STDIN")
	require.NoError(b, err)
	for _, row := range rows {
		fill(row, func(values ...any) {
			_, err := statement.Exec(values...)
			require.NoError(b, err)
		})
	}
	_, err = statement.Exec()
	require.NoError(b, err)
	require.NoError(b, statement.Close())
	require.NoError(b, tx.Commit())
}
