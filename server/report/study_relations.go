package report

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"zonule/server/report/sheet"
	"zonule/server/report/words"
	"zonule/timeline/outcome"
)

// sizeWords say how a relation is told for a kind of outcome: what its figure is, and what lies to either side of none.
type sizeWords struct {
	unit, less, more string
}

var sizes = map[outcome.OutcomeKind]sizeWords{
	outcome.Loss:         {"% fewer cells left", "more cells left", "fewer cells left"},
	outcome.Oedema:       {"grades more", "less oedema", "more oedema"},
	outcome.Thickness:    {"% more thickness", "thinner", "thicker"},
	outcome.AcuityGain:   {"logMAR more gain", "less gain", "more gain"},
	outcome.Complication: {"odds ratio", "less often", "more often"},
}

func (s study) sizeWords() sizeWords { return sizes[s.Definition.Outcome.Kind] }

// intervalWords say what an interval rests on.
var intervalWords = map[string]string{
	"clustered": "allows for operators", "hc3": "takes all cases for independent (HC3)",
	"classical": "takes all cases for independent and equally spread", "profile": "takes all cases for independent (profile)",
	"profile, clustered": "profile, allows for operators", "rank": "by ranks",
}

// sayInterval writes a figure with its interval.
func sayInterval(size outcome.Size) string {
	return fmt.Sprintf("%s (%s to %s)", words.Figure(size.Value), words.Figure(size.Low), words.Figure(size.High))
}

// relations is all exposures beside each other: the figure, what it shows in words, then the table.
func (s study) relations() []sheet.Block {
	if len(s.Relations) == 0 {
		return nil
	}
	blocks := []sheet.Block{s.forest(), sheet.Paragraph{Text: s.forestWords(), Tone: sheet.Quiet}, s.relationTable()}
	for _, text := range s.Collinear {
		blocks = append(blocks, sheet.Paragraph{Text: text, Tone: sheet.Warning})
	}
	if s.CountingError != nil {
		blocks = append(blocks, sheet.Paragraph{Head: "Counting error.", Text: s.CountingError.Text})
	}
	return blocks
}

// forest draws each relation allowing for the factors, and under it alone and beside the other exposures.
func (s study) forest() sheet.Forest {
	said := s.sizeWords()
	f := sheet.Forest{
		Title: fmt.Sprintf("How each exposure goes with %s, with 95 %% intervals", s.Outcome.Name),
		Unit:  said.unit, Less: "← " + said.less, More: said.more + " →",
	}
	if s.complication() {
		f.Log, f.None = true, 1
	}
	for _, rel := range s.Relations {
		f.Rows = append(f.Rows, forestRow(fmt.Sprintf("%s, per %s", words.Upper(rel.Name), rel.Per), rel.Adjusted, false))
		if rel.Unadjusted != nil {
			f.Rows = append(f.Rows, forestRow("nothing allowed for", rel.Unadjusted, true))
		}
		if rel.Together != nil {
			f.Rows = append(f.Rows, forestRow("beside the other exposures", rel.Together, true))
		}
	}
	return f
}

func forestRow(label string, size *outcome.Size, inset bool) sheet.ForestRow {
	if size == nil {
		return sheet.ForestRow{Label: label, Value: "nothing can be said", Inset: inset}
	}
	return sheet.ForestRow{Label: label, Value: sayInterval(*size), Low: size.Low, Estimate: size.Value, High: size.High, Known: true, Inset: inset}
}

// forestWords says the figure in words.
func (s study) forestWords() string {
	var clear, unclear []string
	none := 0.0
	if s.complication() {
		none = 1
	}
	for _, rel := range s.Relations {
		name := rel.Name
		if rel.Exposure.Scale == outcome.PerDoubling {
			name += " (per doubling)"
		}
		switch {
		case rel.Adjusted == nil:
		case rel.Adjusted.Low > none || rel.Adjusted.High < none:
			clear = append(clear, name)
		default:
			unclear = append(unclear, name)
		}
	}
	text := "Filled marks allow for " + s.factors() + "; hollow marks stand for the same with nothing allowed for"
	if s.besideOthers() {
		text += ", or beside the other exposures"
	}
	text += ". "
	if len(clear) > 0 {
		text += "The interval leaves no relation out for " + words.List(clear) + ". "
	}
	if len(unclear) > 0 {
		text += "It holds no relation for " + words.List(unclear) + ". "
	}
	return text + "An arrow says that an interval goes on."
}

