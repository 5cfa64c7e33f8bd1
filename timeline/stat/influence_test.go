package stat

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// One observation that alone decides a coefficient has leverage 1: no HC3, and a note.
func TestLeverageOne(t *testing.T) {
	d := NewDesign(5)
	require.NoError(t, d.Add("only", []float64{0, 0, 0, 0, 1}))
	m, err := LeastSquares(d, []float64{1, 2, 3, 4, 9}, nil, 0.95)
	require.NoError(t, err)
	require.Nil(t, m.Coefficients[1].RobustSE)
	require.NotEmpty(t, m.Notes)
	require.InDelta(t, 1, m.Influence().Leverage[4], 1e-12)
	require.Zero(t, m.Influence().Cook[4])
}

// The studentised residual is the residual in units of the fit without that observation: checked by leaving it out.
func TestInfluenceByLeavingOut(t *testing.T) {
	x, y := []float64{1, 2, 3, 4, 5, 9}, []float64{1.1, 1.9, 3.2, 3.9, 5.1, 4}
	d := NewDesign(6)
	require.NoError(t, d.Add("x", x))
	m, err := LeastSquares(d, y, nil, 0.95)
	require.NoError(t, err)
	in := m.Influence()
	without := NewDesign(5)
	require.NoError(t, without.Add("x", x[:5]))
	left, err := LeastSquares(without, y[:5], nil, 0.95)
	require.NoError(t, err)
	p, err := left.Predict([]float64{1, 9}, 1)
	require.NoError(t, err)
	sd := (p.New.Upper - p.Value) / twoSidedT(0.95, 3)
	require.InDelta(t, (y[5]-p.Value)/sd, in.Studentised[5], 1e-9)
	require.Equal(t, []int{5}, in.Driving)
}

// Outcomes on a line are told to be an exact fit; outcomes that do not vary are refused.
func TestExactAndConstantOutcomes(t *testing.T) {
	d := NewDesign(5)
	require.NoError(t, d.Add("x", []float64{1, 2, 3, 4, 5}))
	m, err := LeastSquares(d, []float64{2, 4, 6, 8, 10}, nil, 0.95)
	require.NoError(t, err)
	require.NotEmpty(t, m.Notes)
	_, err = LeastSquares(d, []float64{3, 3, 3, 3, 3}, nil, 0.95)
	requireReason(t, err, Constant)
}

// TestPullIsLeavingOut refits without each observation.
func TestPullIsLeavingOut(t *testing.T) {
	x, z := []float64{1, 2, 3, 4, 5, 6, 7, 20}, []float64{0, 1, 0, 1, 1, 0, 1, 0}
	y, w := []float64{1, 3, 2, 5, 4, 6, 9, 2}, []float64{1, 2, 1, 0.5, 1, 1, 3, 1}
	fit := func(out int) *LinearModel {
		drop := func(v []float64) []float64 {
			if out < 0 {
				return v
			}
			return slices.Delete(slices.Clone(v), out, out+1)
		}
		d := NewDesign(len(drop(y)))
		require.NoError(t, d.Add("x", drop(x)))
		require.NoError(t, d.Add("z", drop(z)))
		m, err := LeastSquares(d, drop(y), drop(w), 0.95)
		require.NoError(t, err)
		return m
	}
	all := fit(-1)
	pull, err := all.Pull(1)
	require.NoError(t, err)
	for i := range y {
		require.InDelta(t, all.Coefficients[1].Estimate-fit(i).Coefficients[1].Estimate, pull[i], 1e-10)
	}
	_, err = all.Pull(3)
	requireReason(t, err, Invalid)
}
