package sheet

import (
	"fmt"
	"math"
)

// Intervals is a figure of estimates with their intervals on one axis, in percent, with a line at 0.
type Intervals struct {
	Title string // for those who cannot see it, and as a caption
	Unit  string
	Rows  []IntervalRow
}

// IntervalRow is one estimate.
type IntervalRow struct {
	Label, Value        string
	Low, Estimate, High float64
	Known               bool // the interval is
}

func (Intervals) isBlock() {}

func (f Intervals) title() string { return f.Title }

const intervalValueWidth = 32.0

// bounds are round numbers around everything that is drawn.
func (f Intervals) bounds() (low, high float64) {
	low, high = 0, 20
	for _, row := range f.Rows {
		low, high = min(low, row.Estimate), max(high, row.Estimate)
		if row.Known {
			low, high = min(low, row.Low), max(high, row.High)
		}
	}
	return math.Floor(low/10) * 10, math.Ceil(high/10) * 10
}

func (f Intervals) draw() drawing {
	low, high := f.bounds()
	width := figureWidth - plotLeft - intervalValueWidth
	x := func(value float64) float64 { return plotLeft + width*(value-low)/(high-low) }
	bottom := 1 + rowHeight*float64(len(f.Rows))
	d := drawing{width: figureWidth, height: bottom + axisHeight}
	step := 10 * math.Ceil((high-low)/10/mostTicks)
	for at := low; at <= high; at += step {
		colour := inkGrid
		if at == 0 {
			colour = inkRule
		}
		d.shapes = append(d.shapes,
			shape{kind: shapeLine, x: x(at), y: 0.5, h: bottom, colour: colour},
			shape{kind: shapeText, x: x(at), y: bottom + 4, text: fmt.Sprintf("%.0f", at), size: smallSize, anchor: atMiddle, colour: inkSoft})
	}
	d.shapes = append(d.shapes, shape{kind: shapeText, x: 0, y: bottom + 4, w: labelWidth, text: f.Unit, size: smallSize, colour: inkSoft})
	for i, row := range f.Rows {
		top := 1 + rowHeight*float64(i)
		middle := top + rowHeight/2
		d.label(0, top+rowHeight-1.4, row.Label, false)
		if row.Known {
			d.rect(x(row.Low), middle-0.35, x(row.High)-x(row.Low), 0.7, inkAccent, "")
		}
		d.shapes = append(d.shapes,
			shape{kind: shapeDiamond, x: x(row.Estimate), y: middle, w: 2.4, colour: inkText},
			shape{kind: shapeText, x: figureWidth, y: top + rowHeight - 1.4, w: intervalValueWidth - 1, text: row.Value, size: labelSize, anchor: atRight, colour: inkText})
	}
	return d
}
