package sheet

import (
	"bytes"
	"fmt"
	"strings"

	"codeberg.org/go-pdf/fpdf"

	"zonule/server/report/typeset"
)

// Measures of the page in mm: A4 with margins.
const (
	pageWidth    = 210.0
	pageHeight   = 297.0
	marginSide   = 15.0
	columnTop    = 21.0
	columnBottom = 273.0
	columnWidth  = pageWidth - 2*marginSide
	columnHeight = columnBottom - columnTop
)

var (
	styleBody    = typeset.Style{Size: 9.2, Colour: inkText}
	styleLead    = typeset.Style{Size: 10, Colour: inkText}
	styleQuiet   = typeset.Style{Size: 7.4, Colour: inkSoft}
	styleStrong  = typeset.Style{Size: 9.2, Bold: true, Colour: inkText}
	styleName    = typeset.Style{Size: 7.4, Colour: inkSoft}
	styleCell    = typeset.Style{Size: 8.2, Colour: inkText}
	styleHead    = typeset.Style{Size: 7.4, Bold: true, Colour: inkSoft}
	styleTitle   = typeset.Style{Size: 15.5, Bold: true, Colour: inkText}
	styleSection = typeset.Style{Size: 11, Bold: true, Colour: inkAccent}
)

// printer draws a document page by page; y is where the next block begins.
type printer struct {
	Document
	pdf   *fpdf.Fpdf
	set   *typeset.Setter
	total int // pages; 0 while they are being counted
	y     float64
}

// PDF writes the document as PDF. The same document gives the same bytes. Characters that no font holds are replaced
// and named in a last section.
func (d Document) PDF() ([]byte, error) {
	count := typeset.Measuring()
	draft := d.print(count, 0)
	if replaced := count.Replaced(); len(replaced) > 0 {
		d.Sections = append(d.Sections[:len(d.Sections):len(d.Sections)], replacedSection(replaced))
		draft = d.print(count, 0)
	}
	final := d.print(count, draft.pdf.PageCount())
	var out bytes.Buffer
	if err := final.pdf.Output(&out); err != nil {
		return nil, fmt.Errorf("write PDF: %w", err)
	}
	return out.Bytes(), nil
}

// replacedSection tells plainly what this file could not set.
func replacedSection(runes []rune) Section {
	names := make([]string, len(runes))
	for i, r := range runes {
		names[i] = fmt.Sprintf("U+%04X", r)
	}
	return Section{Anchor: "replaced", Title: "Characters that this PDF cannot show", Blocks: []Block{Paragraph{
		Text: fmt.Sprintf("%c stands where a character has no letter in the fonts of this file: %s. The HTML, JSON and CSV of the same report hold the text as it was written.",
			typeset.Replacement, strings.Join(names, ", ")),
		Tone: Warning,
	}}}
}

// print draws the whole document, or only counts its pages when their number is not known yet.
func (d Document) print(set *typeset.Setter, total int) *printer {
	pdf := fpdf.New("P", "mm", "A4", "")
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetCatalogSort(true)
	pdf.SetCreationDate(d.Made)
	pdf.SetModificationDate(d.Made)
	pdf.SetTitle(typeset.Plain(d.Title), true)
	pdf.SetAuthor(typeset.Plain(d.Unit), true)
	pdf.SetSubject(typeset.Plain(d.Standing), true)
	pdf.SetKeywords("SHA-256 "+d.Hash, true)
	pdf.SetCreator("Zonule", true)
	pdf.SetLang("en-GB")
	pdf.SetDisplayMode("fullwidth", "continuous")
	if total > 0 {
		set = set.Onto(pdf)
	}
	p := &printer{Document: d, pdf: pdf, set: set, total: total}
	p.newPage()
	p.heading()
	for _, section := range d.Sections {
		p.section(section)
	}
	p.watermark()
	return p
}

