package table

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

func read(t *testing.T, content []byte, sheet string) (Head, []Row) {
	t.Helper()
	r, err := Open(content, sheet)
	require.NoError(t, err)
	rows, err := r.All()
	require.NoError(t, err)
	require.NoError(t, r.Close())
	return r.Head, rows
}

// The cases follow RFC 4180 (sections 2.1 to 2.7) and the habits of spreadsheets; the content is invented.
func TestCSV(t *testing.T) {
	for name, c := range map[string]struct {
		content             string
		encoding, separator string
		mark                bool
		rows                []Row
	}{
		"plain":               {"a,b\r\n1,2\r\n", "UTF-8", ",", false, []Row{{1, []string{"a", "b"}, false}, {2, []string{"1", "2"}, false}}},
		"no last line end":    {"a,b\n1,2", "UTF-8", ",", false, []Row{{1, []string{"a", "b"}, false}, {2, []string{"1", "2"}, false}}},
		"carriage returns":    {"a,b\r1,2\r", "UTF-8", ",", false, []Row{{1, []string{"a", "b"}, false}, {2, []string{"1", "2"}, false}}},
		"comma in quotes":     {"a,b\n\"1,5\",2\n", "UTF-8", ",", false, []Row{{1, []string{"a", "b"}, false}, {2, []string{"1,5", "2"}, false}}},
		"doubled quotes":      {"a,b\n\"say \"\"oh\"\"\",2\n", "UTF-8", ",", false, []Row{{1, []string{"a", "b"}, false}, {2, []string{`say "oh"`, "2"}, false}}},
		"line end in quotes":  {"a,b\n\"x\ny\",2\n3,4\n", "UTF-8", ",", false, []Row{{1, []string{"a", "b"}, false}, {2, []string{"x\ny", "2"}, false}, {4, []string{"3", "4"}, false}}},
		"quoted empty":        {"a,b,c\n\"\",2,\"\"\n", "UTF-8", ",", false, []Row{{1, []string{"a", "b", "c"}, false}, {2, []string{"", "2", ""}, false}}},
		"JSON in a cell":      {"a,b\n1,\"{\"\"k\"\": \"\"v\"\"}\"\n", "UTF-8", ",", false, []Row{{1, []string{"a", "b"}, false}, {2, []string{"1", `{"k": "v"}`}, false}}},
		"beyond Latin":        {"a,b\n視力,ʤ\n", "UTF-8", ",", false, []Row{{1, []string{"a", "b"}, false}, {2, []string{"視力", "ʤ"}, false}}},
		"semicolons, decimal": {"a;b\n1,5;2,25\n3,5;4,75\n", "UTF-8", ";", false, []Row{{1, []string{"a", "b"}, false}, {2, []string{"1,5", "2,25"}, false}, {3, []string{"3,5", "4,75"}, false}}},
		"tabs":                {"a\tb\n1,5\t2\n", "UTF-8", "\t", false, []Row{{1, []string{"a", "b"}, false}, {2, []string{"1,5", "2"}, false}}},
		"mark":                {"\xef\xbb\xbfa,b\n1,2\n", "UTF-8", ",", true, []Row{{1, []string{"a", "b"}, false}, {2, []string{"1", "2"}, false}}},
		"Windows-1252":        {"a;b\nH\xf6he;\x80\n", "Windows-1252", ";", false, []Row{{1, []string{"a", "b"}, false}, {2, []string{"Höhe", "€"}, false}}},
		"UTF-16":              {"\xff\xfea\x00,\x00b\x00\n\x001\x00,\x002\x00", "UTF-16", ",", true, []Row{{1, []string{"a", "b"}, false}, {2, []string{"1", "2"}, false}}},
		"ragged and empty":    {"a,b\n\n1\n , \n1,2,3\n", "UTF-8", ",", false, []Row{{1, []string{"a", "b"}, false}, {3, []string{"1"}, false}, {5, []string{"1", "2", "3"}, false}}},
		"one column":          {"a\n1\n", "UTF-8", ",", false, []Row{{1, []string{"a"}, false}, {2, []string{"1"}, false}}},
	} {
		t.Run(name, func(t *testing.T) {
			head, rows := read(t, []byte(c.content), "")
			require.Equal(t, Head{Kind: KindCSV, Encoding: c.encoding, Mark: c.mark, Separator: c.separator}, head)
			require.Equal(t, c.rows, rows)
		})
	}
}

func TestRefused(t *testing.T) {
	for name, c := range map[string]struct{ content, words string }{
		"nothing":          {"", "is empty"},
		"old sheet":        {"\xd0\xcf\x11\xe0 old", "XLS form"},
		"not a sheet":      {"PK\x03\x04 something else", "cannot be read as XLSX"},
		"open quotation":   {"a,b\n\"1,2\n", "line 2"},
		"stray quotation":  {"a,b\n1,x\"y\n", "line 2"},
		"NUL":              {"a,b\n1,\x00\n", "not text"},
		"false mark":       {"\xef\xbb\xbfa\xff", "begins like UTF-8"},
		"too many columns": {strings.Repeat(",", MostColumns), "columns"},
		"too long a cell":  {"a," + strings.Repeat("x", MostCell+1), "cell"},
		"too many rows":    {strings.Repeat("a,b\n", MostRows+1), "several files"},
	} {
		t.Run(name, func(t *testing.T) {
			r, err := Open([]byte(c.content), "")
			if err == nil {
				_, err = r.All()
			}
			var refusal *Error
			require.ErrorAs(t, err, &refusal)
			require.Contains(t, err.Error(), c.words)
		})
	}
}

