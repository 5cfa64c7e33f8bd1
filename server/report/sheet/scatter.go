package sheet

import (
	"math"
	"strings"
)

// Scatters are one or two scatters beside each other.
type Scatters []Scatter

// Scatter is a figure of points with a line through them.
type Scatter struct {
	Title string // for those who cannot see it, and as a caption
	X, Y  string // names of the axes, with units
	LogX  bool   // equal ratios of X are equal lengths; all X are above 0
	// Points are drawn as dots. Above and Below are drawn as strokes at the upper and lower edge instead, by X alone, each
	// group named by its word.
	Points               []ScatterPoint
	Above, Below         []float64
	AboveWord, BelowWord string
	// Line is drawn with its band, Smooth as a broken curve; each is named above the plot.
	Line                 []ScatterBand
	LineWord, SmoothWord string
	Smooth               []ScatterPoint
	// Zero draws lines where X and Y are 0.
	Zero bool
}

// ScatterPoint is a place of the plot.
type ScatterPoint struct{ X, Y float64 }

// ScatterBand is a place of a line; Low and High equal Y where there is no band.
type ScatterBand struct{ X, Y, Low, High float64 }

func (Scatters) isBlock() {}

// Measures of a scatter in mm.
const (
	scatterGap    = 8.0
	scatterHead   = 9.5 // the name of the upright axis over the names of the lines
	scatterLeft   = 11.0
	scatterHeight = 52.0
	scatterFoot   = 9.5
	scatterSteps  = 5
	dotWidth      = 0.95
	dotOpacity    = 0.42
	bandOpacity   = 0.16
	rugLength     = 2.2
	keyLength     = 5.0
)

// draw lays the scatters beside each other; one alone has the whole width.
func (s Scatters) draw() drawing {
	d := drawing{width: figureWidth, height: scatterHead + scatterHeight + scatterFoot}
	width := (figureWidth - scatterGap*float64(len(s)-1)) / float64(max(len(s), 1))
	for i, one := range s {
		p := plot{Scatter: one, drawing: &d, left: float64(i)*(width+scatterGap) + scatterLeft, width: width - scatterLeft - 1}
		p.draw()
	}
	return d
}

// plot is one scatter on its way into a drawing.
type plot struct {
	Scatter
	*drawing
	left, width float64
	across, up  axis
}

const (
	plotTop    = scatterHead
	plotBottom = scatterHead + scatterHeight
)

func (p *plot) place(x, y float64) place {
	return place{p.left + p.width*p.across.within(x), plotBottom - scatterHeight*p.up.within(y)}
}

func (p *plot) draw() {
	p.lay()
	p.axes()
	p.dots()
	p.lines()
	p.names()
}

// lay finds the axes. The band may run out of the plot: at its ends it tells little.
func (p *plot) lay() {
	left, right, low, high := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	see := func(x, y float64) {
		left, right, low, high = min(left, x), max(right, x), min(low, y), max(high, y)
	}
	for _, one := range p.Points {
		see(one.X, one.Y)
	}
	for _, one := range p.Line {
		see(one.X, one.Y)
		if len(p.Points) == 0 {
			see(one.X, one.Low)
			see(one.X, min(one.High, 4*one.Y))
		}
	}
	for _, x := range append(append([]float64{}, p.Above...), p.Below...) {
		left, right = min(left, x), max(right, x)
	}
	if math.IsInf(left, 1) {
		left, right = 1, 2
	}
	if math.IsInf(low, 1) {
		low, high = 0, 1
	}
	if p.LogX {
		p.across = logAxis(left/1.04, right*1.04, scatterSteps)
	} else {
		p.across = linearAxis(left, right, scatterSteps)
	}
	p.up = linearAxis(low, high, scatterSteps)
}

