package typeset

import (
	"fmt"
	"slices"
	"strings"

	unibidi "golang.org/x/text/unicode/bidi"
)

// boldStroke is the width of the outline, in em, that makes a bold of a font that has none.
const boldStroke = 0.03

// Draw draws a block with its top left corner at x and y, in a column of the width in mm.
func (s *Setter) Draw(b Block, x, y, width float64, align Align) {
	if s.measuring {
		return
	}
	for i, l := range b.lines {
		left := x
		switch right := l.paragraph.rtl && align == Start; {
		case align == Right, right:
			left += width - l.width
		case align == Centre:
			left += (width - l.width) / 2
		}
		s.drawLine(l, left, y+float64(i)*b.style.LineHeight()+b.style.em()*baseline, b.style)
	}
}

// drawLine draws from left to right; y is the base line.
func (s *Setter) drawLine(l line, x, y float64, style Style) {
	for _, it := range visual(l.paragraph.items(l.from, l.to)) {
		glyphs, width := s.shape(l.paragraph, it, style.Bold)
		if it.family != unseen {
			s.use(it.family, style)
			s.pdf.SetTextColor(style.Colour.R, style.Colour.G, style.Colour.B)
			if letters, ok := s.letters(l.paragraph, it, glyphs, style.Bold); ok {
				s.write(x, y, letters, it.family, style)
			} else {
				s.outline(x, y, glyphs, it.family, style)
				s.underlay(x, y, l.paragraph, it, glyphs, style)
			}
		}
		x += width * style.em()
	}
}

// letters gives the text of an item in visual order, if fpdf draws it as it was shaped: one glyph for each character,
// the one that the font names for it, at its plain place.
func (s *Setter) letters(p *paragraph, it item, glyphs []glyph, bold bool) (string, bool) {
	if !cuts()[it.family][weight(bold)].plain || len(glyphs) != it.to-it.from {
		return "", false
	}
	face, pen := s.face(it.family, bold), 0.0
	text := make([]rune, 0, len(glyphs))
	for _, g := range glyphs {
		r := p.runes[g.cluster]
		if it.level%2 == 1 {
			r = []rune(unibidi.ReverseString(string(r)))[0]
		}
		nominal, _ := face.NominalGlyph(r)
		if nominal != g.id || g.y != 0 || g.x != pen || steers(r) {
			return "", false
		}
		pen += g.advance
		text = append(text, r)
	}
	return string(text), true
}

// write draws letters with the font that is selected.
func (s *Setter) write(x, y float64, letters string, f family, style Style) {
	if f != han || !style.Bold {
		s.pdf.Text(x, y, letters)
		return
	}
	s.pdf.RawWriteStr(fmt.Sprintf("q 2 Tr %.3f w %s RG", style.Size*boldStroke, components(style.Colour)))
	s.pdf.Text(x, y, letters)
	s.pdf.RawWriteStr("Q")
}

// underlay writes the words of an item invisibly (text rendering mode 3) where their outlines stand, each stretched to
// its width, so that they can be selected, copied and searched.
func (s *Setter) underlay(x, y float64, p *paragraph, it item, glyphs []glyph, style Style) {
	for from := it.from; from < it.to; {
		to := from
		for to < it.to && (p.runes[to] == ' ') == (p.runes[from] == ' ') {
			to++
		}
		left, right := extent(glyphs, from, to)
		word := slices.DeleteFunc(slices.Clone(p.runes[from:to]), turns)
		if it.level%2 == 1 {
			// Readers of PDF expect the order of the eye and turn it round themselves.
			slices.Reverse(word)
		}
		if natural := s.pdf.GetStringWidth(string(word)); natural > 0 && right > left && word[0] != ' ' {
			s.pdf.RawWriteStr(fmt.Sprintf("q 3 Tr %.2f Tz", 100*(right-left)*style.em()/natural))
			s.pdf.Text(x+left*style.em(), y, string(word))
			s.pdf.RawWriteStr("Q")
		}
		from = to
	}
}

// extent is where the glyphs of the characters [from, to) begin and end, in em from the start of the item.
func extent(glyphs []glyph, from, to int) (left, right float64) {
	pen, found := 0.0, false
	for _, g := range glyphs {
		if g.cluster >= from && g.cluster < to {
			if !found {
				left, found = pen, true
			}
			right = pen + g.advance
		}
		pen += g.advance
	}
	return left, right
}

// components writes a colour as PDF wants it.
func components(c Colour) string {
	return strings.TrimSpace(fmt.Sprintf("%.3f %.3f %.3f", float64(c.R)/255, float64(c.G)/255, float64(c.B)/255))
}
