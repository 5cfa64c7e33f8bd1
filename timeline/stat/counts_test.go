package stat

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Source: PMC7778434: 24/102, 63/301, 37/327; expected values computed outside the project.
func TestPublishedThreeGroups(t *testing.T) {
	events, n := []int{24, 63, 37}, []int{102, 301, 327}
	table := make([][]int, 3)
	for i := range n {
		table[i] = []int{events[i], n[i] - events[i]}
	}
	got, err := ChiSquared(table, false)
	require.NoError(t, err)
	require.InDelta(t, 13.876, got.Statistic, 0.0005)
	require.EqualValues(t, 2, got.DF)
	require.InDelta(t, 0.000970, got.P, 5e-7)
	require.Equal(t, 730, got.N)
	require.Empty(t, got.Notes)
	trend, err := Trend(events, n)
	require.NoError(t, err)
	require.InDelta(t, 0.000398, trend.P, 5e-7)
}

// Source: PMC5799002: 12/501 against 23/454; expected values computed outside the project.
func TestPublishedFisher(t *testing.T) {
	got, err := Fisher(12, 501, 23, 454, 0.95)
	require.NoError(t, err)
	require.InDelta(t, 0.03735, got.P, 5e-6)
	require.InDelta(t, 0.4602, *got.OddsRatio, 5e-5)
	require.InDelta(t, 0.2061, got.Lower, 5e-5)
	require.InDelta(t, 0.9772, *got.Upper, 5e-5)
}

// Source: Suryawanshi 2016: 18/287 against 15/322; expected values computed outside the project.
func TestPublishedTwoGroups(t *testing.T) {
	table := [][]int{{18, 287 - 18}, {15, 322 - 15}}
	plain, err := ChiSquared(table, false)
	require.NoError(t, err)
	require.InDelta(t, 0.3800, plain.P, 5e-5)
	corrected, err := ChiSquared(table, true)
	require.NoError(t, err)
	require.InDelta(t, 0.4848, corrected.P, 5e-5)
	exact, err := Fisher(18, 287, 15, 322, 0.95)
	require.NoError(t, err)
	require.InDelta(t, 0.4738, exact.P, 5e-5)
}

// Check values 41 to 43 and 60 to 62: arithmetic, in per cent to 0.01; the interval of 41 was also published.
func TestProportionCheckValues(t *testing.T) {
	for _, c := range []struct {
		k, n                int
		value, lower, upper float64
	}{
		{1067, 55567, 1.92, 1.81, 2.04},
		{2, 100, 2, 0.55, 7.00},
		{0, 50, 0, 0, 7.13},
	} {
		got, err := Wilson(c.k, c.n, 0.95)
		require.NoError(t, err)
		require.InDelta(t, c.value, 100*got.Value, 0.01)
		require.InDelta(t, c.lower, 100*got.Interval.Lower, 0.01)
		require.InDelta(t, c.upper, 100*got.Interval.Upper, 0.01)
	}
	for _, c := range []struct {
		k, n             int
		value, tolerance float64
	}{{9730, 961208, 1.01, 0.005}, {82, 4303, 1.91, 0.01}, {84, 3445, 2.44, 0.01}, {20, 540, 3.70, 0.01}} {
		got, err := Wilson(c.k, c.n, 0.95)
		require.NoError(t, err)
		require.InDelta(t, c.value, 100*got.Value, c.tolerance)
	}
	got, err := ClopperPearson(0, 150, 0.90)
	require.NoError(t, err)
	require.InDelta(t, 1.98, 100*got.Interval.Upper, 0.01)
}

func TestCountsRefuse(t *testing.T) {
	_, err := Wilson(0, 0, 0.95)
	requireReason(t, err, TooFew)
	_, err = ClopperPearson(5, 4, 0.95)
	requireReason(t, err, Invalid)
	_, err = PoissonRate(1, 0, 0.95)
	requireReason(t, err, Invalid)
	_, err = ChiSquared([][]int{{1, 2}}, false)
	requireReason(t, err, TooFew)
	_, err = ChiSquared([][]int{{0, 2}, {0, 3}}, false)
	requireReason(t, err, Constant)
	_, err = ChiSquared([][]int{{1, 2}, {3, 4}, {5, 6}}, true)
	requireReason(t, err, Invalid)
	_, err = Trend([]int{0, 0}, []int{5, 6})
	requireReason(t, err, Constant)
	_, err = Fisher(0, 5, 0, 6, 0.95)
	requireReason(t, err, Constant)
}

func TestSparseTableIsTold(t *testing.T) {
	got, err := ChiSquared([][]int{{1, 9}, {3, 8}}, false)
	require.NoError(t, err)
	require.NotEmpty(t, got.Notes)
}

func TestFisherWithAnEmptyCell(t *testing.T) {
	got, err := Fisher(0, 10, 4, 10, 0.95)
	require.NoError(t, err)
	require.Nil(t, got.OddsRatio)
	require.Zero(t, got.Lower)
	require.NotNil(t, got.Upper)
	require.NotEmpty(t, got.Notes)
}

// Exchanging the groups keeps p and inverts the odds ratio (algebra).
func TestFisherIsSymmetric(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n1, n2 := rapid.IntRange(2, 60).Draw(t, "n1"), rapid.IntRange(2, 60).Draw(t, "n2")
		k1, k2 := rapid.IntRange(1, n1-1).Draw(t, "k1"), rapid.IntRange(1, n2-1).Draw(t, "k2")
		a, err := Fisher(k1, n1, k2, n2, 0.95)
		require.NoError(t, err)
		b, err := Fisher(k2, n2, k1, n1, 0.95)
		require.NoError(t, err)
		require.InDelta(t, a.P, b.P, 1e-9)
		require.InEpsilon(t, *a.OddsRatio, 1 / *b.OddsRatio, 1e-9)
		require.InEpsilon(t, a.Lower, 1 / *b.Upper, 1e-9)
		require.LessOrEqual(t, a.Lower, *a.OddsRatio)
	})
}
