package timeline

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// TestTheSignOfALoss: fewer cells than before is a loss above 0, more cells one below.
func TestTheSignOfALoss(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pre, post := rapid.Float64Range(200, 5000).Draw(t, "pre"), rapid.Float64Range(200, 5000).Draw(t, "post")
		loss := *Loss(Count{Density: pre}, Count{Density: post}, 0).LossPercent
		require.Equal(t, post < pre, loss > 0)
		require.Equal(t, post > pre, loss < 0)
		require.Less(t, loss, 100.0)
		require.InDelta(t, post, pre*(1-loss/100), 1e-9, "there and back")
	})
}

func TestTheIntervalOfADensityHoldsIt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cells := rapid.IntRange(1, 400).Draw(t, "cells")
		c := Count{Density: rapid.Float64Range(200, 5000).Draw(t, "density"), Cells: &cells, CV: pointTo(rapid.Float64Range(0.05, 1).Draw(t, "cv"))}
		low, high, err := DensityInterval(c)
		require.NoError(t, err)
		require.True(t, 0 < low && low < c.Density && c.Density < high)
		require.InDelta(t, c.Density, math.Sqrt(low*high), 1e-9, "even on the log scale")
		c.Cells = pointTo(cells + 1)
		narrowLow, narrowHigh, err := DensityInterval(c)
		require.NoError(t, err)
		require.True(t, low < narrowLow && narrowHigh < high, "another cell narrows it")
	})
}

// TestAcrossInstrumentsChangesOnlyWhatIsSaid: the numbers are those of counts whose instruments are the same.
func TestAcrossInstrumentsChangesOnlyWhatIsSaid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pre, post := count(rapid.Float64Range(500, 4000).Draw(t, "pre")), count(rapid.Float64Range(500, 4000).Draw(t, "post"))
		years := rapid.Float64Range(0, 3).Draw(t, "years")
		same := Loss(pre, post, years)
		require.Equal(t, same, LossAcrossInstruments(pre, post, years), "nothing to cross")
		post.Instrument = "Specular two"
		across := LossAcrossInstruments(pre, post, years)
		require.True(t, across.InstrumentMismatch)
		require.Equal(t, same.Notes, across.Notes[1:])
		across.InstrumentMismatch, across.Notes = false, same.Notes
		require.Equal(t, same, across)
	})
}

func TestCVAsFractionAndAsPercentage(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		fraction := rapid.Float64Range(0.051, 0.999).Draw(t, "fraction")
		plain, err := NormaliseCV(fraction)
		require.NoError(t, err)
		percentage, err := NormaliseCV(100 * fraction)
		require.NoError(t, err)
		require.InDelta(t, plain, percentage, 1e-12)
	})
}

// TestAcuityInEveryNotation: one acuity written in each notation is one acuity.
func TestAcuityInEveryNotation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		logMAR := math.Round(100*rapid.Float64Range(-0.3, 1.6).Draw(t, "logMAR")) / 100
		for notation, typed := range map[Notation]string{
			NotationLogMAR:  fmt.Sprintf("%.2f", logMAR),
			NotationDecimal: fmt.Sprintf("%.6f", DecimalFromLogMAR(logMAR)),
			NotationSnellen: fmt.Sprintf("6/%.5f", 6/DecimalFromLogMAR(logMAR)),
		} {
			got, err := ParseAcuity(typed, notation)
			require.NoError(t, err, typed)
			require.InDelta(t, logMAR, *got.LogMAR, 1e-5, typed)
		}
	})
}

// TestPowerVectorThereAndBack: M = sphere + cylinder/2 and |J| = -cylinder/2 give sphere and cylinder back, and the angle
// of J half the axis. Source: Thibos 1997, from memory; arithmetic.
func TestPowerVectorThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sphere, cylinder := rapid.Float64Range(-12, 12).Draw(t, "sphere"), rapid.Float64Range(-6, -0.25).Draw(t, "cylinder")
		axis := rapid.Float64Range(1, 179).Draw(t, "axis")
		v := Vector(sphere, cylinder, axis)
		length := math.Hypot(v.J0, v.J45)
		require.InDelta(t, cylinder, -2*length, 1e-9)
		require.InDelta(t, sphere, v.M+length, 1e-9)
		back := math.Mod(math.Atan2(v.J45, v.J0)*90/math.Pi+180, 180)
		require.InDelta(t, axis, back, 1e-6)
		require.InDelta(t, SphericalEquivalent(sphere, cylinder), v.M, 1e-12)
	})
}

// TestTheRiskStaysAChance: whatever multiplies the odds, a chance lies between 0 and 100 % and rises with the multiplier.
func TestTheRiskStaysAChance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := caseD()
		in.Pupil = rapid.SampledFrom([]string{"", "small", "medium", "large"}).Draw(t, "pupil")
		in.OddsMultiplier = pointTo(rapid.Float64Range(0.01, 50).Draw(t, "multiplier"))
		risk := ExpectedRisk(in)
		require.True(t, 0 < risk.LowPercent && risk.LowPercent <= risk.HighPercent && risk.HighPercent < 100)
		in.OddsMultiplier = pointTo(*in.OddsMultiplier * 1.1)
		more := ExpectedRisk(in)
		require.Greater(t, more.LowPercent, risk.LowPercent)
		require.Greater(t, more.HighPercent, risk.HighPercent)
	})
}
