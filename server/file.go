package server

import (
	"net/http"

	"zonule/server/table"
)

// csvFile answers with a table as a file for a spreadsheet. The policy keeps a browser that shows it from doing anything.
func csvFile(name string, rows [][]string) (*fileOutput, error) {
	content, err := table.CSV(rows)
	if err != nil {
		return nil, err
	}
	return &fileOutput{
		Status: http.StatusOK, ContentType: "text/csv; charset=utf-8", Disposition: `attachment; filename="` + name + `.csv"`,
		Policy: "default-src 'none'; sandbox", CacheControl: "no-store", Body: content,
	}, nil
}
