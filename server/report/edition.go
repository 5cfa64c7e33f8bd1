package report

import (
	"time"

	"zonule/annotate"
	"zonule/server/report/sheet"
	"zonule/server/report/words"
)

// Edition is everything about a rendering that is not content: the content is what is signed, and stays the same
// whoever prints it.
type Edition struct {
	// Signature is nil for a draft.
	Signature *Signature
	// Address is put before links into the program, such as "https://zonule.example.org"; "" leaves them relative in the
	// HTML and out of the PDF.
	Address string
	// Zone is the time zone of signature, comments and addenda; nil means UTC.
	Zone *time.Location
	// Stills are the pictures of moments that could be taken; a moment without one is told in words and leads there.
	Stills map[StillAt][]byte
}

// StillAt is where a picture was taken: media time in ms of a part.
type StillAt struct {
	PartID string
	Ms     int64
}

// Signature says who signed, and what was added since.
type Signature struct {
	Number  int // of the signed reports of the case, from 1
	Name    string
	At      int64 // Unix ms
	Addenda []annotate.Addendum
}

func (e Edition) zone() *time.Location {
	if e.Zone == nil {
		return time.UTC
	}
	return e.Zone
}

// standing is the state in words.
func (e Edition) standing() string {
	if e.Signature == nil {
		return "Draft, not signed"
	}
	text := "Signed by " + e.Signature.Name + ", " + words.Wall(e.Signature.At, e.zone())
	if n := len(e.Signature.Addenda); n > 0 {
		text += " · " + words.Plural(n, "addendum", "addenda")
	}
	return text
}

// HTML writes the report as one page without outside parts, ready to print on A4.
func HTML(r Report, e Edition) ([]byte, error) {
	d, err := document(r, e)
	if err != nil {
		return nil, err
	}
	return d.HTML()
}

// Article writes the report as a style and an article element, for embedding in a page. The same style source as for
// HTML must be allowed.
func Article(r Report, e Edition) ([]byte, error) {
	d, err := document(r, e)
	if err != nil {
		return nil, err
	}
	return d.Article()
}

// StyleSource is what a Content-Security-Policy must allow in style-src for HTML and Article.
func StyleSource() string { return sheet.StyleSource() }

// PDF writes the report as PDF. The same report and edition give the same bytes.
func PDF(r Report, e Edition) ([]byte, error) {
	d, err := document(r, e)
	if err != nil {
		return nil, err
	}
	return d.PDF()
}
