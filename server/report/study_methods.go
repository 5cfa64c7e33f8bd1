package report

import (
	"fmt"
	"strconv"

	"zonule/server/report/sheet"
	"zonule/server/report/words"
	"zonule/timeline/cohort"
	"zonule/timeline/outcome"
)

// studyCautions is what a study must not be taken for. The last is found in our search of the literature: no study of the kind
// came up, which is no proof that there is none.
var studyCautions = []string{
	"For education and quality improvement only. This study is not from a medical device and is not for diagnosis, for deciding treatment or, alone, for judging a person's fitness to practise. Local policy governs consent to record, retention and confidential review; decisions stay with licensed practitioners.",
	"A relation is an association. Hard eyes take longer and do worse; operators learn and choose their cases; what is not recorded is not allowed for. What is told here is no forecast of what another way of operating would have brought.",
	"Small numbers wander: an interval that leaves no relation out is met by chance in one study of twenty, and studies that were tried and not kept are not counted.",
	"Times are picked by hand in the film, good to about one second (found: Cataract-101 data set, 2018). Counts of cells carry the error of sampling, of the place on the cornea and of the instrument.",
	"No study known to us shows that times of steps read from recordings foretell the loss of endothelial cells.",
}

// methodsOf tells each method with formula, source and status.
func methodsOf(methods []cohort.Method) []sheet.Block {
	var blocks []sheet.Block
	for _, m := range methods {
		blocks = append(blocks, sheet.Paragraph{
			Head: m.Name, Text: fmt.Sprintf("%s Source: %s (%s). %s", m.Formula, m.Source, m.Status, m.Caution), Tone: sheet.Quiet,
		})
	}
	return blocks
}

func cautionsOf(texts []string) []sheet.Block {
	var blocks []sheet.Block
	for _, text := range texts {
		blocks = append(blocks, sheet.Paragraph{Text: text, Tone: sheet.Quiet})
	}
	return blocks
}

// proof is what tells whether the same data and the same rules stand behind two papers.
func (s study) proof() []sheet.Block {
	rules := outcome.Rules
	made := "Answered " + words.Wall(s.Made.UnixMilli(), s.Made.Location()) + " from the data of that moment; not frozen"
	if f := s.Frozen; f != nil {
		rules = f.Rules
		made = "Number " + strconv.Itoa(f.Number) + " of this study, frozen by " + f.FrozenName + ", " + words.Wall(f.FrozenAt, s.Made.Location())
	}
	t := sheet.Table{Columns: []sheet.Column{{Title: "What", Share: 40}, {Title: "Value", Share: 140}}}
	for _, line := range [][2]string{
		{"Standing", made}, {"Rules, version", rules}, {"Data (SHA-256 of the table of cases)", s.DataHash}, {"Result (SHA-256)", s.hash},
	} {
		t.Rows = append(t.Rows, sheet.Row{Cells: []sheet.Cell{{Text: line[0]}, {Text: line[1]}}})
	}
	return []sheet.Block{t, sheet.Paragraph{Text: "The same definition on the same data, under the same version of the rules, gives the same result to the last digit.", Tone: sheet.Quiet}}
}
