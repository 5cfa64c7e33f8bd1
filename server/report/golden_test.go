package report_test

import (
	"bytes"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/server/report"
)

var update = flag.Bool("update", false, "write the golden files anew")

// golden compares with a stored file, which only -update writes.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	file := filepath.Join("..", "..", "testdata", "report", name)
	if *update {
		require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o755))
		require.NoError(t, os.WriteFile(file, got, 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, string(want), string(got), "%s differs; look at both, and if the new one is right run the test with -update", name)
}

// forms writes a report in every form.
func forms(t *testing.T, r report.Report, e report.Edition) map[string][]byte {
	t.Helper()
	content, err := report.JSON(r)
	require.NoError(t, err)
	page, err := report.HTML(r, e)
	require.NoError(t, err)
	table, err := report.CSV(r, e)
	require.NoError(t, err)
	file, err := report.PDF(r, e)
	require.NoError(t, err)
	return map[string][]byte{"json": content, "html": page, "csv": table, "pdf": file}
}

// onDisk writes a PDF for a tool to read.
func onDisk(t *testing.T, pdf []byte) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "report.pdf")
	require.NoError(t, os.WriteFile(file, pdf, 0o600))
	return file
}

// tool runs a program that the developer file lists as needed.
func tool(t *testing.T, name string, args ...string) string {
	t.Helper()
	out, err := exec.Command(name, args...).CombinedOutput()
	require.NoError(t, err, "%s: %s", name, out)
	return string(out)
}

// TestGoldens holds every form of each case of the cast; the PDF by its text, as pdftotext (poppler) reads it.
func TestGoldens(t *testing.T) {
	for _, c := range cast {
		t.Run(c.name, func(t *testing.T) {
			written := forms(t, report.Build(c.file(t), report.Options{Invented: true}), c.edition)
			for _, form := range []string{"json", "html", "csv"} {
				golden(t, c.name+"."+form, written[form])
			}
			file := onDisk(t, written["pdf"])
			golden(t, c.name+".pdf.txt", []byte(tool(t, "pdftotext", "-layout", file, "-")))
			require.Contains(t, tool(t, "qpdf", "--check", file), "No syntax or stream encoding errors found")
		})
	}
}

func TestSameInSameOut(t *testing.T) {
	for _, c := range cast {
		first := forms(t, report.Build(c.file(t), report.Options{}), c.edition)
		for form, content := range forms(t, report.Build(c.file(t), report.Options{}), c.edition) {
			require.True(t, bytes.Equal(first[form], content), "%s as %s", c.name, form)
		}
	}
}

// TestManyAtOnce: a server writes several reports at the same time; the race detector watches.
func TestManyAtOnce(t *testing.T) {
	r := report.Build(eventful(t), report.Options{})
	want, err := report.PDF(r, cast[0].edition)
	require.NoError(t, err)
	answers := make(chan []byte)
	for range 4 {
		go func() {
			got, _ := report.PDF(r, cast[0].edition)
			answers <- got
		}()
	}
	for range 4 {
		require.True(t, bytes.Equal(want, <-answers))
	}
}

// TestPDFLeadsToTheMoment reads the links back with pdfinfo (poppler).
func TestPDFLeadsToTheMoment(t *testing.T) {
	c := cast[0]
	pdf := forms(t, report.Build(c.file(t), report.Options{}), c.edition)["pdf"]
	links := tool(t, "pdfinfo", "-url", onDisk(t, pdf))
	require.Contains(t, links, "https://zonule.example.org/cases/c-17/operation#part=p-2&t=128.44")
	facts := tool(t, "pdfinfo", onDisk(t, pdf))
	require.Contains(t, facts, "Review report: K-017, right eye, 12 March 2026")
	require.Contains(t, string(pdf), "/Lang (en-GB)")
	require.Contains(t, string(pdf), "/Outlines")
	require.Contains(t, facts, "CreationDate:    "+time.UnixMilli(c.edition.Signature.At).In(time.Local).Format("Mon Jan"))

	c.edition.Address = ""
	pdf = forms(t, report.Build(c.file(t), report.Options{}), c.edition)["pdf"]
	require.NotContains(t, tool(t, "pdfinfo", "-url", onDisk(t, pdf)), "operation#part", "a link that leads nowhere is left out")
}

// TestPDFSetsEveryScript: names and comments of the cast can be found again, and what cannot be set is told.
func TestPDFSetsEveryScript(t *testing.T) {
	c := cast[0]
	pdf := forms(t, report.Build(c.file(t), report.Options{}), c.edition)["pdf"]
	text := tool(t, "pdftotext", onDisk(t, pdf), "-")
	for _, words := range []string{"Ελένη Παπαδάκη", "आनंद कुलकर्णी", "कृपया दोबारा देखें", "佐藤 遥", "前嚢切開の直径は十分でした", "سمير الخطيب", "قطعة صغيرة لامست البطانة"} {
		require.Contains(t, text, words)
	}
	require.Contains(t, text, "Characters that this PDF cannot show")
	require.Contains(t, text, "U+1F44D")
}

func TestReadGivesBackWhatWasSigned(t *testing.T) {
	for _, c := range cast {
		content := forms(t, report.Build(c.file(t), report.Options{}), c.edition)["json"]
		read, err := report.Read(content)
		require.NoError(t, err)
		again, err := report.JSON(read)
		require.NoError(t, err)
		require.Equal(t, report.Hash(content), report.Hash(again), c.name)
	}
	_, err := report.Read([]byte(`{"format":99}`))
	require.ErrorContains(t, err, "format 99")
	_, err = report.Read([]byte(`{"format":1,"verdict":"good"}`))
	require.ErrorContains(t, err, "verdict")
}
