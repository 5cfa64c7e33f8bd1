package sheet

// Timeline is the figure of an operation: a band of stages above one row for each step and each kind of happening. Times
// are in ms of the case clock.
type Timeline struct {
	Title      string // for those who cannot see it
	Start, End int64
	Stages     []Stretch // the band
	Rows       []FigureRow
	Parts      []PartLine // where the parts of the recording begin
	Unseen     []Stretch  // not recorded
}

// Stretch is a time with a beginning and an end.
type Stretch struct {
	Start, End int64
	Stage      int // 1 to 6, else 0
	Label      string
	Link       string
	AtLeast    bool // a lower bound: the bar is open at its end
}

// FigureRow is one row. Bars are episodes, points are instants.
type FigureRow struct {
	Label string
	Value string
	Bars  []Stretch
	// Points are instants, drawn as upright marks, or as diamonds in a row of complications.
	Points []Point
	Grave  bool
}

// Point is an instant.
type Point struct {
	At   int64
	Link string
}

// PartLine is where a part of the recording begins.
type PartLine struct {
	At    int64
	Label string
}

// Measures of the figure in mm. Labels stand to the left of their row and values to the right, so that no two texts
// can meet however many marks there are.
const (
	figureWidth = 180.0
	labelWidth  = 46.0
	valueWidth  = 19.0
	plotLeft    = labelWidth + 1.5
	plotWidth   = figureWidth - plotLeft - valueWidth
	headHeight  = 4.2
	bandHeight  = 5.2
	rowHeight   = 4.6
	barHeight   = 3.0
	axisHeight  = 5.5
	labelSize   = 7.4 // pt
	smallSize   = 6.4 // pt
	mostTicks   = 9
)

// x turns a time into a distance from the left.
func (t Timeline) x(ms int64) float64 {
	whole := max(t.End-t.Start, 1)
	within := min(max(ms, t.Start), t.End) - t.Start
	return plotLeft + plotWidth*float64(within)/float64(whole)
}

// draw lays the figure out.
func (t Timeline) draw() drawing {
	bottom := headHeight + bandHeight + 1.5 + rowHeight*float64(len(t.Rows))
	d := drawing{width: figureWidth, height: bottom + axisHeight}
	t.drawAxis(&d, bottom)
	for _, unseen := range t.Unseen {
		d.rect(t.x(unseen.Start), headHeight, t.x(unseen.End)-t.x(unseen.Start), bottom-headHeight, inkUnseen, "")
	}
	for i, row := range t.Rows {
		t.drawRow(&d, row, headHeight+bandHeight+1.5+rowHeight*float64(i))
	}
	t.drawBand(&d)
	t.drawParts(&d, bottom)
	return d
}

func (t Timeline) drawAxis(d *drawing, bottom float64) {
	step := tickStep(t.End - t.Start)
	for at := t.Start + (step-t.Start%step)%step; at <= t.End; at += step {
		x := t.x(at)
		d.shapes = append(d.shapes,
			shape{kind: shapeLine, x: x, y: headHeight, h: bottom - headHeight + 1, colour: inkGrid},
			shape{kind: shapeText, x: x, y: bottom + 4, text: clockLabel(at), size: smallSize, anchor: atMiddle, colour: inkSoft})
	}
	d.shapes = append(d.shapes,
		shape{kind: shapeLine, x: plotLeft, y: bottom, w: plotWidth, colour: inkRule},
		shape{kind: shapeText, x: 0, y: bottom + 4, w: labelWidth, text: "case clock, minutes", size: smallSize, colour: inkSoft})
}

func (t Timeline) drawBand(d *drawing) {
	d.label(0, headHeight+bandHeight-1.4, "Stages", true)
	for _, s := range t.Stages {
		x, width := t.x(s.Start), max(t.x(s.End)-t.x(s.Start), 0.3)
		d.rect(x, headHeight, width, bandHeight, StageInk(s.Stage), s.Link)
		for _, text := range []string{stageNumber(s.Stage) + " " + s.Label, stageNumber(s.Stage)} {
			if roughWidth(text, smallSize)+1 < width {
				d.shapes = append(d.shapes, shape{kind: shapeText, x: x + width/2, y: headHeight + bandHeight - 1.6, text: text, size: smallSize, anchor: atMiddle, colour: stageText(s.Stage), bold: true})
				break
			}
		}
	}
}

func (t Timeline) drawRow(d *drawing, row FigureRow, top float64) {
	baseline := top + rowHeight - 1.4
	middle := top + rowHeight/2
	d.label(0, baseline, row.Label, false)
	d.shapes = append(d.shapes,
		shape{kind: shapeLine, x: plotLeft, y: top + rowHeight, w: plotWidth, colour: inkGrid},
		shape{kind: shapeText, x: figureWidth, y: baseline, w: valueWidth - 1, text: row.Value, size: labelSize, anchor: atRight, colour: inkText})
	for _, bar := range row.Bars {
		x, width := t.x(bar.Start), max(t.x(bar.End)-t.x(bar.Start), 0.3)
		d.rect(x, middle-barHeight/2, width, barHeight, StageInk(bar.Stage), bar.Link)
		if bar.AtLeast {
			d.shapes = append(d.shapes, shape{kind: shapeLine, x: x + width + 0.5, y: middle - barHeight/2, h: barHeight, colour: inkText, dashed: true})
		}
	}
	for _, point := range row.Points {
		mark := shape{kind: shapeRect, x: t.x(point.At) - 0.35, y: middle - barHeight/2, w: 0.7, h: barHeight, colour: inkText, link: point.Link}
		if row.Grave {
			mark = shape{kind: shapeDiamond, x: t.x(point.At), y: middle, w: barHeight, colour: inkGrave, link: point.Link}
		}
		d.shapes = append(d.shapes, mark)
	}
}

// drawParts marks where each part begins. A label that would run into the next is left out; its line stays.
func (t Timeline) drawParts(d *drawing, bottom float64) {
	free := plotLeft
	for _, part := range t.Parts {
		x := t.x(part.At)
		d.shapes = append(d.shapes, shape{kind: shapeLine, x: x, y: headHeight - 3, h: bottom - headHeight + 3, colour: inkSoft, dashed: true})
		width := roughWidth(part.Label, smallSize)
		if x >= free && x+0.8+width < plotLeft+plotWidth {
			d.shapes = append(d.shapes, shape{kind: shapeText, x: x + 0.8, y: headHeight - 1.2, text: part.Label, size: smallSize, colour: inkSoft})
			free = x + width + 2
		}
	}
}

// tickStep is the smallest round step that gives few enough ticks.
func tickStep(length int64) int64 {
	for _, step := range []int64{1_000, 5_000, 10_000, 30_000, 60_000, 120_000, 300_000, 600_000, 900_000, 1_800_000} {
		if length/step <= mostTicks {
			return step
		}
	}
	return max(length/mostTicks/3_600_000+1, 1) * 3_600_000
}
