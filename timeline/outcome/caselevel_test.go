package outcome

import (
	"encoding/json"
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"zonule/timeline"
	"zonule/timeline/cohort"
)

// besideOthers tells a case beside rows, without names.
func besideOthers(rows []cohort.Row, row cohort.Row) CaseAnswer { return namedBeside(rows, row, nil) }

func namedBeside(rows []cohort.Row, row cohort.Row, names Names) CaseAnswer {
	all := make([]*cohort.Row, len(rows))
	for i := range rows {
		all[i] = &rows[i]
	}
	return CaseLevel(all, &row, names)
}

// TestPredictionIntervalHolds leaves cases out one by one: 95 % of the losses lie within what the others expect, though some
// were counted on 60 cells and some on 180.
func TestPredictionIntervalHolds(t *testing.T) {
	inside, told := 0, 0
	const units, each = 25, 12
	for u := range units {
		rows := planted{seed: uint64(300 + u), cases: 150, operators: 8, perMinute: 0.01, counting: true}.rows()
		for i := range each {
			a := besideOthers(rows, rows[i*10])
			require.NotNil(t, a.Loss, a.WhyNoLoss)
			require.Less(t, a.Loss.Low, a.Loss.Expected)
			require.Less(t, a.Loss.Expected, a.Loss.High)
			told++
			if !a.Loss.Beyond && !a.Loss.Below {
				inside++
			}
		}
	}
	require.InDelta(t, 0.95, float64(inside)/float64(told), 0.03)
}

// TestFewCellsWidenThePrediction: a case counted on few cells may lie farther off.
func TestFewCellsWidenThePrediction(t *testing.T) {
	rows := planted{seed: 1, cases: 200, operators: 8, counting: true}.rows()
	many, few := 400, 30
	rows[0].Before.Count.Cells, rows[0].After[0].Count.Cells = &many, &many
	narrow := besideOthers(rows, rows[0]).Loss
	rows[0].Before.Count.Cells, rows[0].After[0].Count.Cells = &few, &few
	wide := besideOthers(rows, rows[0]).Loss
	require.InDelta(t, narrow.Expected, wide.Expected, 1e-9)
	require.Greater(t, wide.High-wide.Low, 1.3*(narrow.High-narrow.Low))
	require.Greater(t, *wide.ObservedHigh-*wide.ObservedLow, 3*(*narrow.ObservedHigh-*narrow.ObservedLow))
}

func TestWhatStandsOut(t *testing.T) {
	rows := planted{seed: 2, cases: 200, operators: 8, perMinute: 0.01}.rows()
	long := int64(60 * minute)
	row := rows[10]
	row.Stages = []cohort.Part{{Code: "nucleus", Total: &long, Quality: timeline.Measured, Episodes: 2}}
	row.Before.Count = &cohort.Count{Density: 2500, Cells: row.Before.Count.Cells, CV: row.Before.Count.CV}
	row.Events = map[string]int{"fragment-contact": 40}
	row.After = []cohort.Seen{{Window: "month-3", Count: &cohort.Count{Density: 2480, Cells: row.Before.Count.Cells, CV: row.Before.Count.CV}}}
	a := besideOthers(rows, row)
	require.Contains(t, a.StandsOut, "time in the nucleus stage (60.0 min, more than in all 199)")
	require.Contains(t, a.StandsOut, "contacts of fragments with the endothelium (40, more than in all 199)")
	require.Contains(t, a.CannotSay, "within counting error")
	for _, e := range a.Exposures {
		if e.Exposure.Kind == StageTime {
			require.InDelta(t, 100, *e.Percentile, 1e-9)
			require.Equal(t, 199, e.Reference.N)
		}
	}

	plain := besideOthers(rows[:5], rows[0])
	require.Nil(t, plain.Loss)
	require.Contains(t, plain.WhyNoLoss, "nothing is modelled under 20")
	require.Contains(t, plain.StandsOut, "Too little is recorded")
	require.Contains(t, plain.CannotSay, "cannot be said: everything is known of 4 cases; nothing is modelled under 20.")
	row.After = nil
	require.Contains(t, besideOthers(rows, row).WhyNoLoss, "no visit with an endothelial count yet")
}

