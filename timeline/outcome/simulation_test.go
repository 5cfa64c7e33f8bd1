package outcome

import (
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/timeline/cohort"
)

// unitsOr is the number of units that are simulated: usual, or as many as UNITS asks for.
func unitsOr(t *testing.T, usual int) int {
	t.Helper()
	asked := os.Getenv("UNITS")
	if asked == "" {
		return usual
	}
	units, err := strconv.Atoi(asked)
	require.NoError(t, err)
	return units
}

// within is how far a share of units may lie from its truth: the 1 % that is promised for 2,000 of them, more for fewer.
func within(share float64, units int) float64 {
	if units >= 2000 {
		return 0.01
	}
	return 3.3 * math.Sqrt(share*(1-share)/float64(units))
}

// simulated is what came of many invented units.
type simulated struct {
	findings float64 // share with a finding
	mean     float64 // of the adjusted coefficients
	sd       float64
	covered  float64 // share of intervals that hold the truth
}

// simulate answers one definition in many invented units.
func simulate(t *testing.T, units int, unit planted, d Definition, truth float64) simulated {
	t.Helper()
	var s simulated
	coefficients := make([]float64, units)
	for u := range units {
		unit.seed = uint64(1000 + u)
		table := newTable(unit.rows(), d, nil)
		require.Empty(t, table.refusal())
		b, low, high := table.first(t)
		if low > 0 || high < 0 {
			s.findings += 1 / float64(units)
		}
		if low <= truth && truth <= high {
			s.covered += 1 / float64(units)
		}
		coefficients[u] = b
	}
	spread := spreadOf(coefficients)
	s.mean, s.sd = spread.Mean, spread.SD
	return s
}

// first is the adjusted coefficient of the first exposure with its interval.
func (t *table) first(tb testing.TB) (b, low, high float64) {
	tb.Helper()
	if t.definition.Outcome.Kind == Complication {
		m, err := t.chances(tb.Context(), t.design([]int{0}, t.terms), []int{1})
		require.NoError(tb, err)
		s := m.odds(1)
		return math.Log(s.Value), math.Log(s.Low), math.Log(s.High)
	}
	fit, err := t.fit(t.design([]int{0}, t.terms))
	require.NoError(tb, err)
	require.NotNil(tb, fit.clustered)
	return fit.model.Coefficients[1].Estimate, fit.clustered.Intervals[1].Lower, fit.clustered.Intervals[1].Upper
}

// nucleusRupture asks whether the time of the nucleus stage goes with a capsule rupture.
func nucleusRupture() Definition {
	return Definition{Outcome: Outcome{Kind: Complication, Complication: cohort.CapsuleRupture}, Exposures: []Exposure{{Kind: StageTime, Code: "nucleus"}}}
}

// TestNoLossIsFoundWhereNothingIs plants a relation of 0 in 2,000 units in which hard nuclei stand behind both time and loss
// and operators differ in both: 5 % +- 1 % may be called a finding.
func TestNoLossIsFoundWhereNothingIs(t *testing.T) {
	units := unitsOr(t, 2000)
	s := simulate(t, units, planted{cases: 300, operators: 16, counting: true}, nucleusLoss(), 0)
	t.Logf("called a finding in %.2f %% of %d units, mean %.5f", 100*s.findings, units, s.mean)
	require.InDelta(t, 0.05, s.findings, within(0.05, units))
	require.InDelta(t, 0, s.mean, 0.0005)

	raw := nucleusLoss()
	raw.Adjust = []string{}
	s = simulate(t, 200, planted{cases: 150, operators: 10, counting: true}, raw, 0)
	t.Logf("nothing allowed for: %.1f %%", 100*s.findings)
	require.Greater(t, s.findings, 0.5, "without the grade the hard nuclei pass for long times")
}

// TestNoRuptureIsFoundWhereNothingIs is the same for a complication; all 2,000 units with UNITS=2000.
func TestNoRuptureIsFoundWhereNothingIs(t *testing.T) {
	units := unitsOr(t, 300)
	s := simulate(t, units, planted{cases: 300, operators: 10, ruptureLogit: -2.2, hands: 0.7}, nucleusRupture(), 0)
	t.Logf("called a finding in %.2f %% of %d units", 100*s.findings, units)
	require.InDelta(t, 0.05, s.findings, within(0.05, units))
}

// TestAPlantedLossIsRecovered plants 1 % for a minute under counting error.
func TestAPlantedLossIsRecovered(t *testing.T) {
	units := unitsOr(t, 300)
	s := simulate(t, units, planted{cases: 300, operators: 16, perMinute: 0.01, counting: true}, nucleusLoss(), 0.01)
	t.Logf("0.01 planted, mean %.5f of %d units, 95 %% intervals hold it in %.1f %%, found in %.1f %%", s.mean, units, 100*s.covered, 100*s.findings)
	require.InDelta(t, 0.01, s.mean, 3.3*s.sd/math.Sqrt(float64(units)))
	require.InDelta(t, 0.95, s.covered, within(0.95, units))
}

