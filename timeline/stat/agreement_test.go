package stat

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Source: psych 2.2.9 cohen.kappa and ICC; R 4.2.2 arithmetic for Bland-Altman, to the tolerance in the file.
func TestAgreementAgainstR(t *testing.T) {
	eachVector(t, "agreement.json", func(t *testing.T, v vector, kind string) {
		switch kind {
		case "kappa":
			checkKappa(t, v)
		case "bland_altman":
			checkBlandAltman(t, v)
		case "icc":
			checkICC(t, v)
		default:
			t.Fatalf("no check for %q", kind)
		}
	})
}

func checkKappa(t *testing.T, v vector) {
	var in struct{ Table [][]int64 }
	var want struct {
		N                int
		Observed, Chance float64
		Kappa            *float64
		SE, Lower, Upper float64
	}
	v.read(t, &in, &want)
	got, err := CohensKappa(in.Table, 0.95)
	if want.Kappa == nil {
		requireReason(t, err, Constant)
		return
	}
	require.NoError(t, err)
	require.Equal(t, want.N, got.N)
	v.near(t, want.Observed, got.Observed, "observed")
	v.near(t, want.Chance, got.Chance, "chance")
	v.near(t, *want.Kappa, got.Value, "kappa")
	v.near(t, want.SE, *got.SE, "se")
	v.near(t, want.Lower, got.Interval.Lower, "lower")
	v.near(t, want.Upper, got.Interval.Upper, "upper")
}

func checkBlandAltman(t *testing.T, v vector) {
	var in struct{ A, B []float64 }
	var want struct {
		N          int
		Bias, SD   float64
		BiasLower  float64 `json:"bias_lower"`
		BiasUpper  float64 `json:"bias_upper"`
		LowerLimit float64 `json:"lower_limit"`
		UpperLimit float64 `json:"upper_limit"`
		SE1986     float64 `json:"se_limit_1986"`
		SE1999     float64 `json:"se_limit_1999"`
		LowerLower float64 `json:"lower_limit_lower"`
		LowerUpper float64 `json:"lower_limit_upper"`
		UpperLower float64 `json:"upper_limit_lower"`
		UpperUpper float64 `json:"upper_limit_upper"`
	}
	v.read(t, &in, &want)
	got, err := BlandAltman(in.A, in.B, 0.95)
	require.NoError(t, err)
	require.Equal(t, want.N, got.Bias.N)
	v.near(t, want.Bias, got.Bias.Value, "bias")
	v.near(t, want.SD, got.SD, "sd")
	v.near(t, want.BiasLower, got.Bias.Interval.Lower, "bias lower")
	v.near(t, want.BiasUpper, got.Bias.Interval.Upper, "bias upper")
	v.near(t, want.LowerLimit, got.Lower.Value, "lower limit")
	v.near(t, want.UpperLimit, got.Upper.Value, "upper limit")
	v.near(t, want.SE1986, *got.Lower.SE, "se of a limit")
	v.near(t, want.SE1999, got.LimitSE, "longer se of a limit")
	v.near(t, want.LowerLower, got.Lower.Interval.Lower, "lower limit, lower")
	v.near(t, want.LowerUpper, got.Lower.Interval.Upper, "lower limit, upper")
	v.near(t, want.UpperLower, got.Upper.Interval.Lower, "upper limit, lower")
	v.near(t, want.UpperUpper, got.Upper.Interval.Upper, "upper limit, upper")
}

func checkICC(t *testing.T, v vector) {
	type form struct{ ICC, F, DF1, DF2, P, Lower, Upper float64 }
	var in struct{ Ratings [][]float64 }
	var want struct {
		OneWay     form `json:"icc_1_1"`
		Random     form `json:"icc_2_1"`
		Fixed      form `json:"icc_3_1"`
		OneWayMean form `json:"icc_1_k"`
		RandomMean form `json:"icc_2_k"`
		FixedMean  form `json:"icc_3_k"`
	}
	v.read(t, &in, &want)
	got, err := IntraclassCorrelation(in.Ratings, 0.95)
	require.NoError(t, err)
	for _, c := range []struct {
		name string
		want form
		got  ICC
	}{
		{"(1,1)", want.OneWay, got.OneWay}, {"(2,1)", want.Random, got.Random}, {"(3,1)", want.Fixed, got.Fixed},
		{"(1,k)", want.OneWayMean, got.OneWayMean}, {"(2,k)", want.RandomMean, got.RandomMean}, {"(3,k)", want.FixedMean, got.FixedMean},
	} {
		v.near(t, c.want.ICC, c.got.Value, c.name)
		v.near(t, c.want.F, c.got.F, c.name+" F")
		v.near(t, c.want.DF1, c.got.DF1, c.name+" df1")
		v.near(t, c.want.DF2, c.got.DF2, c.name+" df2")
		v.near(t, c.want.P, c.got.P, c.name+" p")
		v.near(t, c.want.Lower, c.got.Interval.Lower, c.name+" lower")
		v.near(t, c.want.Upper, c.got.Interval.Upper, c.name+" upper")
	}
}

func TestAgreementRefuses(t *testing.T) {
	_, err := CohensKappa([][]int64{{1, 2}}, 0.95)
	requireReason(t, err, Invalid)
	_, err = CohensKappa([][]int64{{0, 0}, {0, 0}}, 0.95)
	requireReason(t, err, TooFew)
	_, err = BlandAltman([]float64{1}, []float64{2}, 0.95)
	requireReason(t, err, TooFew)
	_, err = BlandAltman([]float64{1, 2}, []float64{2}, 0.95)
	requireReason(t, err, Invalid)
	_, err = IntraclassCorrelation([][]float64{{1, 2}}, 0.95)
	requireReason(t, err, TooFew)
	_, err = IntraclassCorrelation([][]float64{{1, 1}, {1, 1}}, 0.95)
	requireReason(t, err, Constant)
}
