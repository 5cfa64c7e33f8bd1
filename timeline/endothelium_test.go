package timeline

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestLossPercent(t *testing.T) {
	for _, c := range []struct {
		source                     string
		pre, post, want, tolerance float64
	}{
		{"1: Gogate 2010, phaco, manual; found, arithmetic", 2950.7, 2407.3, 18.42, 0.01},
		{"2: Gogate 2010, small incision, manual; found, arithmetic", 2852.5, 2346.6, 17.74, 0.01},
		{"3: Gogate 2010, phaco, automated; found, arithmetic", 3053.7, 3053.7 - 474.2, 15.53, 0.01},
		{"4: Godinho 2020, published 28.2; found", 1887.5, 1887.5 - 532.4, 28.2, 0.05},
		{"5: a gain stays negative; arithmetic", 2500, 2550, -2.0, 0.01},
	} {
		require.InDelta(t, c.want, LossPercent(c.pre, c.post), c.tolerance, c.source)
		loss := Loss(Count{Density: c.pre}, Count{Density: c.post}, 0.1)
		require.InDelta(t, c.want, *loss.LossPercent, c.tolerance, c.source)
	}
}

func TestAgeing(t *testing.T) {
	// Check value 6: Bourne 1997, published mean of subjects 0.6; inputs found, arithmetic.
	require.InDelta(t, 0.632, YearlyLossPercent(2715, 2539, 10.6), 0.005)
	// Check value 7: exp(-0.06); arithmetic.
	require.InDelta(t, 2354.4, DensityAfter(2500, AgeingPercentPerYear, 10), 0.5)
	// Check value 8: 2.5 % a year over 10 years; rate found (Bourne 1994), arithmetic.
	require.InDelta(t, 22.1, LossPercent(1000, DensityAfter(1000, 2.5, 10)), 0.05)
}

func TestAreaAndDensity(t *testing.T) {
	// Check value 9; arithmetic.
	require.InDelta(t, 2500, DensityFromArea(400), 0.1)
	// Check value 10: the paper's mean is 368; found (Duman 2016), arithmetic.
	require.InDelta(t, 366.0, MeanArea(2732), 0.1)
	rapid.Check(t, func(t *rapid.T) {
		density := rapid.Float64Range(100, 7000).Draw(t, "density")
		require.InDelta(t, density, DensityFromArea(MeanArea(density)), 1e-9)
	})
}

func TestRelativeError(t *testing.T) {
	for _, c := range []struct {
		source             string
		cv                 float64
		cells              int
		percent, halfWidth float64
	}{
		{"11; arithmetic", 0.25, 100, 2.50, 4.90},
		{"11, given as a percentage; arithmetic", 25, 100, 2.50, 4.90},
		{"12; arithmetic", 0.29, 100, 2.90, 5.68},
		{"13; arithmetic", 0.25, 30, 4.56, 8.95},
		{"14; arithmetic", 0.45, 75, 5.20, 10.18},
	} {
		got, err := RelativeError(Count{Density: 2500, Cells: &c.cells, CV: &c.cv})
		require.NoError(t, err)
		require.InDelta(t, c.percent, 100*got, 0.01, c.source)
		require.InDelta(t, c.halfWidth, 100*z95*got, 0.01, c.source)
	}
	// Check value 15: 138.3 and 96.04 rounded up; arithmetic.
	require.Equal(t, 139, CellsNeeded(0.30, 0.05))
	require.Equal(t, 97, CellsNeeded(0.25, 0.05))
	// Check value 16: limits of agreement from a standard deviation of 175; found (contact and non-contact), arithmetic.
	require.InDelta(t, 343.0, z95*175, 0.1)
	for _, bad := range []Count{{}, {Cells: pointTo(100)}, {CV: pointTo(0.3)}, {Cells: pointTo(0), CV: pointTo(0.3)}} {
		_, err := RelativeError(bad)
		require.ErrorIs(t, err, ErrCountingError)
	}
	_, err := RelativeError(Count{Cells: pointTo(100), CV: pointTo(2.0)})
	require.ErrorIs(t, err, ErrCV)
}

// Source: both forms are common practice; the refused band between them is our definition.
func TestNormaliseCV(t *testing.T) {
	for given, want := range map[float64]float64{0.30: 0.30, 30: 0.30, 1: 1, 5: 0.05, 100: 1, 25.5: 0.255} {
		got, err := NormaliseCV(given)
		require.NoError(t, err)
		require.InDelta(t, want, got, 1e-12)
	}
	for _, bad := range []float64{0, -0.3, 1.01, 4.9, 101, math.NaN(), math.Inf(1)} {
		_, err := NormaliseCV(bad)
		require.ErrorIs(t, err, ErrCV, "%g", bad)
	}
}

func count(density float64) Count {
	return Count{Density: density, Cells: pointTo(100), CV: pointTo(0.30), Instrument: "Specular one", Method: "centre"}
}