// TestAPlantedRuptureIsRecovered plants odds of exp(0.15) for a minute.
func TestAPlantedRuptureIsRecovered(t *testing.T) {
	units := unitsOr(t, 200)
	s := simulate(t, units, planted{cases: 400, operators: 10, oddsPerMinute: 0.15, ruptureLogit: -2.2, hands: 0.3}, nucleusRupture(), 0.15)
	t.Logf("0.15 planted, mean %.4f of %d units, intervals hold it in %.1f %%", s.mean, units, 100*s.covered)
	require.InDelta(t, 0.15, s.mean, 0.01+3.3*s.sd/math.Sqrt(float64(units)))
	require.InDelta(t, 0.95, s.covered, within(0.95, units)+0.01)
}

// TestCountingErrorIsHandled plants 1 % for a minute where some counts rest on 8 cells and others on 400. Weighing each loss
// by how exactly it was counted must leave the figure where it is, make it more exact, and keep the intervals honest; and the
// share of the spread that is said to be counting must be right.
func TestCountingErrorIsHandled(t *testing.T) {
	units := unitsOr(t, 200)
	unit := planted{cases: 300, operators: 16, perMinute: 0.01, counting: true, uneven: true}
	weighted := simulate(t, units, unit, nucleusLoss(), 0.01)
	unit.errorsUnknown = true
	plain := simulate(t, units, unit, nucleusLoss(), 0.01)
	t.Logf("0.01 planted; weighted: mean %.5f, sd %.5f, intervals hold it in %.1f %%; every count the same: mean %.5f, sd %.5f, %.1f %%",
		weighted.mean, weighted.sd, 100*weighted.covered, plain.mean, plain.sd, 100*plain.covered)
	for _, s := range []simulated{weighted, plain} {
		require.InDelta(t, 0.01, s.mean, 3.3*s.sd/math.Sqrt(float64(units)))
		require.Greater(t, s.covered, 0.95-within(0.95, units))
		// Of 2,000 units 96.3 % of the weighted intervals hold it: a little wide, since few cases weigh so much.
		require.Less(t, s.covered, 0.965+within(0.95, units))
	}
	require.Less(t, weighted.sd, 0.8*plain.sd)

	// With 120 cells on both sides the error of counting has the variance 2 * 0.3^2 / 120 beside 0.05^2 + 0.02^2 of the rest.
	unit = planted{seed: 3, cases: 4000, operators: 40, counting: true}
	rows := unit.rows()
	var share, rest float64
	for _, row := range rows {
		share += 2 * 0.09 / float64(*row.Before.Count.Cells) / float64(len(rows))
	}
	rest = 0.05*0.05 + 0.02*0.02
	require.InDelta(t, 100*share/(share+rest), Study(rows, nucleusLoss()).CountingError.Share, 5)
}

// TestSmallestRelationIsAsStated plants the relation that the study says it would have shown in four of five, and counts.
func TestSmallestRelationIsAsStated(t *testing.T) {
	unit := planted{cases: 300, operators: 16, counting: true}
	var smallest float64
	const asked = 20
	for u := range asked {
		unit.seed = uint64(1000 + u)
		smallest += *Study(unit.rows(), nucleusLoss()).Relations[0].SmallestSeen / asked
	}
	unit.perMinute = -math.Log1p(-smallest / 100)
	units := unitsOr(t, 300)
	s := simulate(t, units, unit, nucleusLoss(), unit.perMinute)
	t.Logf("%.3f %% fewer cells a minute: found in %.1f %% of %d units", smallest, 100*s.findings, units)
	require.InDelta(t, 0.8, s.findings, 0.05+within(0.8, units))
}

func BenchmarkStudyLoss100000(b *testing.B) {
	rows := planted{seed: 1, cases: 100_000, operators: 40, perMinute: 0.01, counting: true}.rows()
	for b.Loop() {
		Study(rows, nucleusLoss())
	}
}

func BenchmarkStudyRupture100000(b *testing.B) {
	rows := planted{seed: 1, cases: 100_000, operators: 40, oddsPerMinute: 0.1, ruptureLogit: -4.5}.rows()
	for b.Loop() {
		Study(rows, nucleusRupture())
	}
}

func BenchmarkTable100000(b *testing.B) {
	rows := planted{seed: 1, cases: 100_000, operators: 40, perMinute: 0.01, counting: true}.rows()
	for b.Loop() {
		Table(rows, nucleusLoss(), nil)
	}
}
