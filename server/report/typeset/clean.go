package typeset

import (
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// Replacement stands where a character could not be set.
const Replacement = '\uFFFD'

// lastRune is the highest character that fpdf can write.
const lastRune = 0xFFFF

// normalise composes accents, makes every kind of line end a \n and every tab a space, and drops what has no shape:
// control characters, soft hyphens, byte order marks and variation selectors.
func normalise(text string) []rune {
	text = strings.ReplaceAll(strings.ToValidUTF8(text, string(Replacement)), "\r\n", "\n")
	runes := make([]rune, 0, len(text))
	for _, r := range norm.NFC.String(text) {
		switch {
		case r == '\n', r == '\r', r == '\v', r == '\f', r == '\u0085', r == '\u2028', r == '\u2029':
			runes = append(runes, '\n')
		case r == '\t':
			runes = append(runes, ' ')
		case r == '\u00AD', r == '\uFEFF', unicode.IsControl(r), unicode.Is(unicode.Variation_Selector, r):
		default:
			runes = append(runes, r)
		}
	}
	return runes
}

// steers reports whether a character is not drawn and only says how its neighbours are.
func steers(r rune) bool {
	return turns(r) || r == '\u200B' || r == '\u2060' || r == '\u200C' || r == '\u200D'
}

// turns reports whether a character only steers the direction of others.
func turns(r rune) bool {
	return r == '\u061C' || r >= '\u200E' && r <= '\u200F' || r >= '\u202A' && r <= '\u202E' || r >= '\u2066' && r <= '\u2069'
}

// note remembers characters that could not be set.
func (s *Setter) note(runes []rune) {
	for _, r := range runes {
		if r != Replacement && !steers(r) && !slices.Contains(s.replaced, r) {
			s.replaced = append(s.replaced, r)
		}
	}
}

// Replaced lists the characters that could not be set so far, in the order of their code points.
func (s *Setter) Replaced() []rune {
	return slices.Sorted(slices.Values(s.replaced))
}

// Plain gives a text for the title or a bookmark of the document: one line, without characters that fpdf cannot write.
func Plain(text string) string {
	runes := normalise(text)
	for i, r := range runes {
		if r > lastRune {
			runes[i] = Replacement
		}
		if r == '\n' {
			runes[i] = ' '
		}
	}
	return string(runes)
}
