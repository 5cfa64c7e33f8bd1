package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"zonule/server/report/sheet"
	"zonule/server/report/words"
	"zonule/timeline/outcome"
)

// exposure is one relation in full: the cases, the figures, what was checked, and how far it holds.
func (s study) exposure(rel outcome.Relation) []sheet.Block {
	blocks := []sheet.Block{s.exposureFacts(rel)}
	if rel.Why != "" {
		blocks = append(blocks, sheet.Paragraph{Head: "Nothing can be said.", Text: rel.Why, Tone: sheet.Warning})
	}
	if rel.Chart != nil {
		blocks = append(blocks, s.scatters(rel), sheet.Paragraph{Text: s.chartWords(rel), Tone: sheet.Quiet})
	}
	if len(rel.Checks) > 0 {
		blocks = append(blocks, sheet.Paragraph{Head: "What was checked.", Text: strings.Join(rel.Checks, " ")})
	}
	if len(rel.Sensitivity) > 0 {
		blocks = append(blocks, s.sensitivity(rel))
	}
	if rel.SmallestSeen != nil {
		blocks = append(blocks, sheet.Paragraph{
			Head: "Smallest relation that would have shown.",
			Text: fmt.Sprintf("In four studies of five like this one, a relation of %s per %s or more would have shown; a smaller one may be there unseen.", s.sizeOf(*rel.SmallestSeen), rel.Per),
		})
	}
	return blocks
}

// sizeOf writes a figure of a relation with what it is.
func (s study) sizeOf(value float64) string {
	unit := s.sizeWords().unit
	if s.complication() {
		return "an " + unit + " of " + words.Figure(value)
	}
	return words.Figure(value) + " " + unit
}

func (s study) exposureFacts(rel outcome.Relation) sheet.Facts {
	facts := sheet.Facts{{Name: "Median (middle half)", Value: medianOf(rel.Summary, rel.Unit)}, {Name: "Told per", Value: rel.Per}}
	if rel.Adjusted != nil {
		facts = append(facts, sheet.Fact{Name: "Relation (95 % interval)", Value: sayInterval(*rel.Adjusted)})
	}
	if rel.Rank != nil {
		value := words.Number(rel.Rank.Rho, 2)
		if rel.Rank.Low != nil && rel.Rank.High != nil {
			value += fmt.Sprintf(" (%s to %s)", words.Number(*rel.Rank.Low, 2), words.Number(*rel.Rank.High, 2))
		}
		facts = append(facts, sheet.Fact{Name: "Rank correlation, unadjusted", Value: value})
	}
	return facts
}

// scatters draws the cases with the line, and beside it what the factors leave.
func (s study) scatters(rel outcome.Relation) sheet.Scatters {
	c := rel.Chart
	plot := sheet.Scatter{
		Title: "Each case, with the line at the mean of the factors.",
		X:     withUnit(rel.Name, rel.Unit), Y: words.Upper(withUnit(s.Outcome.Name, s.Outcome.Unit)),
		LogX: rel.Exposure.Scale == outcome.PerDoubling, LineWord: "line with 95 % band", SmoothWord: "smoothed, for the eye",
	}
	for _, at := range c.Line {
		plot.Line = append(plot.Line, sheet.ScatterBand(at))
	}
	for _, at := range c.Smooth {
		plot.Smooth = append(plot.Smooth, sheet.ScatterPoint(at))
	}
	if s.complication() {
		s.edges(&plot, c)
	} else {
		for _, p := range c.Points {
			plot.Points = append(plot.Points, sheet.ScatterPoint{X: p.X, Y: p.Y})
		}
	}
	if len(c.Added) == 0 {
		return sheet.Scatters{plot}
	}
	return sheet.Scatters{plot, s.added(rel)}
}

// edges draws the cases of a complication as strokes: with it above, without it below. The smoothed curve of noes and yeses
// would only repeat the line.
func (s study) edges(plot *sheet.Scatter, c *outcome.Chart) {
	plot.Title = "The chance at the mean of the factors; each stroke is a case."
	plot.Y, plot.Smooth = "Chance of "+s.Outcome.Name+", %", nil
	plot.AboveWord, plot.BelowWord = "cases with it", "cases without"
	for _, p := range c.Points {
		if p.Y > 0 {
			plot.Above = append(plot.Above, p.X)
		} else {
			plot.Below = append(plot.Below, p.X)
		}
	}
}

