package report

import (
	"fmt"
	"slices"
	"strings"

	"zonule/annotate"
	"zonule/server/report/sheet"
	"zonule/server/report/words"
	"zonule/timeline"
)

func (w writer) happenings() []sheet.Block {
	if len(w.Happenings) == 0 {
		return none("No event and no complication is recorded.")
	}
	t := sheet.Table{Columns: []sheet.Column{
		{Title: "What", Share: 66}, {Title: "Case clock", Share: 25, Short: true}, {Title: "Part and time", Share: 33, Short: true}, {Title: "During", Share: 50},
	}}
	for _, h := range w.Happenings {
		row := sheet.Row{Strong: h.Kind == kindComplication, Cells: []sheet.Cell{{Text: h.Name, Sub: h.details()}, {}, {}, {}}}
		switch {
		case h.At != nil:
			row.Cells[1] = sheet.Cell{Text: h.At.clock(), Link: h.At.page()}
			row.Cells[2].Text = h.At.inPart()
			row.Cells[3].Text = h.Step
			if h.Step == "" {
				row.Cells[3].Text = "no step"
			}
		case h.Phase == postoperative:
			row.Cells[3].Text = strings.TrimSpace("after the operation " + words.Date(h.OnDate))
		default:
			row.Cells[1].Text = "no instant"
		}
		t.Rows = append(t.Rows, row)
	}
	return append([]sheet.Block{t}, w.rupture()...)
}

// rupture tells whether the case counts as capsule rupture in audit, and by which definition; nothing is said of a case
// without a complication.
func (w writer) rupture() []sheet.Block {
	if !slices.ContainsFunc(w.Happenings, func(h Happening) bool { return h.Kind == kindComplication }) {
		return nil
	}
	r := w.Rupture
	return []sheet.Block{
		sheet.Paragraph{Text: "Capsule rupture in audit: " + words.Lower(r.Why)},
		sheet.Paragraph{Text: "Definition: " + r.Definition + " " + r.Source + ". " + r.Status, Tone: sheet.Quiet},
	}
}

// details writes what else is known of a happening.
func (h Happening) details() string {
	var parts []string
	parts = append(parts, present(words.Severity(h.Severity))...)
	if h.CapsuleRupture {
		parts = append(parts, "counts as capsule rupture in audit")
	}
	if h.Action != "" {
		parts = append(parts, "done: "+h.Action)
	}
	if h.ResolvedOn != "" {
		parts = append(parts, "resolved "+words.Date(h.ResolvedOn))
	}
	return strings.Join(append(parts, present(h.Note)...), "; ")
}

func (w writer) followUp() []sheet.Block {
	if len(w.FollowUp.Visits) == 0 && w.FollowUp.Lost == nil {
		return none("No visit is recorded yet.")
	}
	table, notes := w.visits()
	blocks := append([]sheet.Block{table}, notes...)
	if lost := w.FollowUp.Lost; lost != nil {
		blocks = append(blocks, sheet.Paragraph{Text: strings.TrimSuffix("Lost to follow-up since "+words.Date(lost.On)+": "+lost.Reason, ": ")})
	}
	if figure := w.losses(); len(figure.Rows) > 0 {
		blocks = append(blocks, figure)
	}
	for _, v := range w.FollowUp.Visits {
		window := words.Upper(words.Window(v.Window))
		if v.Loss != nil {
			blocks = append(blocks, sheet.Paragraph{Text: window + ": " + explainLoss(*v.Loss)})
		}
		if v.FellowExam != nil {
			text := window + ", fellow eye: " + sayExam(*v.FellowExam)
			if v.FellowLoss != nil {
				text += "; " + explainLoss(*v.FellowLoss)
			}
			blocks = append(blocks, sheet.Paragraph{Text: text})
		}
	}
	return blocks
}

// explainLoss states a loss, what is to be said about it, and what ageing alone would leave.
func explainLoss(l timeline.LossResult) string {
	var says []string
	if l.LossPercent != nil {
		says = append(says, sayLoss(l)+".")
	}
	says = append(says, l.Notes...)
	if l.ExpectedWithoutSurgery != nil {
		says = append(says, fmt.Sprintf("Ageing alone would leave about %s cells/mm² (0.6 %% a year; Bourne 1997).", words.Number(*l.ExpectedWithoutSurgery, 0)))
	}
	return strings.Join(says, " ")
}

