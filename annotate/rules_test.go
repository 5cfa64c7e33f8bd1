package annotate

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func pointer[T any](value T) *T { return &value }

// fieldsOf gives the fields that a refusal names.
func fieldsOf(t *testing.T, err error) []string {
	t.Helper()
	if err == nil {
		return nil
	}
	var refusal *Error
	require.True(t, errors.As(err, &refusal), "%v", err)
	require.Equal(t, CodeInvalid, refusal.Code)
	require.NotContains(t, refusal.Error(), "%!")
	var fields []string
	for _, field := range refusal.Fields {
		require.NotEmpty(t, field.Message)
		fields = append(fields, field.Field)
	}
	return fields
}

func goodCase() Case {
	return Case{
		ID: "0197c2a4-0000-7000-8000-000000000001", Pseudonym: "SALT-7", Eye: LeftEye, Date: "2026-05-04",
		Operation: Operation{TechniquePlanned: TechniquePhaco, TechniquePerformed: TechniquePhaco},
		Operators: []Operator{{UserID: "a", Role: OperatorLead}}, SharedWith: []string{"c"},
	}
}

const testToday = "2026-06-15"

func TestCaseRules(t *testing.T) {
	exam := func(change func(*EndothelialExam)) func(*Case) {
		return func(c *Case) {
			c.Before.Exam = &EndothelialExam{Density: 2500}
			change(c.Before.Exam)
		}
	}
	for _, row := range []struct {
		name   string
		change func(*Case)
		field  string // "" is taken
	}{
		{"plain", func(*Case) {}, ""},
		{"no id", func(c *Case) { c.ID = "" }, "id"},
		{"id with a slash", func(c *Case) { c.ID = "a/b" }, "id"},
		{"no pseudonym", func(c *Case) { c.Pseudonym = "" }, "pseudonym"},
		{"60 characters", func(c *Case) { c.Pseudonym = strings.Repeat("ä", 60) }, ""},
		{"61 characters", func(c *Case) { c.Pseudonym = strings.Repeat("ä", 61) }, "pseudonym"},
		{"two lines", func(c *Case) { c.Pseudonym = "A\nB" }, "pseudonym"},
		{"two lines by a line separator", func(c *Case) { c.Pseudonym = "A\u2028B" }, "pseudonym"},
		{"direction left turned", func(c *Case) { c.Pseudonym = "A\u202eB" }, "pseudonym"},
		{"not UTF-8", func(c *Case) { c.Pseudonym = "A\xff" }, "pseudonym"},
		{"NUL", func(c *Case) { c.Operation.Note = "A\x00" }, "operation.note"},
		{"no eye", func(c *Case) { c.Eye = "" }, "eye"},
		{"both eyes", func(c *Case) { c.Eye = "OU" }, "eye"},
		{"no date", func(c *Case) { c.Date = "" }, "date"},
		{"no such date", func(c *Case) { c.Date = "2026-02-30" }, "date"},
		{"short date", func(c *Case) { c.Date = "2026-5-4" }, "date"},
		{"planned for next month", func(c *Case) { c.Date = "2026-07-15" }, ""},
		{"planned in two years", func(c *Case) { c.Date = "2028-06-15" }, "date"},
		{"newborn", func(c *Case) { c.Before.Age = pointer(0) }, ""},
		{"before birth", func(c *Case) { c.Before.Age = pointer(-1) }, "before.age"},
		{"121 years", func(c *Case) { c.Before.Age = pointer(121) }, "before.age"},
		{"sex", func(c *Case) { c.Before.Sex = "f" }, "before.sex"},
		{"grade 5", func(c *Case) { c.Before.NuclearGrade = pointer(5) }, ""},
		{"grade 6", func(c *Case) { c.Before.NuclearGrade = pointer(6) }, "before.nuclearGrade"},
		{"grade 0", func(c *Case) { c.Before.NuclearGrade = pointer(0) }, "before.nuclearGrade"},
		{"pupil", func(c *Case) { c.Before.Pupil = "tiny" }, "before.pupil"},
		{"axial length 15 mm", func(c *Case) { c.Before.AxialLength = pointer(15.0) }, ""},
		{"axial length 14.9 mm", func(c *Case) { c.Before.AxialLength = pointer(14.9) }, "before.axialLength"},
		{"axial length 40.1 mm", func(c *Case) { c.Before.AxialLength = pointer(40.1) }, "before.axialLength"},
		{"axial length NaN", func(c *Case) { c.Before.AxialLength = pointer(math.NaN()) }, "before.axialLength"},
		{"chamber depth 9 mm", func(c *Case) { c.Before.ChamberDepth = pointer(9.0) }, "before.chamberDepth"},
		{"thickness 0.5 mm", func(c *Case) { c.Before.Thickness = pointer(0) }, "before.thickness"},
		{"implausible thickness", func(c *Case) { c.Before.Thickness = pointer(900) }, ""},
		{"long acuity", func(c *Case) { c.Before.Acuity = strings.Repeat("6", 41) }, "before.acuity"},
		{"maybe", func(c *Case) { c.Before.Glaucoma = "maybe" }, "before.glaucoma"},
		{"yes", func(c *Case) { c.Before.CannotLieFlat = Yes }, ""},
		{"density 0", exam(func(e *EndothelialExam) { e.Density = 0 }), "before.exam.density"},
		{"density 10001", exam(func(e *EndothelialExam) { e.Density = 10001 }), "before.exam.density"},
		{"implausible density", exam(func(e *EndothelialExam) { e.Density = 6000 }), ""},
		{"no cells", exam(func(e *EndothelialExam) { e.Cells = pointer(0) }), "before.exam.cells"},
		{"variation as a percentage", exam(func(e *EndothelialExam) { e.CV = pointer(30.0) }), ""},
		{"variation 2", exam(func(e *EndothelialExam) { e.CV = pointer(2.0) }), "before.exam.cv"},
		{"hexagonality 101 %", exam(func(e *EndothelialExam) { e.Hexagonality = pointer(101.0) }), "before.exam.hexagonality"},
		{"counted after the operation", exam(func(e *EndothelialExam) { e.Date = "2026-05-05" }), "before.exam.date"},
		{"technique", func(c *Case) { c.Operation.TechniquePlanned = "laser" }, "operation.techniquePlanned"},
		{"anaesthesia", func(c *Case) { c.Operation.Anaesthesia = "none" }, "operation.anaesthesia"},
		{"energy", func(c *Case) { c.Operation.CDE = pointer(-0.1) }, "operation.cde"},
		{"fluid", func(c *Case) { c.Operation.FluidUsed = pointer(10001.0) }, "operation.fluidUsed"},
		{"nobody operated", func(c *Case) { c.Operators = nil }, "operators"},
		{"two operated", func(c *Case) {
			c.Operators = append(c.Operators, Operator{UserID: "b", Role: OperatorLead})
		}, "operators"},
		{"named twice", func(c *Case) {
			c.Operators = append(c.Operators, Operator{UserID: "a", Role: OperatorAssistant})
		}, "operators[1].userId"},
		{"role", func(c *Case) { c.Operators[0].Role = "boss" }, "operators[0].role"},
		{"grade", func(c *Case) { c.Operators[0].Grade = "professor" }, "operators[0].grade"},
		{"shared with an operator", func(c *Case) { c.SharedWith = []string{"a"} }, "sharedWith[0]"},
	} {
		t.Run(row.name, func(t *testing.T) {
			c := goodCase()
			row.change(&c)
			fields := fieldsOf(t, c.validate(testToday))
			if row.field == "" {
				require.Empty(t, fields)
				return
			}
			require.Contains(t, fields, row.field)
		})
	}
}

