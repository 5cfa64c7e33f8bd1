package table

import (
	"archive/zip"
	"bytes"
	"errors"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
)

// Sheet is one sheet of a workbook; its first row is the header.
type Sheet struct {
	Name string
	Rows [][]string
}

var number = regexp.MustCompile(`^-?(0|[1-9][0-9]{0,14})(\.[0-9]+)?(e[+-]?[0-9]+)?$`)

// XLSX writes a workbook; the same sheets give the same bytes. A cell that is a number in full is written as one, any other as text, as notFormula gives it.
func XLSX(sheets []Sheet) (content []byte, err error) {
	file := excelize.NewFile()
	defer func() { err = errors.Join(err, file.Close()) }()
	for i, sheet := range sheets {
		if i == 0 {
			err = file.SetSheetName(file.GetSheetName(0), sheet.Name)
		} else {
			_, err = file.NewSheet(sheet.Name)
		}
		if err != nil {
			return nil, err
		}
		if err := writeSheet(file, sheet); err != nil {
			return nil, err
		}
	}
	var to bytes.Buffer
	if err := file.Write(&to); err != nil {
		return nil, err
	}
	return inOrder(to.Bytes())
}

// inOrder puts the parts of a workbook in the order of their names. The library writes them in the order of a Go map, which
// is another each time.
func inOrder(workbook []byte) ([]byte, error) {
	read, err := zip.NewReader(bytes.NewReader(workbook), int64(len(workbook)))
	if err != nil {
		return nil, err
	}
	slices.SortFunc(read.File, func(a, b *zip.File) int { return strings.Compare(a.Name, b.Name) })
	var to bytes.Buffer
	write := zip.NewWriter(&to)
	for _, part := range read.File {
		if err := write.Copy(part); err != nil {
			return nil, err
		}
	}
	err = write.Close()
	return to.Bytes(), err
}

func writeSheet(file *excelize.File, sheet Sheet) error {
	writer, err := file.NewStreamWriter(sheet.Name)
	if err != nil {
		return err
	}
	if err := writer.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	for i, row := range sheet.Rows {
		cells := make([]any, len(row))
		for n, cell := range row {
			cells[n] = cellOf(cell)
		}
		if err := writer.SetRow("A"+strconv.Itoa(i+1), cells); err != nil {
			return err
		}
	}
	return writer.Flush()
}

func cellOf(text string) any {
	if text == "" {
		return nil
	}
	if number.MatchString(text) {
		if value, err := strconv.ParseFloat(text, 64); err == nil {
			return value
		}
	}
	return notFormula(text)
}