// added is the added-variable plot with the adjusted line, which runs through 0.
func (s study) added(rel outcome.Relation) sheet.Scatter {
	plot := sheet.Scatter{
		Title: "Beside it, what the factors leave of both.",
		X:     "what is left of " + withUnit(rel.Name, scaleUnit(rel)), Y: "What is left of the outcome" + unitOfRest(s.Definition.Outcome.Kind),
		Zero: true, LineWord: "adjusted line",
	}
	left, right := math.Inf(1), math.Inf(-1)
	for _, p := range rel.Chart.Added {
		plot.Points = append(plot.Points, sheet.ScatterPoint{X: p.X, Y: p.Y})
		left, right = min(left, p.X), max(right, p.X)
	}
	if rel.Adjusted != nil {
		slope := s.slope(rel.Adjusted.Value)
		for _, x := range []float64{left, right} {
			plot.Line = append(plot.Line, sheet.ScatterBand{X: x, Y: slope * x, Low: slope * x, High: slope * x})
		}
	}
	return plot
}

// slope takes the figure of a relation back to the slope of its line: of a loss, in percent of a logarithm.
func (s study) slope(value float64) float64 {
	if s.Definition.Outcome.Kind == outcome.Loss {
		return -100 * math.Log1p(-value/100)
	}
	return value
}

func withUnit(name, unit string) string {
	if unit == "" {
		return name
	}
	return name + ", " + unit
}

// scaleUnit is the unit of an exposure on the scale on which it is fitted.
func scaleUnit(rel outcome.Relation) string {
	switch {
	case rel.Exposure.Scale == outcome.PerDoubling:
		return "doublings"
	case rel.Exposure.Kind == outcome.Fluid:
		return "10 ml"
	}
	return rel.Unit
}

// unitOfRest is the unit of what the factors leave of an outcome.
func unitOfRest(kind outcome.OutcomeKind) string {
	switch kind {
	case outcome.Loss:
		return ", % (of a logarithm)"
	case outcome.Thickness:
		return ", %"
	case outcome.Oedema:
		return ", grades"
	}
	return ", logMAR"
}

// chartWords says the figure in words: how many cases, and where the line begins and ends.
func (s study) chartWords(rel outcome.Relation) string {
	c := rel.Chart
	text := words.Plural(len(c.Points), "case is drawn. ", "cases are drawn. ")
	if c.Thinned {
		text = fmt.Sprintf("%d of %d cases are drawn, evenly over the exposure. ", len(c.Points), s.N)
	}
	if n := len(c.Line); n > 1 {
		say := func(p outcome.LinePoint) string {
			return fmt.Sprintf("%s (%s to %s) at %s", withSpace(words.Figure(p.Y), s.shownUnit()), words.Figure(p.Low), words.Figure(p.High), withSpace(words.Figure(p.X), rel.Unit))
		}
		text += fmt.Sprintf("With the factors at their mean the line goes from %s to %s. ", say(c.Line[0]), say(c.Line[n-1]))
	}
	if len(c.Added) > 0 {
		text += "The second plot shows what the factors leave of exposure and outcome: the slope of its line is the figure told, and a case far out to the side there carries much of it. "
	}
	return strings.TrimSpace(text)
}

// shownUnit is the unit in which the line is drawn.
func (s study) shownUnit() string {
	if s.complication() {
		return "%"
	}
	return s.Outcome.Unit
}

func withSpace(figure, unit string) string { return strings.TrimSpace(figure + " " + unit) }

// sensitivity is the relation found in other ways and in parts of the cases, under the one told.
func (s study) sensitivity(rel outcome.Relation) sheet.Table {
	t := sheet.Table{
		Caption: "Found in other ways: " + s.sizeWords().unit + " per " + rel.Per + ", with 95 % interval",
		Columns: []sheet.Column{{Title: "How", Share: 72}, {Title: "Relation", Share: 52}, {Title: "Interval", Share: 62}, {Title: "Cases", Share: 16, Right: true, Short: true}},
	}
	row := func(name string, size *outcome.Size, why string) sheet.Row {
		if size == nil {
			return sheet.Row{Cells: []sheet.Cell{{Text: words.Upper(name)}, {Text: "not told", Sub: why}, {Text: "–"}, {Text: "–"}}}
		}
		return sheet.Row{Cells: []sheet.Cell{{Text: words.Upper(name)}, {Text: sayInterval(*size)}, {Text: intervalWords[size.Interval]}, {Text: strconv.Itoa(size.N)}}}
	}
	if rel.Adjusted != nil {
		told := row("as told above", rel.Adjusted, "")
		told.Strong = true
		t.Rows = append(t.Rows, told)
	}
	for _, one := range rel.Sensitivity {
		t.Rows = append(t.Rows, row(one.Name, one.Size, one.Why))
	}
	return t
}