func TestComplicationRules(t *testing.T) {
	const operated = "2026-05-04"
	during := Complication{ID: "a", Kind: "vitreous-loss", Severity: 2}
	after := Complication{ID: "a", Kind: "corneal-oedema", OnDate: "2026-05-05", Severity: 1}
	for _, row := range []struct {
		name  string
		from  Complication
		with  func(*Complication)
		field string
	}{
		{"during, instant unknown", during, func(*Complication) {}, ""},
		{"during, on the day", during, func(c *Complication) { c.OnDate = operated }, ""},
		{"during, another day", during, func(c *Complication) { c.OnDate = "2026-05-05" }, "onDate"},
		{"after", after, func(*Complication) {}, ""},
		{"after, no date", after, func(c *Complication) { c.OnDate = "" }, "onDate"},
		{"after, before it", after, func(c *Complication) { c.OnDate = "2026-05-03" }, "onDate"},
		{"after, tomorrow", after, func(c *Complication) { c.OnDate = "2026-06-16" }, "onDate"},
		{"resolved", after, func(c *Complication) { c.ResolvedOn = "2026-05-12" }, ""},
		{"resolved before", after, func(c *Complication) { c.ResolvedOn = "2026-05-04" }, "resolvedOn"},
		{"severity 4", after, func(c *Complication) { c.Severity = 4 }, "severity"},
		{"severity -1", after, func(c *Complication) { c.Severity = -1 }, "severity"},
		{"kind", after, func(c *Complication) { c.Kind = "bad-luck" }, "kind"},
		{"long note", after, func(c *Complication) { c.Note = strings.Repeat("n", 4001) }, "note"},
	} {
		t.Run(row.name, func(t *testing.T) {
			c := row.from
			row.with(&c)
			fields := fieldsOf(t, c.validate(operated, testToday))
			if row.field == "" {
				require.Empty(t, fields)
				return
			}
			require.Contains(t, fields, row.field)
		})
	}
}

