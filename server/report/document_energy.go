package report

import (
	"strings"

	"zonule/server/report/sheet"
	"zonule/server/report/words"
)

func (w writer) energy() []sheet.Block {
	f := &facts{}
	o, e := w.Case.Operation, w.Energy
	f.add("Machine", e.MachineFamily)
	f.add("CDE (no unit)", beside(e.CDE, e.CDEComputed, e.CDEDiffers, "", "times and powers"))
	f.add("EPT", beside(o.EPT, e.EPTComputed, e.EPTDiffers, "s", "longitudinal time and power"))
	f.add("Ultrasound time", decimal(w.Energy.UltrasoundTime, "s"))
	f.add("Longitudinal", strings.Join(present(decimal(o.LongitudinalTime, "s"), decimal(o.LongitudinalPower, "% mean power")), ", "))
	f.add("Torsional", strings.Join(present(decimal(o.TorsionalTime, "s"), decimal(o.TorsionalAmplitude, "% mean amplitude")), ", "))
	f.add("Aspiration time", decimal(o.AspirationTime, "s"))
	f.add("Fluid used", decimal(w.Energy.FluidUsed, "ml"))
	if len(f.list) == 0 {
		return none("Nothing is recorded of energy or fluid.")
	}
	blocks := []sheet.Block{f.list}
	if t := w.settings(); len(t.Rows) > 0 {
		blocks = append(blocks, t)
	}
	return append(blocks, sheet.Paragraph{
		Text: "As read off the machine. Makers report different quantities: compare only the same quantity of the same machine family.", Tone: sheet.Quiet,
	})
}

// beside writes an entered quantity and the one that follows from what is named; the entered one counts.
func beside(entered, computed *float64, differs bool, unit, from string) string {
	value := decimal(entered, unit)
	if computed == nil {
		return value
	}
	follows := strings.TrimSpace(words.Number(*computed, 2) + " " + unit)
	switch {
	case entered == nil:
		return follows + ", computed from " + from
	case differs:
		return value + "; " + follows + " follows from " + from + ", which differs by more than 5 %"
	}
	return value + "; " + follows + " follows from " + from
}

// settings is the table of the machine's settings, a row for each stage.
func (w writer) settings() sheet.Table {
	t := sheet.Table{Caption: "Settings of the machine", Columns: []sheet.Column{
		{Title: "Stage", Share: 40}, {Title: "Vacuum, mmHg", Share: 30, Right: true, Short: true}, {Title: "Flow, ml/min", Share: 30, Right: true, Short: true},
		{Title: "Power, %", Share: 30, Right: true, Short: true}, {Title: "Pressure, mmHg", Share: 30, Right: true, Short: true},
	}}
	for _, s := range w.Case.Operation.Settings {
		t.Rows = append(t.Rows, sheet.Row{Cells: []sheet.Cell{
			{Text: w.stageName(s.Stage)}, {Text: decimal(s.Vacuum, "")}, {Text: decimal(s.Flow, "")}, {Text: decimal(s.Power, "")}, {Text: decimal(s.Pressure, "")},
		}})
	}
	return t
}

// stageName is the stage's name in the step list of the reading, else its code.
func (w writer) stageName(code string) string {
	if at := w.stageNumber(code); at > 0 {
		return w.Stages[at-1].Name
	}
	return words.Upper(code)
}
