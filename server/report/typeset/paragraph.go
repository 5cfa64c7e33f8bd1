package typeset

import (
	"reflect"

	"github.com/go-text/typesetting/bidi"
	"github.com/go-text/typesetting/language"
	"github.com/go-text/typesetting/segmenter"
	unibidi "golang.org/x/text/unicode/bidi"
)

// paragraph is a text without line ends, made ready: what cannot be set is replaced, and each character knows its
// font, script and direction.
type paragraph struct {
	runes   []rune
	levels  []int8 // embedding level: odd is right to left
	rtl     bool   // of the paragraph as a whole
	family  []family
	script  []language.Script
	starts  []bool    // a character as people see it begins here
	breaks  []bool    // a line may end before this one
	advance []float64 // in em; a cluster's whole advance stands at its first character
}

// prepare makes paragraphs of a text, one for each line of it. Widths are of the weight given.
func (s *Setter) prepare(text string, bold bool) []*paragraph {
	key := preparedKey{text, bold}
	if all, ok := s.prepared[key]; ok {
		return all
	}
	var all []*paragraph
	for runes := range lines(normalise(text)) {
		p := &paragraph{runes: s.settable(runes, bold)}
		p.findFonts(bold)
		p.findLevels()
		p.findBreaks()
		p.measure(s, bold)
		all = append(all, p)
	}
	s.prepared[key] = all
	return all
}

// lines splits at \n.
func lines(runes []rune) func(func([]rune) bool) {
	return func(yield func([]rune) bool) {
		from := 0
		for i, r := range runes {
			if r == '\n' {
				if !yield(runes[from:i]) {
					return
				}
				from = i + 1
			}
		}
		yield(runes[from:])
	}
}

// graphemes visits each character as people see it: [from, to) of the runes.
func graphemes(runes []rune, visit func(from, to int)) {
	var seg segmenter.Segmenter
	seg.Init(runes)
	for it := seg.GraphemeIterator(); it.Next(); {
		g := it.Grapheme()
		visit(g.Offset, g.Offset+len(g.Text))
	}
}

// settable replaces what no font holds. A character as people see it keeps as much of its beginning as one font holds,
// so that a letter does not vanish with a strange accent.
func (s *Setter) settable(runes []rune, bold bool) []rune {
	out := make([]rune, 0, len(runes))
	graphemes(runes, func(from, to int) {
		cluster := runes[from:to]
		kept := len(cluster)
		for kept > 0 {
			if _, ok := fontFor(cluster[:kept], sans, bold); ok {
				break
			}
			kept--
		}
		out = append(out, cluster[:kept]...)
		if kept < len(cluster) {
			s.note(cluster[kept:])
			out = append(out, Replacement)
		}
	})
	return out
}

// fontFor finds the family that holds all of a cluster; inside a run of Arabic or Devanagari spaces and signs stay in
// its font if they can, so that the run is not broken.
func fontFor(cluster []rune, before family, bold bool) (family, bool) {
	script, drawn := language.Common, false
	for _, r := range cluster {
		if r > lastRune {
			return sans, false
		}
		if own := language.LookupScript(r); script == language.Common && own.Strong() {
			script = own
		}
		drawn = drawn || !steers(r)
	}
	if !drawn {
		return unseen, true
	}
	holds := func(f family) bool {
		for _, r := range cluster {
			if !steers(r) && !f.has(r, bold) {
				return false
			}
		}
		return true
	}
	stays := script == language.Common && (before == arabic || before == hindi) && (cluster[0] == ' ' || cluster[0] > '~')
	if stays && holds(before) {
		return before, true
	}
	for _, f := range preference(script) {
		if holds(f) {
			return f, true
		}
	}
	return sans, false
}

func (p *paragraph) findFonts(bold bool) {
	n := len(p.runes)
	p.family, p.script, p.starts = make([]family, n), make([]language.Script, n), make([]bool, n)
	before := sans
	graphemes(p.runes, func(from, to int) {
		f, _ := fontFor(p.runes[from:to], before, bold)
		if f != unseen {
			before = f
		}
		p.starts[from] = true
		for i := from; i < to; i++ {
			p.family[i] = f
		}
	})
	p.findScripts()
}

// findScripts gives signs and spaces the script before them, or at the start the one after.
func (p *paragraph) findScripts() {
	current := language.Latin
	for _, r := range p.runes {
		if own := language.LookupScript(r); own.Strong() {
			current = own
			break
		}
	}
	for i, r := range p.runes {
		if own := language.LookupScript(r); own.Strong() {
			current = own
		}
		p.script[i] = current
	}
}

// findLevels runs the Unicode bidirectional algorithm (UAX 9). The library computes the levels and gives only runs of one
// direction, in which a number of level 2 and text of level 0 are joined; so the levels are read from its result, and
// a test holds them.
func (p *paragraph) findLevels() {
	p.levels = make([]int8, len(p.runes))
	p.rtl = rightToLeft(p.runes)
	direction := bidi.LeftToRight
	if p.rtl {
		direction = bidi.RightToLeft
	}
	var algorithm bidi.Paragraph
	levels := reflect.ValueOf(algorithm.Segment(p.runes, direction)).FieldByName("levels")
	for i := range p.levels {
		p.levels[i] = int8(levels.Index(i).Int())
	}
}

// rightToLeft is rule P2: the first strong character decides.
func rightToLeft(runes []rune) bool {
	for _, r := range runes {
		properties, _ := unibidi.LookupRune(r)
		switch properties.Class() {
		case unibidi.L:
			return false
		case unibidi.R, unibidi.AL:
			return true
		}
	}
	return false
}

// findBreaks finds where lines may end (UAX 14).
func (p *paragraph) findBreaks() {
	p.breaks = make([]bool, len(p.runes)+1)
	var seg segmenter.Segmenter
	seg.Init(p.runes)
	for it := seg.LineIterator(); it.Next(); {
		line := it.Line()
		p.breaks[line.Offset+len(line.Text)] = true
	}
}
