package stat

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Check values 44 to 50. Source: Steiner 2000 for 44 to 47 and the improvement weight of 48 (found); the rest arithmetic.
func TestSteinerWeights(t *testing.T) {
	for _, c := range []struct {
		p, ratio, success, failure float64
	}{
		{0.0246, 2, -0.024, 0.669}, {0.5424, 2, -0.433, 0.260}, {0.0246, 0.5, 0.012, -0.681}, {0.5424, 0.5, 0.316, -0.377},
	} {
		w, err := RiskAdjustedWeights(c.p, 1, c.ratio)
		require.NoError(t, err)
		require.InDelta(t, c.success, w.Success, 0.0005)
		require.InDelta(t, c.failure, w.Failure, 0.0005)
	}
	const p48 = 0.09912 // logit p = -3.67 + 0.077 * 19
	w, err := RiskAdjustedWeights(p48, 1, 2)
	require.NoError(t, err)
	require.InDelta(t, -0.0945, w.Success, 0.00005)
	w, err = RiskAdjustedWeights(p48, 1, 0.5)
	require.NoError(t, err)
	require.InDelta(t, 0.05083, w.Success, 0.00005)
	w, err = BernoulliWeights(0.0192, 2)
	require.NoError(t, err)
	require.InDelta(t, -0.01902, w.Success, 0.00001)
	require.InDelta(t, 0.67413, w.Failure, 0.00001)
	risks := []float64{0.0192, 0.0192, 0.0192, 0.0192, 0.0192}
	chart, err := RiskAdjustedCUSUM(risks, []bool{false, false, true, false, true}, 1, 2, 4.5, false)
	require.NoError(t, err)
	for i, want := range []float64{0, 0, 0.6741, 0.6551, 1.3292} {
		require.InDelta(t, want, chart.Path[i], 0.0001)
	}
}

// Check values 51 to 55: arithmetic of the stated formulas; the rates of 51 and 52 were published for this operation.
func TestSequenceAndLearningCheckValues(t *testing.T) {
	for _, c := range []struct{ p0, p1, s, h float64 }{{0.05, 0.10, 0.0724, 2.9406}, {0.10, 0.20, 0.1452, 2.7095}} {
		got, err := SequenceOf(c.p0, c.p1, 0.1, 0.1)
		require.NoError(t, err)
		require.InDelta(t, c.s, got.S, 0.0005)
		require.InDelta(t, c.h, got.H1, 0.0005)
		require.InDelta(t, -c.h, got.H0, 0.0005)
	}
	for _, c := range []struct{ adequate, inadequate, success, failure float64 }{
		{0.05, 0.10, 0.0541, -0.6931}, {0.10, 0.20, 0.1178, -0.6931}, {0.40, 0.55, 0.2877, -0.3185},
	} {
		w, err := LearningWeights(c.adequate, c.inadequate)
		require.NoError(t, err)
		require.InDelta(t, c.success, w.Success, 0.0005)
		require.InDelta(t, c.failure, w.Failure, 0.0005)
	}
}
