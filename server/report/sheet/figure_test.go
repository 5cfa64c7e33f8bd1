package sheet

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// box is where a text stands, in mm, by its rough width.
type box struct {
	left, right, top, bottom float64
	text                     string
}

func (d drawing) texts() []box {
	var all []box
	for _, s := range d.shapes {
		if s.kind != shapeText || s.text == "" {
			continue
		}
		width := roughWidth(s.text, s.size)
		if s.w > 0 {
			width = min(width, s.w)
		}
		height := s.size * 25.4 / 72
		left := s.x - map[anchor]float64{atLeft: 0, atMiddle: width / 2, atRight: width}[s.anchor]
		all = append(all, box{left, left + width, s.y - height*0.75, s.y, s.text})
	}
	return all
}

// TestNoTextMeetsAnother is what the layout of the figure promises, whatever is marked.
func TestNoTextMeetsAnother(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		start := rapid.Int64Range(0, 1_000_000).Draw(t, "start")
		length := rapid.Int64Range(1, 20_000_000).Draw(t, "length")
		when := rapid.Int64Range(start, start+length)
		figure := Timeline{Start: start, End: start + length}
		for i := range rapid.IntRange(0, 40).Draw(t, "rows") {
			figure.Rows = append(figure.Rows, FigureRow{
				Label: strings.Repeat("Step ", rapid.IntRange(1, 20).Draw(t, "words")), Value: fmt.Sprintf("at least %d:00", i),
				Points: []Point{{At: when.Draw(t, "point")}},
			})
		}
		for from := start; from < start+length; {
			to := min(from+rapid.Int64Range(1, length).Draw(t, "stage"), start+length)
			figure.Stages = append(figure.Stages, Stretch{Start: from, End: to, Stage: rapid.IntRange(0, 7).Draw(t, "number"), Label: "Capsule"})
			from = to
		}
		for range rapid.IntRange(0, 12).Draw(t, "parts") {
			figure.Parts = append(figure.Parts, PartLine{At: when.Draw(t, "part"), Label: "part 12"})
		}
		d := figure.draw()
		texts := d.texts()
		for i, a := range texts {
			require.GreaterOrEqual(t, a.bottom, 0.0)
			require.LessOrEqual(t, a.bottom, d.height)
			require.GreaterOrEqual(t, a.left, -0.01)
			require.LessOrEqual(t, a.right, d.width+3, a.text) // the last time of the axis stands half over the edge of the plot
			for _, b := range texts[:i] {
				apart := a.left >= b.right || b.left >= a.right || a.top >= b.bottom || b.top >= a.bottom
				require.True(t, apart, "%q meets %q", a.text, b.text)
			}
		}
	})
}

func TestAxisHasFewRoundTicks(t *testing.T) {
	for _, seconds := range []int64{1, 8, 40, 90, 300, 720, 1500, 3600, 7200, 40_000, 1_000_000} {
		step := tickStep(seconds * 1000)
		require.LessOrEqual(t, seconds*1000/step, int64(mostTicks), "%d s", seconds)
		require.Zero(t, step%1000)
	}
}

// TestPlaceOnTheAxisIsLinear: the middle of the time is the middle of the plot; beyond the ends stays at the ends.
func TestPlaceOnTheAxisIsLinear(t *testing.T) {
	figure := Timeline{Start: 1000, End: 3000}
	require.InDelta(t, plotLeft, figure.x(1000), 1e-9)
	require.InDelta(t, plotLeft+plotWidth/2, figure.x(2000), 1e-9)
	require.InDelta(t, plotLeft+plotWidth, figure.x(9000), 1e-9)
	require.InDelta(t, plotLeft, figure.x(-5), 1e-9)
}

func TestIntervalBoundsHoldWhatIsDrawn(t *testing.T) {
	low, high := Intervals{Rows: []IntervalRow{{Low: -12.3, Estimate: -2, High: 9, Known: true}, {Estimate: 57, Low: -900, High: 900}}}.bounds()
	require.Equal(t, -20.0, low)
	require.Equal(t, 60.0, high)
}
