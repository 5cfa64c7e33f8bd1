package annotate

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// FuzzIntakeRow reads cells, one for each field in order, as a row about a case with a visit. Whatever they hold: no panic,
// a refusal says why, what is accepted is valid, and the same row again changes nothing.
func FuzzIntakeRow(f *testing.F) {
	row := func(cells map[string]string) string {
		texts := make([]string, len(IntakeFields))
		for i, field := range IntakeFields {
			texts[i] = cells[field.Code]
		}
		return strings.Join(texts, "|")
	}
	whom := map[string]string{"pseudonym": "CASE-1", "eye": "OD", "date": "2026-06-02"}
	with := func(more map[string]string) string {
		cells := map[string]string{}
		for _, some := range []map[string]string{whom, more} {
			for field, text := range some {
				cells[field] = text
			}
		}
		return row(cells)
	}
	f.Add(with(nil), "", "", false)
	f.Add(with(map[string]string{"acuity": "6/9", "refraction.cylinder": "-0,75", "refraction.axis": "180", "pressure": "15,5"}), "day-first", "comma", false)
	f.Add(with(map[string]string{"exam.density": "2 450", "exam.cells": "1e2", "exam.cv": "31 %", "exam.date": "3/6/2026"}), "month-first", "point", false)
	f.Add(with(map[string]string{"exam.imageCounts[0].density": "2400", "exam.imageCounts[0].cells": "100", "exam.imageCounts[4].density": "2300", "exam.imageCounts[4].cells": "90", "exam.imageCounts[4].cv": "0.3"}), "", "", false)
	f.Add(with(map[string]string{"date": "2026-04-20", "exam.density": "2500", "note": "x"}), "", "", true)
	f.Add(with(map[string]string{"window": "pre-op", "date": "2026-05-04", "thickness": "545"}), "", "", false)
	f.Add(with(map[string]string{"window": "other", "oedemaGrade": "1.5", "operated": "2026-05-04"}), "", "", false)
	fields := make([]string, len(IntakeFields))
	for i, field := range IntakeFields {
		fields[i] = field.Code
	}
	f.Fuzz(func(t *testing.T, text, dates, decimals string, baseline bool) {
		by := judging{IntakeMatching: IntakeMatching{Fields: fields, Dates: dates, Decimals: decimals, Baseline: baseline}, plans: UsualWindows, today: "2026-11-25"}
		if by.validate(len(fields)) != nil {
			return
		}
		c := placed{Case: Case{
			ID: "c", Pseudonym: "CASE-1", Eye: RightEye, Date: "2026-05-04", Operation: Operation{TechniquePlanned: TechniquePhaco, TechniquePerformed: TechniquePhaco},
			Operators: []Operator{{UserID: "u", Role: OperatorLead}}, SharedWith: []string{},
		}, visits: []Visit{{ID: "v", CaseID: "c", Revision: 1, Window: WindowDay1, Date: "2026-05-05", Exam: &EndothelialExam{Density: 2300}}}}
		read, fault := by.readRow(strings.Split(text, "|"))
		if fault != nil {
			require.NotEmpty(t, fault.message)
			return
		}
		if _, verdict, _ := read.pick([]placed{c}); verdict != "" {
			return
		}
		verdict, judgement, found := by.judge(read, c)
		if verdict == VerdictRefused {
			require.NotEmpty(t, judgement.Message)
			return
		}
		if found.before != nil {
			c.Before = *found.before
			require.NoError(t, c.validate(by.today))
		} else {
			if found.visit.ID == "" {
				found.visit.ID = "new"
			}
			require.NoError(t, found.visit.validate(c.Date, by.today))
			c.visits = append(c.visits, found.visit)
			if found.visit.ID == "v" {
				c.visits = c.visits[1:]
			}
		}
		again, judgement, _ := by.judge(read, c)
		require.Equal(t, VerdictSame, again, "%+v", judgement)
	})
}
