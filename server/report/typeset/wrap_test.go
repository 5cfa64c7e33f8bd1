package typeset

import (
	"strings"
	"testing"

	"codeberg.org/go-pdf/fpdf"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// text gives the lines of a block in logical order.
func (b Block) text() []string {
	var all []string
	for _, l := range b.lines {
		all = append(all, string(l.paragraph.runes[l.from:l.to]))
	}
	return all
}

func newSetter() *Setter { return New(fpdf.New("P", "mm", "A4", "")) }

func TestWrap(t *testing.T) {
	style := Style{Size: 10}
	for name, c := range map[string]struct {
		text  string
		width float64
		lines []string
	}{
		"one line":          {"side port", 100, []string{"side port"}},
		"between words":     {"side port then OVD", 20, []string{"side port", "then OVD"}},
		"own lines":         {"one\ntwo\r\n\nfour", 100, []string{"one", "two", "", "four"}},
		"empty":             {"", 100, []string{""}},
		"a long word":       {"Phacoemulsification", 20, []string{"Phacoemul", "sification"}},
		"nothing fits":      {"abc", 0, []string{"a", "b", "c"}},
		"Han has no spaces": {"后囊膜完整人工", 15, []string{"后囊膜完", "整人工"}},
	} {
		require.Equal(t, c.lines, newSetter().Wrap(c.text, style, c.width).text(), name)
	}
}

func TestOneLineEndsInEllipsis(t *testing.T) {
	setter, style := newSetter(), Style{Size: 10}
	require.Equal(t, []string{"Anterior…"}, setter.OneLine("Anterior vitrectomy", style, 20).text())
	require.Equal(t, []string{"Anterior vitrectomy"}, setter.OneLine("Anterior\nvitrectomy", style, 100).text())
	require.LessOrEqual(t, setter.OneLine("Anterior vitrectomy", style, 20).Width(), 20.0)
}

// TestWrapLosesNothing: every character stands in one line, in order; no line is wider than the column unless it is a
// single character; and a text fits into its own width.
func TestWrapLosesNothing(t *testing.T) {
	setter := newSetter()
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOf(rapid.SampledFrom(strings.Split("a|b| |é|fg-h|أ|بت|न|क्ष|स्ते|字|後|1.5|%|\n", "|"))).Draw(t, "text"), "")
		width := rapid.Float64Range(2, 80).Draw(t, "width")
		style := Style{Size: 10, Bold: rapid.Bool().Draw(t, "bold")}
		block := setter.Wrap(text, style, width)
		without := strings.NewReplacer(" ", "", "\n", "").Replace
		require.Equal(t, without(string(normalise(text))), without(strings.Join(block.text(), "")))
		for _, l := range block.lines {
			require.True(t, l.width <= width+0.02 || l.paragraph.next(l.from) >= l.to, "line of %f mm in %f", l.width, width)
		}
		require.Equal(t, 1+strings.Count(text, "\n"), setter.Wrap(text, style, block.Width()+1000).Lines())
	})
}

// TestWidthAgreesWithFont: DejaVu Sans has advances of 1303 for H and 569 for i in 2048 units (read from its hmtx
// table with another tool; found).
func TestWidthAgreesWithFont(t *testing.T) {
	em := 10 * 25.4 / 72
	require.InDelta(t, em*float64(1540+569)/2048, newSetter().Width("Hi", Style{Size: 10}), 0.002)
}

// TestVisualOrder follows the examples of UAX 9, section 3.4, with Hebrew for the capitals there (from memory), and the
// number that stays left of what comes before it in right-to-left text (rules W, N and L2; arithmetic).
func TestVisualOrder(t *testing.T) {
	for text, want := range map[string]string{
		"car means אבג.":                     "car means גבא.",
		"he said “\u2067car ־ אבג\u2069.” x": "he said “גבא ־ car.” x",
		"see אב 12.5 גד end":                 "see דג 12.5 בא end",
		"see אב 12.5 end":                    "see 12.5 בא end",
		"אב car 15 גד":                       "דג car 15 בא",
		"start 7 of 9":                       "start 7 of 9",
	} {
		p := newSetter().prepare(text, false)[0]
		var got []rune
		for _, it := range visual(p.items(0, len(p.runes))) {
			piece := append([]rune{}, p.runes[it.from:it.to]...)
			for i := range piece {
				if it.level%2 == 1 {
					piece[i] = p.runes[it.to-1-i]
				}
			}
			for _, r := range piece {
				if !turns(r) {
					got = append(got, r)
				}
			}
		}
		require.Equal(t, want, string(got), text)
	}
}
