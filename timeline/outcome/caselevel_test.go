package outcome

import (
	"encoding/json"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/timeline"
	"zonule/timeline/cohort"
)

// TestPredictionIntervalHolds leaves cases out one by one: 95 % of the losses lie within what the others expect, though some
// were counted on 60 cells and some on 180.
func TestPredictionIntervalHolds(t *testing.T) {
	inside, told := 0, 0
	const units, each = 25, 12
	for u := range units {
		rows := planted{seed: uint64(300 + u), cases: 150, operators: 8, perMinute: 0.01, counting: true}.rows()
		for i := range each {
			a := CaseLevel(rows, rows[i*10])
			require.NotNil(t, a.Loss, a.WhyNoLoss)
			require.Less(t, a.Loss.Low, a.Loss.Expected)
			require.Less(t, a.Loss.Expected, a.Loss.High)
			told++
			if !a.Loss.Beyond {
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
	narrow := CaseLevel(rows, rows[0]).Loss
	rows[0].Before.Count.Cells, rows[0].After[0].Count.Cells = &few, &few
	wide := CaseLevel(rows, rows[0]).Loss
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
	row.After = []cohort.Seen{{Window: "month-3", Count: &cohort.Count{Density: 2480, Cells: row.Before.Count.Cells, CV: row.Before.Count.CV}}}
	a := CaseLevel(rows, row)
	require.Contains(t, a.StandsOut, "time in the nucleus stage (60.0 min) was higher than in 100 % of the unit's other cases")
	require.Contains(t, a.CannotSay, "within counting error")
	for _, e := range a.Exposures {
		if e.Exposure.Kind == StageTime {
			require.InDelta(t, 100, *e.Percentile, 1e-9)
			require.Equal(t, 199, e.Reference.N)
		}
	}

	plain := CaseLevel(rows[:5], rows[0])
	require.Nil(t, plain.Loss)
	require.Contains(t, plain.WhyNoLoss, "nothing is modelled under 20")
	require.Contains(t, plain.StandsOut, "Too little is recorded")
	require.Contains(t, plain.CannotSay, "What came of the endothelium cannot be said")
	row.After = nil
	require.Contains(t, CaseLevel(rows, row).WhyNoLoss, "no visit with an endothelial count yet")
}

func TestHowOftenAStepCarriesAComplication(t *testing.T) {
	rows := planted{seed: 3, cases: 101, operators: 5}.rows()
	for i := range 4 {
		rows[1+i].Complications = []cohort.Mishap{{Kind: "posterior-capsule-rupture", Step: "cortex"}}
		rows[1+i].CapsuleRupture = true
	}
	rows[50].Complications = []cohort.Mishap{{Kind: "posterior-capsule-rupture", Step: "removal"}}
	rows[0].Complications = []cohort.Mishap{{Kind: "posterior-capsule-rupture", Step: "cortex"}, {Kind: "corneal-oedema"}}
	a := CaseLevel(rows, rows[0])
	require.Len(t, a.Complications, 2)
	one := a.Complications[0]
	require.Equal(t, 4, one.InStep)
	require.Equal(t, 5, one.OfKind)
	require.Equal(t, 100, one.StepCases)
	// Wilson for 4 of 100: 1.57 to 9.84 %. Source: arithmetic of Wilson's formula.
	require.InDelta(t, 1.57, one.Low, 0.01)
	require.InDelta(t, 9.84, one.High, 0.01)
	require.NotNil(t, one.Longer)
	require.Contains(t, one.Text, "4 of 100")
	require.Contains(t, one.Published, "44.0 %")
	require.Contains(t, a.StandsOut, "posterior capsule rupture during the step cortex")
	require.Contains(t, a.Complications[1].Text, "in no marked step")
}

func TestNoCausalWordsOfACase(t *testing.T) {
	rows := planted{seed: 3, cases: 101, operators: 5, counting: true, ruptureLogit: -2}.rows()
	rows[3].Complications = []cohort.Mishap{{Kind: "posterior-capsule-rupture", Step: "cortex"}}
	for i := range 30 {
		text, err := json.Marshal(CaseLevel(rows, rows[i]))
		require.NoError(t, err)
		var value any
		require.NoError(t, json.Unmarshal(text, &value))
		var found []string
		everyText(value, &found)
		require.NotRegexp(t, causal, fmt.Sprint(found))
	}
}
