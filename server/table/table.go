package table

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// Bounds of a file. They are far above what a clinic exports and keep a hostile file from filling the memory.
const (
	MostRows    = 200_000
	MostColumns = 500
	// MostCell is in bytes.
	MostCell = 32 << 10
	// mostUnzipped bounds an XLSX file, which is a ZIP archive.
	mostUnzipped = 512 << 20
)

// Kind is a form of file.
type Kind string

const (
	KindCSV  Kind = "csv"
	KindXLSX Kind = "xlsx"
)

// Head is what was found out about a file before its first row.
type Head struct {
	Kind Kind
	// Encoding of a CSV file: "UTF-8", "UTF-16" or "Windows-1252"; the last is a guess for what is not UTF-8.
	Encoding string
	// Mark: the file began with a byte order mark.
	Mark bool
	// Separator of a CSV file: ",", ";" or a tab.
	Separator string
	// Sheet is the sheet that is read, Sheets are all that an XLSX file holds.
	Sheet  string
	Sheets []string
}

// Row is one row that holds anything.
type Row struct {
	// Number is the line of a CSV file on which the row begins, or the row of a sheet, from 1.
	Number int
	Cells  []string
	// Hidden: the sheet does not show the row.
	Hidden bool
}

// Error says what is wrong with a file, for a person, as the end of a sentence that begins with "The file".
type Error struct{ Message string }

// Error gives the message.
func (e *Error) Error() string { return e.Message }

func refuse(format string, args ...any) error { return &Error{fmt.Sprintf(format, args...)} }

// Reader gives the rows of a file one after the other.
type Reader struct {
	Head Head
	next func() (Row, error)
	end  func() error
	rows int
}

// Open begins to read a file. The sheet, of an XLSX file only, is named; "" is the first. Errors are *Error.
func Open(content []byte, sheet string) (*Reader, error) {
	if len(content) == 0 {
		return nil, refuse("is empty")
	}
	if bytes.HasPrefix(content, []byte("PK\x03\x04")) {
		return openXLSX(content, sheet)
	}
	if bytes.HasPrefix(content, []byte{0xd0, 0xcf, 0x11, 0xe0}) {
		return nil, refuse("is in the old XLS form or protected by a password; save it as XLSX without a password, or as CSV")
	}
	return openCSV(content)
}

// Next gives the next row that is not empty, io.EOF after the last. Other errors are *Error.
func (r *Reader) Next() (Row, error) {
	for {
		row, err := r.next()
		if err != nil {
			return Row{}, err
		}
		if len(row.Cells) > MostColumns {
			return Row{}, refuse("has %d columns in row %d; at most %d are possible", len(row.Cells), row.Number, MostColumns)
		}
		empty := true
		for i, cell := range row.Cells {
			if len(cell) > MostCell {
				return Row{}, refuse("has a cell of more than %d bytes in row %d", MostCell, row.Number)
			}
			if strings.ContainsRune(cell, 0) || !utf8.ValidString(cell) {
				return Row{}, refuse("holds characters in row %d that are not text", row.Number)
			}
			row.Cells[i] = strings.TrimSpace(cell)
			empty = empty && row.Cells[i] == ""
		}
		if empty {
			continue
		}
		if r.rows++; r.rows > MostRows {
			return Row{}, refuse("has more than %d rows; cut it into several files", MostRows)
		}
		return row, nil
	}
}

// Close lets go of what the reader holds.
func (r *Reader) Close() error {
	if r.end == nil {
		return nil
	}
	return r.end()
}

// All reads every row; for tests and small files.
func (r *Reader) All() ([]Row, error) {
	rows := []Row{}
	for {
		row, err := r.Next()
		if err == io.EOF {
			return rows, nil
		}
		if err != nil {
			return nil, err
		}
		rows = append(rows, row)
	}
}
