package sheet

import (
	"fmt"
	"html/template"
	"math"

	"zonule/server/report/typeset"
)

// The watermark runs upwards over the page in rows, so light that the text under it is read without effort.
const (
	watermarkAngle   = 32.0 // degrees
	watermarkSize    = 13.0 // pt
	watermarkOpacity = 0.13
	watermarkRow     = 46.0 // mm between rows
	watermarkGap     = 30.0 // mm between two in a row
)

// watermarkPattern is the id of the pattern in the page.
const watermarkPattern = "sheet-watermark-pattern"

// watermark draws the text over the whole page that is being drawn, rows shifted against each other.
func (p *printer) watermark() {
	if p.Watermark == "" {
		return
	}
	style := typeset.Style{Size: watermarkSize, Colour: inkSoft}
	line := p.set.OneLine(p.Watermark, style, pageHeight)
	step := line.Width() + watermarkGap
	p.pdf.TransformBegin()
	p.pdf.SetAlpha(watermarkOpacity, "Normal")
	p.pdf.TransformRotate(watermarkAngle, pageWidth/2, pageHeight/2)
	reach := math.Hypot(pageWidth, pageHeight) / 2
	for row, y := 0, pageHeight/2-reach; y <= pageHeight/2+reach; row, y = row+1, y+watermarkRow {
		for x := pageWidth/2 - reach - step*float64(row%2)/2; x <= pageWidth/2+reach; x += step {
			if onPage(x+line.Width()/2, y, line.Width()/2) {
				p.set.DrawLine(line, x, y)
			}
		}
	}
	p.pdf.SetAlpha(1, "Normal")
	p.pdf.TransformEnd()
}

// onPage reports whether a text of the half width, set at a place before the page is turned, touches the page after it.
func onPage(x, y, half float64) bool {
	sine, cosine := math.Sincos(watermarkAngle * math.Pi / 180)
	dx, dy := x-pageWidth/2, y-pageHeight/2
	x, y = pageWidth/2+dx*cosine+dy*sine, pageHeight/2-dx*sine+dy*cosine
	return x > -half && x < pageWidth+half && y > -half && y < pageHeight+half
}

// watermarkSVG is the same for the page: a pattern that fills what it is laid over. It takes no clicks.
func watermarkSVG(text string) template.HTML {
	said := template.HTMLEscapeString(text)
	width, row := (roughWidth(text, watermarkSize)+watermarkGap)*svgUnits, watermarkRow*svgUnits
	line := func(x, y float64) string {
		return fmt.Sprintf(`<text x="%.0f" y="%.0f" font-size="%.1f" fill="%s" fill-opacity="%.2f">%s</text>`, x, y, watermarkSize*25.4/72*svgUnits, hex(inkSoft), watermarkOpacity, said)
	}
	return template.HTML(fmt.Sprintf( //nolint:gosec // its one text was escaped above
		`<svg class="watermark" role="img" aria-label="%s" width="100%%" height="100%%" xmlns="http://www.w3.org/2000/svg"><defs><pattern id="%s" width="%.0f" height="%.0f" patternUnits="userSpaceOnUse" patternTransform="rotate(-%.0f)">%s%s%s</pattern></defs><rect width="100%%" height="100%%" fill="url(#%s)"/></svg>`,
		said, watermarkPattern, width, 2*row, watermarkAngle, line(0, row/2), line(-width/2, row*1.5), line(width/2, row*1.5), watermarkPattern))
}