// newPage begins a page with its head and foot.
func (p *printer) newPage() {
	if p.pdf.PageNo() > 0 {
		p.watermark()
	}
	p.pdf.AddPage()
	standing := styleHead
	standing.Colour = inkWarn
	if p.Signed {
		standing.Colour = Ink{R: 0, G: 102, B: 74}
	}
	head := p.Unit
	if p.pdf.PageNo() > 1 {
		head = p.Short
	}
	right := p.set.OneLine(p.Standing, standing, columnWidth*0.62)
	p.set.Draw(right, marginSide, 9.5, columnWidth, typeset.Right)
	p.set.Draw(p.set.OneLine(head, styleName, columnWidth-right.Width()-6), marginSide, 9.5, columnWidth, typeset.Left)
	p.rule(14.5, inkAccent, 0.4)

	p.rule(columnBottom+3, inkRule, 0.2)
	small := typeset.Style{Size: 6.4, Colour: inkSoft}
	number := fmt.Sprintf("page %d of %d", p.pdf.PageNo(), p.total)
	page := p.set.OneLine(number, styleHead, 0)
	p.set.Draw(page, marginSide, columnBottom+4, columnWidth, typeset.Right)
	caution := p.set.Wrap(p.Caution, small, columnWidth-30)
	p.set.Draw(caution, marginSide, columnBottom+4, columnWidth-30, typeset.Left)
	p.set.Draw(p.set.OneLine("SHA-256 "+p.Hash, small, columnWidth), marginSide, columnBottom+4+caution.Height(), columnWidth, typeset.Left)
	p.y = columnTop
}

func (p *printer) rule(y float64, colour Ink, width float64) {
	p.pdf.SetDrawColor(colour.R, colour.G, colour.B)
	p.pdf.SetLineWidth(width)
	p.pdf.Line(marginSide, y, pageWidth-marginSide, y)
}

// heading draws the title and the notice.
func (p *printer) heading() {
	p.flow(p.set.Wrap(p.Title, styleTitle, columnWidth), marginSide, columnWidth)
	p.y += 1
	if p.Notice != "" {
		p.boxed(p.Notice, typeset.Style{Size: 8.2, Bold: true, Colour: inkWarn})
	}
}

// section draws a section; its heading never stands alone at the foot of a page.
func (p *printer) section(s Section) {
	if s.Title != "" {
		p.y += 3
		title := p.set.Wrap(s.Title, styleSection, columnWidth)
		p.need(title.Height() + p.leadHeight(s.Blocks))
		p.pdf.Bookmark(typeset.Plain(s.Title), 0, p.y)
		p.flow(title, marginSide, columnWidth)
		p.y += 0.8
	}
	for _, block := range s.Blocks {
		switch b := block.(type) {
		case Paragraph:
			p.paragraph(b)
		case Facts:
			p.facts(b)
		case Table:
			p.table(b)
		case Timeline:
			p.drawing(b.draw(), 0)
		case figure:
			p.figure(b)
		case Passages:
			p.passages(b)
		case Remarks:
			p.remarks(b)
		}
	}
}

// leadHeight is about the height in mm that a heading wants to have under it: a few lines, the beginning of a table, or
// the figure that comes at once or after one block.
func (p *printer) leadHeight(blocks []Block) float64 {
	const lines = 16.0
	if len(blocks) > 0 {
		if table, ok := blocks[0].(Table); ok {
			return max(lines, p.beginning(table))
		}
	}
	for i, block := range blocks[:min(2, len(blocks))] {
		if line, ok := block.(Timeline); ok {
			return min(float64(i)*lines+line.draw().height*smallest, columnHeight/2)
		}
		if f, ok := block.(figure); ok {
			return min(float64(i)*lines+f.draw().height*smallest+summaryRoom+lines/2, columnHeight/2)
		}
	}
	return lines
}

// need begins a new page unless so much height is left; on a fresh page nothing can be gained.
func (p *printer) need(height float64) {
	if p.y+height > columnBottom && p.y > columnTop {
		p.newPage()
	}
}

// flow draws lines at x, over as many pages as they need.
func (p *printer) flow(block typeset.Block, x, width float64) {
	line := block.Height() / float64(max(block.Lines(), 1))
	for block.Lines() > 0 {
		fits := int((columnBottom - p.y) / line)
		if fits < 1 {
			p.newPage()
			continue
		}
		first, rest := block.Split(fits)
		p.set.Draw(first, x, p.y, width, typeset.Start)
		p.y += first.Height()
		block = rest
	}
}

// link lays a link over a rectangle.
func (p *printer) link(link string, x, y, width, height float64) {
	target := absolute(p.Address, link)
	if target == "" || strings.HasPrefix(target, "/") {
		return
	}
	p.pdf.LinkString(x, y, width, height, target)
}

// linked colours a style if there is a link that this file can follow.
func (p *printer) linked(style typeset.Style, link string) typeset.Style {
	if link != "" && p.Address != "" {
		style.Colour = inkAccent
	}
	return style
}
