package report

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"zonule/annotate"
	"zonule/server/table"
	"zonule/timeline"
)

// csvColumns head the table: one row for each thing that the report tells, under the same columns. Times are whole ms;
// "at" and "end" are on the case clock.
var csvColumns = []string{
	"case", "section", "code", "name", "part", "media_ms", "at_ms", "end_ms", "length_ms", "quality", "episodes", "person",
	"value", "unit", "low", "high", "n", "median", "q1", "q3", "percentile", "date", "text",
}

// csvRow is one row by column name.
type csvRow map[string]string

// CSV writes the report as one tidy table (RFC 4180, UTF-8); its first row holds the hash of the content.
func CSV(r Report, e Edition) ([]byte, error) {
	content, err := JSON(r)
	if err != nil {
		return nil, err
	}
	t := &csvTable{pseudonym: r.Case.Pseudonym}
	t.add("report", csvRow{"code": "sha-256", "text": Hash(content)})
	t.add("report", csvRow{"code": "rules", "text": r.Versions.Rules})
	t.caseRows(r)
	t.timeRows(r)
	t.happeningRows(r)
	t.outcomeRows(r)
	t.levelRows(r)
	t.textRows(r)
	t.signatureRows(e)
	rows := [][]string{csvColumns}
	for _, row := range t.rows {
		fields := make([]string, len(csvColumns))
		for i, column := range csvColumns {
			fields[i] = row[column]
		}
		rows = append(rows, fields)
	}
	return table.CSV(rows)
}

// csvTable collects the rows.
type csvTable struct {
	pseudonym string
	rows      []csvRow
}

func (t *csvTable) add(section string, row csvRow) {
	row["case"], row["section"] = t.pseudonym, section
	t.rows = append(t.rows, row)
}

// value adds a single quantity, if there is one.
func (t *csvTable) value(section, code string, value *float64, unit string) {
	if value != nil {
		t.add(section, csvRow{"code": code, "value": decimals(*value), "unit": unit})
	}
}

func (t *csvTable) caseRows(r Report) {
	before := r.Case.Before
	for _, fact := range [][2]string{
		{"eye", string(r.Case.Eye)}, {"sex", before.Sex}, {"pupil", before.Pupil}, {"acuity", before.Acuity},
		{"technique-planned", string(r.Plan.Planned)}, {"technique-performed", string(r.Plan.Performed)}, {"anaesthesia", r.Case.Operation.Anaesthesia},
		{"glaucoma", string(before.Glaucoma)}, {"diabetic-retinopathy", string(before.DiabeticRetinopathy)}, {"brunescent-or-white", string(before.BrunescentOrWhite)},
		{"no-fundal-view", string(before.NoFundalView)}, {"pseudoexfoliation", string(before.Pseudoexfoliation)}, {"alpha-blocker", string(before.AlphaBlocker)},
		{"cannot-lie-flat", string(before.CannotLieFlat)}, {"guttata", string(before.Guttata)},
		{"uncorrected-acuity", before.UncorrectedAcuity}, {"locs", sayLOCS(before.LOCS)}, {"refraction", sayRefraction(before.Refraction)},
		{"keratometry", sayKeratometry(before.Keratometry)}, {"fellow-eye", sayFellowEye(before.FellowEye)},
		{"completeness", sayCompleteness(r.Completeness)},
	} {
		if fact[1] != "" {
			t.add("case", csvRow{"code": fact[0], "text": fact[1]})
		}
	}
	t.add("case", csvRow{"code": "date", "date": r.Case.Date})
	t.value("case", "age", asFloat(before.Age), "years")
	t.value("case", "nuclear-grade", asFloat(before.NuclearGrade), "")
	t.value("case", "axial-length", before.AxialLength, "mm")
	t.value("case", "chamber-depth", before.ChamberDepth, "mm")
	t.value("case", "thickness", asFloat(before.Thickness), "um")
	t.value("case", "pressure", before.Pressure, "mmHg")
	t.value("case", "acuity", logMAR(before.Acuity), "logMAR")
	t.value("case", "target-refraction", r.Case.Operation.TargetRefraction, "D")
	t.add("risk", csvRow{"code": "expected", "value": optional(r.Risk.Percent), "unit": "%", "low": decimals(r.Risk.LowPercent), "high": decimals(r.Risk.HighPercent), "text": r.Risk.Source})
	if r.RiskPublished != nil {
		p := *r.RiskPublished
		t.add("risk", csvRow{"code": "expected-as-published", "value": optional(p.Percent), "unit": "%", "low": decimals(p.LowPercent), "high": decimals(p.HighPercent), "text": p.Source})
		t.add("risk", csvRow{"code": "odds-multiplier", "value": optional(r.Risk.OddsMultiplier), "n": strconv.Itoa(r.Recalibration.Operations), "text": writer{Report: r}.sayRecalibration()})
	}
	t.add("case", csvRow{"code": "capsule-rupture-in-audit", "value": map[bool]string{true: "1", false: "0"}[r.Rupture.Counts], "text": r.Rupture.Why})
	for _, o := range r.Operators {
		t.add("operator", csvRow{"code": string(o.Role), "name": string(o.Grade), "person": o.Name, "length_ms": ms(o.Operated), "quality": string(o.Quality)})
	}
}

