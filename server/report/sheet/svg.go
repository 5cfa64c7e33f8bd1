package sheet

import (
	"fmt"
	"html/template"
	"strings"
	"unicode/utf8"
)

// svgUnits makes lengths in mm the units of the SVG, whose text is then sized in the same units.
const svgUnits = 4.0

// svg writes a figure. It scales with its column; its colours are attributes, so that no style is needed. Its links are
// for the pointer alone: the tables beside it hold the same ones for the keyboard and for readers of the screen.
func (d drawing) svg(title, address string) template.HTML {
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="drawing" viewBox="0 0 %.0f %.1f" role="group" aria-label="%s" xmlns="http://www.w3.org/2000/svg">`,
		d.width*svgUnits, d.height*svgUnits, template.HTMLEscapeString(title))
	for i := 0; i < len(d.shapes); i++ {
		s := d.shapes[i]
		if n := many(d.shapes[i:]); n > 1 {
			b.WriteString(together(d.shapes[i : i+n]))
			i += n - 1
			continue
		}
		if s.link != "" {
			fmt.Fprintf(&b, `<a href="%s" tabindex="-1" aria-hidden="true">%s</a>`, template.HTMLEscapeString(absolute(address, s.link)), s.svg())
			continue
		}
		b.WriteString(s.svg())
	}
	b.WriteString("</svg>")
	return template.HTML(b.String()) //nolint:gosec // every text in it was escaped above
}

// many counts the dots or see-through hairlines of one look at the head of the shapes: a study draws thousands of them.
func many(shapes []shape) int {
	first := shapes[0]
	if first.opacity == 0 || first.thick > 0 || first.dashed || first.kind != shapeDot && first.kind != shapeLine {
		return 1
	}
	n := 1
	for n < len(shapes) && shapes[n].kind == first.kind && shapes[n].colour == first.colour && shapes[n].opacity == first.opacity && shapes[n].link == "" {
		n++
	}
	return n
}

// together writes shapes of one look, which is said once.
func together(shapes []shape) string {
	var b strings.Builder
	first := shapes[0]
	if first.kind == shapeDot {
		fmt.Fprintf(&b, `<g fill="%s" fill-opacity="%.2f">`, hex(first.colour), first.opacity)
	} else {
		fmt.Fprintf(&b, `<g stroke="%s" stroke-opacity="%.2f">`, hex(first.colour), first.opacity)
	}
	for _, s := range shapes {
		x, y := s.x*svgUnits, s.y*svgUnits
		if s.kind == shapeDot {
			fmt.Fprintf(&b, `<circle cx="%.1f" cy="%.1f" r="%.1f"/>`, x, y, s.w*svgUnits/2)
			continue
		}
		fmt.Fprintf(&b, `<path d="M%.1f %.1fl%.1f %.1f"/>`, x, y, s.w*svgUnits, s.h*svgUnits)
	}
	b.WriteString("</g>")
	return b.String()
}

func (s shape) svg() string {
	x, y, w, h := s.x*svgUnits, s.y*svgUnits, s.w*svgUnits, s.h*svgUnits
	switch s.kind {
	case shapeRect:
		return fmt.Sprintf(`<rect x="%.1f" y="%.1f" width="%.1f" height="%.1f" fill="%s"/>`, x, y, w, h, hex(s.colour))
	case shapeDiamond:
		r := w / 2
		return fmt.Sprintf(`<path d="M%.1f %.1fl%.1f %.1fl%.1f %.1fl%.1f %.1fz" fill="%s"/>`, x, y-r, r, r, -r, r, -r, -r, hex(s.colour))
	case shapeLine:
		return fmt.Sprintf(`<path d="M%.1f %.1fl%.1f %.1f"%s/>`, x, y, w, h, s.stroke())
	case shapeDot:
		return fmt.Sprintf(`<circle cx="%.1f" cy="%.1f" r="%.1f" fill="%s"%s/>`, x, y, w/2, hex(s.colour), s.svgOpacity())
	case shapeCurve:
		return fmt.Sprintf(`<path d="%s"%s/>`, s.outline(), s.stroke())
	case shapeArea:
		return fmt.Sprintf(`<path d="%sz" fill="%s"%s/>`, s.outline(), hex(s.colour), s.svgOpacity())
	}
	return s.svgText(x, y)
}

// outline is the way through the points.
func (s shape) outline() string {
	var b strings.Builder
	for i, p := range s.points {
		b.WriteByte("ML"[min(i, 1)])
		fmt.Fprintf(&b, "%.1f %.1f", p.x*svgUnits, p.y*svgUnits)
	}
	return b.String()
}

// stroke is how a line is drawn.
func (s shape) stroke() string {
	dash := ""
	if s.dashed {
		dash = ` stroke-dasharray="4 3"`
	}
	width := "1"
	if s.thick > 0 {
		width = fmt.Sprintf("%.1f", s.thick*svgUnits)
	}
	return fmt.Sprintf(` stroke="%s" stroke-width="%s" fill="none"%s%s`, hex(s.colour), width, dash, s.svgOpacity())
}

func (s shape) svgOpacity() string {
	if s.opacity == 0 {
		return ""
	}
	return fmt.Sprintf(` opacity="%.2f"`, s.opacity)
}

func (s shape) svgText(x, y float64) string {
	anchors := [...]string{atLeft: "start", atMiddle: "middle", atRight: "end"}
	text, weight := s.text, ""
	if s.bold {
		weight = ` font-weight="600"`
	}
	if s.w > 0 {
		text = shorten(text, s.w, s.size)
	}
	return fmt.Sprintf(`<text x="%.1f" y="%.1f" font-size="%.1f" text-anchor="%s" fill="%s"%s>%s</text>`,
		x, y, s.size*25.4/72*svgUnits, anchors[s.anchor], hex(s.colour), weight, template.HTMLEscapeString(text))
}

// shorten cuts a text that would not fit into a width in mm, by its rough width, since the reader's font is not known.
func shorten(text string, width, size float64) string {
	if roughWidth(text, size) <= width {
		return text
	}
	most := int(float64(utf8.RuneCountInString(text)) * width / roughWidth(text, size))
	return strings.TrimSpace(string([]rune(text)[:max(most-1, 1)])) + "…"
}

// absolute puts the address before a link within the program.
func absolute(address, link string) string {
	if strings.HasPrefix(link, "/") {
		return strings.TrimSuffix(address, "/") + link
	}
	return link
}
