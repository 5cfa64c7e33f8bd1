package sheet

import "time"

// Document is everything that is on the sheets, in words. Times in text are already written out.
type Document struct {
	Title    string
	Short    string // heads the pages after the first
	Unit     string // heads every page
	Standing string // "Draft" or who signed and when
	Signed   bool
	Hash     string // of the content, in hex
	Notice   string // stands above all, such as that the data are invented; "" for none
	Caution  string // at the foot of every page
	Sections []Section
	// Watermark stands lightly across every page, such as who reads it and when; "" for none.
	Watermark string
	// Address is put before links that begin with "/"; without it the PDF has no such links.
	Address string
	// Made is the date that the PDF carries, so that the same content gives the same bytes.
	Made time.Time
}

// Section is a part of the document under its own heading.
type Section struct {
	Anchor string
	Title  string
	Blocks []Block
}

// Block is one of Paragraph, Facts, Table, Timeline, Intervals, Forest, Scatters, Passages and Remarks.
type Block interface{ isBlock() }

// Tone says how a text is meant.
type Tone uint8

const (
	Plain   Tone = iota
	Lead         // the paragraph that a hurried reader reads
	Quiet        // sources, definitions, small print
	Warning      // what limits the record
)

// Paragraph is running text, with a bold beginning if Head is set.
type Paragraph struct {
	Head string
	Text string
	Tone Tone
	Link string
}

// Facts are short values under their names, set in columns.
type Facts []Fact

// Fact is a value under its name.
type Fact struct{ Name, Value string }

// Table flows over pages and repeats its head.
type Table struct {
	Caption string
	Columns []Column
	Rows    []Row
}

// Column is one of a table; the shares are proportions of the width.
type Column struct {
	Title string
	Share float64
	Right bool // numbers stand at the right
	Short bool // its values are short and are not broken
}

// Row is one of a table.
type Row struct {
	Cells  []Cell
	Strong bool
	Inset  bool // belongs to the row above it
	// Stage is 1 to 6 for a coloured mark before the first cell, else 0.
	Stage int
}

// Cell is text, with smaller text under it, that may lead somewhere. Either may be empty.
type Cell struct {
	Text, Sub string
	Link      string
}

// Remarks are what people said, in threads.
type Remarks []Remark

// Remark is one of a thread.
type Remark struct {
	Head  string // who and when
	Where string // the moment it is about
	Link  string
	Text  string
	Reply bool
	State string // "open", "settled" or ""
}

func (Paragraph) isBlock() {}
func (Facts) isBlock()     {}
func (Table) isBlock()     {}
func (Timeline) isBlock()  {}
func (Remarks) isBlock()   {}
