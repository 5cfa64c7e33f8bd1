package typeset

import (
	"slices"

	"github.com/go-text/typesetting/di"
	"github.com/go-text/typesetting/font"
	"github.com/go-text/typesetting/font/opentype"
	"github.com/go-text/typesetting/shaping"
	"golang.org/x/image/math/fixed"
)

// unitsPerEm is the size at which text is shaped; advances are divided by it.
const unitsPerEm = 1000

// plainFeatures turn off what fpdf does not do, so that both agree about widths.
var plainFeatures = []shaping.FontFeature{
	{Tag: opentype.MustNewTag("kern"), Value: 0},
	{Tag: opentype.MustNewTag("liga"), Value: 0},
	{Tag: opentype.MustNewTag("clig"), Value: 0},
}

// item is a stretch [from, to) of a paragraph in one font, one script and one direction.
type item struct {
	from, to int
	level    int8
	family   family
}

// glyph is placed relative to the start of its item, in em.
type glyph struct {
	id      font.GID
	cluster int // the first rune of its cluster
	x, y    float64
	advance float64
}

// items splits [from, to) of the paragraph, in logical order.
func (p *paragraph) items(from, to int) []item {
	var all []item
	for i := from; i < to; i++ {
		if last := len(all) - 1; i > from && p.levels[i] == p.levels[i-1] && p.family[i] == p.family[i-1] && p.script[i] == p.script[i-1] {
			all[last].to = i + 1
			continue
		}
		all = append(all, item{i, i + 1, p.levels[i], p.family[i]})
	}
	return all
}

// shape gives the glyphs of an item from left to right, and its width in em.
func (s *Setter) shape(p *paragraph, it item, bold bool) ([]glyph, float64) {
	if it.family == unseen {
		return nil, 0
	}
	in := shaping.Input{
		Text: p.runes, RunStart: it.from, RunEnd: it.to,
		Direction: di.DirectionLTR,
		Face:      s.face(it.family, bold),
		Size:      fixed.I(unitsPerEm),
		Script:    p.script[it.from],
	}
	if it.level%2 == 1 {
		in.Direction = di.DirectionRTL
	}
	if cuts()[it.family][weight(bold)].plain {
		in.FontFeatures = plainFeatures
	}
	out := s.shaper.ShapeNoExtents(in)
	glyphs := make([]glyph, len(out.Glyphs))
	var pen float64
	for i, g := range out.Glyphs {
		glyphs[i] = glyph{g.GlyphID, g.TextIndex(), pen + inEm(g.XOffset), inEm(g.YOffset), inEm(g.Advance)}
		pen += glyphs[i].advance
	}
	return glyphs, pen
}

func inEm(v fixed.Int26_6) float64 { return float64(v) / 64 / unitsPerEm }

// measure shapes the whole paragraph once and keeps the advances.
func (p *paragraph) measure(s *Setter, bold bool) {
	p.advance = make([]float64, len(p.runes))
	for _, it := range p.items(0, len(p.runes)) {
		glyphs, _ := s.shape(p, it, bold)
		for _, g := range glyphs {
			p.advance[g.cluster] += g.advance
		}
	}
}

// visual orders items from left to right (UAX 9, rule L2).
func visual(items []item) []item {
	ordered := slices.Clone(items)
	var highest int8
	for _, it := range items {
		highest = max(highest, it.level)
	}
	for level := highest; level > 0; level-- {
		for from := 0; from < len(ordered); from++ {
			to := from
			for to < len(ordered) && ordered[to].level >= level {
				to++
			}
			slices.Reverse(ordered[from:to])
			from = max(from, to)
		}
	}
	return ordered
}
