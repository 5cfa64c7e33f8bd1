package typeset

import "strings"

// ellipsis ends a line that was cut short.
const ellipsis = "…"

// Block is text broken into lines, ready to be drawn.
type Block struct {
	style Style
	lines []line
}

// line is [from, to) of a paragraph; white space at its end hangs over and is not in it.
type line struct {
	paragraph *paragraph
	from, to  int
	width     float64 // mm
}

// Lines is the number of lines; an empty text has one.
func (b Block) Lines() int { return len(b.lines) }

// Height is the height in mm.
func (b Block) Height() float64 { return float64(len(b.lines)) * b.style.LineHeight() }

// Width is the width in mm of the widest line.
func (b Block) Width() float64 {
	widest := 0.0
	for _, l := range b.lines {
		widest = max(widest, l.width)
	}
	return widest
}

// Split gives the first n lines and the rest, for a block that flows over a page.
func (b Block) Split(n int) (Block, Block) {
	n = min(max(n, 0), len(b.lines))
	return Block{b.style, b.lines[:n]}, Block{b.style, b.lines[n:]}
}

// Wrap breaks a text into lines of at most the width in mm. A word that is longer is broken between characters.
func (s *Setter) Wrap(text string, style Style, width float64) Block {
	block := Block{style: style}
	for _, p := range s.prepare(text, style.Bold) {
		block.lines = append(block.lines, p.wrap(width, style.em())...)
	}
	return block
}

// OneLine sets a text on one line, line ends made spaces. Longer than the width in mm it is cut and ends in an
// ellipsis; a width of 0 or less does not limit it.
func (s *Setter) OneLine(text string, style Style, width float64) Block {
	text = strings.Join(strings.FieldsFunc(text, func(r rune) bool { return r == '\n' || r == '\r' || r == '\u2028' || r == '\u2029' }), " ")
	p := s.joined(text, style.Bold)
	whole := p.line(0, len(p.runes), style.em())
	if width <= 0 || whole.width <= width {
		return Block{style, []line{whole}}
	}
	room := width - s.joined(ellipsis, style.Bold).line(0, 1, style.em()).width
	_, to := p.fill(0, room, style.em())
	short := s.joined(strings.TrimRight(string(p.runes[:to]), " ")+ellipsis, style.Bold)
	return Block{style, []line{short.line(0, len(short.runes), style.em())}}
}

// joined prepares a text as one paragraph.
func (s *Setter) joined(text string, bold bool) *paragraph {
	text = strings.Map(func(r rune) rune {
		if r == '\v' || r == '\f' || r == '\u0085' {
			return ' '
		}
		return r
	}, text)
	return s.prepare(text, bold)[0]
}

// line makes one of [from, to), white space at the end left out.
func (p *paragraph) line(from, to int, em float64) line {
	for to > from && p.runes[to-1] == ' ' {
		to--
	}
	width := 0.0
	for i := from; i < to; i++ {
		width += p.advance[i] * em
	}
	return line{p, from, to, width}
}

// wrap fills line after line.
func (p *paragraph) wrap(width, em float64) []line {
	var all []line
	for from := 0; from < len(p.runes); {
		word, character := p.fill(from, width, em)
		to := word
		if to <= from {
			to = max(character, p.next(from))
		}
		all = append(all, p.line(from, to, em))
		from = to
	}
	if len(all) == 0 {
		all = append(all, line{paragraph: p})
	}
	return all
}

// fill gives how far text from an index on fits into the width: to the last place where a line may end, and to the
// last whole character. Either is the index itself when nothing fits.
func (p *paragraph) fill(from int, width, em float64) (word, character int) {
	word, character = from, from
	// A hundredth of a millimetre forgives rounding: a text must fit into its own width.
	room := width/em + 0.01/em
	used, inked := 0.0, 0.0
	for i := from; i <= len(p.runes); i++ {
		if inked > room {
			return word, character
		}
		if p.breaks[i] && i > from {
			word = i
		}
		if i == len(p.runes) {
			return i, i
		}
		if p.starts[i] {
			character = i
		}
		used += p.advance[i]
		if p.runes[i] != ' ' {
			inked = used
		}
	}
	return word, character
}

// next is the start of the character after the one at an index.
func (p *paragraph) next(from int) int {
	for i := from + 1; i < len(p.runes); i++ {
		if p.starts[i] {
			return i
		}
	}
	return len(p.runes)
}
