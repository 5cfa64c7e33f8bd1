package table

import (
	"archive/zip"
	"bytes"
	"io"
	"testing"

	"github.com/stretchr/testify/require"
)

// FuzzSheet changes what lies inside a workbook, the sheet and the formats, which a change to the packed bytes seldom reaches.
func FuzzSheet(f *testing.F) {
	whole := workbook(f, false)
	const sheet, styles = "xl/worksheets/sheet1.xml", "xl/styles.xml"
	archive, err := zip.NewReader(bytes.NewReader(whole), int64(len(whole)))
	require.NoError(f, err)
	parts := map[string][]byte{}
	for _, file := range archive.File {
		opened, err := file.Open()
		require.NoError(f, err)
		parts[file.Name], err = io.ReadAll(opened)
		require.NoError(f, err)
	}
	f.Add(parts[sheet], parts[styles])
	f.Add([]byte(`<worksheet><sheetData><row r="3"><c r="B3" t="s"><v>99</v></c></row><row r="1"><c r="A1" s="7"><v>1e300</v></c></row></sheetData></worksheet>`), parts[styles])
	f.Add([]byte(`<worksheet><sheetData><row><c t="inlineStr"><is><t>a</t></is></c><c t="b"><v>1</v></c><c t="e"><v>#N/A</v></c></row></sheetData></worksheet>`), []byte("<styleSheet/>"))
	f.Fuzz(func(t *testing.T, changedSheet, changedStyles []byte) {
		var packed bytes.Buffer
		w := zip.NewWriter(&packed)
		for name, content := range parts {
			switch name {
			case sheet:
				content = changedSheet
			case styles:
				content = changedStyles
			}
			to, err := w.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Store})
			require.NoError(t, err)
			_, err = to.Write(content)
			require.NoError(t, err)
		}
		require.NoError(t, w.Close())
		reads(t, packed.Bytes())
	})
}
