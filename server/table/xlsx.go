package table

import (
	"bytes"
	"errors"
	"io"
	"regexp"
	"slices"
	"strings"

	"github.com/xuri/excelize/v2"
)

// openXLSX reads a workbook row by row. A sheet too large for memory is unpacked into a temporary file by the library.
// Formulas give the value that was stored with them.
func openXLSX(content []byte, sheet string) (reader *Reader, err error) {
	defer func() { reader, err = calm(reader, err, recover()) }()
	file, err := excelize.OpenReader(bytes.NewReader(content), excelize.Options{UnzipSizeLimit: mostUnzipped, UnzipXMLSizeLimit: 16 << 20})
	if err != nil {
		return nil, refuse("cannot be read as XLSX; open it in a spreadsheet program and save it again, or save it as CSV")
	}
	head := Head{Kind: KindXLSX, Sheets: file.GetSheetList(), Sheet: sheet}
	if len(head.Sheets) == 0 {
		return nil, errors.Join(refuse("holds no sheet"), file.Close())
	}
	if sheet == "" {
		head.Sheet = head.Sheets[0]
	} else if !slices.Contains(head.Sheets, sheet) {
		return nil, errors.Join(refuse("has no sheet of that name; it has %s", strings.Join(head.Sheets, ", ")), file.Close())
	}
	plainFormats(file)
	rows, err := file.Rows(head.Sheet)
	if err != nil {
		return nil, errors.Join(refuse("has a sheet %q that cannot be read as a table", head.Sheet), file.Close())
	}
	number := 0
	return &Reader{Head: head, end: func() error { return errors.Join(rows.Close(), file.Close()) }, next: func() (Row, error) {
		return nextOfSheet(rows, &number)
	}}, nil
}

// nextOfSheet gives one row. The library can panic on a damaged sheet; that is a refusal of the file.
func nextOfSheet(rows *excelize.Rows, number *int) (row Row, err error) {
	defer func() { row, err = calm(row, err, recover()) }()
	if !rows.Next() {
		if rows.Error() != nil {
			return Row{}, refuse("is damaged after row %d", *number)
		}
		return Row{}, io.EOF
	}
	*number++
	hidden := rows.GetRowOpts().Hidden
	cells, err := rows.Columns()
	if err != nil {
		return Row{}, refuse("is damaged in row %d", *number)
	}
	return Row{Number: *number, Cells: cells, Hidden: hidden}, nil
}

func calm[T any](value T, err error, met any) (T, error) {
	if met != nil {
		var none T
		return none, refuse("is damaged and cannot be read as XLSX")
	}
	return value, err
}

// isoDate is the format that stands in for every format of a date; its number is beyond those that programs use.
const isoDate = 9001

// plainFormats lets the cells be read as they are stored, whatever they look like on the sheet: a date as YYYY-MM-DD,
// anything else as a number without format. What a sheet shows as 03/04/26 would not tell day from month.
func plainFormats(file *excelize.File) {
	styles := file.Styles
	if styles == nil || styles.CellXfs == nil {
		return
	}
	dates := map[int]bool{}
	for _, builtIn := range [][2]int{{14, 17}, {22, 22}, {27, 31}, {34, 36}, {50, 58}} {
		for id := builtIn[0]; id <= builtIn[1]; id++ {
			dates[id] = true
		}
	}
	if styles.NumFmts != nil {
		for _, format := range styles.NumFmts.NumFmt {
			if format != nil {
				dates[format.NumFmtID] = isDateFormat(format.FormatCode)
			}
		}
	}
	for i := range styles.CellXfs.Xf {
		id := styles.CellXfs.Xf[i].NumFmtID
		plain := 0
		if id != nil && dates[*id] {
			plain = isoDate
		}
		styles.CellXfs.Xf[i].NumFmtID = &plain
	}
	addFormat(file)
}

// addFormat puts the format into the list of the workbook, whose type the library does not export: it makes a style
// with it and gives its entry the number.
func addFormat(file *excelize.File) {
	code := "yyyy-mm-dd"
	style, err := file.NewStyle(&excelize.Style{CustomNumFmt: &code})
	if err != nil || file.Styles.NumFmts == nil {
		return
	}
	made := *file.Styles.CellXfs.Xf[style].NumFmtID
	for _, format := range file.Styles.NumFmts.NumFmt {
		if format != nil && format.NumFmtID == made {
			format.NumFmtID, format.FormatCode, format.FormatCode16 = isoDate, code, ""
		}
	}
}

var notOfFormat = regexp.MustCompile(`"[^"]*"|\\.|_.|\*.|\[[^\]]*\]`)

// isDateFormat tells a format with a year or a day from one of numbers or of times alone.
func isDateFormat(code string) bool {
	first, _, _ := strings.Cut(notOfFormat.ReplaceAllString(code, ""), ";")
	first = strings.ToLower(first)
	return strings.ContainsAny(first, "yd") && !strings.Contains(first, "general") && !strings.ContainsAny(first, "#?")
}