// workbook writes a sheet in which dates, numbers and a formula look other than they are stored.
func workbook(t testing.TB, date1904 bool) []byte {
	t.Helper()
	f := excelize.NewFile()
	require.NoError(t, f.SetWorkbookProps(&excelize.WorkbookPropsOptions{Date1904: &date1904}))
	european, percent, loud := `[$-407]dd\.mm\.yyyy;@`, "0%", `"day "0.00`
	style := func(s *excelize.Style) int {
		id, err := f.NewStyle(s)
		require.NoError(t, err)
		return id
	}
	on := time.Date(2026, 4, 3, 0, 0, 0, 0, time.UTC)
	for cell, value := range map[string]any{
		"A1": "date", "B1": "other date", "C1": "share", "D1": "count", "E1": "sum", "F1": "text",
		"A2": on, "B2": on, "C2": 0.305, "D2": 123456.789, "F2": "=1+1", "A3": "hidden", "A5": "after a gap",
	} {
		require.NoError(t, f.SetCellValue("Sheet1", cell, value))
	}
	require.NoError(t, f.SetCellStyle("Sheet1", "A2", "A2", style(&excelize.Style{NumFmt: 14})))
	require.NoError(t, f.SetCellStyle("Sheet1", "B2", "B2", style(&excelize.Style{CustomNumFmt: &european})))
	require.NoError(t, f.SetCellStyle("Sheet1", "C2", "C2", style(&excelize.Style{CustomNumFmt: &percent})))
	require.NoError(t, f.SetCellStyle("Sheet1", "D2", "D2", style(&excelize.Style{CustomNumFmt: &loud})))
	require.NoError(t, f.SetCellValue("Sheet1", "E2", 7.5))
	require.NoError(t, f.SetCellFormula("Sheet1", "E2", "5*1.5"))
	require.NoError(t, f.SetRowVisible("Sheet1", 3, false))
	_, err := f.NewSheet("Second")
	require.NoError(t, err)
	require.NoError(t, f.SetCellValue("Second", "A1", "other"))
	var to bytes.Buffer
	require.NoError(t, f.Write(&to))
	return to.Bytes()
}

func TestXLSX(t *testing.T) {
	for _, date1904 := range []bool{false, true} {
		head, rows := read(t, workbook(t, date1904), "")
		require.Equal(t, Head{Kind: KindXLSX, Sheet: "Sheet1", Sheets: []string{"Sheet1", "Second"}}, head)
		require.Equal(t, []Row{
			{1, []string{"date", "other date", "share", "count", "sum", "text"}, false},
			{2, []string{"2026-04-03", "2026-04-03", "0.305", "123456.789", "7.5", "=1+1"}, false},
			{3, []string{"hidden"}, true},
			{5, []string{"after a gap"}, false},
		}, rows, "1904: %v", date1904)
	}
	_, rows := read(t, workbook(t, false), "Second")
	require.Equal(t, []Row{{1, []string{"other"}, false}}, rows)
	_, err := Open(workbook(t, false), "Third")
	require.ErrorContains(t, err, "Sheet1, Second")
}

func TestDateFormats(t *testing.T) {
	for code, date := range map[string]bool{
		"dd.mm.yyyy": true, "d/m/yy h:mm": true, `yyyy"-"mm`: true, "[$-F800]dddd, mmmm dd, yyyy": true,
		"0.00": false, "h:mm": false, "[h]:mm:ss": false, `0" days"`: false, "General": false, `[Red]0.0`: false, "#,##0": false,
	} {
		require.Equal(t, date, isDateFormat(code), code)
	}
}

func TestWriting(t *testing.T) {
	written, err := CSV([][]string{{"a", "b"}, {"=1+1", "x,\"y\""}, {"-5", "@me"}, {"-0,25", "-1+2"}, {"+3", "-5\n"}})
	require.NoError(t, err)
	require.Equal(t, "a,b\r\n'=1+1,\"x,\"\"y\"\"\"\r\n-5,'@me\r\n\"-0,25\",'-1+2\r\n+3,\"'-5\r\n\"\r\n", string(written))

	wide, err := CSV([][]string{{"＝1+1", "\n=1+1", "x＝1"}})
	require.NoError(t, err)
	require.Equal(t, "'＝1+1,\"'\r\n=1+1\",x＝1\r\n", string(wide))
}

func FuzzCSV(f *testing.F) {
	for _, seed := range []string{"a,b\n1,2\n", "a;b\r\n\"1\n2\";3", "\xef\xbb\xbfa\tb", "\xff\xfea\x00", "a\xf6;b", "\"", "PK\x03"} {
		f.Add([]byte(seed))
	}
	f.Fuzz(reads)
}

func FuzzXLSX(f *testing.F) {
	whole := workbook(f, true)
	f.Add(whole)
	f.Add(whole[:len(whole)/2])
	f.Add([]byte("PK\x03\x04"))
	f.Fuzz(reads)
}

// reads holds what must be so for any content: no panic, refusals in our words, rows within the bounds and in order.
func reads(t *testing.T, content []byte) {
	r, err := Open(content, "")
	if err != nil {
		var refusal *Error
		require.ErrorAs(t, err, &refusal)
		return
	}
	rows, err := r.All()
	if err != nil {
		var refusal *Error
		require.ErrorAs(t, err, &refusal)
	}
	last := 0
	for _, row := range rows {
		require.Greater(t, row.Number, last)
		last = row.Number
		require.LessOrEqual(t, len(row.Cells), MostColumns)
	}
	_ = r.Close() // a damaged sheet may fail again
}