// Source: worked by hand. se = sqrt(2 * 0.30^2 / 100) = 0.042426; 1.96 se = 0.083156; exp(+-) = 1.086711, 0.920208.
func TestLossInterval(t *testing.T) {
	for _, c := range []struct {
		post, loss, low, high float64
		beyond                bool
	}{
		{2350, 6, -2.150900, 13.500490, false}, // a loss that looks real and is within counting error
		{2250, 10, 2.196000, 17.181330, true},
		{2600, -4, -13.017990, 4.298420, false},
		{2750, -10, -19.538270, -1.222870, true},
	} {
		r := Loss(count(2500), count(c.post), 0.1)
		require.InDelta(t, c.loss, *r.LossPercent, 1e-9)
		require.InDelta(t, c.low, *r.Low, 0.001)
		require.InDelta(t, c.high, *r.High, 0.001)
		require.Equal(t, c.beyond, *r.BeyondCountingError)
		require.True(t, r.CountingErrorKnown)
		// "Losses under about 8 % are within counting error": 100 (1 - 0.920208).
		require.InDelta(t, 7.979, *r.SmallestTold, 0.001)
		require.Nil(t, r.ExpectedWithoutSurgery)
		require.Len(t, r.Notes, 1)
	}
}

func TestLossWithoutCountingError(t *testing.T) {
	bare := Count{Density: 2500}
	r := Loss(bare, count(2000), 2)
	require.InDelta(t, 20, *r.LossPercent, 1e-9)
	require.False(t, r.CountingErrorKnown)
	require.Nil(t, r.BeyondCountingError)
	require.Nil(t, r.Low)
	require.InDelta(t, 2470.18, *r.ExpectedWithoutSurgery, 0.01) // 2500 exp(-0.012), by hand
	require.Len(t, r.Notes, 2)                                   // instrument not recorded, counting error not known
	require.Nil(t, Loss(bare, count(2000), 0.5).ExpectedWithoutSurgery, "only after more than half a year")
	few := count(2000)
	few.Cells = pointTo(74)
	require.Contains(t, Loss(count(2500), few, 0).Notes[1], "fewer than 75")
	require.Contains(t, Loss(few, count(2000), 0).Notes[1], "fewer than 75")
	few.Cells = pointTo(75)
	require.Len(t, Loss(count(2500), few, 0).Notes, 1)
	require.Len(t, Loss(few, count(2000), 0).Notes, 1)
	for _, density := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		require.Nil(t, Loss(Count{Density: density}, count(2000), 0).LossPercent)
		require.Nil(t, Loss(count(2000), Count{Density: density}, 0).LossPercent)
	}
}

func TestInstrumentsAreNotMixed(t *testing.T) {
	other := count(2000)
	other.Instrument = "Specular two"
	r := Loss(count(2500), other, 1)
	require.True(t, r.InstrumentMismatch)
	require.Nil(t, r.LossPercent)
	require.Len(t, r.Notes, 1)

	r = LossAcrossInstruments(count(2500), other, 1)
	require.True(t, r.InstrumentMismatch)
	require.InDelta(t, 20, *r.LossPercent, 1e-9)
	require.Contains(t, r.Notes[0], "on request")

	same := count(2000)
	same.Instrument, same.Method = "  specular  ONE", "Centre"
	require.False(t, Loss(count(2500), same, 1).InstrumentMismatch, "case and spaces make no difference")
	same.Method = "corner"
	require.True(t, Loss(count(2500), same, 1).InstrumentMismatch)
}

func TestLossIntervalHoldsThePoint(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) Count {
			return Count{Density: rapid.Float64Range(300, 4000).Draw(t, name), Cells: pointTo(rapid.IntRange(1, 500).Draw(t, "cells")),
				CV: pointTo(rapid.Float64Range(0.05, 1).Draw(t, "cv"))}
		}
		pre, post := draw("pre"), draw("post")
		r := Loss(pre, post, 0)
		require.True(t, *r.Low < *r.LossPercent && *r.LossPercent < *r.High)
		require.Less(t, *r.High, 100.0)
		require.Equal(t, *r.Low > 0 || *r.High < 0, *r.BeyondCountingError)
		back := Loss(post, pre, 0)
		require.InDelta(t, 1, (1-*r.LossPercent/100)*(1-*back.LossPercent/100), 1e-9)
		require.Equal(t, *r.BeyondCountingError, *back.BeyondCountingError, "the log scale has no preferred side")
	})
}

func TestCornea(t *testing.T) {
	change, ok := ThicknessChange(540, 594) // 54/540, by hand
	require.True(t, ok)
	require.InDelta(t, 10, change, 1e-9)
	_, ok = ThicknessChange(0, 594)
	require.False(t, ok)
	require.Len(t, OedemaGrades, 5)
}