func (t *csvTable) timeRows(r Report) {
	o := r.Operation
	t.add("operation", place(csvRow{"at_ms": ms(o.Start), "end_ms": ms(o.End), "length_ms": ms(o.Time), "quality": string(o.Quality)}, o.Place))
	for _, s := range r.Stages {
		t.add("stage", place(figure(csvRow{"code": s.Stage, "name": s.Name}, s.Figure), s.Place))
	}
	for _, s := range r.Steps {
		t.add("step", place(figure(csvRow{"code": s.Code, "name": s.Name}, s.Figure), s.Place))
		for _, share := range s.Shares {
			t.add("step-operator", csvRow{"code": s.Code, "name": s.Name, "person": share.Name, "length_ms": ms(share.Total), "quality": string(share.Quality)})
		}
	}
	for _, line := range r.Sheet {
		if line.Kind == kindStep {
			row := moment(csvRow{"code": line.Code, "name": line.Name, "person": line.Operator, "text": line.Note}, line.At)
			row["end_ms"], row["length_ms"], row["quality"] = ms(line.End), ms(line.Length), string(line.Quality)
			t.add("episode", row)
		}
	}
	for _, series := range r.Published {
		for _, p := range series.Rows {
			t.add("published", csvRow{
				"code": series.Code, "name": p.Phase, "length_ms": ms(p.Total), "quality": string(p.Quality), "n": strconv.Itoa(p.N),
				"median": fmt.Sprint(p.Median), "q1": fmt.Sprint(p.P25), "q3": fmt.Sprint(p.P75), "text": p.Place,
			})
		}
	}
}

func (t *csvTable) happeningRows(r Report) {
	for _, h := range r.Happenings {
		row := moment(csvRow{"code": h.Code, "name": h.Name, "date": h.OnDate, "text": h.details()}, h.At)
		if h.Severity > 0 {
			row["value"], row["unit"] = strconv.Itoa(h.Severity), "severity 1 to 3"
		}
		t.add(h.Kind, row)
	}
}

func (t *csvTable) outcomeRows(r Report) {
	t.value("energy", "cde", r.Energy.CDE, "")
	t.value("energy", "cde-computed", r.Energy.CDEComputed, "")
	t.value("energy", "ept", r.Case.Operation.EPT, "s")
	t.value("energy", "ept-computed", r.Energy.EPTComputed, "s")
	t.settings(r.Case.Operation.Settings)
	t.value("energy", "ultrasound-time", r.Energy.UltrasoundTime, "s")
	t.value("energy", "fluid-used", r.Energy.FluidUsed, "ml")
	if r.FollowUp.Baseline != nil {
		t.exam("before", *r.FollowUp.Baseline)
	}
	for _, v := range r.FollowUp.Visits {
		code := string(v.Window)
		visit := func(name string, value *float64, unit string) {
			if value != nil {
				t.add("visit", csvRow{"code": code, "name": name, "date": v.Date, "value": decimals(*value), "unit": unit})
			}
		}
		visit("acuity", logMAR(v.Acuity), "logMAR")
		if v.UncorrectedAcuity != "" {
			t.add("visit", csvRow{"code": code, "name": "uncorrected-acuity", "date": v.Date, "text": v.UncorrectedAcuity})
		}
		if refraction := sayRefraction(v.Refraction); refraction != "" {
			t.add("visit", csvRow{"code": code, "name": "refraction", "date": v.Date, "text": refraction})
		}
		if v.Acuity != "" {
			t.add("visit", csvRow{"code": code, "name": "acuity", "date": v.Date, "text": v.Acuity})
		}
		visit("pressure", v.Pressure, "mmHg")
		visit("oedema-grade", asFloat(v.OedemaGrade), "")
		visit("thickness", asFloat(v.Thickness), "um")
		visit("thickness-change", v.ThicknessChange, "%")
		if v.Exam != nil {
			t.exam(code, *v.Exam)
		}
		t.loss(code, v.Date, "", v.Loss)
		if v.FellowExam != nil {
			t.exam(code+"-fellow-eye", *v.FellowExam)
		}
		t.loss(code, v.Date, "fellow-eye", v.FellowLoss)
	}
}

