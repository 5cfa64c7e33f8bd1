package annotate_test

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/timeline"
	"zonule/timeline/cohort"
	"zonule/timeline/outcome"
)

// ruled is a unit with one rule switched on.
func ruled(rule annotate.TriggerRule) annotate.Unit {
	rule.On = true
	return annotate.Unit{LossLimitPercent: 20, Triggers: []annotate.TriggerRule{rule}}
}

func counted(density float64, instrument string) *cohort.Count {
	return &cohort.Count{Density: density, Instrument: instrument}
}

func mishap(kind, step string, severity int, days ...int) func(*cohort.Row) {
	return func(r *cohort.Row) {
		m := cohort.Mishap{Kind: kind, Step: step, Severity: severity}
		if len(days) > 0 {
			m.Days = &days[0]
		}
		r.Complications = append(r.Complications, m)
	}
}

// lost gives the row counts before and at visits, from 2500 cells/mm2 before.
func lost(window string, after float64, instrument string) func(*cohort.Row) {
	return func(r *cohort.Row) {
		r.Before.Count = counted(2500, "A")
		r.After = append(r.After, cohort.Seen{Window: window, Days: 1 + len(r.After), Count: counted(after, instrument)})
	}
}

func oedema(window string, grade *int) func(*cohort.Row) {
	return func(r *cohort.Row) { r.After = append(r.After, cohort.Seen{Window: window, OedemaGrade: grade}) }
}

func took(code string, quality timeline.Quality, total *int64) func(*cohort.Row) {
	return func(r *cohort.Row) {
		r.Steps = append(r.Steps, cohort.Part{Code: code, Quality: quality, Total: total})
	}
}

// twenty are the times of 20 other operations: 1 s to 20 s. Their 95th percentile by type 7 is 19.05 s, by hand:
// h = 19 * 0.95 = 18.05, between 19 s and 20 s.
func twenty(n int) map[string][]int64 {
	var times []int64
	for i := range n {
		times = append(times, int64(i+1)*1000)
	}
	return map[string][]int64{"removal": times}
}