func TestVisitRules(t *testing.T) {
	for _, row := range []struct {
		name  string
		with  func(*Visit)
		field string
	}{
		{"plain", func(*Visit) {}, ""},
		{"window", func(v *Visit) { v.Window = "day-2" }, "window"},
		{"before the operation", func(v *Visit) { v.Date = "2026-05-03" }, "date"},
		{"tomorrow", func(v *Visit) { v.Date = "2026-06-16" }, "date"},
		{"soft eye", func(v *Visit) { v.Pressure = pointer(0.0) }, ""},
		{"pressure 101 mmHg", func(v *Visit) { v.Pressure = pointer(101.0) }, "pressure"},
		{"oedema 4", func(v *Visit) { v.OedemaGrade = pointer(4) }, ""},
		{"oedema 5", func(v *Visit) { v.OedemaGrade = pointer(5) }, "oedemaGrade"},
		{"thickness", func(v *Visit) { v.Thickness = pointer(1501) }, "thickness"},
		{"count before the operation", func(v *Visit) { v.Exam = &EndothelialExam{Density: 2000, Date: "2026-05-01"} }, "exam.date"},
		{"count of nothing", func(v *Visit) { v.Exam = &EndothelialExam{} }, "exam.density"},
	} {
		t.Run(row.name, func(t *testing.T) {
			v := Visit{ID: "a", Window: WindowDay1, Date: "2026-05-05"}
			row.with(&v)
			fields := fieldsOf(t, v.validate("2026-05-04", testToday))
			if row.field == "" {
				require.Empty(t, fields)
				return
			}
			require.Contains(t, fields, row.field)
		})
	}
}

func TestVariationIsStoredAsAFraction(t *testing.T) {
	sent := EndothelialExam{Density: 2500, CV: pointer(30.0)}
	require.InDelta(t, 0.30, *normalisedExam(&sent).CV, 1e-12)
	require.InDelta(t, 30, *sent.CV, 0, "what the caller holds is left alone")
	require.InDelta(t, 0.30, *normalisedExam(&EndothelialExam{Density: 2500, CV: pointer(0.30)}).CV, 1e-12)
	require.Nil(t, normalisedExam(nil))
}

func TestEveryLimitIsAsked(t *testing.T) {
	for kind, limit := range fieldLimits {
		require.Less(t, limit.Least, limit.Most, kind)
		var p problems
		p.number("x", kind, limit.Least)
		p.number("x", kind, limit.Most)
		require.Empty(t, p.fields, kind)
		p.number("x", kind, limit.Least-1)
		p.number("x", kind, limit.Most+1)
		require.Len(t, p.fields, 2, kind)
		require.LessOrEqual(t, limit.Least, limit.WarnLow, kind)
		require.Less(t, limit.WarnLow, limit.WarnHigh, kind)
		require.LessOrEqual(t, limit.WarnHigh, limit.Most, kind)
		var doubted problems
		doubted.number("x", kind, limit.WarnLow)
		doubted.number("x", kind, limit.WarnHigh)
		require.Empty(t, doubted.doubts, kind)
		if limit.Least < limit.WarnLow {
			doubted.number("x", kind, (limit.Least+limit.WarnLow)/2)
			require.Len(t, doubted.doubts, 1, kind)
		}
		require.Empty(t, doubted.fields, kind)
	}
}

