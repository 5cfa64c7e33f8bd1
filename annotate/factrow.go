package annotate

import (
	"cmp"
	"slices"
	"time"

	"zonule/timeline"
	"zonule/timeline/cohort"
)

// rowForm is the form of the flat rows. It rises whenever the same case would give another row, so that the rows of an
// older program are made anew.
const rowForm = 1

// rowOf makes the flat row of a case. The result is that of the accepted reading, nil without one.
func rowOf(file CaseFile, in timeline.Input, result *timeline.Result, tagged bool) cohort.Row {
	c := file.Case
	row := cohort.Row{
		CaseID: c.ID, Date: c.Date, Technique: string(c.Operation.TechniquePerformed),
		Converted: c.Operation.TechniquePerformed != c.Operation.TechniquePlanned, Tagged: tagged,
		Before: beforeRow(c), Operation: operationRow(c.Operation), CapsuleRupture: ruptureOf(file.Complications).Counts,
		CompareInstruments: c.CompareInstruments,
	}
	for _, o := range c.Operators {
		switch {
		case o.Role == OperatorLead:
			row.Operator, row.Grade = o.UserID, string(o.Grade)
		case o.Role == OperatorAssistant:
			row.Assistants = append(row.Assistants, o.UserID)
		case row.Supervisor == "":
			row.Supervisor = o.UserID
		}
	}
	if result != nil {
		timeRow(&row, file, *result)
	}
	for _, complication := range file.Complications {
		row.Complications = append(row.Complications, mishapRow(c, in, complication))
	}
	for _, v := range file.Visits {
		row.After = append(row.After, seenRow(c, v))
	}
	return row
}

func beforeRow(c Case) cohort.Before {
	b := c.Before
	risk := timeline.ExpectedRisk(c.RiskInput())
	before := cohort.Before{
		Age: b.Age, Sex: b.Sex, NuclearGrade: b.NuclearGrade, Pupil: b.Pupil, AxialLength: b.AxialLength,
		ChamberDepth: b.ChamberDepth, Thickness: b.Thickness, LogMAR: logMAROf(b.Acuity),
		Pseudoexfoliation: timeline.Answer(b.Pseudoexfoliation), BrunescentOrWhite: timeline.Answer(b.BrunescentOrWhite),
		Diabetes: timeline.Answer(b.Diabetes), Guttata: timeline.Answer(b.Guttata),
		PreviousVitrectomy: timeline.Answer(b.PreviousVitrectomy), ExpectedLow: risk.LowPercent, ExpectedHigh: risk.HighPercent,
	}
	if b.Exam != nil {
		before.Count = countRow(*b.Exam, c.Date)
	}
	return before
}

// logMAROf is nil where nothing was typed that is a number.
func logMAROf(typed string) *float64 {
	if converted := Convert(typed); converted != nil {
		return converted.LogMAR
	}
	return nil
}

func countRow(e EndothelialExam, date string) *cohort.Count {
	return &cohort.Count{
		Density: e.Density, Cells: e.Cells, CV: e.CV, Instrument: e.Instrument, Method: e.Method, Date: cmp.Or(e.Date, date),
	}
}

func operationRow(o Operation) cohort.Operation {
	energy := EnergyOf(o)
	return cohort.Operation{
		MachineFamily: o.MachineFamily, CDE: timeline.Reconcile(o.CDE, energy.CDEComputed).Value,
		EPT: timeline.Reconcile(o.EPT, energy.EPTComputed).Value, UltrasoundTime: o.UltrasoundTime,
		AspirationTime: o.AspirationTime, FluidUsed: o.FluidUsed, Dispersive: slices.Contains(o.OVDs, "dispersive"),
		Dye: timeline.Answer(o.Dye), PupilDevice: o.PupilDevice,
	}
}

func mishapRow(c Case, in timeline.Input, complication Complication) cohort.Mishap {
	mishap := cohort.Mishap{Kind: complication.Kind, Severity: complication.Severity}
	if kind, known := kindNamed(complication.Kind); known && kind.Phase == phaseAfter {
		mishap.Days = dayOf(c.Date, complication.OnDate)
	}
	if complication.At != nil {
		if running, found := timeline.StepAt(in, *complication.At); found {
			mishap.Step = running.Step
		}
	}
	return mishap
}

func seenRow(c Case, v Visit) cohort.Seen {
	found := cohort.Seen{
		Window: string(v.Window), LogMAR: logMAROf(v.Acuity), OedemaGrade: v.OedemaGrade, Thickness: v.Thickness, Pressure: v.Pressure,
	}
	if days := dayOf(c.Date, v.Date); days != nil {
		found.Days = *days
	}
	if v.Exam != nil {
		found.Count = countRow(*v.Exam, v.Date)
	}
	return found
}

// dayOf counts the days from the operation to a date; nil when either is not a date.
func dayOf(operated, date string) *int {
	a, errA := time.Parse(time.DateOnly, operated)
	z, errZ := time.Parse(time.DateOnly, date)
	if errA != nil || errZ != nil {
		return nil
	}
	days := int(z.Sub(a) / (24 * time.Hour))
	return &days
}
