package sheet

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// requireApart holds what every figure promises: its texts stay on it and none meets another.
func requireApart(t require.TestingT, d drawing) {
	texts := d.texts()
	for i, a := range texts {
		require.GreaterOrEqual(t, a.top, -0.01, a.text)
		require.LessOrEqual(t, a.bottom, d.height, a.text)
		require.GreaterOrEqual(t, a.left, -0.01, a.text)
		require.LessOrEqual(t, a.right, d.width+4, a.text) // the last number of an axis stands half over its end
		for _, b := range texts[:i] {
			apart := a.left >= b.right || b.left >= a.right || a.top >= b.bottom || b.top >= a.bottom
			require.True(t, apart, "%q meets %q", a.text, b.text)
		}
	}
}

func TestForestKeepsItsTextsApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := Forest{Unit: "% fewer cells left", Less: "← more cells left", More: "fewer cells left →", Log: rapid.Bool().Draw(t, "log")}
		size := rapid.Float64Range(-6, 6)
		if f.Log {
			f.None = 1
		}
		for range rapid.IntRange(0, 30).Draw(t, "rows") {
			values := []float64{size.Draw(t, "a"), size.Draw(t, "b"), size.Draw(t, "c")}
			low, high := min(values[0], values[1], values[2]), max(values[0], values[1], values[2])
			row := ForestRow{Label: strings.Repeat("Time ", rapid.IntRange(1, 20).Draw(t, "words")), Value: "1.24 (0.96 to any size)", Low: low, Estimate: (low + high) / 2, High: high, Known: rapid.Bool().Draw(t, "known"), Inset: rapid.Bool().Draw(t, "inset")}
			if f.Log {
				row.Low, row.Estimate, row.High = math.Exp(row.Low), math.Exp(row.Estimate), math.Exp(row.High)
			}
			f.Rows = append(f.Rows, row)
		}
		requireApart(t, f.draw())
	})
}

// bars gives the bars of a forest, arrows and marks.
func (d drawing) of(kind shapeKind) []shape {
	var some []shape
	for _, s := range d.shapes {
		if s.kind == kind {
			some = append(some, s)
		}
	}
	return some
}

// TestForestPlacesByTheAxis: on a logarithmic axis half as much and twice as much lie equally far from none; an interval
// without a bound fills its side and ends in an arrow; a row without an estimate has no mark.
func TestForestPlacesByTheAxis(t *testing.T) {
	f := Forest{Log: true, None: 1, Rows: []ForestRow{
		{Label: "a", Low: 0.5, Estimate: 1, High: 2, Known: true},
		{Label: "b", Low: 0.8, Estimate: 1.5, High: math.MaxFloat64, Known: true},
		{Label: "c", Low: 0, Estimate: 0.9, High: 1.2, Known: true, Inset: true},
		{Label: "d", Value: "nothing can be said"},
	}}
	d := f.draw()
	bars := d.of(shapeRect)
	require.Len(t, bars, 3)
	a := f.axis()
	none := forestLeft + forestWidth*a.within(1)
	require.InDelta(t, none-bars[0].x, bars[0].x+bars[0].w-none, 1e-9)
	require.InDelta(t, forestLeft+forestWidth, bars[1].x+bars[1].w, 1e-9)
	require.InDelta(t, forestLeft, bars[2].x, 1e-9)
	require.Len(t, d.of(shapeArea), 2, "one arrow to each side")
	require.Len(t, d.of(shapeDiamond), 4, "a hollow mark is two")
}

// TestOneWideIntervalDoesNotPressTheOthersTogether.
func TestOneWideIntervalDoesNotPressTheOthersTogether(t *testing.T) {
	f := Forest{Rows: []ForestRow{
		{Low: -1, Estimate: 0.5, High: 2, Known: true}, {Low: -0.5, Estimate: 1, High: 2.5, Known: true}, {Low: -4000, Estimate: 3, High: 4000, Known: true},
	}}
	a := f.axis()
	require.Less(t, a.high-a.low, 40.0)
	require.GreaterOrEqual(t, a.high, 3.0)
}

func TestAxes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(-1e6, 1e6).Draw(t, "low")
		high := low + rapid.Float64Range(1e-3, 1e6).Draw(t, "more")
		a := linearAxis(low, high, 5)
		require.LessOrEqual(t, a.low, low+1e-6*math.Abs(high-low))
		require.GreaterOrEqual(t, a.high, high-1e-6*math.Abs(high-low))
		require.LessOrEqual(t, len(a.ticks), 8)
		require.GreaterOrEqual(t, len(a.ticks), 2)
		for i, tick := range a.ticks {
			require.InDelta(t, a.at(tick), a.within(tick), 1e-6)
			if i > 0 {
				require.NotEqual(t, a.write(a.ticks[i-1]), a.write(tick))
			}
		}
	})
	require.Equal(t, []float64{0.5, 1, 2}, logAxis(0.4, 3, 3).ticks)
	require.InDelta(t, 0.5, logAxis(0.1, 10, 5).at(1), 1e-12)
	require.True(t, math.IsInf(logAxis(0.1, 10, 5).at(0), -1))
	for _, axis := range []axis{linearAxis(3, 3, 5), logAxis(3, 3, 5)} {
		require.Greater(t, axis.high, axis.low, "one value alone has an axis too")
		require.NotEmpty(t, axis.ticks)
	}
}
