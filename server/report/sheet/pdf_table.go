package sheet

import "zonule/server/report/typeset"

const (
	cellPadding = 1.2
	rowPadding  = 0.7
	insetIndent = 5.0
	stageBox    = 3.6
)

// printedCell is a cell broken into lines: its text and the smaller text under it.
type printedCell struct {
	blocks []typeset.Block
	x      float64
	width  float64
	align  typeset.Align
	link   string
}

// printedRow is a row on its way to the page; what does not fit is carried to the next.
type printedRow struct {
	Row
	cells []printedCell
}

// fewRows is up to how many rows a table is not parted by the end of a page.
const fewRows = 5

func (p *printer) table(t Table) {
	p.need(p.beginning(t))
	if t.Caption != "" {
		p.flow(p.set.Wrap(t.Caption, styleStrong, columnWidth), marginSide, columnWidth)
		p.y += 0.5
	}
	head := p.head(t.Columns)
	p.need(head.height() + 12)
	p.draw(head)
	p.rule(p.y, inkRule, 0.3)
	for _, row := range t.Rows {
		p.row(t.Columns, head, p.layOut(t.Columns, row))
	}
	p.y += 3
}

// beginning is the height of what a table begins with: caption, head and all of a few rows, else about the first.
func (p *printer) beginning(t Table) float64 {
	height := p.head(t.Columns).height()
	if t.Caption != "" {
		height += p.set.Wrap(t.Caption, styleStrong, columnWidth).Height() + 0.5
	}
	if len(t.Rows) > fewRows {
		return height + 12
	}
	for _, row := range t.Rows {
		height += p.layOut(t.Columns, row).height()
	}
	return min(height, columnHeight/3)
}

// row draws a row, on the next page if it fits only there, and over several if it fits on none.
func (p *printer) row(columns []Column, head, row printedRow) {
	for {
		room := columnBottom - p.y
		if row.height() <= room {
			p.draw(row)
			p.rule(p.y, inkGrid, 0.15)
			return
		}
		if whole := columnHeight - head.height(); row.height() > whole && room > whole/3 {
			var first printedRow
			first, row = row.cut(room)
			p.draw(first)
		}
		p.newPage()
		p.draw(head)
		p.rule(p.y, inkRule, 0.3)
	}
}

// head lays out the titles of the columns.
func (p *printer) head(columns []Column) printedRow {
	row := printedRow{}
	p.eachColumn(columns, func(i int, x, width float64) {
		row.cells = append(row.cells, printedCell{[]typeset.Block{p.set.Wrap(columns[i].Title, styleHead, width)}, x, width, alignment(columns[i]), ""})
	})
	return row
}

func (p *printer) layOut(columns []Column, row Row) printedRow {
	printed := printedRow{Row: row}
	style := styleCell
	style.Bold = row.Strong
	p.eachColumn(columns, func(i int, x, width float64) {
		if i >= len(row.Cells) {
			return
		}
		cell := row.Cells[i]
		if i == 0 && row.Inset {
			x, width = x+insetIndent, width-insetIndent
		}
		if i == 0 && row.Stage > 0 {
			x, width = x+stageBox+1.2, width-stageBox-1.2
		}
		var blocks []typeset.Block
		if cell.Text != "" || cell.Sub == "" {
			blocks = append(blocks, p.set.Wrap(cell.Text, p.linked(style, cell.Link), width))
		}
		if cell.Sub != "" {
			blocks = append(blocks, p.set.Wrap(cell.Sub, styleQuiet, width))
		}
		printed.cells = append(printed.cells, printedCell{blocks, x, width, alignment(columns[i]), cell.Link})
	})
	return printed
}

// eachColumn visits the columns with the place of their text.
func (p *printer) eachColumn(columns []Column, visit func(i int, x, width float64)) {
	shares := 0.0
	for _, c := range columns {
		shares += c.Share
	}
	x := marginSide
	for i, c := range columns {
		width := columnWidth * c.Share / shares
		visit(i, x+cellPadding, width-2*cellPadding)
		x += width
	}
}

func alignment(c Column) typeset.Align {
	if c.Right {
		return typeset.Right
	}
	return typeset.Left
}

func (c printedCell) height() float64 {
	sum := 0.0
	for _, block := range c.blocks {
		sum += block.Height()
	}
	return sum
}

func (r printedRow) height() float64 {
	tallest := 0.0
	for _, cell := range r.cells {
		tallest = max(tallest, cell.height())
	}
	return tallest + 2*rowPadding
}

// cut parts a row at a height.
func (r printedRow) cut(height float64) (first, rest printedRow) {
	first, rest = r, r
	first.cells, rest.cells = nil, nil
	rest.Stage = 0
	for _, cell := range r.cells {
		top, below := cell, cell
		top.blocks, below.blocks, below.link = nil, nil, ""
		room := height - 2*rowPadding
		for _, block := range cell.blocks {
			line := block.Height() / float64(max(block.Lines(), 1))
			fits, after := block.Split(int(room / line))
			room -= fits.Height()
			if after.Lines() > 0 {
				room = 0
			}
			top.blocks, below.blocks = append(top.blocks, fits), append(below.blocks, after)
		}
		first.cells, rest.cells = append(first.cells, top), append(rest.cells, below)
	}
	return first, rest
}

// draw draws a row that fits and moves on.
func (p *printer) draw(row printedRow) {
	height := row.height()
	if row.Strong {
		p.pdf.SetFillColor(inkPale.R, inkPale.G, inkPale.B)
		p.pdf.Rect(marginSide, p.y, columnWidth, height, "F")
	}
	for i, cell := range row.cells {
		y := p.y + rowPadding
		if i == 0 && row.Stage > 0 {
			p.stageMark(cell.x-stageBox-1.2, y, row.Stage)
		}
		for j, block := range cell.blocks {
			p.set.Draw(block, cell.x, y, cell.width, cell.align)
			if j == 0 && cell.link != "" {
				p.link(cell.link, cell.x, y, cell.width, block.Height())
			}
			y += block.Height()
		}
	}
	p.y += height
}

// stageMark draws the number of a stage on its colour.
func (p *printer) stageMark(x, y float64, stage int) {
	ink := StageInk(stage)
	p.pdf.SetFillColor(ink.R, ink.G, ink.B)
	p.pdf.Rect(x, y+0.25, stageBox, stageBox-0.4, "F")
	style := typeset.Style{Size: 6.6, Bold: true, Colour: stageText(stage)}
	p.set.Draw(p.set.OneLine(stageNumber(stage), style, 0), x, y+0.2, stageBox, typeset.Centre)
}
