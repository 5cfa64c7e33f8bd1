package sheet

import (
	"bytes"
	"encoding/base64"
	"html/template"
	"image"
	_ "image/jpeg" // pictures are JPEG
)

// Passages are texts under a heading each, in which words may lead somewhere, with pictures of what they are about.
type Passages []Passage

// Passage is one of them.
type Passage struct {
	Head     string
	By       string // who wrote it; "" when that is not told
	Runs     []Run
	Pictures []Picture
}

// Run is a stretch of text that may lead somewhere.
type Run struct{ Text, Link string }

// Picture is a picture with what it shows. Without a JPEG the caption stands alone.
type Picture struct {
	JPEG         []byte
	Caption, Sub string
	Link         string
}

func (Passages) isBlock() {}

// Plain is the text without what it leads to.
func (p Passage) Plain() string {
	var text []byte
	for _, run := range p.Runs {
		text = append(text, run.Text...)
	}
	return string(text)
}

// size gives width and height in px; 0 and 0 without a picture that can be read.
func (p Picture) size() (int, int) {
	config, _, err := image.DecodeConfig(bytes.NewReader(p.JPEG))
	if err != nil {
		return 0, 0
	}
	return config.Width, config.Height
}

// Source is the picture as an address that holds it whole; "" without one.
func (p Picture) Source() template.URL {
	if width, _ := p.size(); width == 0 {
		return ""
	}
	return template.URL("data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(p.JPEG)) //nolint:gosec // the letters of base64 alone
}
