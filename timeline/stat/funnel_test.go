package stat

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Source: R 4.2.2 qbinom and pbinom, to the tolerance in the file.
func TestFunnelAgainstR(t *testing.T) {
	eachVector(t, "funnel.json", func(t *testing.T, v vector, _ string) {
		var in struct {
			Target    float64
			N, Events []int
		}
		var want struct {
			Lower95, Upper95, Lower998, Upper998 []float64
			RawLower95                           []float64 `json:"raw_lower95"`
			RawLower998                          []float64 `json:"raw_lower998"`
			Z                                    []float64 `json:"unit_z"`
			Dispersion                           float64
			P                                    float64 `json:"p_dispersion"`
			Outside95, Outside998                []bool
		}
		v.read(t, &in, &want)
		for i, n := range in.N {
			got, err := FunnelAt(n, in.Target)
			require.NoError(t, err)
			v.near(t, want.Lower95[i], got.Lower95, "lower 95")
			v.near(t, want.Upper95[i], got.Upper95, "upper 95")
			v.near(t, want.Lower998[i], got.Lower998, "lower 99.8")
			v.near(t, want.Upper998[i], got.Upper998, "upper 99.8")
			v.near(t, want.RawLower95[i], got.RawLower95, "raw lower 95")
			v.near(t, want.RawLower998[i], got.RawLower998, "raw lower 99.8")
		}
		if in.Events == nil {
			return
		}
		got, err := Funnel(in.Events, in.N, in.Target)
		require.NoError(t, err)
		v.near(t, want.Dispersion, got.Dispersion, "dispersion")
		v.near(t, want.P, got.P, "p of the dispersion")
		for i, u := range got.Units {
			v.near(t, want.Z[i], u.Z, "z")
			require.Equal(t, want.Outside95[i], u.Outside95)
			require.Equal(t, want.Outside998[i], u.Outside998)
		}
	})
}

// Check values 56 to 59, in per cent to 0.01: arithmetic of the method.
func TestFunnelCheckValues(t *testing.T) {
	for _, c := range []struct {
		n                                    int
		target                               float64
		lower998, lower95, upper95, upper998 float64
	}{
		{100, 0.0192, 0, 0, 4.61, 6.89}, {200, 0.0192, 0, 0, 3.82, 5.33},
		{500, 0.0192, 0.22, 0.70, 3.12, 3.98}, {1000, 0.0101, 0.13, 0.39, 1.63, 2.07},
	} {
		got, err := FunnelAt(c.n, c.target)
		require.NoError(t, err)
		if c.n >= 500 {
			require.InDelta(t, c.lower998, 100*got.Lower998, 0.01)
			require.InDelta(t, c.lower95, 100*got.Lower95, 0.01)
		}
		require.InDelta(t, c.upper95, 100*got.Upper95, 0.01)
		require.InDelta(t, c.upper998, 100*got.Upper998, 0.01)
	}
}
