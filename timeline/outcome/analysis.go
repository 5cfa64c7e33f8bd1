package outcome

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"zonule/timeline/cohort"
)

// Analysis is the table behind a study: one row for each case of the population, those left out with the reason. It holds no
// id, pseudonym or date; the order of its rows follows from what they hold and tells nothing of when they were operated.
type Analysis struct {
	Columns []Column   `json:"columns"`
	Rows    [][]string `json:"rows"` // by column; numbers in full, "" where not known
}

// Column is one quantity of an analysis table.
type Column struct {
	Code string `json:"code"`
	Name string `json:"name"`
	Unit string `json:"unit"` // "" for none
}

// Table gives the analysis table of a definition, with the words of the unit for its codes. A definition that asks for nothing
// gives a table without columns.
func Table(rows []cohort.Row, d Definition, names Names) Analysis {
	if len(d.Check()) > 0 {
		return Analysis{Columns: []Column{}, Rows: [][]string{}}
	}
	t := newTable(rows, d, names)
	t.dropCombinations()
	facts := t.factColumns()
	a := Analysis{Columns: []Column{{"case", "case", ""}, {"operator", "operator", ""}, {"year", "year of operation", ""}, {"modelled", "modelled", ""}, {"reason", "why not", ""}}}
	for _, f := range facts {
		a.Columns = append(a.Columns, f.Column)
	}
	lines := make([]*line, 0, t.population)
	for _, row := range t.rows {
		lines = append(lines, lineOf(row, "", facts))
	}
	for i, row := range t.fell {
		lines = append(lines, lineOf(row, t.reasons[i], facts))
	}
	slices.SortFunc(lines, func(a, b *line) int {
		return cmp.Or(bytes.Compare(a.key[:], b.key[:]), strings.Compare(a.row.CaseID, b.row.CaseID))
	})
	operators := map[string]string{"": ""}
	a.Rows = make([][]string, len(lines))
	for i, l := range lines {
		who, known := operators[l.row.Operator]
		if !known {
			who = fmt.Sprintf("Operator %d", len(operators))
			operators[l.row.Operator] = who
		}
		l.cells[0], l.cells[1] = strconv.Itoa(i+1), who
		a.Rows[i] = l.cells
	}
	return a
}

// line is a case on its way into the table. Lines stand in the order of key, which follows from what they hold; the id parts
// only those that hold the same.
type line struct {
	row   *cohort.Row
	cells []string
	key   [sha256.Size]byte
}

// lineOf fills the cells from the year on.
func lineOf(row *cohort.Row, reason string, facts []factColumn) *line {
	l := &line{row: row, cells: make([]string, 5, 5+len(facts))}
	l.cells[2], l.cells[3], l.cells[4] = yearOf(row.Date), yesNo(reason == ""), reason
	for _, f := range facts {
		l.cells = append(l.cells, cell(f.value(row)))
	}
	l.key = sha256.Sum256([]byte(strings.Join(l.cells[2:], "\x00")))
	return l
}

// factColumn is a quantity that is read off a case, not a number where it is not known.
type factColumn struct {
	Column
	value func(*cohort.Row) float64
}

// factColumns are the outcome, the exposures and the terms of the factors, as they are known of any case.
func (t *table) factColumns() []factColumn {
	o := t.definition.Outcome
	var facts []factColumn
	m := o.measure(t.names)
	facts = append(facts, factColumn{Column(m), func(r *cohort.Row) float64 {
		y, _ := t.outcome(r)
		if o.Kind == Complication {
			return y
		}
		return o.shown(y)
	}})
	if o.Kind == Complication {
		facts[0].Name += " (1 it happened, 0 it did not)"
	}
	if o.Kind == Loss {
		facts = append(facts,
			factColumn{Column{"logRatio", "ln(count before / count at the visit), as modelled", ""}, func(r *cohort.Row) float64 {
				y, _ := t.outcome(r)
				return y
			}},
			factColumn{Column{"countingError", "standard error of it from counting", ""}, func(r *cohort.Row) float64 {
				return math.Sqrt(countingVariance(r, o.Window))
			}})
	}
	for k, e := range t.definition.Exposures {
		same := func(other Exposure) bool { return other.Kind == e.Kind && other.Code == e.Code }
		if slices.ContainsFunc(t.definition.Exposures[:k], same) {
			continue // told on another scale
		}
		m, _ := e.measure(t.names)
		read := e.reading(t.family)
		facts = append(facts, factColumn{Column(m), func(r *cohort.Row) float64 {
			v, reason := read(r)
			if reason != "" {
				return math.NaN()
			}
			return v
		}})
	}
	for _, c := range t.terms {
		facts = append(facts, factColumn{Column{c.covariate, c.name, ""}, func(r *cohort.Row) float64 { return termOf(c, r) }})
	}
	return facts
}

// Without is the table without a column.
func (a Analysis) Without(code string) Analysis {
	at := slices.IndexFunc(a.Columns, func(c Column) bool { return c.Code == code })
	if at < 0 {
		return a
	}
	less := Analysis{Columns: slices.Delete(slices.Clone(a.Columns), at, at+1), Rows: make([][]string, len(a.Rows))}
	for i, row := range a.Rows {
		less.Rows[i] = slices.Delete(slices.Clone(row), at, at+1)
	}
	return less
}

// Strings is the table with its header: the names of the columns with their units.
func (a Analysis) Strings() [][]string {
	lines := make([][]string, 0, 1+len(a.Rows))
	header := make([]string, len(a.Columns))
	for i, c := range a.Columns {
		header[i] = c.Name
		if c.Unit != "" {
			header[i] += " (" + c.Unit + ")"
		}
	}
	return append(append(lines, header), a.Rows...)
}

func cell(v float64) string {
	if math.IsNaN(v) {
		return ""
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

func yesNo(is bool) string {
	if is {
		return "yes"
	}
	return "no"
}

func yearOf(date string) string { return date[:min(4, len(date))] }
