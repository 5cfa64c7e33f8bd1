package stat

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Source: R 4.2.2 nls, lm and lm.fit; NIST StRD DanWood; to the tolerance in the file.
func TestLearningCurvesAgainstRAndNIST(t *testing.T) {
	eachVector(t, "learning_curve.json", func(t *testing.T, v vector, kind string) {
		switch kind {
		case "power_law", "power_law_no_floor":
			checkPowerLaw(t, v, kind == "power_law")
		case "log_log":
			checkLogLog(t, v)
		case "segmented":
			checkSegmented(t, v)
		default:
			t.Fatalf("no check for %q", kind)
		}
	})
}

func checkPowerLaw(t *testing.T, v vector, floor bool) {
	var in struct{ N, Y []float64 }
	var want struct {
		Estimate, SE []float64
		ResidualSD   float64 `json:"residual_sd"`
		SSE          float64
		DF           int `json:"df_residual"`
	}
	v.read(t, &in, &want)
	got, err := PowerLaw(in.N, in.Y, floor, 0.95)
	require.NoError(t, err)
	require.Equal(t, want.DF, got.DF)
	parts := []Estimate{got.A, got.B}
	if floor {
		parts = append(parts, *got.C)
	}
	require.Len(t, parts, len(want.Estimate))
	for j, e := range parts {
		v.near(t, want.Estimate[j], e.Value, "estimate")
		v.near(t, want.SE[j], *e.SE, "se")
	}
	v.near(t, want.ResidualSD, got.ResidualSD, "residual sd")
	v.near(t, want.SSE, got.SSE, "sse")
	if v.Name == "nist_danwood" {
		// About as many digits as NIST prints.
		for j, e := range parts {
			require.InEpsilon(t, want.Estimate[j], e.Value, 1e-10)
			require.InEpsilon(t, want.SE[j], *e.SE, 1e-10)
		}
		require.InEpsilon(t, want.SSE, got.SSE, 1e-10)
	}
}

func checkLogLog(t *testing.T, v vector) {
	var in struct{ N, Y []float64 }
	var want struct {
		Intercept, Slope, A float64
		SEIntercept         float64 `json:"se_intercept"`
		SESlope             float64 `json:"se_slope"`
		SlopeLower          float64 `json:"slope_lower"`
		SlopeUpper          float64 `json:"slope_upper"`
		PSlope              float64 `json:"p_slope"`
		ResidualSD          float64 `json:"residual_sd"`
		RSquared            float64 `json:"r_squared"`
		Rate                float64 `json:"learning_rate"`
		RateLower           float64 `json:"learning_rate_lower"`
		RateUpper           float64 `json:"learning_rate_upper"`
	}
	v.read(t, &in, &want)
	got, err := LearningCurve(in.N, in.Y, 0.95)
	require.NoError(t, err)
	intercept, slope := got.Model.Coefficients[0], got.Model.Coefficients[1]
	v.near(t, want.Intercept, intercept.Estimate, "intercept")
	v.near(t, want.SEIntercept, intercept.SE, "se of the intercept")
	v.near(t, want.Slope, slope.Estimate, "slope")
	v.near(t, want.SESlope, slope.SE, "se of the slope")
	v.near(t, want.SlopeLower, slope.Interval.Lower, "slope lower")
	v.near(t, want.SlopeUpper, slope.Interval.Upper, "slope upper")
	v.near(t, want.PSlope, slope.P, "p")
	v.near(t, want.ResidualSD, got.Model.ResidualSD, "residual sd")
	v.near(t, want.RSquared, got.Model.RSquared, "r squared")
	v.near(t, want.A, got.A, "a")
	v.near(t, want.Rate, got.LearningRate.Value, "learning rate")
	v.near(t, want.RateLower, got.LearningRate.Interval.Lower, "learning rate lower")
	v.near(t, want.RateUpper, got.LearningRate.Interval.Upper, "learning rate upper")
}

