package typeset

import (
	_ "embed"
	"fmt"
	"strings"
	"sync"

	"github.com/go-text/typesetting/font"
	"github.com/go-text/typesetting/language"
)

// The fonts are held as strings, because fpdf appends to slices of the bytes that it is given.
var (
	//go:embed fonts/DejaVuSans.ttf
	dejaVu string
	//go:embed fonts/DejaVuSans-Bold.ttf
	dejaVuBold string
	//go:embed fonts/NotoNaskhArabic-Regular.ttf
	naskh string
	//go:embed fonts/NotoNaskhArabic-Bold.ttf
	naskhBold string
	//go:embed fonts/NotoSansDevanagari-Regular.ttf
	devanagari string
	//go:embed fonts/NotoSansDevanagari-Bold.ttf
	devanagariBold string
	//go:embed fonts/DroidSansFallback.ttf
	droid string
)

// family is one of the embedded font families.
type family uint8

const (
	sans family = iota // Latin, Greek, Cyrillic and most signs
	arabic
	hindi
	han
	families
	// unseen marks characters that steer the text and are not drawn.
	unseen = families
)

// familyNames are the names under which fpdf knows them.
var familyNames = [families]string{"dejavu", "naskh", "devanagari", "droid"}

// cut is one family in one weight.
type cut struct {
	data string
	font *font.Font
	// plain cuts set letters one by one, without kerning and ligatures, as fpdf does.
	plain bool
}

// cuts holds regular and bold of each family. Han has no bold file.
var cuts = sync.OnceValue(func() [families][2]cut {
	return [families][2]cut{
		sans:   {parse(dejaVu, true), parse(dejaVuBold, true)},
		arabic: {parse(naskh, false), parse(naskhBold, false)},
		hindi:  {parse(devanagari, false), parse(devanagariBold, false)},
		han:    {parse(droid, true), parse(droid, true)},
	}
})

// parse reads an embedded font. The files are part of the program, so that one that cannot be read is a mistake in it.
func parse(data string, plain bool) cut {
	face, err := font.ParseTTF(strings.NewReader(data))
	if err != nil {
		panic(fmt.Sprintf("typeset: an embedded font cannot be read: %v", err))
	}
	return cut{data, face.Font, plain}
}

// has reports whether the family holds a glyph for the character, in the weight asked for.
func (f family) has(r rune, bold bool) bool {
	_, ok := cuts()[f][weight(bold)].font.NominalGlyph(r)
	return ok
}

func weight(bold bool) int {
	if bold {
		return 1
	}
	return 0
}

// preference lists the families to try for a script, best first. DejaVu holds an Arabic too, but a poor one.
func preference(script language.Script) [families]family {
	switch script {
	case language.Arabic:
		return [families]family{arabic, sans, hindi, han}
	case language.Devanagari:
		return [families]family{hindi, sans, arabic, han}
	case language.Han, language.Hiragana, language.Katakana, language.Hangul, language.Bopomofo:
		return [families]family{han, sans, arabic, hindi}
	}
	return [families]family{sans, arabic, hindi, han}
}

// use selects a cut in the document and adds it on first use, so that a report in Latin letters does not carry the
// Han font about.
func (s *Setter) use(f family, style Style) {
	bold := ""
	if style.Bold && f != han {
		bold = "B"
	}
	key := familyNames[f] + bold
	if !s.added[key] {
		s.pdf.AddUTF8FontFromBytes(familyNames[f], bold, []byte(cuts()[f][weight(style.Bold)].data))
		s.added[key] = true
	}
	s.pdf.SetFont(familyNames[f], bold, style.Size)
}