func TestHowOftenAStepCarriesAComplication(t *testing.T) {
	rows := planted{seed: 3, cases: 101, operators: 5}.rows()
	for i := range 4 {
		rows[1+i].Complications = []cohort.Mishap{{Kind: "posterior-capsule-rupture", Step: "cortex"}}
		rows[1+i].CapsuleRupture = true
	}
	rows[50].Complications = []cohort.Mishap{{Kind: "posterior-capsule-rupture", Step: "removal"}}
	rows[0].Complications = []cohort.Mishap{{Kind: "posterior-capsule-rupture", Step: "cortex"}, {Kind: "corneal-oedema"}}
	a := besideOthers(rows, rows[0])
	require.Len(t, a.Complications, 2)
	one := a.Complications[0]
	require.Equal(t, 4, one.InStep.Events)
	require.Equal(t, 100, one.InStep.Cases)
	require.Equal(t, 5, one.Ever.Events)
	// Wilson for 4 of 100, z = 1.959964: centre (0.04 + z2/200)/(1 + z2/100) = 0.057017, half width
	// z sqrt(0.04 0.96/100 + z2/40000)/(1 + z2/100) = 0.041351, so 1.57 to 9.84 %. Source: arithmetic of Wilson's formula; R's
	// prop.test(4, 100, correct = FALSE) gives 0.01566330 to 0.09837071.
	require.InDelta(t, 1.566330, *one.InStep.Low, 1e-5)
	require.InDelta(t, 9.837071, *one.InStep.High, 1e-5)
	require.NotNil(t, one.Longer)
	require.Contains(t, one.Text, "4 of 100")
	require.Contains(t, one.Published, "44.0 %")
	require.Contains(t, a.StandsOut, "posterior capsule rupture during the step cortex")
	require.Contains(t, a.Complications[1].Text, "Corneal oedema in no marked step")

	few := besideOthers(rows[:4], rows[0]).Complications[0]
	require.Nil(t, few.InStep, "of three cases of other people nothing is told")
	require.Zero(t, few.Ever)
	require.Contains(t, few.Text, "nothing is told, so that nobody's own figures can be worked out")
	for i := range rows {
		rows[i].Operator = rows[0].Operator
	}
	own := besideOthers(rows[:4], rows[0]).Complications[0]
	require.Equal(t, CaseShare{Events: 3, Cases: 3}, *own.InStep, "one's own are told, with no percentage of fewer than five")
}

// TestNamesOfTheUnit: every code that the unit has a name for is told by it.
func TestNamesOfTheUnit(t *testing.T) {
	rows := planted{seed: 3, cases: 101, operators: 5}.rows()
	rows[0].Complications = []cohort.Mishap{{Kind: "posterior-capsule-rupture", Step: "cortex"}}
	a := namedBeside(rows, rows[0], func(kind NameKind, code string) string { return "the " + string(kind) + " called " + code })
	text, err := json.Marshal(a)
	require.NoError(t, err)
	for _, words := range []string{
		"the step called cortex", "the complication called posterior-capsule-rupture", "the stage called nucleus", "the window called month-3",
	} {
		require.Contains(t, string(text), words)
	}
}

// TestNeverInItsOwnReference: what a case holds changes nothing of what it is compared with, and the order of the rows
// changes no digit.
func TestNeverInItsOwnReference(t *testing.T) {
	base := planted{seed: 11, cases: 90, operators: 6, perMinute: 0.01, counting: true, ruptureLogit: -3}.rows()
	rapid.Check(t, func(t *rapid.T) {
		rows := slices.Clone(base)
		at := rapid.IntRange(0, len(rows)-1).Draw(t, "case")
		rows[at].Complications = []cohort.Mishap{{Kind: "posterior-capsule-rupture", Step: "cortex"}}
		want := besideOthers(rows, rows[at])
		without := slices.Delete(slices.Clone(rows), at, at+1)
		require.Equal(t, want, besideOthers(without, rows[at]), "the case among the rows")
		for range rapid.IntRange(0, 30).Draw(t, "swaps") {
			a, b := rapid.IntRange(0, 88).Draw(t, "a"), rapid.IntRange(0, 88).Draw(t, "b")
			without[a], without[b] = without[b], without[a]
		}
		require.Equal(t, want, besideOthers(without, rows[at]), "the order of the rows")
	})
}

func TestNoCausalWordsOfACase(t *testing.T) {
	rows := planted{seed: 3, cases: 101, operators: 5, counting: true, ruptureLogit: -2}.rows()
	rows[3].Complications = []cohort.Mishap{{Kind: "posterior-capsule-rupture", Step: "cortex"}}
	for i := range 30 {
		text, err := json.Marshal(besideOthers(rows, rows[i]))
		require.NoError(t, err)
		var value any
		require.NoError(t, json.Unmarshal(text, &value))
		var found []string
		everyText(value, &found)
		require.NotRegexp(t, causal, fmt.Sprint(found))
	}
}
