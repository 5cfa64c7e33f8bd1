package typeset

import (
	"fmt"
	"strings"

	"github.com/go-text/typesetting/font/opentype"
)

// outline draws glyphs as filled paths. A matrix brings the units of the font to the page, so that the path itself is
// written in whole units.
func (s *Setter) outline(x, y float64, glyphs []glyph, f family, style Style) {
	face := s.face(f, style.Bold)
	upem := float64(face.Upem())
	_, height := s.pdf.GetPageSize()
	scale := style.Size / upem
	var path strings.Builder
	for _, g := range glyphs {
		shape, ok := face.GlyphDataOutline(g.id)
		if !ok {
			continue
		}
		trace(&path, shape.Segments, g.x*upem, g.y*upem)
	}
	if path.Len() == 0 {
		return
	}
	s.pdf.RawWriteStr(fmt.Sprintf("q %s rg %.6f 0 0 %.6f %.3f %.3f cm\n%sf Q",
		components(style.Colour), scale, scale, x/mmPerPt, (height-y)/mmPerPt, path.String()))
}

// trace writes the path of one glyph at an offset in units of the font. PDF has no quadratic curves; each is written
// as the cubic that is the same curve.
func trace(path *strings.Builder, segments []opentype.Segment, dx, dy float64) {
	var penX, penY float64
	open := false
	for _, segment := range segments {
		points := segment.ArgsSlice()
		at := func(i int) (float64, float64) { return float64(points[i].X) + dx, float64(points[i].Y) + dy }
		endX, endY := at(len(points) - 1)
		switch segment.Op {
		case opentype.SegmentOpMoveTo:
			if open {
				path.WriteString("h\n")
			}
			open = true
			fmt.Fprintf(path, "%.1f %.1f m\n", endX, endY)
		case opentype.SegmentOpLineTo:
			fmt.Fprintf(path, "%.1f %.1f l\n", endX, endY)
		case opentype.SegmentOpQuadTo:
			cx, cy := at(0)
			fmt.Fprintf(path, "%.1f %.1f %.1f %.1f %.1f %.1f c\n", penX+(cx-penX)*2/3, penY+(cy-penY)*2/3,
				endX+(cx-endX)*2/3, endY+(cy-endY)*2/3, endX, endY)
		case opentype.SegmentOpCubeTo:
			ax, ay := at(0)
			bx, by := at(1)
			fmt.Fprintf(path, "%.1f %.1f %.1f %.1f %.1f %.1f c\n", ax, ay, bx, by, endX, endY)
		}
		penX, penY = endX, endY
	}
	if open {
		path.WriteString("h\n")
	}
}