func TestSortKey(t *testing.T) {
	ordered := []string{"", "a", "SALT-1", "salt-2", "Salt-02b", "SALT-10", "SALT-10a", "SALT-100", "T"}
	for i, a := range ordered {
		for j, b := range ordered {
			got := strings.Compare(string(SortKey(a)), string(SortKey(b)))
			want := 0
			if i < j {
				want = -1
			} else if i > j {
				want = 1
			}
			require.Equal(t, want, got, "%q and %q", a, b)
		}
	}
	require.Equal(t, SortKey("SALT-007"), SortKey("salt-7"))
	require.NotPanics(t, func() { SortKey(strings.Repeat("9", 1000)) })
}

func TestNextVisit(t *testing.T) {
	c := Case{Date: "2026-01-30"}
	baseline := c
	baseline.Before.Exam = &EndothelialExam{Density: 2500}
	lost := baseline
	lost.LostToFollowUp = &LostToFollowUp{On: "2026-02-01", Reason: "Moved away."}
	day1, month1 := Visit{Window: WindowDay1}, Visit{Window: WindowMonth1}
	counted := Visit{Window: WindowMonth1, Exam: &EndothelialExam{Density: 2300}}
	for _, row := range []struct {
		name           string
		c              Case
		visits         []Visit
		window         Window
		dueOn, overdue string
	}{
		// Days counted by hand on a calendar of 2026, which is no leap year.
		{"nothing yet", c, nil, WindowDay1, "2026-01-31", "2026-02-06"},
		{"day 1 done", c, []Visit{day1}, WindowMonth1, "2026-02-27", "2026-03-27"},
		{"only month 1 done", c, []Visit{month1}, WindowDay1, "2026-01-31", "2026-02-06"},
		{"both done", c, []Visit{day1, month1}, "", "", ""},
		{"both done, but the count is missing", baseline, []Visit{day1, month1}, WindowMonth1, "2026-02-27", "2026-03-27"},
		{"both done, with the count", baseline, []Visit{day1, month1, counted}, "", "", ""},
		{"both done, the count made at month 3", baseline, []Visit{day1, month1, {Window: WindowMonth3, Exam: counted.Exam}}, "", "", ""},
		{"a count of week 1 is too early", baseline, []Visit{day1, month1, {Window: WindowWeek1, Exam: counted.Exam}}, WindowMonth1, "2026-02-27", "2026-03-27"},
		{"declared lost", lost, nil, "", "", ""},
		{"a week's visit does not count", c, []Visit{{Window: WindowWeek1}}, WindowDay1, "2026-01-31", "2026-02-06"},
	} {
		window, dueOn, lateOn := nextVisit(UsualWindows, row.c, row.visits)
		require.Equal(t, []string{string(row.window), row.dueOn, row.overdue}, []string{string(window), dueOn, lateOn}, row.name)
	}
}

// A text that turns the direction of writing and leaves it so would turn the report's own words around it.
func TestDirectionIsTurnedBack(t *testing.T) {
	for text, kept := range map[string]bool{
		"plain":                       true,
		"نور الهاشمي and עברית":       true,
		"\u200eA\u200fB":              true, // marks that turn nothing beyond themselves
		"\u202bA\u202c":               true,
		"\u2067A\u202eB\u202cC\u2069": true,
		"\u202eA":                     false,
		"\u202eA\nB\u202c":            true,
		"\u2068A":                     false,
		"A\u202c":                     false,
		"A\u2069\u2067":               false,
		"\u202aA\u2069":               false,
		"\u2066\u202aA\u2069\u202c":   false,
	} {
		require.Equal(t, kept, turnsBack(text), "%q", text)
	}
}
