package typeset_test

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"zonule/server/report/typeset"
)

// TestScriptsCanBeFoundAgain reads the page back with pdftotext (poppler), which knows nothing of this package.
func TestScriptsCanBeFoundAgain(t *testing.T) {
	text := run(t, "pdftotext", "-layout", write(t, specimen(t)), "-")
	for _, sample := range samples {
		require.GreaterOrEqual(t, strings.Count(text, sample.words), 2, "%s: %q in regular and bold", sample.script, sample.words)
	}
	for _, words := range []string{"المحفظة الخلفية سليمة", "طول المحور", "धीरे-धीरे", "23.4", "(pressure)"} {
		require.Contains(t, text, words)
	}
}

func TestFileIsSoundAndCarriesItsFonts(t *testing.T) {
	file := write(t, specimen(t))
	require.Contains(t, run(t, "qpdf", "--check", file), "No syntax or stream encoding errors found")
	fonts := strings.Split(strings.TrimSpace(run(t, "pdffonts", file)), "\n")[2:]
	require.Len(t, fonts, 7, "four families, all but Han in two weights")
	for _, line := range fonts {
		fields := strings.Fields(line)
		require.Equal(t, "yes", fields[len(fields)-5], "embedded: %s", line)
	}
}

func TestBytesAreRepeatable(t *testing.T) {
	require.True(t, bytes.Equal(specimen(t), specimen(t)))
}

func TestLatinCarriesOneFont(t *testing.T) {
	pdf, setter := newDocument()
	setter.Text(20, 20, "Side port 0:11", typeset.Style{Size: 10})
	var out bytes.Buffer
	require.NoError(t, pdf.Output(&out))
	require.NotContains(t, run(t, "pdffonts", write(t, out.Bytes())), "droid")
	require.Less(t, out.Len(), 60_000)
}

func TestReplacedIsShownAndTold(t *testing.T) {
	pdf, setter := newDocument()
	setter.Text(20, 20, "stop 🛑 བོད 𠮷 end", typeset.Style{Size: 10})
	var out bytes.Buffer
	require.NoError(t, pdf.Output(&out))
	require.Equal(t, []rune("དབོ🛑𠮷"), setter.Replaced())
	require.Contains(t, run(t, "pdftotext", write(t, out.Bytes()), "-"), "stop � �� � end")
}

// TestNoTextMakesOutputFail draws any text there can be; fpdf alone fails on characters above U+FFFF.
func TestNoTextMakesOutputFail(t *testing.T) {
	pdf, setter := newDocument()
	draw := func(text string, size, width float64, bold bool) {
		pdf.SetPage(1)
		style := typeset.Style{Size: size, Bold: bold}
		setter.Draw(setter.Wrap(text, style, width), 20, 20, width, typeset.Start)
		setter.Draw(setter.OneLine(text, style, width), 20, 20, width, typeset.Centre)
	}
	for _, text := range []string{"", "\n\n", "\x00\xff\xfe", "\uFFFF\uFFFE", "\U0010FFFF", "\u202eabc\u202c \u2066אב\u2069", "́", "\u200d\u200c", "{nb}", "(\\)", strings.Repeat("क्", 300)} {
		draw(text, 10, 40, false)
	}
	some := rapid.OneOf(rapid.String(), rapid.StringOf(rapid.RuneFrom([]rune("aأबश्क\u200d字ーא1.5 %(«»\ń😀\u200f\u2067\u2069"))))
	rapid.Check(t, func(t *rapid.T) {
		draw(some.Draw(t, "text"), rapid.Float64Range(1, 40).Draw(t, "size"), rapid.Float64Range(-1, 200).Draw(t, "width"), rapid.Bool().Draw(t, "bold"))
		require.NoError(t, pdf.Error())
	})
	var out bytes.Buffer
	require.NoError(t, pdf.Output(&out))
	require.Contains(t, run(t, "qpdf", "--check", write(t, out.Bytes())), "No syntax or stream encoding errors found")
}
