package table

import (
	"bytes"
	"encoding/csv"
	"strings"
)

// CSV writes rows as RFC 4180 in UTF-8. A text that a spreadsheet would run as a formula gets an apostrophe.
func CSV(rows [][]string) ([]byte, error) {
	var to bytes.Buffer
	writer := csv.NewWriter(&to)
	writer.UseCRLF = true
	for _, row := range rows {
		guarded := make([]string, len(row))
		for i, cell := range row {
			guarded[i] = cell
			if cell != "" && strings.ContainsRune("=+-@\t\r\n＝＋－＠", []rune(cell)[0]) {
				guarded[i] = "'" + cell
			}
		}
		if err := writer.Write(guarded); err != nil {
			return nil, err
		}
	}
	writer.Flush()
	return to.Bytes(), writer.Error()
}
