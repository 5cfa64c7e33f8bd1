package sheet

import (
	"math"
	"slices"
	"strings"
)

// Forest is a figure of estimates with their intervals on one axis, with an upright line where there is no relation.
type Forest struct {
	Title string // for those who cannot see it, and as a caption
	Unit  string // names the axis
	// Log makes equal ratios equal lengths; estimates are then above 0, and None is 1.
	Log  bool
	None float64
	// Less and More say what lies to the left and to the right of None.
	Less, More string
	Rows       []ForestRow
}

// ForestRow is one estimate, or only its label and what is said instead of one.
type ForestRow struct {
	Label, Value        string
	Low, Estimate, High float64
	Known               bool // there is an estimate
	// Inset sets the row under the one above it, with a hollow mark.
	Inset bool
}

func (Forest) isBlock() {}

func (f Forest) title() string { return f.Title }

// Measures of the figure in mm.
const (
	forestLabelWidth = 62.0
	forestValueWidth = 40.0
	forestLeft       = forestLabelWidth + 2
	forestWidth      = figureWidth - forestLeft - forestValueWidth
	forestTop        = 1.0
	forestInset      = 4.0
	forestSteps      = 6
	labelLine        = 3.2
	mostLines        = 2
	markWidth        = 2.6
	arrowLength      = 1.8
)

// labels breaks the label of each row into lines.
func (f Forest) labels() (lines [][]string, height float64) {
	for _, row := range f.Rows {
		width := forestLabelWidth
		if row.Inset {
			width -= forestInset
		}
		label := broken(row.Label, width, labelSize)
		lines, height = append(lines, label), height+rowHeight+labelLine*float64(len(label)-1)
	}
	return lines, height
}

// broken breaks a text between words into lines of the width in mm, by its rough width; what is left after mostLines of them stays
// in the last, which is cut when it is drawn.
func broken(text string, width, size float64) []string {
	var lines []string
	for _, word := range strings.Fields(text) {
		last := len(lines) - 1
		if last >= 0 && (roughWidth(lines[last]+" "+word, size) <= width || len(lines) == mostLines) {
			lines[last] += " " + word
			continue
		}
		lines = append(lines, word)
	}
	if len(lines) == 0 {
		return []string{""}
	}
	return lines
}

func (f Forest) draw() drawing {
	labels, height := f.labels()
	bottom := forestTop + height
	d := drawing{width: figureWidth, height: bottom + 2*axisHeight - 2}
	a := f.axis()
	x := func(value float64) float64 { return forestLeft + forestWidth*a.within(value) }
	free := 0.0
	for _, tick := range a.ticks {
		d.add(shape{kind: shapeLine, x: x(tick), y: forestTop, h: bottom - forestTop, colour: inkGrid})
		text := a.write(tick)
		if half := roughWidth(text, smallSize) / 2; x(tick)-half >= free {
			d.add(shape{kind: shapeText, x: x(tick), y: bottom + 4, text: text, size: smallSize, anchor: atMiddle, colour: inkSoft})
			free = x(tick) + half + 1
		}
	}
	none := x(f.None)
	d.add(
		shape{kind: shapeLine, x: none, y: forestTop - 0.5, h: bottom - forestTop + 1.5, colour: inkRule, thick: 0.35},
		shape{kind: shapeLine, x: forestLeft, y: bottom, w: forestWidth, colour: inkRule},
		shape{kind: shapeText, x: 0, y: bottom + 4, w: forestLabelWidth - 4, text: f.Unit, size: smallSize, colour: inkSoft},
		shape{kind: shapeText, x: none - 1.5, y: bottom + 8, w: none - 3, text: f.Less, size: smallSize, anchor: atRight, colour: inkSoft},
		shape{kind: shapeText, x: none + 1.5, y: bottom + 8, w: figureWidth - none - 3, text: f.More, size: smallSize, colour: inkSoft},
	)
	top := forestTop
	for i, row := range f.Rows {
		f.drawRow(&d, row, labels[i], top, a)
		top += rowHeight + labelLine*float64(len(labels[i])-1)
	}
	return d
}

