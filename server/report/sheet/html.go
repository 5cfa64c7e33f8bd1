package sheet

import (
	"bytes"
	"crypto/sha256"
	_ "embed" // the template and the style are files of their own
	"encoding/base64"
	"html/template"
	"strings"
)

var (
	//go:embed sheet.css
	style string
	//go:embed sheet.html
	page string
)

// pages is the template of a whole page; "article" in it is the part for embedding.
var pages = template.Must(template.New("page").Funcs(template.FuncMap{
	"style": func() template.CSS { return template.CSS(style) }, //nolint:gosec // our own file
	"kind": func(b Block) string {
		switch b.(type) {
		case Paragraph:
			return "paragraph"
		case Facts:
			return "facts"
		case Table:
			return "table"
		case Timeline:
			return "timeline"
		case Passages:
			return "passages"
		case figure:
			return "figure"
		}
		return "remarks"
	},
	"link":     absolute,
	"timeline": func(t Timeline, address string) template.HTML { return t.draw().svg(t.Title, address) },
	"figure": func(f figure) captioned {
		return captioned{f.title(), f.draw().svg(f.title(), "")}
	},
	"watermark": watermarkSVG,
	"tone":      func(t Tone) string { return [...]string{"plain", "lead", "quiet", "warning"}[t] },
	"class": func(c Column, cell Cell) string {
		var names []string
		if c.Right {
			names = append(names, "right")
		}
		if c.Short {
			names = append(names, "short")
		}
		if cell.Text == "" && cell.Sub == "" {
			names = append(names, "empty")
		}
		return strings.Join(names, " ")
	},
	"title":  func(c Column) Cell { return Cell{Text: c.Title} },
	"within": func(d Document, of any) map[string]any { return map[string]any{"Address": d.Address, "Of": of} },
}).Parse(page))

// figure is a block that is drawn under its title.
type figure interface {
	title() string
	draw() drawing
}

type captioned struct {
	Title string
	SVG   template.HTML
}

// StyleSource is what a Content-Security-Policy must allow in style-src so that the style of the page holds; nothing
// else in it needs leave.
func StyleSource() string {
	sum := sha256.Sum256([]byte(style))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}

// HTML writes the whole document as one page without outside parts.
func (d Document) HTML() ([]byte, error) { return d.render("page") }

// Article writes the document for embedding in a page: its style and one article element.
func (d Document) Article() ([]byte, error) { return d.render("embedded") }

func (d Document) render(name string) ([]byte, error) {
	var out bytes.Buffer
	if err := pages.ExecuteTemplate(&out, name, d); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}
