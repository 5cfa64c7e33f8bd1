package table

import (
	"bytes"
	"errors"
	"regexp"
	"strconv"

	"github.com/xuri/excelize/v2"
)

// Sheet is one sheet of a workbook; its first row is the header.
type Sheet struct {
	Name string
	Rows [][]string
}

var number = regexp.MustCompile(`^-?(0|[1-9][0-9]{0,14})(\.[0-9]+)?(e[+-]?[0-9]+)?$`)

// XLSX writes a workbook. A cell that is a number in full is written as one, any other as text, as notFormula gives it.
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
	return to.Bytes(), nil
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
