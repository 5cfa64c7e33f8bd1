package typeset_test

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"github.com/stretchr/testify/require"

	"zonule/server/report/typeset"
)

// samples are words of each script, invented for the test, and what a search in the PDF must find.
var samples = []struct{ script, text, words string }{
	{"Latin", "Årsrapport: Dr Zoë Müller-Łukasz, phacoémulsification ≥ 2 − 1", "Müller-Łukasz"},
	{"Vietnamese", "Nguyễn Thị Phương mổ đục thủy tinh thể", "Phương"},
	{"Greek", "Ο φακός εμφυτεύθηκε χωρίς επιπλοκή", "εμφυτεύθηκε"},
	{"Cyrillic", "Разрыв задней капсулы не замечен", "капсулы"},
	{"Devanagari", "मोतियाबिंद की शल्यक्रिया में कोई कठिनाई नहीं हुई।", "शल्यक्रिया"},
	{"Arabic", "أُزيلت العدسة المعتمة دون مضاعفات", "المعتمة"},
	{"Persian", "کپسول پشتی سالم می\u200cماند", "می\u200cماند"},
	{"Hebrew", "העדשה הושתלה ללא סיבוך", "הושתלה"},
	{"Chinese", "后囊膜完整，人工晶状体植入顺利。", "人工晶状体植入顺利"},
	{"Japanese", "後嚢は保たれ、眼内レンズを挿入した。", "眼内レンズを挿入した"},
	{"Korean", "후낭은 온전하였다", "온전하였다"},
}

func newDocument() (*fpdf.Fpdf, *typeset.Setter) {
	pdf := fpdf.New("P", "mm", "A4", "")
	pdf.SetCatalogSort(true)
	pdf.SetCreationDate(time.Unix(0, 0).UTC())
	pdf.SetModificationDate(time.Unix(0, 0).UTC())
	pdf.SetAutoPageBreak(false, 0)
	pdf.AddPage()
	return pdf, typeset.New(pdf)
}

// specimen sets every sample in both weights, and mixed paragraphs.
func specimen(t *testing.T) []byte {
	pdf, setter := newDocument()
	y := 15.0
	for _, sample := range samples {
		for _, bold := range []bool{false, true} {
			block := setter.Wrap(sample.text, typeset.Style{Size: 11, Bold: bold}, 85)
			x := 15.0
			if bold {
				x = 110
			}
			setter.Draw(block, x, y, 85, typeset.Start)
		}
		y += 14
	}
	for _, text := range mixed {
		block := setter.Wrap(text, typeset.Style{Size: 10, Colour: typeset.Colour{R: 0, G: 60, B: 110}}, 90)
		pdf.Rect(15, y, 90, block.Height(), "D")
		setter.Draw(block, 15, y, 90, typeset.Start)
		y += block.Height() + 4
	}
	var out bytes.Buffer
	require.NoError(t, pdf.Output(&out))
	return out.Bytes()
}

var mixed = []string{
	"A comment in two directions: «المحفظة الخلفية سليمة 12.5 mm» ends here, and a long one wraps over several lines of the column.",
	"طول المحور 23.4 mm، والعدسة (IOL +21.5 D) في الحقيبة؛ انظر الدقيقة 3:05 من التسجيل قبل نهاية السطر الثاني.",
	"Decomposed accents: Zoë, mâts, q̌; emoji 👁️ and Tibetan བོད are told as replaced.",
	"ऊतक पर दबाव (pressure) 15 mmHg था, फिर धीरे-धीरे घटा।",
}

func write(t *testing.T, pdf []byte) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "page.pdf")
	require.NoError(t, os.WriteFile(file, pdf, 0o600))
	return file
}

func run(t *testing.T, name string, args ...string) string {
	t.Helper()
	out, err := exec.Command(name, args...).CombinedOutput()
	require.NoError(t, err, "%s: %s", name, out)
	return string(out)
}
