package sheet

import (
	"codeberg.org/go-pdf/fpdf"

	"zonule/server/report/typeset"
)

// intervals draws the figure under its caption.
func (p *printer) intervals(f Intervals) {
	d := f.draw()
	caption := p.set.Wrap(f.Title, styleQuiet, columnWidth)
	p.need(caption.Height() + d.height)
	p.flow(caption, marginSide, columnWidth)
	p.drawing(d)
}

// smallest is the scale down to which a figure shrinks to stay on the page.
const smallest = 0.8

// drawing draws a figure, a little smaller if that keeps it on the page, and as small as it must be for a page.
func (p *printer) drawing(d drawing) {
	scale := min(1, columnHeight/d.height)
	if room := (columnBottom - p.y) / d.height; room >= smallest*scale {
		scale = min(scale, room)
	}
	p.need(d.height * scale)
	for _, s := range d.shapes {
		p.shape(s, scale)
	}
	p.y += d.height*scale + 2
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
		p.pdf.SetDrawColor(s.colour.R, s.colour.G, s.colour.B)
		p.pdf.SetLineWidth(0.2)
		if s.dashed {
			p.pdf.SetDashPattern([]float64{1, 0.8}, 0)
		}
		p.pdf.Line(x, y, x+w, y+h)
		p.pdf.SetDashPattern([]float64{}, 0)
	case shapeText:
		p.shapeText(s, x, y, w, scale)
	}
	if s.link != "" {
		p.link(s.link, x, y, max(w, 1), h)
	}
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