// visits is the table of the eye before and at each visit, and what was noted there.
func (w writer) visits() (t sheet.Table, notes []sheet.Block) {
	t = sheet.Table{Columns: []sheet.Column{
		{Title: "Visit", Share: 34}, {Title: "Acuity", Share: 18, Short: true}, {Title: "Pressure, mmHg", Share: 20, Right: true, Short: true},
		{Title: "Cornea", Share: 36}, {Title: "Thickness, µm", Share: 24, Right: true, Short: true}, {Title: "Endothelium", Share: 46},
	}}
	before := w.Case.Before
	row := sheet.Row{Strong: true, Cells: []sheet.Cell{{Text: "Before"}, {Text: before.Acuity, Sub: sayLogMAR(before.Acuity)}, {}, {}, {Text: whole(before.Thickness, "")}, {}}}
	if before.Exam != nil {
		row.Cells[5] = examCell(*before.Exam)
	}
	t.Rows = append(t.Rows, row)
	for _, v := range w.FollowUp.Visits {
		row := sheet.Row{Cells: []sheet.Cell{{Text: words.Upper(words.Window(v.Window)), Sub: visitDate(v)}, {Text: v.Acuity, Sub: sayLogMAR(v.Acuity)}, {Text: decimal(v.Pressure, "")}, {}, {Text: whole(v.Thickness, "")}, {}}}
		if v.OedemaGrade != nil {
			row.Cells[3] = sheet.Cell{Text: fmt.Sprintf("grade %d of 4", *v.OedemaGrade), Sub: words.Oedema(v.OedemaGrade)}
		}
		if v.ThicknessChange != nil {
			row.Cells[4].Sub = signed(*v.ThicknessChange) + " %"
		}
		if v.Exam != nil {
			row.Cells[5] = examCell(*v.Exam)
		}
		if len(v.Flags) > 0 {
			row.Cells[5].Sub = strings.Join(present(row.Cells[5].Sub, "beyond the unit's limit: "+strings.Join(v.Flags, ", ")), "; ")
		}
		t.Rows = append(t.Rows, row)
		for _, told := range []struct{ name, text string }{
			{"uncorrected acuity", sayAcuity(v.UncorrectedAcuity)}, {"refraction", w.refraction(v)}, {"medication", v.Medication},
		} {
			if told.text != "" {
				notes = append(notes, sheet.Paragraph{Text: words.Upper(words.Window(v.Window)) + ", " + told.name + ": " + told.text})
			}
		}
		if v.Note != "" {
			notes = append(notes, sheet.Paragraph{Text: words.Upper(words.Window(v.Window)) + ", note: " + v.Note})
		}
	}
	return t, notes
}

func examCell(e annotate.EndothelialExam) sheet.Cell {
	density, rest, _ := strings.Cut(sayExam(e), ", ")
	return sheet.Cell{Text: density, Sub: rest}
}

func visitDate(v VisitLine) string {
	text := words.Date(v.Date)
	if v.Days != nil {
		text += fmt.Sprintf(" (%s)", words.Plural(*v.Days, "day", "days"))
	}
	return text
}

// signed writes a change with its sign.
func signed(value float64) string {
	if value > 0 {
		return "+" + words.Number(value, 1)
	}
	return words.Number(value, 1)
}

// losses is the figure of the endothelial losses with their counting error.
func (w writer) losses() sheet.Intervals {
	figure := sheet.Intervals{Title: "Endothelial loss in percent of the count before, with the 95 % interval from counting error alone", Unit: "% loss"}
	add := func(label string, l *timeline.LossResult) {
		if l == nil || l.LossPercent == nil {
			return
		}
		row := sheet.IntervalRow{Label: label, Estimate: *l.LossPercent, Value: words.Number(*l.LossPercent, 1) + " %"}
		if l.CountingErrorKnown {
			row.Low, row.High, row.Known = *l.Low, *l.High, true
		}
		figure.Rows = append(figure.Rows, row)
	}
	for _, v := range w.FollowUp.Visits {
		add(words.Upper(words.Window(v.Window)), v.Loss)
	}
	for _, v := range w.FollowUp.Visits {
		add(words.Upper(words.Window(v.Window))+", fellow eye", v.FellowLoss)
	}
	return figure
}
