package stat

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"zonule/timeline"
)

// Source: scipy 1.10.1 theilslopes, statsmodels 0.13.5 lowess, to the tolerance in the file.
func TestRobustLinesAgainstScipyAndStatsmodels(t *testing.T) {
	eachVector(t, "robust.json", func(t *testing.T, v vector, kind string) {
		var in struct {
			X, Y  []float64
			Level float64 `json:"conf_level"`
			Frac  float64
		}
		var want struct {
			N         int
			Slope     float64
			Lower     float64 `json:"slope_lower"`
			Upper     float64 `json:"slope_upper"`
			Intercept float64 `json:"intercept_separate"`
			Joint     float64 `json:"intercept_joint"`
			X         []float64
			It0       []float64 `json:"fitted_it0"`
			It3       []float64 `json:"fitted_it3"`
		}
		v.read(t, &in, &want)
		switch kind {
		case "theil_sen":
			got, err := TheilSen(in.X, in.Y, in.Level)
			require.NoError(t, err)
			require.Equal(t, want.N, got.Slope.N)
			v.near(t, want.Slope, got.Slope.Value, "slope")
			v.near(t, want.Lower, got.Slope.Interval.Lower, "lower")
			v.near(t, want.Upper, got.Slope.Interval.Upper, "upper")
			v.near(t, want.Intercept, got.Intercept, "intercept")
			v.near(t, want.Joint, got.InterceptJoint, "joint intercept")
		case "lowess":
			for passes, fitted := range map[int][]float64{0: want.It0, 3: want.It3} {
				got, err := LOWESS(in.X, in.Y, in.Frac, passes)
				require.NoError(t, err)
				require.Equal(t, want.X, got.X)
				v.nearAll(t, fitted, got.Fitted, "fitted")
			}
		default:
			t.Fatalf("no check for %q", kind)
		}
	})
}

func TestRobustLinesRefuse(t *testing.T) {
	_, err := TheilSen([]float64{1, 1}, []float64{1, 2}, 0.95)
	requireReason(t, err, Constant)
	_, err = TheilSen([]float64{1}, []float64{1}, 0.95)
	requireReason(t, err, TooFew)
	_, err = LOWESS([]float64{1, 2, 3}, []float64{1, 2, 3}, 0.1, 0)
	requireReason(t, err, Invalid)
}

// The counted median of the slopes is the median of the list of slopes.
func TestTheilSenAgainstTheList(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 25).Draw(t, "n")
		x, y := make([]float64, n), make([]float64, n)
		for i := range x {
			x[i] = float64(rapid.IntRange(0, 12).Draw(t, "x"))
			y[i] = float64(rapid.IntRange(-12, 12).Draw(t, "y"))
		}
		var list []float64
		for i := range x {
			for j := range x {
				if x[j] > x[i] {
					list = append(list, (y[j]-y[i])/(x[j]-x[i]))
				}
			}
		}
		got, err := TheilSen(x, y, 0.95)
		if len(list) == 0 {
			require.Error(t, err)
			return
		}
		require.NoError(t, err)
		slices.Sort(list)
		require.InDelta(t, timeline.Quantile(list, 0.5), got.Slope.Value, 1e-9)
	})
}

// A straight line stays straight, whatever the window (algebra).
func TestLOWESSKeepsALine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfNDistinct(rapid.IntRange(0, 500), 6, 40, rapid.ID[int]).Draw(t, "x")
		xs, ys := make([]float64, len(x)), make([]float64, len(x))
		for i, v := range x {
			xs[i], ys[i] = float64(v), 3*float64(v)-7
		}
		got, err := LOWESS(xs, ys, 0.7, 2)
		require.NoError(t, err)
		for i, at := range got.X {
			require.InDelta(t, 3*at-7, got.Fitted[i], 1e-6)
		}
	})
}

func BenchmarkTheilSen10000(b *testing.B) {
	x, y := make([]float64, 10_000), make([]float64, 10_000)
	for i := range x {
		x[i], y[i] = float64(i*7919%10_007), float64(i*6101%9_973)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := TheilSen(x, y, 0.95); err != nil {
			b.Fatal(err)
		}
	}
}
