package typeset

import (
	"codeberg.org/go-pdf/fpdf"
	"github.com/go-text/typesetting/font"
	"github.com/go-text/typesetting/shaping"
)

// Colour is red, green and blue, 0 to 255.
type Colour struct{ R, G, B int }

// Style is how a text is set.
type Style struct {
	Size   float64 // pt
	Bold   bool
	Colour Colour
}

// Align is where the lines of a block stand.
type Align uint8

const (
	// Start is left, or right in a paragraph that runs from right to left.
	Start Align = iota
	// Left, Right and Centre hold whatever the direction.
	Left
	Right
	Centre
)

const (
	mmPerPt = 25.4 / 72
	// leading is the distance of base lines in em: the Arabic and Devanagari fonts need more than Latin.
	leading = 1.38
	// baseline is the distance from the top of a line to its base line, in em.
	baseline = 1.04
)

// Setter sets text in one document, whose unit is the millimetre. It is not for use by several goroutines.
type Setter struct {
	pdf      *fpdf.Fpdf
	shaper   shaping.HarfbuzzShaper
	faces    [families][2]*font.Face
	added    map[string]bool
	replaced []rune
	prepared map[preparedKey][]*paragraph
	// measuring setters break lines and note what cannot be set, and draw nothing.
	measuring bool
}

// preparedKey is what a prepared text depends on.
type preparedKey struct {
	text string
	bold bool
}

// New makes a Setter for the document.
func New(pdf *fpdf.Fpdf) *Setter {
	return &Setter{pdf: pdf, added: map[string]bool{}, prepared: map[preparedKey][]*paragraph{}}
}

// Measuring makes a Setter that lays text out and draws nothing, to count pages with.
func Measuring() *Setter {
	s := New(nil)
	s.measuring = true
	return s
}

// Onto makes a Setter that draws on a document and knows what this one has laid out.
func (s *Setter) Onto(pdf *fpdf.Fpdf) *Setter {
	drawing := New(pdf)
	drawing.prepared, drawing.faces, drawing.replaced = s.prepared, s.faces, s.replaced
	return drawing
}

// face gives the shaper's view of a font; a face keeps caches and so belongs to one Setter.
func (s *Setter) face(f family, bold bool) *font.Face {
	if s.faces[f][weight(bold)] == nil {
		s.faces[f][weight(bold)] = font.NewFace(cuts()[f][weight(bold)].font)
	}
	return s.faces[f][weight(bold)]
}

// LineHeight is the distance of base lines in mm.
func (style Style) LineHeight() float64 { return style.em() * leading }

// em is the size in mm.
func (style Style) em() float64 { return style.Size * mmPerPt }

// Width is the width in mm of a text on one line.
func (s *Setter) Width(text string, style Style) float64 {
	return s.OneLine(text, style, 0).Width()
}

// Text writes one line with its left end at x and its base line at y, and gives its width in mm.
func (s *Setter) Text(x, y float64, text string, style Style) float64 {
	block := s.OneLine(text, style, 0)
	s.DrawLine(block, x, y)
	return block.Width()
}

// DrawLine draws the first line of a block with its left end at x and its base line at y.
func (s *Setter) DrawLine(b Block, x, y float64) {
	first, _ := b.Split(1)
	s.Draw(first, x, y-b.style.em()*baseline, first.Width(), Left)
}
