package table

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// TestAWorkbookIsWritten reads back with the reader of imports what was written, and asks the library for the kinds of the cells.
func TestAWorkbookIsWritten(t *testing.T) {
	sheets := []Sheet{
		{"Summary", [][]string{{"name", "n", "ratio", "id"}, {"=1+1", "12", "-0.25", "007"}, {"Ångström", "", "1e-7", "2026-05-04"}}},
		{"Cases", [][]string{{"case"}, {"0197c2a4-0000-7000-8000-000000000001"}}},
	}
	content, err := XLSX(sheets)
	require.NoError(t, err)
	for range 20 {
		again, err := XLSX(sheets)
		require.NoError(t, err)
		require.True(t, bytes.Equal(content, again), "the same sheets give the same bytes")
	}
	reader, err := Open(content, "Cases")
	require.NoError(t, err)
	rows, err := reader.All()
	require.NoError(t, err)
	require.NoError(t, reader.Close())
	require.Len(t, rows, 2)

	file, err := excelize.OpenReader(bytes.NewReader(content))
	require.NoError(t, err)
	defer func() { require.NoError(t, file.Close()) }()
	for cell, want := range map[string]string{"A2": "'=1+1", "B2": "12", "C2": "-0.25", "D2": "007", "A3": "Ångström", "B3": "", "C3": "0.0000001", "D3": "2026-05-04"} {
		got, err := file.GetCellValue("Summary", cell, excelize.Options{RawCellValue: true})
		require.NoError(t, err)
		require.Equal(t, want, got, cell)
	}
	for cell, want := range map[string]excelize.CellType{"A2": excelize.CellTypeInlineString, "B2": excelize.CellTypeUnset, "D2": excelize.CellTypeInlineString} {
		got, err := file.GetCellType("Summary", cell)
		require.NoError(t, err)
		require.Equal(t, want, got, cell)
	}
}
