package stat

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Source: R 4.2.2 (mean, sd, t.test, prop.test, binom.test, poisson.test), to the tolerance in the file.
func TestDescriptiveAgainstR(t *testing.T) {
	eachVector(t, "descriptive.json", func(t *testing.T, v vector, kind string) {
		switch kind {
		case "mean":
			checkMean(t, v)
		case "proportion":
			checkProportion(t, v)
		case "poisson_rate":
			checkRate(t, v)
		default:
			t.Fatalf("no check for %q", kind)
		}
	})
}

func checkMean(t *testing.T, v vector) {
	var in struct {
		X     []float64
		Level float64 `json:"conf_level"`
	}
	var want struct {
		N            int
		Mean         float64
		SD, SEM      *float64
		Lower        *float64 `json:"mean_lower"`
		Upper        *float64 `json:"mean_upper"`
		Geometric    *float64 `json:"geometric_mean"`
		GeometricSD  *float64 `json:"geometric_sd"`
		GeometricLow *float64 `json:"geometric_mean_lower"`
		GeometricUp  *float64 `json:"geometric_mean_upper"`
	}
	v.read(t, &in, &want)
	got, err := Describe(in.X, in.Level)
	require.NoError(t, err)
	require.Equal(t, want.N, got.N)
	v.near(t, want.Mean, got.Mean, "mean")
	v.nearOptional(t, want.SD, got.SD, "sd")
	v.nearOptional(t, want.SEM, got.SEM, "sem")
	lower, upper := ends(got.MeanCI)
	v.nearOptional(t, want.Lower, lower, "lower")
	v.nearOptional(t, want.Upper, upper, "upper")
	v.nearOptional(t, want.Geometric, got.GeometricMean, "geometric mean")
	v.nearOptional(t, want.GeometricSD, got.GeometricSD, "geometric sd")
	lower, upper = ends(got.GeometricCI)
	v.nearOptional(t, want.GeometricLow, lower, "geometric lower")
	v.nearOptional(t, want.GeometricUp, upper, "geometric upper")
}

func ends(ci *Interval) (lower, upper *float64) {
	if ci == nil {
		return nil, nil
	}
	return &ci.Lower, &ci.Upper
}

func checkProportion(t *testing.T, v vector) {
	var in struct {
		K, N  int
		Level float64 `json:"conf_level"`
	}
	var want struct {
		Proportion  float64
		WilsonLower float64 `json:"wilson_lower"`
		WilsonUpper float64 `json:"wilson_upper"`
		ExactLower  float64 `json:"exact_lower"`
		ExactUpper  float64 `json:"exact_upper"`
	}
	v.read(t, &in, &want)
	score, err := Wilson(in.K, in.N, in.Level)
	require.NoError(t, err)
	exact, err := ClopperPearson(in.K, in.N, in.Level)
	require.NoError(t, err)
	v.near(t, want.Proportion, score.Value, "proportion")
	v.near(t, want.WilsonLower, score.Interval.Lower, "Wilson lower")
	v.near(t, want.WilsonUpper, score.Interval.Upper, "Wilson upper")
	v.near(t, want.ExactLower, exact.Interval.Lower, "exact lower")
	v.near(t, want.ExactUpper, exact.Interval.Upper, "exact upper")
}

func checkRate(t *testing.T, v vector) {
	var in struct {
		Count    int
		Exposure float64
		Level    float64 `json:"conf_level"`
	}
	var want struct {
		Rate  float64
		Lower float64 `json:"exact_lower"`
		Upper float64 `json:"exact_upper"`
	}
	v.read(t, &in, &want)
	got, err := PoissonRate(in.Count, in.Exposure, in.Level)
	require.NoError(t, err)
	v.near(t, want.Rate, got.Value, "rate")
	v.near(t, want.Lower, got.Interval.Lower, "lower")
	v.near(t, want.Upper, got.Interval.Upper, "upper")
}

// Source: NIST StRD, univariate summary statistics, certified values.
func TestUnivariateAgainstNIST(t *testing.T) {
	eachVector(t, "nist_univariate.json", func(t *testing.T, v vector, _ string) {
		var in struct{ X []float64 }
		var want struct {
			N        int
			Mean, SD float64
			Lag1     *float64 `json:"lag1_autocorrelation"`
		}
		v.read(t, &in, &want)
		got, err := Describe(in.X, 0.95)
		require.NoError(t, err)
		require.Equal(t, want.N, got.N)
		v.near(t, want.Mean, got.Mean, "mean")
		v.near(t, want.SD, *got.SD, "sd")
		lag, err := Autocorrelation(in.X)
		if want.Lag1 == nil {
			requireReason(t, err, Constant)
			return
		}
		require.NoError(t, err)
		v.near(t, *want.Lag1, lag, "autocorrelation")
	})
}

// Source: R 4.2.2 quantile(type = 7) and mad(constant = 1.4826).
func TestMedianAndSpreadAgainstR(t *testing.T) {
	eachVector(t, "quantiles.json", func(t *testing.T, v vector, _ string) {
		var in struct{ X []float64 }
		var want struct{ Median, Q1, Q3, IQR, MAD float64 }
		v.read(t, &in, &want)
		got, err := Describe(in.X, 0.95)
		require.NoError(t, err)
		v.near(t, want.Median, got.Median, "median")
		v.near(t, want.Q1, got.Q1, "q1")
		v.near(t, want.Q3, got.Q3, "q3")
		v.near(t, want.IQR, got.IQR, "iqr")
		v.near(t, want.MAD, got.MAD, "mad")
	})
}

func TestDescribeRefuses(t *testing.T) {
	_, err := Describe(nil, 0.95)
	requireReason(t, err, TooFew)
	_, err = Describe([]float64{1, math.NaN()}, 0.95)
	requireReason(t, err, Invalid)
	_, err = Describe([]float64{1}, 1)
	requireReason(t, err, Invalid)
	_, err = Autocorrelation([]float64{1})
	requireReason(t, err, TooFew)
}

// Shifting and scaling a sample shifts and scales its summary (algebra).
func TestDescribeIsEquivariant(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(rapid.Float64Range(-1000, 1000), 2, 40).Draw(t, "x")
		y := make([]float64, len(x))
		for i, v := range x {
			y[i] = 2*v + 64
		}
		a, err := Describe(x, 0.9)
		require.NoError(t, err)
		b, err := Describe(y, 0.9)
		require.NoError(t, err)
		require.InDelta(t, 2*a.Mean+64, b.Mean, 1e-9)
		require.InDelta(t, 2**a.SD, *b.SD, 1e-9)
		require.InDelta(t, 2*a.Median+64, b.Median, 1e-9)
		require.InDelta(t, 2*a.IQR, b.IQR, 1e-9)
		require.InDelta(t, 2*a.MAD, b.MAD, 1e-9)
	})
}
