package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"zonule/annotate"
	"zonule/server/report/sheet"
	"zonule/server/report/words"
	"zonule/server/table"
	"zonule/timeline/outcome"
)

// StudyEdition is everything about a printed study that is not in its result.
type StudyEdition struct {
	Name     string
	Question string // why it is asked; may be ""
	Unit     string
	Invented bool
	// Frozen says who froze the study and when; nil is today's data.
	Frozen *annotate.FrozenStudy
	// DataHash is that of the analysis table as CSV, in hex.
	DataHash string
	// Names gives the words of the unit where the result does not hold them; nil: the codes' own.
	Names outcome.Names
	// Made is when the study was answered. Its zone is that in which times are written.
	Made time.Time
	// Watermark stands across every page; "" for none.
	Watermark string
}

// StudyHTML writes a study as one page without outside parts, ready to print on A4. No case, patient or operator is on it.
func StudyHTML(r outcome.Result, e StudyEdition) ([]byte, error) {
	d, err := studyDocument(r, e)
	if err != nil {
		return nil, err
	}
	return d.HTML()
}

// StudyPDF writes a study as PDF. The same result and edition give the same bytes.
func StudyPDF(r outcome.Result, e StudyEdition) ([]byte, error) {
	d, err := studyDocument(r, e)
	if err != nil {
		return nil, err
	}
	return d.PDF()
}

// StudyJSON writes the canonical bytes of a result without ids of cases: fields in the order of the type, no white space,
// UTF-8, numbers in their shortest form. Their Hash is the hash of the study.
func StudyJSON(r outcome.Result) ([]byte, error) {
	r.Relations = slices.Clone(r.Relations)
	for i := range r.Relations {
		rel := &r.Relations[i]
		rel.Driving = slices.Clone(rel.Driving)
		if rel.Chart != nil {
			chart := *rel.Chart
			chart.Points, chart.Added = slices.Clone(chart.Points), slices.Clone(chart.Added)
			rel.Chart = &chart
		}
	}
	r.Hide(func(string) bool { return false })
	var out bytes.Buffer
	encoder := json.NewEncoder(&out)
	encoder.SetEscapeHTML(false)
	if err := encoder.Encode(r); err != nil {
		return nil, fmt.Errorf("write study: %w", err)
	}
	return bytes.TrimSuffix(out.Bytes(), []byte("\n")), nil
}

// StudyCSV writes the analysis table of a study, guarded against spreadsheets that run what they read.
func StudyCSV(a outcome.Analysis) ([]byte, error) { return table.CSV(a.Strings()) }

// StudyXLSX writes the analysis table of a study as a workbook: the cases, then what each column is.
func StudyXLSX(a outcome.Analysis) ([]byte, error) {
	columns := [][]string{{"column", "code", "unit"}}
	for _, c := range a.Columns {
		columns = append(columns, []string{c.Name, c.Code, c.Unit})
	}
	return table.XLSX([]table.Sheet{{Name: "Cases", Rows: a.Strings()}, {Name: "Columns", Rows: columns}})
}

// study is a study on its way to paper.
type study struct {
	outcome.Result
	StudyEdition
	hash string // of the result
}

func studyDocument(r outcome.Result, e StudyEdition) (sheet.Document, error) {
	content, err := StudyJSON(r)
	if err != nil {
		return sheet.Document{}, err
	}
	s := study{r, e, Hash(content)}
	if e.Frozen != nil {
		s.hash = e.Frozen.Hash
	}
	d := sheet.Document{
		Title: e.Name, Short: e.Name, Unit: e.Unit, Standing: s.standing(), Signed: e.Frozen != nil, Hash: s.hash,
		Caution: footCaution, Watermark: e.Watermark, Made: e.Made,
	}
	if e.Invented {
		d.Notice = inventedNotice
	}
	for _, section := range s.sections() {
		if len(section.Blocks) > 0 {
			d.Sections = append(d.Sections, section)
		}
	}
	return d, nil
}

// standing says whether the study is frozen.
func (s study) standing() string {
	if f := s.Frozen; f != nil {
		return fmt.Sprintf("Frozen by %s, %s", f.FrozenName, words.Wall(f.FrozenAt, s.Made.Location()))
	}
	return "Today's data, not frozen"
}

// sections are the whole paper: what is asked and answered first, how it came about last.
func (s study) sections() []sheet.Section {
	sections := []sheet.Section{
		{Anchor: "question", Blocks: s.question()},
		{Anchor: "answer", Title: "Answer", Blocks: s.answer()},
		{Anchor: "cannot-say", Title: "What this cannot say", Blocks: s.cannotSay()},
		{Anchor: "relations", Title: "The relations", Blocks: s.relations()},
	}
	for i, rel := range s.Relations {
		sections = append(sections, sheet.Section{Anchor: fmt.Sprintf("exposure-%d", i+1), Title: words.Upper(rel.Name), Blocks: s.exposure(rel)})
	}
	sections = append(sections, sheet.Section{Anchor: "fell-out", Title: "Who fell out", Blocks: s.fellOut()})
	if s.Why == "" {
		sections = append(sections,
			sheet.Section{Anchor: "factors", Title: "What is allowed for", Blocks: s.allowedFor()},
			sheet.Section{Anchor: "methods", Title: "How the figures came about", Blocks: methodsOf(s.Methods)})
	}
	return append(sections,
		sheet.Section{Anchor: "cautions", Title: "Cautions", Blocks: cautionsOf(studyCautions)},
		sheet.Section{Anchor: "proof", Title: "How this can be checked", Blocks: s.proof()},
	)
}

// cannotSay is in the words of the result.
func (s study) cannotSay() []sheet.Block {
	var blocks []sheet.Block
	for _, text := range s.CannotSay {
		blocks = append(blocks, sheet.Paragraph{Text: text, Tone: sheet.Warning})
	}
	return blocks
}