// besideOthers reports whether any exposure is told beside the others.
func (s study) besideOthers() bool {
	return slices.ContainsFunc(s.Relations, func(rel outcome.Relation) bool { return rel.Together != nil })
}

func (s study) factors() string {
	if len(s.AdjustedFor) == 0 {
		return "nothing"
	}
	return words.List(namesOf(s.AdjustedFor))
}

// relationTable is the same in figures.
func (s study) relationTable() sheet.Table {
	together := s.besideOthers()
	t := sheet.Table{
		Caption: "The same in figures: " + s.sizeWords().unit + " for each step of the exposure, with 95 % interval",
		Columns: []sheet.Column{{Title: "Exposure", Share: 34}, {Title: "Allowing for the factors", Share: 42}, {Title: "Nothing allowed for", Share: 37}},
	}
	if together {
		t.Columns = append(t.Columns, sheet.Column{Title: "Beside the others", Share: 40})
	}
	t.Columns = append(t.Columns, sheet.Column{Title: "p", Share: 25}, sheet.Column{Title: "Cases", Share: 13, Right: true, Short: true})
	for _, rel := range s.Relations {
		row := sheet.Row{Cells: []sheet.Cell{{Text: words.Upper(rel.Name), Sub: "per " + rel.Per}, adjustedCell(rel), sizeCell(rel.Unadjusted)}}
		if together {
			row.Cells = append(row.Cells, sizeCell(rel.Together))
		}
		row.Cells = append(row.Cells, s.pCell(rel), casesCell(rel.Adjusted))
		t.Rows = append(t.Rows, row)
	}
	return t
}

func sizeCell(size *outcome.Size) sheet.Cell {
	if size == nil {
		return sheet.Cell{Text: "–"}
	}
	return sheet.Cell{Text: sayInterval(*size)}
}

// adjustedCell says beside the figure what its interval rests on.
func adjustedCell(rel outcome.Relation) sheet.Cell {
	if rel.Adjusted == nil {
		return sheet.Cell{Text: "nothing can be said", Sub: rel.Why}
	}
	size := *rel.Adjusted
	notes := []string{intervalWords[size.Interval]}
	if size.OtherLow != nil && size.OtherHigh != nil {
		notes = append(notes, fmt.Sprintf("all cases taken for independent: %s to %s", words.Figure(*size.OtherLow), words.Figure(*size.OtherHigh)))
	}
	if size.EventsPerParameter != nil {
		notes = append(notes, words.Figure(*size.EventsPerParameter)+" events per parameter")
	}
	return sheet.Cell{Text: sayInterval(size), Sub: strings.Join(notes, "; ")}
}

// pCell writes the p value of the adjusted relation, with what the number of exposures makes of it.
func (s study) pCell(rel outcome.Relation) sheet.Cell {
	if rel.Adjusted == nil || rel.Adjusted.P == nil {
		return sheet.Cell{Text: "–"}
	}
	cell := sheet.Cell{Text: sayP(*rel.Adjusted.P)}
	if len(s.Relations) > 1 && rel.Holm != nil && rel.BenjaminiHochberg != nil {
		cell.Sub = fmt.Sprintf("Holm %s; Benjamini-Hochberg %s", sayP(*rel.Holm), sayP(*rel.BenjaminiHochberg))
	}
	return cell
}

func sayP(p float64) string {
	if p < 0.001 {
		return "under 0.001"
	}
	return words.Figure(p)
}

func casesCell(size *outcome.Size) sheet.Cell {
	if size == nil {
		return sheet.Cell{Text: "–"}
	}
	return sheet.Cell{Text: strconv.Itoa(size.N)}
}