// TestReasons holds rows on both sides of each limit against each rule; "" is no reason.
func TestReasons(t *testing.T) {
	limit := func(grade float64) annotate.TriggerRule {
		return annotate.TriggerRule{Kind: annotate.TriggerFirstDayOedema, Limit: &grade}
	}
	of := func(kind annotate.TriggerKind) annotate.TriggerRule { return annotate.TriggerRule{Kind: kind} }
	long := func(step string) annotate.TriggerRule {
		return annotate.TriggerRule{Kind: annotate.TriggerLongStep, Step: step}
	}
	beyond := func(observed float64) annotate.TriggerReference {
		return annotate.TriggerReference{Loss: &outcome.CaseLoss{Window: "month-1", Observed: observed, Expected: 12.34, Low: -3, High: 28, Beyond: observed > 28, Below: observed < -3, N: 84}}
	}
	none := annotate.TriggerReference{}
	beside := func(n int) annotate.TriggerReference { return annotate.TriggerReference{Times: twenty(n)} }
	rupture := func(r *cohort.Row) { r.CapsuleRupture = true }
	for _, row := range []struct {
		name      string
		rule      annotate.TriggerRule
		reference annotate.TriggerReference
		want      string
		facts     []func(*cohort.Row)
	}{
		{"nothing known", of(annotate.TriggerCapsuleRupture), none, "", nil},
		{"rupture", of(annotate.TriggerCapsuleRupture), none, "Posterior capsule rupture during removal, moderate.", []func(*cohort.Row){rupture, mishap("posterior-capsule-rupture", "removal", 2), mishap("uveitis", "", 0, 1)}},
		{"zonule with vitreous counts", of(annotate.TriggerCapsuleRupture), none, "Zonular rupture vitreous.", []func(*cohort.Row){rupture, mishap("zonular-rupture-vitreous", "", 0)}},
		{"zonule without vitreous does not", of(annotate.TriggerCapsuleRupture), none, "", []func(*cohort.Row){mishap("zonular-dialysis", "rotation", 1)}},
		{"vitreous", of(annotate.TriggerVitreousLoss), none, "Vitreous loss.", []func(*cohort.Row){rupture, mishap("vitreous-loss", "", 0)}},
		{"rupture without vitreous", of(annotate.TriggerVitreousLoss), none, "", []func(*cohort.Row){rupture, mishap("posterior-capsule-rupture", "", 0)}},
		{"dialysis", of(annotate.TriggerZonularDialysis), none, "Zonular dialysis during rotation, slight.", []func(*cohort.Row){mishap("zonular-dialysis", "rotation", 1)}},
		{"no dialysis", of(annotate.TriggerZonularDialysis), none, "", []func(*cohort.Row){mishap("floppy-iris", "rotation", 1)}},
		{"fragment", of(annotate.TriggerDroppedFragment), none, "Dropped fragment, severe.", []func(*cohort.Row){mishap("dropped-fragment", "", 3)}},
		{"retained matter is another thing", of(annotate.TriggerDroppedFragment), none, "", []func(*cohort.Row){mishap("retained-lens-matter", "", 0, 7)}},
		{"converted", of(annotate.TriggerConversion), none, "Converted to manual small-incision surgery; another technique was planned.", []func(*cohort.Row){func(r *cohort.Row) { r.Converted, r.Technique = true, "msics" }}},
		{"as planned", of(annotate.TriggerConversion), none, "", []func(*cohort.Row){func(r *cohort.Row) { r.Technique = "msics" }}},
		{"return", of(annotate.TriggerReturnToTheatre), none, "Return to theatre, day 12.", []func(*cohort.Row){mishap("return-to-theatre", "", 0, 12)}},
		{"no return", of(annotate.TriggerReturnToTheatre), none, "", []func(*cohort.Row){mishap("wound-leak", "", 0, 1)}},
		{"endophthalmitis", of(annotate.TriggerEndophthalmitis), none, "Endophthalmitis, day 3, severe.", []func(*cohort.Row){mishap("endophthalmitis", "", 3, 3)}},
		{"toxic anterior segment is another thing", of(annotate.TriggerEndophthalmitis), none, "", []func(*cohort.Row){mishap("toxic-anterior-segment", "", 3, 1)}},
		{"loss over 20 %", of(annotate.TriggerLossOverLimit), none, "Loss of endothelial cells 20 % at month 1; the unit's limit is 20 %.", []func(*cohort.Row){lost("month-1", 1999.9, "A")}},
		{"loss of 20 %", of(annotate.TriggerLossOverLimit), none, "", []func(*cohort.Row){lost("month-1", 2000, "A")}},
		{"loss at the last count", of(annotate.TriggerLossOverLimit), none, "Loss of endothelial cells 31.2 % at month 3; the unit's limit is 20 %.", []func(*cohort.Row){lost("month-1", 2400, "A"), lost("month-3", 1720, "A")}},
		{"recovered at the last count", of(annotate.TriggerLossOverLimit), none, "", []func(*cohort.Row){lost("month-1", 1500, "A"), lost("month-3", 2100, "A")}},
		{"another instrument", of(annotate.TriggerLossOverLimit), none, "", []func(*cohort.Row){lost("month-1", 1000, "B")}},
		{"another instrument, compared on request", of(annotate.TriggerLossOverLimit), none, "Loss of endothelial cells 60 % at month 1; the unit's limit is 20 %.", []func(*cohort.Row){lost("month-1", 1000, "B"), func(r *cohort.Row) { r.CompareInstruments = true }}},
		{"no count before", of(annotate.TriggerLossOverLimit), none, "", []func(*cohort.Row){lost("month-1", 1000, "A"), func(r *cohort.Row) { r.Before.Count = nil }}},
		{"loss beyond", of(annotate.TriggerLossBeyond), beyond(28.04), "Loss of endothelial cells 28 % at month 1; 12.3 % was to be expected of such an eye and such an operation (95 % of such cases -3 to 28 %; 84 cases).", nil},
		{"loss within", of(annotate.TriggerLossBeyond), beyond(28), "", nil},
		{"less loss than expected", of(annotate.TriggerLossBeyond), beyond(-9), "", nil},
		{"nothing expected", of(annotate.TriggerLossBeyond), none, "", []func(*cohort.Row){lost("month-1", 1000, "A")}},
		{"oedema at the grade", limit(3), none, "Corneal oedema grade 3 of 4 on day 1; the rule begins at grade 3.", []func(*cohort.Row){oedema("day-1", pointerTo(3))}},
		{"oedema under the grade", limit(3), none, "", []func(*cohort.Row){oedema("day-1", pointerTo(2))}},
		{"the unit's own grade", limit(2), none, "Corneal oedema grade 2 of 4 on day 1; the rule begins at grade 2.", []func(*cohort.Row){oedema("day-1", pointerTo(2))}},
		{"oedema later", limit(3), none, "", []func(*cohort.Row){oedema("week-1", pointerTo(4))}},
		{"oedema not graded", limit(3), none, "", []func(*cohort.Row){oedema("day-1", nil)}},
		{"long step", long("removal"), beside(20), "Removal 0:19; 95 % of the unit's 20 other operations with it took at most 0:19.", []func(*cohort.Row){took("removal", timeline.Measured, pointerTo(int64(19_051)))}},
		{"step at the limit", long("removal"), beside(20), "", []func(*cohort.Row){took("removal", timeline.Measured, pointerTo(int64(19_050)))}},
		{"beside 19", long("removal"), beside(19), "", []func(*cohort.Row){took("removal", timeline.Measured, pointerTo(int64(900_000)))}},
		{"every step", long(""), beside(20), "Removal 15:00; 95 % of the unit's 20 other operations with it took at most 0:19.", []func(*cohort.Row){took("ovd", timeline.Measured, pointerTo(int64(900_000))), took("removal", timeline.Measured, pointerTo(int64(900_000)))}},
		{"another step", long("cortex"), beside(20), "", []func(*cohort.Row){took("removal", timeline.Measured, pointerTo(int64(900_000)))}},
		{"step not measured", long("removal"), beside(20), "", []func(*cohort.Row){took("removal", timeline.LowerBound, pointerTo(int64(900_000)))}},
		{"step not recorded", long("removal"), beside(20), "", []func(*cohort.Row){took("removal", timeline.Measured, nil)}},
	} {
		t.Run(string(row.rule.Kind)+" "+row.name, func(t *testing.T) {
			one := cohort.Row{Technique: "phaco"}
			for _, fact := range row.facts {
				fact(&one)
			}
			unit := ruled(row.rule)
			want := []annotate.TriggerReason{}
			if row.want != "" {
				want = append(want, annotate.TriggerReason{Kind: row.rule.Kind, Words: row.want})
			}
			require.Equal(t, want, unit.Reasons(&one, row.reference))
			unit.Triggers[0].On = false
			require.Empty(t, unit.Reasons(&one, row.reference), "switched off")
		})
	}
}