func checkSegmented(t *testing.T, v vector) {
	var in struct {
		X, Y []float64
		Grid struct{ From, To, Step float64 }
	}
	var want struct {
		Psi, B0, B1, B2 float64
		Before          float64 `json:"slope_before"`
		After           float64 `json:"slope_after"`
		SSE, F          float64
		Line            float64   `json:"sse_line"`
		P               float64   `json:"p_approximate"`
		Grid            []float64 `json:"grid_sse"`
	}
	v.read(t, &in, &want)
	var candidates []float64
	for k := range int(math.Round((in.Grid.To-in.Grid.From)/in.Grid.Step)) + 1 {
		candidates = append(candidates, in.Grid.From+in.Grid.Step*float64(k))
	}
	got, err := Segmented(in.X, in.Y, candidates, 0.95)
	require.NoError(t, err)
	v.near(t, want.Psi, got.Break, "break")
	for j, b := range []float64{want.B0, want.B1, want.B2} {
		v.near(t, b, got.Model.Coefficients[j].Estimate, "coefficient")
	}
	v.near(t, want.Before, got.SlopeBefore, "slope before")
	v.near(t, want.After, got.SlopeAfter, "slope after")
	v.near(t, want.SSE, got.SSE, "sse")
	v.near(t, want.Line, got.SSELine, "sse of the line")
	v.near(t, want.F, got.F.Statistic, "f")
	v.near(t, want.P, got.F.P, "p")
	v.nearAll(t, want.Grid, got.SSEs, "sse of the candidates")
}

func TestLearningCurvesRefuse(t *testing.T) {
	_, err := LearningCurve([]float64{0, 1, 2}, []float64{1, 2, 3}, 0.95)
	requireReason(t, err, Invalid)
	_, err = LearningCurve([]float64{1, 2}, []float64{1, 2}, 0.95)
	requireReason(t, err, TooFew)
	_, err = PowerLaw([]float64{1, 2, 3}, []float64{5, 4, 3}, true, 0.95)
	requireReason(t, err, TooFew)
	_, err = PowerLaw([]float64{1, 2, 3, 4}, []float64{5, 5, 5, 5}, true, 0.95)
	requireReason(t, err, Constant)
	_, err = PowerLaw([]float64{2, 2, 2, 2}, []float64{5, 6, 7, 5}, true, 0.95)
	requireReason(t, err, RankDeficient)
	_, err = Segmented([]float64{1, 2, 3, 4, 5, 6}, []float64{1, 2, 3, 4, 5, 7}, nil, 0.95)
	requireReason(t, err, TooFew)
	_, err = Segmented([]float64{1, 2, 3, 4, 5, 6}, []float64{1, 2, 3, 4, 5, 7}, []float64{9}, 0.95)
	requireReason(t, err, RankDeficient)
}

// A curve without error is found again, and the band at a case holds the curve there (algebra).
func TestPowerLawFindsAnExactCurve(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(50, 500).Draw(t, "a")
		b := rapid.Float64Range(0.2, 2).Draw(t, "b")
		c := rapid.Float64Range(10, 200).Draw(t, "c")
		n, y := make([]float64, 30), make([]float64, 30)
		for i := range n {
			n[i] = float64(i + 1)
			y[i] = a*math.Pow(n[i], -b) + c
		}
		got, err := PowerLaw(n, y, true, 0.95)
		require.NoError(t, err)
		require.InEpsilon(t, b, got.B.Value, 1e-6)
		require.InEpsilon(t, a, got.A.Value, 1e-6)
		require.InEpsilon(t, c, got.C.Value, 1e-6)
		at, err := got.At(7)
		require.NoError(t, err)
		require.InEpsilon(t, y[6], at.Value, 1e-6)
		require.LessOrEqual(t, at.Mean.Lower, at.Value)
	})
}

// The band of the log curve at a case is that of the line, taken back to durations.
func TestLogCurveBand(t *testing.T) {
	c, err := LearningCurve([]float64{1, 2, 4, 8}, []float64{100, 84, 69, 60}, 0.95)
	require.NoError(t, err)
	at, err := c.At(1)
	require.NoError(t, err)
	require.InEpsilon(t, c.A, at.Value, 1e-12)
	require.InEpsilon(t, math.Exp(c.Model.Coefficients[0].Interval.Upper), at.Mean.Upper, 1e-12)
	require.Greater(t, at.New.Upper, at.Mean.Upper)
	_, err = c.At(0)
	requireReason(t, err, Invalid)
}
