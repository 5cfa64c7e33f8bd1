package outcome

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/timeline"
	"zonule/timeline/cohort"
)

// handworked is 24 invented cases of which only the minutes of the nucleus stage and the counts are known, without cells
// counted, so that all weigh the same and no factor is allowed for.
func handworked() []cohort.Row {
	minutes := []float64{2.1, 2.4, 2.9, 3.0, 3.2, 3.3, 3.7, 3.8, 4.0, 4.1, 4.4, 4.6, 4.9, 5.0, 5.3, 5.5, 5.8, 6.1, 6.4, 6.6, 7.0, 7.5, 8.2, 9.0}
	after := []float64{2304, 2288, 2251, 2290, 2198, 2244, 2210, 2236, 2169, 2222, 2180, 2147, 2205, 2118, 2163, 2150, 2091, 2127, 2080, 2114, 2042, 2071, 1996, 1950}
	rows := make([]cohort.Row, len(minutes))
	for i := range rows {
		total := int64(math.Round(minutes[i] * minute))
		rows[i] = cohort.Row{
			CaseID: fmt.Sprintf("h-%02d", i), Date: fmt.Sprintf("2026-01-%02d", i+1), Technique: "phaco", Tagged: true,
			Before: cohort.Before{Count: &cohort.Count{Density: 2500}},
			Stages: []cohort.Part{{Code: "nucleus", Total: &total, Quality: timeline.Measured, Episodes: 1}},
			After:  []cohort.Seen{{Window: "month-3", Days: 90, Count: &cohort.Count{Density: after[i]}}},
		}
	}
	return rows
}

func handworkedCase(minutes, after float64) cohort.Row {
	row := handworked()[0]
	total := int64(minutes * minute)
	row.CaseID, row.Date = "h-new", "2026-02-01"
	row.Stages = []cohort.Part{{Code: "nucleus", Total: &total, Quality: timeline.Measured, Episodes: 1}}
	row.After = []cohort.Seen{{Window: "month-3", Days: 90, Count: &cohort.Count{Density: after}}}
	return row
}

// The prediction of R 4.2.2 (stats::predict.lm) for a case of 6.0 min, turned from ln(before/after) into percent lost:
//
//	m <- c(2.1,2.4,2.9,3.0,3.2,3.3,3.7,3.8,4.0,4.1,4.4,4.6,4.9,5.0,5.3,5.5,5.8,6.1,6.4,6.6,7.0,7.5,8.2,9.0)
//	a <- c(2304,2288,2251,2290,2198,2244,2210,2236,2169,2222,2180,2147,2205,2118,2163,2150,2091,2127,2080,2114,2042,2071,1996,1950)
//	100 * (1 - exp(-predict(lm(log(2500/a) ~ m), data.frame(m = 6), interval = "prediction", level = 0.95)))
//	       fit           lwr           upr
//	15.6737960439 13.4406334118 17.8493448609
func TestPredictionIntervalAgainstR(t *testing.T) {
	l := besideOthers(handworked(), handworkedCase(6, 2000)).Loss
	require.NotNil(t, l)
	require.InDelta(t, 15.6737960439, l.Expected, 1e-6)
	require.InDelta(t, 13.4406334118, l.Low, 1e-6)
	require.InDelta(t, 17.8493448609, l.High, 1e-6)
	require.Equal(t, 24, l.N)
	// 100 (2500 - 2000)/2500 = 20 % lost.
	require.InDelta(t, 20, l.Observed, 1e-9)
	require.True(t, l.Beyond)
	require.False(t, l.Below)
	require.Contains(t, l.Text, "larger than such cases show")

	kept := besideOthers(handworked(), handworkedCase(6, 2300)).Loss
	require.False(t, kept.Beyond)
	require.True(t, kept.Below)
	require.Contains(t, kept.Text, "smaller than such cases show")
}

// The mid-rank percentile of 5.0 min among the other 24, by hand: 13 are shorter (2.1 to 4.9) and one is equal, so
// 100 (13 + 0.5)/24 = 56.25. The quartiles of type 7 stand at the places 1 + 23/4 = 6.75 and 18.25 in order: 3.3 + 0.75 (3.7 -
// 3.3) = 3.6 and 6.1 + 0.25 (6.4 - 6.1) = 6.175; the median is (4.6 + 4.9)/2 = 4.75.
func TestPercentileByHand(t *testing.T) {
	a := besideOthers(handworked(), handworkedCase(5, 2200))
	for _, e := range a.Exposures {
		if e.Exposure.Kind != StageTime {
			continue
		}
		require.InDelta(t, 56.25, *e.Percentile, 1e-9)
		require.Equal(t, 24, e.N)
		require.InDelta(t, 3.6, e.Reference.Q1, 1e-9)
		require.InDelta(t, 4.75, e.Reference.Median, 1e-9)
		require.InDelta(t, 6.175, e.Reference.Q3, 1e-9)
		return
	}
	t.Fatal("the nucleus stage is not placed")
}

// TestEnergyOfAnotherMachineIsNotExpectedFrom: without a time the expectation rests on the energy, and then only on cases of
// the same family of machines.
func TestEnergyOfAnotherMachineIsNotExpectedFrom(t *testing.T) {
	rows := planted{seed: 8, cases: 160, operators: 8}.rows()
	for i := range rows {
		if i%4 == 0 {
			rows[i].Operation.MachineFamily = "another"
		}
	}
	row := rows[0]
	row.Tagged, row.Stages, row.Steps, row.Time = false, nil, nil, nil
	l := besideOthers(rows, row).Loss
	require.NotNil(t, l)
	require.Equal(t, "CDE", l.AdjustedFor[0])
	require.Equal(t, 39, l.N, "the other 39 of the family")
}

// TestBeyondWhatOthersShow: a case outside the exposures of the others is told so.
func TestBeyondWhatOthersShow(t *testing.T) {
	require.Contains(t, fmt.Sprint(besideOthers(handworked(), handworkedCase(14, 1900)).Notes), "there the line only continues")
	require.NotContains(t, fmt.Sprint(besideOthers(handworked(), handworkedCase(5, 1900)).Notes), "the line only continues")
}
