package timeline

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestCDEAndEPT(t *testing.T) {
	none := Ultrasound{}
	for _, c := range []struct {
		source                  string
		longitudinal, torsional Ultrasound
		want                    float64
	}{
		{"28: measured 61; found (Ricks 2024)", Ultrasound{60, 1}, none, 60.0},
		{"29: measured 24; found (Ricks 2024)", none, Ultrasound{60, 1}, 24.0},
		{"30; arithmetic", Ultrasound{5, 0.20}, Ultrasound{25, 0.60}, 7.00},
		{"31; arithmetic", none, Ultrasound{45, 0.80}, 14.40},
	} {
		got, err := CDE(c.longitudinal, c.torsional)
		require.NoError(t, err)
		require.InDelta(t, c.want, got, 0.001, c.source)
	}
	// Check value 32; arithmetic.
	ept, err := EPT(Ultrasound{60, 0.25})
	require.NoError(t, err)
	require.InDelta(t, 15.0, ept, 0.001)
	for _, bad := range []Ultrasound{{-1, 0.5}, {10, 1.5}, {10, -0.1}, {10, 25}, {math.NaN(), 0.5}, {10, math.NaN()}, {math.Inf(1), 0.5}} {
		_, err := EPT(bad)
		require.ErrorIs(t, err, ErrUltrasound)
		_, err = CDE(bad, none)
		require.ErrorIs(t, err, ErrUltrasound)
		_, err = CDE(none, bad)
		require.ErrorIs(t, err, ErrUltrasound)
	}
}

// Source: our definition; the entered value wins and more than 5 % apart is told.
func TestReconcile(t *testing.T) {
	for _, c := range []struct {
		entered, computed *float64
		value             *float64
		source            string
		difference        *float64
		disagree          bool
	}{
		{nil, nil, nil, "", nil, false},
		{pointTo(7.0), nil, pointTo(7.0), "entered", nil, false},
		{nil, pointTo(7.0), pointTo(7.0), "computed", nil, false},
		{pointTo(10.0), pointTo(10.5), pointTo(10.0), "entered", pointTo(5.0), false},
		{pointTo(10.0), pointTo(10.51), pointTo(10.0), "entered", pointTo(5.1), true},
		{pointTo(10.0), pointTo(9.0), pointTo(10.0), "entered", pointTo(-10.0), true},
		{pointTo(0.0), pointTo(0.0), pointTo(0.0), "entered", nil, false},
		{pointTo(0.0), pointTo(1.0), pointTo(0.0), "entered", nil, true},
	} {
		got := Reconcile(c.entered, c.computed)
		require.Equal(t, c.value, got.Value)
		require.Equal(t, c.source, got.Source)
		require.Equal(t, c.disagree, got.Disagree)
		if c.difference == nil {
			require.Nil(t, got.DifferencePercent)
		} else {
			require.InDelta(t, *c.difference, *got.DifferencePercent, 1e-9)
		}
	}
}
