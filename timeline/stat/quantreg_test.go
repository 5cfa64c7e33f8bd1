package stat

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Source: R quantreg 5.94, rq(method = "br"), to the tolerance in the file.
func TestQuantileRegressionAgainstR(t *testing.T) {
	eachVector(t, "quantile_regression.json", func(t *testing.T, v vector, _ string) {
		var in struct {
			Y          []float64
			Predictors []predictor
			Tau        []float64
			Intercept  *bool
		}
		var want struct {
			Terms        []string
			Coefficients [][]float64
			Objective    []float64
		}
		v.read(t, &in, &want)
		d := designOf(t, len(in.Y), in.Predictors, in.Intercept)
		require.Equal(t, want.Terms, d.Terms)
		for k, tau := range in.Tau {
			got, err := QuantileRegression(d, in.Y, tau, 0.95)
			require.NoError(t, err)
			v.near(t, want.Objective[k], got.Objective, "objective")
			for j, c := range got.Coefficients {
				v.near(t, want.Coefficients[k][j], c.Estimate, c.Term)
			}
		}
	})
}

// Source: R quantreg 5.94, summary(rq(foodexp ~ income, tau, data = engel), se = "ker"), run for this test.
func TestKernelErrorsAgainstR(t *testing.T) {
	want := map[float64][]float64{
		0.5: {30.2153158527793, 0.0373170354527},
		0.9: {22.5691951036302, 0.0279602328287},
	}
	seen := 0
	eachVector(t, "quantile_regression.json", func(t *testing.T, v vector, _ string) {
		if v.Name != "engel" {
			return
		}
		var in struct {
			Y          []float64
			Predictors []predictor
		}
		require.NoError(t, json.Unmarshal(v.Input, &in))
		d := designOf(t, len(in.Y), in.Predictors, nil)
		for tau, se := range want {
			got, err := QuantileRegression(d, in.Y, tau, 0.95)
			require.NoError(t, err)
			for j, c := range got.Coefficients {
				require.InEpsilon(t, se[j], c.SE, 1e-9)
			}
			seen++
		}
	})
	require.Equal(t, len(want), seen)
}

func TestQuantileRegressionRefuses(t *testing.T) {
	d := NewDesign(3)
	require.NoError(t, d.Add("x", []float64{1, 2, 3}))
	_, err := QuantileRegression(d, []float64{1, 2, 3}, 1, 0.95)
	requireReason(t, err, Invalid)
	require.NoError(t, d.Add("z", []float64{1, 0, 1}))
	_, err = QuantileRegression(d, []float64{1, 2, 3}, 0.5, 0.95)
	requireReason(t, err, TooFew)
	d = NewDesign(4)
	require.NoError(t, d.Add("x", []float64{2, 2, 2, 2}))
	_, err = QuantileRegression(d, []float64{1, 2, 3, 4}, 0.5, 0.95)
	requireReason(t, err, RankDeficient)
}

// All equal outcomes give their plane, and no standard error.
func TestQuantileRegressionOnAConstant(t *testing.T) {
	d := NewDesign(6)
	require.NoError(t, d.Add("x", []float64{1, 2, 3, 4, 5, 6}))
	m, err := QuantileRegression(d, []float64{4, 4, 4, 4, 4, 4}, 0.9, 0.95)
	require.NoError(t, err)
	require.InDelta(t, 4, m.Coefficients[0].Estimate, 1e-12)
	require.InDelta(t, 0, m.Coefficients[1].Estimate, 1e-12)
	require.NotEmpty(t, m.Notes)
}

// At the optimum at most a share tau lies below and at most 1 - tau above (Koenker and Bassett, theorem 3.4), and no plane
// through two other observations does better (whole numbers on purpose: many ties).
func TestQuantileRegressionIsOptimal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(4, 14).Draw(t, "n")
		x, y := make([]float64, n), make([]float64, n)
		for i := range x {
			x[i] = float64(rapid.IntRange(0, 8).Draw(t, "x"))
			y[i] = float64(rapid.IntRange(0, 8).Draw(t, "y"))
		}
		tau := rapid.SampledFrom([]float64{0.25, 0.5, 0.9}).Draw(t, "tau")
		d := NewDesign(n)
		require.NoError(t, d.Add("x", x))
		m, err := QuantileRegression(d, y, tau, 0.95)
		if err != nil {
			requireRank(t, err)
			return
		}
		below, above := 0, 0
		for i := range x {
			r := y[i] - m.Coefficients[0].Estimate - m.Coefficients[1].Estimate*x[i]
			if r < -1e-9 {
				below++
			} else if r > 1e-9 {
				above++
			}
		}
		require.LessOrEqual(t, float64(below), tau*float64(n)+1e-9)
		require.LessOrEqual(t, float64(above), (1-tau)*float64(n)+1e-9)
		best := math.Inf(1)
		for i := range x {
			for j := range x {
				if x[i] == x[j] {
					continue
				}
				slope := (y[j] - y[i]) / (x[j] - x[i])
				var loss float64
				for k := range x {
					loss += checkLoss(y[k]-y[i]-slope*(x[k]-x[i]), tau)
				}
				best = min(best, loss)
			}
		}
		require.InDelta(t, best, m.Objective, 1e-9)
	})
}

func requireRank(t *rapid.T, err error) {
	var d *Degenerate
	require.ErrorAs(t, err, &d)
	require.Equal(t, RankDeficient, d.Reason)
}

func BenchmarkQuantileRegression10000(b *testing.B) {
	d, y, _ := syntheticRegression(10_000)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := QuantileRegression(d, y, 0.9, 0.95); err != nil {
			b.Fatal(err)
		}
	}
}
