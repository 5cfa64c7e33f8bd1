package table

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// sample is how much of a file is looked at to find its separator.
const sample = 64 << 10

var separators = []rune{',', ';', '\t'}

func openCSV(content []byte) (*Reader, error) {
	text, head, err := decoded(content)
	if err != nil {
		return nil, err
	}
	if bytes.ContainsRune(text, 0) {
		return nil, refuse("is neither CSV nor XLSX: it holds characters that are not text")
	}
	if !bytes.Contains(text, []byte("\n")) {
		// Some programs end their lines with a carriage return alone.
		text = bytes.ReplaceAll(text, []byte("\r"), []byte("\n"))
	}
	separator := separatorOf(text)
	head.Separator = string(separator)
	rows := csvReader(text, separator)
	return &Reader{Head: head, next: func() (Row, error) {
		cells, err := rows.Read()
		if err == nil {
			line, _ := rows.FieldPos(0)
			return Row{Number: line, Cells: cells}, nil
		}
		var fault *csv.ParseError
		if errors.As(err, &fault) {
			return Row{}, refuse("cannot be read in line %d: a quotation mark stands where none may, or is never closed", fault.StartLine)
		}
		return Row{}, err
	}}, nil
}

func csvReader(text []byte, separator rune) *csv.Reader {
	rows := csv.NewReader(bytes.NewReader(text))
	rows.Comma = separator
	rows.FieldsPerRecord = -1
	return rows
}

// decoded gives the text of a file as UTF-8. What is not UTF-8 is taken for Windows-1252, in which spreadsheets of
// western Europe write, and the head tells so.
func decoded(content []byte) ([]byte, Head, error) {
	head := Head{Kind: KindCSV, Encoding: "UTF-8"}
	if text, marked := bytes.CutPrefix(content, []byte{0xef, 0xbb, 0xbf}); marked {
		head.Mark = true
		if !utf8.Valid(text) {
			return nil, head, refuse("begins like UTF-8 text and holds bytes that are not; save it again as CSV UTF-8")
		}
		return text, head, nil
	}
	if bytes.HasPrefix(content, []byte{0xff, 0xfe}) || bytes.HasPrefix(content, []byte{0xfe, 0xff}) {
		head.Mark, head.Encoding = true, "UTF-16"
		text, err := unicode.UTF16(unicode.LittleEndian, unicode.ExpectBOM).NewDecoder().Bytes(content)
		if err != nil {
			return nil, head, refuse("begins like UTF-16 text and cannot be read as such")
		}
		return text, head, nil
	}
	if utf8.Valid(content) {
		return content, head, nil
	}
	head.Encoding = "Windows-1252"
	text, err := charmap.Windows1252.NewDecoder().Bytes(content)
	if err != nil {
		return nil, head, refuse("is neither UTF-8 nor Windows-1252 text")
	}
	return text, head, nil
}

// separatorOf takes the separator that cuts most of the first rows into as many cells as the first one, of two or more.
func separatorOf(text []byte) rune {
	begin := text[:min(len(text), sample)]
	best, most := separators[0], 0
	for _, separator := range separators {
		rows := csvReader(begin, separator)
		columns, alike := 0, 0
		for range 50 {
			cells, err := rows.Read()
			if err != nil {
				if err != io.EOF && len(begin) == len(text) {
					alike = 0
				}
				break
			}
			if columns == 0 {
				columns = len(cells)
			}
			if len(cells) == columns {
				alike++
			}
		}
		if columns > 1 && alike*1000+columns > most {
			best, most = separator, alike*1000+columns
		}
	}
	return best
}
