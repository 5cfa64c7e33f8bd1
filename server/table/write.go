package table

import (
	"bytes"
	"encoding/csv"
	"regexp"
	"strings"
)

// CSV writes rows as RFC 4180 in UTF-8, each cell as notFormula gives it.
func CSV(rows [][]string) ([]byte, error) {
	var to bytes.Buffer
	writer := csv.NewWriter(&to)
	writer.UseCRLF = true
	for _, row := range rows {
		guarded := make([]string, len(row))
		for i, cell := range row {
			guarded[i] = notFormula(cell)
		}
		if err := writer.Write(guarded); err != nil {
			return nil, err
		}
	}
	writer.Flush()
	return to.Bytes(), writer.Error()
}

var plainNumber = regexp.MustCompile(`^[+-]?[0-9]+([.,][0-9]+)?$`)

// notFormula keeps a text of a table from being run as a formula by a spreadsheet: it gets an apostrophe before it. A
// plain number, which may be negative, is none.
func notFormula(text string) string {
	if text != "" && strings.ContainsRune("=+-@\t\r\n＝＋－＠", []rune(text)[0]) && !plainNumber.MatchString(text) {
		return "'" + text
	}
	return text
}
