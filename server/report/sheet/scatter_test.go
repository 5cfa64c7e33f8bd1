package sheet

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestScattersKeepTheirTextsApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		scatters := make(Scatters, rapid.IntRange(1, 2).Draw(t, "scatters"))
		// Quantities are told to a thousandth of their unit at the finest.
		to := func(low, high int) *rapid.Generator[float64] {
			return rapid.Map(rapid.IntRange(low*1000, high*1000), func(n int) float64 { return float64(n) / 1000 })
		}
		value := to(-400, 400)
		for i := range scatters {
			s := Scatter{X: "time in the nucleus stage, min", Y: "Loss of endothelial cells at month 3, %", LineWord: "line with 95 % band", SmoothWord: "smoothed, for the eye", AboveWord: "cases with it", BelowWord: "cases without"}
			s.LogX = rapid.Bool().Draw(t, "log")
			across := func() float64 {
				if s.LogX {
					return max(0.01, to(0, 500).Draw(t, "x"))
				}
				return value.Draw(t, "x")
			}
			for range rapid.IntRange(0, 5).Draw(t, "points") {
				s.Points = append(s.Points, ScatterPoint{across(), value.Draw(t, "y")})
				s.Line = append(s.Line, ScatterBand{X: across(), Y: 1, Low: 0, High: 3})
				s.Smooth = append(s.Smooth, ScatterPoint{across(), 2})
				s.Above, s.Below = append(s.Above, across()), append(s.Below, across())
			}
			s.Zero = !s.LogX && rapid.Bool().Draw(t, "zero")
			scatters[i] = s
		}
		d := scatters.draw()
		requireApart(t, d)
		for _, dot := range d.of(shapeDot) {
			require.True(t, dot.x >= 0 && dot.x <= figureWidth && dot.y >= plotTop && dot.y <= plotBottom)
		}
	})
}

// TestScatterPlacesByItsAxes: the corners of the data that are round are the corners of the plot; the band stays within it.
func TestScatterPlacesByItsAxes(t *testing.T) {
	d := Scatters{{
		Points: []ScatterPoint{{0, 0}, {10, 20}, {5, 10}},
		Line:   []ScatterBand{{0, 0, -500, 500}, {10, 20, -500, 500}},
	}}.draw()
	dots := d.of(shapeDot)
	require.Len(t, dots, 3)
	require.InDelta(t, plotBottom, dots[0].y, 1e-9)
	require.InDelta(t, plotTop, dots[1].y, 1e-9)
	require.InDelta(t, (dots[0].x+dots[1].x)/2, dots[2].x, 1e-9)
	require.InDelta(t, (dots[0].y+dots[1].y)/2, dots[2].y, 1e-9)
	for _, corner := range d.of(shapeArea)[0].points {
		require.True(t, corner.y >= plotTop && corner.y <= plotBottom)
	}
	curve := d.of(shapeCurve)[0]
	require.InDelta(t, dots[0].y, curve.points[0].y, 1e-9)
	require.InDelta(t, dots[1].x, curve.points[1].x, 1e-9)
}
