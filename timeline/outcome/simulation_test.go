package outcome

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/timeline/cohort"
)

// simulate answers one definition in many invented units and gives the share of units with a finding, the mean of the
// adjusted coefficients, and the share of intervals that hold the truth.
func simulate(t *testing.T, units int, unit planted, d Definition, truth float64) (findings, mean, covered float64) {
	t.Helper()
	for u := range units {
		unit.seed = uint64(1000 + u)
		table := newTable(unit.rows(), d, nil)
		require.Empty(t, table.refusal())
		var b, low, high float64
		if d.Outcome.Kind == Complication {
			m, err := table.chances(t.Context(), table.design([]int{0}, table.terms), []int{1})
			require.NoError(t, err)
			s := m.odds(1)
			b, low, high = math.Log(s.Value), math.Log(s.Low), math.Log(s.High)
		} else {
			fit, err := table.fit(table.design([]int{0}, table.terms))
			require.NoError(t, err)
			require.NotNil(t, fit.clustered)
			b = fit.model.Coefficients[1].Estimate
			low, high = fit.clustered.Intervals[1].Lower, fit.clustered.Intervals[1].Upper
		}
		if low > 0 || high < 0 {
			findings += 1 / float64(units)
		}
		if low <= truth && truth <= high {
			covered += 1 / float64(units)
		}
		mean += b / float64(units)
	}
	return findings, mean, covered
}

// TestNothingIsFoundWhereNothingIs plants a relation of 0 in 2,000 units in which hard nuclei stand behind both time and loss
// and operators differ in both: 5 % +- 1 % may be called a finding.
func TestNothingIsFoundWhereNothingIs(t *testing.T) {
	if testing.Short() {
		t.Skip("2,000 simulated units take some seconds")
	}
	findings, mean, _ := simulate(t, 2000, planted{cases: 300, operators: 16, counting: true}, nucleusLoss(), 0)
	t.Logf("loss: called a finding in %.2f %% of 2,000 units, mean %.5f", 100*findings, mean)
	require.InDelta(t, 0.05, findings, 0.01)
	require.InDelta(t, 0, mean, 0.0005)

	raw := nucleusLoss()
	raw.Adjust = []string{}
	findings, _, _ = simulate(t, 200, planted{cases: 150, operators: 10, counting: true}, raw, 0)
	t.Logf("loss, nothing allowed for: %.1f %%", 100*findings)
	require.Greater(t, findings, 0.5, "without the grade the hard nuclei pass for long times")

	rupture := Definition{Outcome: Outcome{Kind: Complication, Complication: cohort.CapsuleRupture}, Exposures: []Exposure{{Kind: StageTime, Code: "nucleus"}}}
	findings, _, _ = simulate(t, 2000, planted{cases: 300, operators: 10, ruptureLogit: -2.2, hands: 0.7}, rupture, 0)
	t.Logf("rupture: %.2f %%", 100*findings)
	require.InDelta(t, 0.05, findings, 0.01)
}

// TestAPlantedRelationIsRecovered plants 1 % for a minute under counting error, and odds of exp(0.15) for a minute.
func TestAPlantedRelationIsRecovered(t *testing.T) {
	if testing.Short() {
		t.Skip("1,000 simulated units take some seconds")
	}
	findings, mean, covered := simulate(t, 1000, planted{cases: 300, operators: 16, perMinute: 0.01, counting: true}, nucleusLoss(), 0.01)
	t.Logf("loss: 0.01 planted, mean %.5f, 95 %% intervals hold it in %.1f %%, found in %.1f %%", mean, 100*covered, 100*findings)
	require.InDelta(t, 0.01, mean, 0.0003)
	require.InDelta(t, 0.95, covered, 0.02)

	rupture := Definition{Outcome: Outcome{Kind: Complication, Complication: cohort.CapsuleRupture}, Exposures: []Exposure{{Kind: StageTime, Code: "nucleus"}}}
	_, mean, covered = simulate(t, 1000, planted{cases: 400, operators: 10, oddsPerMinute: 0.15, ruptureLogit: -2.2, hands: 0.3}, rupture, 0.15)
	t.Logf("rupture: 0.15 planted, mean %.4f, intervals hold it in %.1f %%", mean, 100*covered)
	require.InDelta(t, 0.15, mean, 0.01)
	require.InDelta(t, 0.95, covered, 0.02)
}

// TestSmallestRelationIsAsStated plants the relation that the study says it would have shown in four of five, and counts.
func TestSmallestRelationIsAsStated(t *testing.T) {
	if testing.Short() {
		t.Skip("400 simulated units take some seconds")
	}
	unit := planted{cases: 300, operators: 16, counting: true}
	var smallest float64
	const units = 100
	for u := range units {
		unit.seed = uint64(1000 + u)
		smallest += *Study(unit.rows(), nucleusLoss()).Relations[0].SmallestSeen / units
	}
	unit.perMinute = -math.Log1p(-smallest / 100)
	findings, _, _ := simulate(t, 400, unit, nucleusLoss(), unit.perMinute)
	t.Logf("%.3f %% fewer cells a minute: found in %.1f %%", smallest, 100*findings)
	require.InDelta(t, 0.8, findings, 0.06)
}

func BenchmarkStudyLoss100000(b *testing.B) {
	rows := planted{seed: 1, cases: 100_000, operators: 40, perMinute: 0.01, counting: true}.rows()
	for b.Loop() {
		Study(rows, nucleusLoss())
	}
}

func BenchmarkStudyRupture100000(b *testing.B) {
	rows := planted{seed: 1, cases: 100_000, operators: 40, oddsPerMinute: 0.1, ruptureLogit: -4.5}.rows()
	rupture := Definition{Outcome: Outcome{Kind: Complication, Complication: cohort.CapsuleRupture}, Exposures: []Exposure{{Kind: StageTime, Code: "nucleus"}}}
	for b.Loop() {
		Study(rows, rupture)
	}
}