func (t *csvTable) loss(code, date, name string, l *timeline.LossResult) {
	if l != nil {
		t.add("loss", csvRow{"code": code, "name": name, "date": date, "value": optional(l.LossPercent), "unit": "%", "low": optional(l.Low), "high": optional(l.High), "text": strings.Join(l.Notes, " ")})
	}
}

func (t *csvTable) exam(code string, e annotate.EndothelialExam) {
	row := csvRow{"code": code, "name": "density", "value": decimals(e.Density), "unit": "cells/mm2", "date": e.Date, "text": e.Instrument}
	if e.Cells != nil {
		row["n"] = strconv.Itoa(*e.Cells)
	}
	t.add("exam", row)
	if e.CV != nil {
		t.add("exam", csvRow{"code": code, "name": "cv", "value": decimals(*e.CV)})
	}
}

func (t *csvTable) textRows(r Report) {
	t.findingRows(r)
	for _, thread := range r.Threads {
		for i, said := range thread.Remarks {
			row := moment(csvRow{"code": map[bool]string{true: "settled", false: "open"}[thread.Settled], "name": "comment", "person": said.Author, "text": said.Text}, thread.At)
			if i > 0 {
				row["name"] = "answer"
			}
			t.add("comment", row)
		}
	}
	for _, w := range r.Warnings {
		t.add("warning", moment(csvRow{"code": string(w.Code), "name": w.Step, "person": w.AcceptedBy, "text": strings.Join(present(w.Message, w.Accepted), " Accepted: ")}, w.Moment))
	}
	for _, d := range r.Doubts {
		t.add("doubt", csvRow{"code": d.Field, "text": d.Message})
	}
	for _, m := range r.Missing {
		t.add("missing", moment(csvRow{"code": m.Code, "text": m.Text}, m.At))
	}
	for i, text := range r.Cautions {
		t.add("caution", csvRow{"code": strconv.Itoa(i + 1), "text": text})
	}
}

// signatureRows tells who signed and what was added; instants are in UTC (ISO 8601).
func (t *csvTable) signatureRows(e Edition) {
	if e.Signature == nil {
		t.add("signature", csvRow{"code": string(annotate.ReportDraft)})
		return
	}
	t.add("signature", csvRow{"code": string(annotate.ReportSigned), "person": e.Signature.Name, "date": isoUTC(e.Signature.At), "n": strconv.Itoa(e.Signature.Number)})
	for _, a := range e.Signature.Addenda {
		t.add("addendum", csvRow{"person": a.AuthorName, "date": isoUTC(a.MadeAt), "text": a.Text})
	}
}

// settings adds those of the machine, a row for each quantity of a stage.
func (t *csvTable) settings(all []annotate.StageSettings) {
	for _, s := range all {
		for _, q := range []struct {
			name, unit string
			value      *float64
		}{{"vacuum", "mmHg", s.Vacuum}, {"flow", "ml/min", s.Flow}, {"power", "%", s.Power}, {"pressure", "mmHg", s.Pressure}} {
			if q.value != nil {
				t.add("setting", csvRow{"code": s.Stage, "name": q.name, "value": decimals(*q.value), "unit": q.unit})
			}
		}
	}
}

// moment fills in an instant.
func moment(row csvRow, m *Moment) csvRow {
	if m != nil {
		row["part"], row["media_ms"], row["at_ms"] = strconv.Itoa(m.Part), fmt.Sprint(m.Ms), ms(m.Clock)
	}
	return row
}

// figure fills in a time.
func figure(row csvRow, f timeline.Figure) csvRow {
	row["at_ms"], row["end_ms"], row["length_ms"], row["quality"] = ms(f.FirstStart), ms(f.LastEnd), ms(f.Total), string(f.Quality)
	row["episodes"] = strconv.Itoa(f.Episodes)
	return row
}

// place fills in a place among the unit's other cases.
func place(row csvRow, p Place) csvRow {
	row["n"], row["median"], row["q1"], row["q3"], row["percentile"] = strconv.Itoa(p.N), optional(p.Median), optional(p.Q1), optional(p.Q3), optional(p.Percentile)
	return row
}

func ms(value *int64) string {
	if value == nil {
		return ""
	}
	return strconv.FormatInt(*value, 10)
}

func optional(value *float64) string {
	if value == nil {
		return ""
	}
	return decimals(*value)
}

func decimals(value float64) string { return strconv.FormatFloat(value, 'f', -1, 64) }

func isoUTC(unixMs int64) string { return time.UnixMilli(unixMs).UTC().Format(time.RFC3339) }

func asFloat(value *int) *float64 {
	if value == nil {
		return nil
	}
	number := float64(*value)
	return &number
}