func (p *plot) axes() {
	for _, tick := range p.up.ticks {
		y := p.place(0, tick).y
		p.add(
			shape{kind: shapeLine, x: p.left, y: y, w: p.width, colour: inkGrid},
			shape{kind: shapeText, x: p.left - 1.2, y: y + 0.8, text: p.up.write(tick), size: smallSize, anchor: atRight, colour: inkSoft})
	}
	free := 0.0
	for _, tick := range p.across.ticks {
		x := p.place(tick, 0).x
		p.add(shape{kind: shapeLine, x: x, y: plotBottom, h: 0.8, colour: inkRule})
		text := p.across.write(tick)
		if half := roughWidth(text, smallSize) / 2; x-half >= free {
			p.add(shape{kind: shapeText, x: x, y: plotBottom + 3.6, text: text, size: smallSize, anchor: atMiddle, colour: inkSoft})
			free = x + half + 1
		}
	}
	p.add(shape{kind: shapeLine, x: p.left, y: plotBottom, w: p.width, colour: inkRule})
	if p.Zero {
		at := p.place(0, 0)
		p.add(
			shape{kind: shapeLine, x: p.left, y: at.y, w: p.width, colour: inkRule},
			shape{kind: shapeLine, x: at.x, y: plotTop, h: scatterHeight, colour: inkRule})
	}
}

func (p *plot) dots() {
	for _, one := range p.Points {
		at := p.place(one.X, one.Y)
		p.add(shape{kind: shapeDot, x: at.x, y: at.y, w: dotWidth, colour: inkText, opacity: dotOpacity})
	}
	for _, x := range p.Above {
		p.add(shape{kind: shapeLine, x: p.place(x, 0).x, y: plotTop, h: rugLength, colour: inkGrave, opacity: dotOpacity})
	}
	for _, x := range p.Below {
		p.add(shape{kind: shapeLine, x: p.place(x, 0).x, y: plotBottom - rugLength, h: rugLength, colour: inkText, opacity: dotOpacity})
	}
}

func (p *plot) lines() {
	if len(p.Line) > 1 {
		line, band := make([]place, len(p.Line)), make([]place, 2*len(p.Line))
		hasBand := false
		for i, one := range p.Line {
			line[i], band[i], band[len(band)-1-i] = p.place(one.X, one.Y), p.place(one.X, one.High), p.place(one.X, one.Low)
			hasBand = hasBand || one.High > one.Low
		}
		if hasBand {
			p.add(shape{kind: shapeArea, points: band, colour: inkAccent, opacity: bandOpacity})
		}
		p.add(shape{kind: shapeCurve, points: line, colour: inkAccent, thick: 0.5})
	}
	if len(p.Smooth) > 1 {
		smooth := make([]place, len(p.Smooth))
		for i, one := range p.Smooth {
			smooth[i] = p.place(one.X, one.Y)
		}
		p.add(shape{kind: shapeCurve, points: smooth, colour: inkWarn, thick: 0.35, dashed: true})
	}
}

// names writes what is what: the upright axis, then each line beside a piece of itself, and the edges.
func (p *plot) names() {
	p.add(
		shape{kind: shapeText, x: p.left - scatterLeft, y: 3, w: p.width + scatterLeft, text: p.Y, size: labelSize, colour: inkText},
		shape{kind: shapeText, x: p.left + p.width, y: plotBottom + 8, w: p.width, text: p.X, size: labelSize, anchor: atRight, colour: inkText})
	x := p.left
	key := func(sample shape, word string) {
		room := p.left + p.width - x - keyLength - 1.2
		if word == "" || room < keyLength {
			return
		}
		sample.x, sample.y, sample.w = x, 6.6, keyLength
		p.add(sample, shape{kind: shapeText, x: x + keyLength + 1.2, y: 7.4, w: room, text: word, size: smallSize, colour: inkSoft})
		x += keyLength + 1.2 + roughWidth(word, smallSize) + 3
	}
	if len(p.Line) > 1 {
		key(shape{kind: shapeLine, colour: inkAccent, thick: 0.5}, p.LineWord)
	}
	if len(p.Smooth) > 1 {
		key(shape{kind: shapeLine, colour: inkWarn, thick: 0.35, dashed: true}, p.SmoothWord)
	}
	if len(p.Above) > 0 {
		p.add(shape{kind: shapeText, x: p.left + p.width, y: plotTop + rugLength + 2.6, w: p.width, text: p.AboveWord, size: smallSize, anchor: atRight, colour: inkGrave})
	}
	if len(p.Below) > 0 {
		p.add(shape{kind: shapeText, x: p.left + p.width, y: plotBottom - rugLength - 1, w: p.width, text: p.BelowWord, size: smallSize, anchor: atRight, colour: inkSoft})
	}
}

// title joins the titles.
func (s Scatters) title() string {
	titles := make([]string, len(s))
	for i, one := range s {
		titles[i] = one.Title
	}
	return strings.Join(titles, " ")
}