// month is a unit's month of operations, n of them with losses of 1 %, 2 % and so on.
func month(name string, n int) []cohort.Row {
	rows := make([]cohort.Row, n)
	for i := range rows {
		rows[i] = cohort.Row{CaseID: fmt.Sprintf("%s-case-%02d", name, i), Date: name + "-05", Technique: "phaco", Tagged: true, Measured: true}
		lost("month-1", 2500*(1-float64(i+1)/100), "A")(&rows[i])
	}
	return rows
}

func TestGoodCases(t *testing.T) {
	unit := annotate.Unit{Name: "Eye unit"}
	rows := month("2026-02", 20)
	first, reason := unit.GoodCase(rows, "2026-02")
	require.NotEmpty(t, first)
	require.Equal(t, annotate.TriggerGoodCase, reason.Kind)
	require.Regexp(t, `a loss of endothelial cells of \d+ % at month 1 \(the unit's median is 10\.5 %, 20 cases\)`, reason.Words)
	again, _ := unit.GoodCase(rows, "2026-02")
	require.Equal(t, first, again)
	slices.Reverse(rows)
	again, _ = unit.GoodCase(rows, "2026-02")
	require.Equal(t, first, again, "the order of the rows does not matter")

	drawn := map[string]bool{}
	for i := range 200 {
		unit.Name = fmt.Sprintf("Unit %d", i)
		id, _ := unit.GoodCase(rows, "2026-02")
		drawn[id] = true
	}
	require.Len(t, drawn, 10, "each of the ten under the median is drawn by some unit, and no other")

	for name, spoil := range map[string]func(*cohort.Row){
		"complication": mishap("uveitis", "", 1, 1), "converted": func(r *cohort.Row) { r.Converted = true },
		"not wholly measured": func(r *cohort.Row) { r.Measured = false }, "not tagged": func(r *cohort.Row) { r.Tagged = false },
		"another month": func(r *cohort.Row) { r.Date = "2026-03-01" }, "loss not known": func(r *cohort.Row) { r.Before.Count = nil },
	} {
		spoilt := month("2026-02", 45)
		for i := range spoilt[:22] { // the median is that of case 22, which does not lie under it
			if i != 3 || name == "loss not known" {
				spoil(&spoilt[i])
			}
		}
		id, _ := unit.GoodCase(spoilt, "2026-02")
		if name == "loss not known" {
			require.NotContains(t, []string{spoilt[3].CaseID, spoilt[0].CaseID}, id, name)
		} else {
			require.Equal(t, spoilt[3].CaseID, id, name)
		}
	}
	id, _ := unit.GoodCase(month("2026-02", 19), "2026-02")
	require.Empty(t, id, "fewer than 20 losses tell no median")
	id, _ = unit.GoodCase(month("2026-02", 20), "2026-01")
	require.Empty(t, id)
}
