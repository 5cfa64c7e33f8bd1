package sheet

import "zonule/server/report/typeset"

const (
	factColumns = 4
	factGap     = 4.0
	barIndent   = 3.0
	replyIndent = 7.0
)

func (p *printer) paragraph(b Paragraph) {
	if b.Tone == Warning {
		text := b.Text
		if b.Head != "" {
			text = b.Head + " " + text
		}
		p.warning(text, b.Link)
		return
	}
	style := map[Tone]typeset.Style{Plain: styleBody, Lead: styleLead, Quiet: styleQuiet}[b.Tone]
	block := p.set.Wrap(b.Text, p.linked(style, b.Link), columnWidth)
	if b.Head != "" {
		strong := style
		strong.Bold, strong.Colour = true, inkText
		head := p.set.Wrap(b.Head, strong, columnWidth)
		p.need(head.Height() + float64(min(block.Lines(), 3))*style.LineHeight())
		p.flow(head, marginSide, columnWidth)
	}
	if block.Lines() <= 3 {
		p.need(block.Height())
	}
	if b.Link != "" {
		p.link(b.Link, marginSide, p.y, block.Width(), block.Height())
	}
	p.flow(block, marginSide, columnWidth)
	p.y += 1.6
}

// warning draws a paragraph beside an upright bar; the whole of it leads to its moment.
func (p *printer) warning(text, link string) {
	block := p.set.Wrap(text, p.linked(styleCell, link), columnWidth-barIndent)
	if block.Height() < columnHeight/2 {
		p.need(block.Height())
	}
	if link != "" {
		p.link(link, marginSide+barIndent, p.y, block.Width(), block.Height())
	}
	p.barred(inkWarn, func() { p.flow(block, marginSide+barIndent, columnWidth-barIndent) })
	p.y += 1.2
}

// barred draws an upright bar beside what the function draws, if that stays on one page.
func (p *printer) barred(colour Ink, draw func()) {
	top, page := p.y, p.pdf.PageNo()
	draw()
	if p.pdf.PageNo() == page {
		p.pdf.SetFillColor(colour.R, colour.G, colour.B)
		p.pdf.Rect(marginSide, top+0.3, 0.7, p.y-top-0.4, "F")
	}
}

// boxed draws a text on a tinted ground.
func (p *printer) boxed(text string, style typeset.Style) {
	block := p.set.Wrap(text, style, columnWidth-4)
	p.need(block.Height() + 2)
	p.pdf.SetFillColor(253, 240, 220)
	p.pdf.Rect(marginSide, p.y, columnWidth, block.Height()+2, "F")
	p.set.Draw(block, marginSide+2, p.y+1, columnWidth-4, typeset.Start)
	p.y += block.Height() + 3.5
}

// facts sets values under their names, four in a row.
func (p *printer) facts(facts Facts) {
	width := (columnWidth - factGap*(factColumns-1)) / factColumns
	for from := 0; from < len(facts); from += factColumns {
		row := facts[from:min(from+factColumns, len(facts))]
		height := 0.0
		names, values := make([]typeset.Block, len(row)), make([]typeset.Block, len(row))
		for i, fact := range row {
			names[i] = p.set.OneLine(fact.Name, styleName, width)
			values[i] = p.set.Wrap(fact.Value, styleBody, width)
			height = max(height, names[i].Height()+values[i].Height())
		}
		if height > columnHeight {
			p.longFacts(row)
			continue
		}
		p.need(height)
		for i := range row {
			x := marginSide + float64(i)*(width+factGap)
			p.set.Draw(names[i], x, p.y, width, typeset.Left)
			p.set.Draw(values[i], x, p.y+names[i].Height(), width, typeset.Left)
		}
		p.y += height + 1.4
	}
	p.y += 1
}

// longFacts sets facts that would not fit on one page as running text.
func (p *printer) longFacts(facts Facts) {
	for _, fact := range facts {
		p.paragraph(Paragraph{Head: fact.Name, Text: fact.Value})
	}
}

// remarks draws threads; replies are set in.
func (p *printer) remarks(remarks Remarks) {
	for _, remark := range remarks {
		x := marginSide + barIndent
		if remark.Reply {
			x += replyIndent
		}
		width := pageWidth - marginSide - x
		state := p.set.OneLine(remark.State, styleHead, 0)
		head := p.set.OneLine(remark.Head, styleStrong, width-state.Width()-3)
		place := p.set.OneLine(remark.Where, p.linked(styleName, remark.Link), width)
		text := p.set.Wrap(remark.Text, styleBody, width)
		p.need(head.Height() + place.Height() + min(text.Height(), 4*styleBody.LineHeight()))
		p.set.Draw(head, x, p.y, width, typeset.Left)
		p.set.Draw(state, x, p.y+0.6, width, typeset.Right)
		p.y += head.Height()
		if remark.Link != "" {
			p.link(remark.Link, x, p.y, place.Width(), place.Height())
		}
		p.set.Draw(place, x, p.y, width, typeset.Left)
		p.y += place.Height()
		p.flow(text, x, width)
		p.y += 2
	}
}
