package sheet

import (
	"codeberg.org/go-pdf/fpdf"

	"zonule/server/report/typeset"
)

const (
	captionGap = 0.9 // mm
	// summaryRoom is left under a figure for the text that says it in words, in mm.
	summaryRoom = 12.0
)

// figure draws a figure under its caption.
func (p *printer) figure(f figure) {
	d := f.draw()
	said := p.set.Wrap(f.title(), styleQuiet, columnWidth)
	p.need(said.Height() + captionGap + d.height*smallest + summaryRoom)
	p.flow(said, marginSide, columnWidth)
	p.y += captionGap
	p.drawing(d, summaryRoom)
}

// smallest is the scale down to which a figure shrinks to stay on the page.
const smallest = 0.8

// drawing draws a figure, a little smaller if that keeps it on the page with so much room under it, and as small as it must be
// for a page.
func (p *printer) drawing(d drawing, under float64) {
	scale := min(1, columnHeight/d.height)
	if room := (columnBottom - under - p.y) / d.height; room >= smallest*scale {
		scale = min(scale, room)
	}
	p.need(d.height * scale)
	opacity := 0.0
	for _, s := range d.shapes {
		if s.opacity != opacity {
			opacity = s.opacity
			p.setOpacity(opacity)
		}
		p.shape(s, scale)
	}
	if opacity != 0 {
		p.setOpacity(0)
	}
	p.y += d.height*scale + 2
}

// setOpacity takes 0 for opaque, as shapes do.
func (p *printer) setOpacity(opacity float64) {
	if opacity == 0 {
		opacity = 1
	}
	p.pdf.SetAlpha(opacity, "Normal")
}

func (p *printer) shape(s shape, scale float64) {
	x, y, w, h := marginSide+s.x*scale, p.y+s.y*scale, s.w*scale, s.h*scale
	p.pdf.SetFillColor(s.colour.R, s.colour.G, s.colour.B)
	switch s.kind {
	case shapeRect:
		p.pdf.Rect(x, y, w, h, "F")
	case shapeDiamond:
		r := w / 2
		p.pdf.Polygon([]fpdf.PointType{{X: x, Y: y - r}, {X: x + r, Y: y}, {X: x, Y: y + r}, {X: x - r, Y: y}}, "F")
		x, y, h = x-r, y-r, w
	case shapeLine:
		p.stroked(s, func() { p.pdf.Line(x, y, x+w, y+h) })
	case shapeDot:
		p.dot(s, x, y, w)
	case shapeCurve:
		p.stroked(s, func() {
			for i, at := range s.points {
				if i == 0 {
					p.pdf.MoveTo(marginSide+at.x*scale, p.y+at.y*scale)
					continue
				}
				p.pdf.LineTo(marginSide+at.x*scale, p.y+at.y*scale)
			}
			p.pdf.DrawPath("D")
		})
	case shapeArea:
		corners := make([]fpdf.PointType, len(s.points))
		for i, at := range s.points {
			corners[i] = fpdf.PointType{X: marginSide + at.x*scale, Y: p.y + at.y*scale}
		}
		p.pdf.Polygon(corners, "F")
	case shapeText:
		p.shapeText(s, x, y, w, scale)
	}
	if s.link != "" {
		p.link(s.link, x, y, max(w, 1), h)
	}
}

// dot is a stroke of next to no length with round ends: a study draws thousands, and a circle takes ten times the bytes.
func (p *printer) dot(s shape, x, y, w float64) {
	p.pdf.SetDrawColor(s.colour.R, s.colour.G, s.colour.B)
	p.pdf.SetLineWidth(w)
	p.pdf.SetLineCapStyle("round")
	p.pdf.Line(x, y, x+0.01, y)
	p.pdf.SetLineCapStyle("butt")
}

// stroked draws a line in the way of the shape.
func (p *printer) stroked(s shape, draw func()) {
	p.pdf.SetDrawColor(s.colour.R, s.colour.G, s.colour.B)
	p.pdf.SetLineWidth(max(s.thick, 0.2))
	if s.dashed {
		p.pdf.SetDashPattern([]float64{1, 0.8}, 0)
	}
	draw()
	p.pdf.SetDashPattern([]float64{}, 0)
}

func (p *printer) shapeText(s shape, x, y, w, scale float64) {
	style := typeset.Style{Size: s.size * scale, Bold: s.bold, Colour: s.colour}
	line := p.set.OneLine(s.text, style, w)
	switch s.anchor {
	case atMiddle:
		x -= line.Width() / 2
	case atRight:
		x -= line.Width()
	}
	p.set.DrawLine(line, x, y)
}