// drawRow draws one estimate; an interval that goes on beyond the axis ends in an arrow.
func (f Forest) drawRow(d *drawing, row ForestRow, label []string, top float64, a axis) {
	middle, baseline := top+rowHeight/2, top+rowHeight-1.4
	inset, ink := 0.0, inkText
	if row.Inset {
		inset, ink = forestInset, inkSoft
	}
	for i, line := range label {
		d.add(shape{kind: shapeText, x: inset, y: baseline + labelLine*float64(i), w: forestLabelWidth - inset, text: line, size: labelSize, colour: ink, bold: !row.Inset})
	}
	d.add(shape{kind: shapeText, x: figureWidth, y: baseline, w: forestValueWidth - 1, text: row.Value, size: labelSize, anchor: atRight, colour: ink})
	if !row.Known {
		return
	}
	colour := inkAccent
	if row.Inset {
		colour = inkRule
	}
	from, to := forestLeft+forestWidth*a.within(row.Low), forestLeft+forestWidth*a.within(row.High)
	d.rect(from, middle-0.3, to-from, 0.6, colour, "")
	const right = forestLeft + forestWidth
	if a.at(row.Low) < 0 {
		d.add(arrow(forestLeft, middle, -1, colour))
	}
	if a.at(row.High) > 1 {
		d.add(arrow(right, middle, 1, colour))
	}
	if at := a.at(row.Estimate); at >= 0 && at <= 1 {
		x := forestLeft + forestWidth*at
		d.add(shape{kind: shapeDiamond, x: x, y: middle, w: markWidth, colour: ink})
		if row.Inset {
			d.add(shape{kind: shapeDiamond, x: x, y: middle, w: markWidth - 1.1, colour: inkPaper})
		}
	}
}

// arrow has its point at x, to the side -1 or 1.
func arrow(x, y, side float64, colour Ink) shape {
	return shape{kind: shapeArea, colour: colour, points: []place{{x + side*0.6, y}, {x + side*(0.6-arrowLength), y - 1}, {x + side*(0.6-arrowLength), y + 1}}}
}

// farOut is how many times the middle reach of the intervals is drawn: one that reaches farther would press all others together.
const farOut = 4

// leastReach is the least length that is drawn to its scale: figures under it would need more digits than an axis has room for.
const leastReach = 1e-6

// axis holds all estimates, and the intervals as far as one of them does not dwarf the others.
func (f Forest) axis() axis {
	scale := func(value float64) float64 {
		if !f.Log {
			return value - f.None
		}
		return math.Log(max(value, math.SmallestNonzeroFloat64))
	}
	var reaches []float64
	low, high := 0.0, 0.0
	for _, row := range f.Rows {
		if row.Known {
			low, high = min(low, scale(row.Estimate)), max(high, scale(row.Estimate))
			reaches = append(reaches, max(math.Abs(scale(row.Low)), math.Abs(scale(row.High))))
		}
	}
	limit := 1.0
	if len(reaches) > 0 {
		slices.Sort(reaches)
		limit = farOut * reaches[(len(reaches)-1)/2]
	}
	if f.Log {
		limit = min(limit, math.Log(100)) // over a hundredfold either way there is nothing to read off
	}
	for _, row := range f.Rows {
		if row.Known {
			low, high = min(low, max(scale(row.Low), -limit)), max(high, min(scale(row.High), limit))
		}
	}
	if high-low < leastReach {
		low, high = -1, 1
	}
	// The line of no relation does not stand at the edge.
	room := (high - low) / 20
	low, high = min(low, -room), max(high, room)
	if f.Log {
		return logAxis(math.Exp(low-room), math.Exp(high+room), forestSteps)
	}
	return linearAxis(f.None+low, f.None+high, forestSteps)
}
