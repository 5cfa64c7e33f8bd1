package store

import (
	"context"

	"zonule/annotate"
)

type complicationRow struct {
	ID         string
	CaseID     string `db:"case_id"`
	Revision   int64
	Kind       string
	AtPart     *string `db:"at_part"`
	AtMs       *int64  `db:"at_ms"`
	OnDate     string  `db:"on_date"`
	Severity   int
	Action     string
	ResolvedOn string `db:"resolved_on"`
	VisitID    string `db:"visit_id"`
	Note       string
}

const complicationColumns = "id, case_id, revision, kind, at_part, at_ms, on_date, severity, action, resolved_on, visit_id, note"

func (r complicationRow) complication() annotate.Complication {
	return annotate.Complication{
		ID: r.ID, CaseID: r.CaseID, Revision: r.Revision, Kind: r.Kind, At: instant(r.AtPart, r.AtMs), OnDate: r.OnDate,
		Severity: r.Severity, Action: r.Action, ResolvedOn: r.ResolvedOn, VisitID: r.VisitID, Note: r.Note,
	}
}

func (t *tx) Complications(ctx context.Context, caseID string) ([]annotate.Complication, error) {
	var rows []complicationRow
	err := t.list(ctx, &rows, "SELECT "+complicationColumns+" FROM complications WHERE case_id = ? ORDER BY id", caseID)
	list := make([]annotate.Complication, len(rows))
	for i, row := range rows {
		list[i] = row.complication()
	}
	return list, err
}

func (t *tx) Complication(ctx context.Context, id string) (annotate.Complication, error) {
	var row complicationRow
	err := t.get(ctx, &row, "SELECT "+complicationColumns+" FROM complications WHERE id = ?", id)
	return row.complication(), err
}

func (t *tx) InsertComplication(ctx context.Context, c annotate.Complication) error {
	part, ms := place(c.At)
	return t.insert(ctx, "complications", complicationColumns,
		[]any{c.ID, c.CaseID, c.Revision, c.Kind, part, ms, c.OnDate, c.Severity, c.Action, c.ResolvedOn, c.VisitID, c.Note})
}

func (t *tx) UpdateComplication(ctx context.Context, c annotate.Complication) error {
	part, ms := place(c.At)
	return t.one(ctx, `UPDATE complications SET revision = ?, kind = ?, at_part = ?, at_ms = ?, on_date = ?, severity = ?, action = ?,
		resolved_on = ?, visit_id = ?, note = ? WHERE id = ?`, c.Revision, c.Kind, part, ms, c.OnDate, c.Severity, c.Action, c.ResolvedOn,
		c.VisitID, c.Note, c.ID)
}

func (t *tx) DeleteComplication(ctx context.Context, id string) error {
	return t.one(ctx, "DELETE FROM complications WHERE id = ?", id)
}

type visitRow struct {
	ID          string
	CaseID      string `db:"case_id"`
	Revision    int64
	VisitWindow annotate.Window `db:"visit_window"`
	Date        string
	Acuity      string
	Uncorrected string `db:"uncorrected_acuity"`
	Refraction  text[*annotate.Refraction]
	Pressure    *float64
	OedemaGrade *int `db:"oedema_grade"`
	Thickness   *int
	Exam        text[*annotate.EndothelialExam]
	FellowExam  text[*annotate.EndothelialExam] `db:"fellow_exam"`
	Medication  string
	Note        string
}

const visitColumns = `id, case_id, revision, visit_window, date, acuity, uncorrected_acuity, refraction, pressure, oedema_grade, thickness,
	exam, fellow_exam, medication, note`

func (r visitRow) visit() annotate.Visit {
	return annotate.Visit{
		ID: r.ID, CaseID: r.CaseID, Revision: r.Revision, Window: r.VisitWindow, Date: r.Date, Acuity: r.Acuity,
		UncorrectedAcuity: r.Uncorrected, Refraction: r.Refraction.value, Pressure: r.Pressure, OedemaGrade: r.OedemaGrade,
		Thickness: r.Thickness, Exam: r.Exam.value, FellowExam: r.FellowExam.value, Medication: r.Medication, Note: r.Note,
	}
}

func (t *tx) Visits(ctx context.Context, caseID string) ([]annotate.Visit, error) {
	var rows []visitRow
	err := t.list(ctx, &rows, "SELECT "+visitColumns+" FROM visits WHERE case_id = ? ORDER BY date, id", caseID)
	list := make([]annotate.Visit, len(rows))
	for i, row := range rows {
		list[i] = row.visit()
	}
	return list, err
}

func (t *tx) Visit(ctx context.Context, id string) (annotate.Visit, error) {
	var row visitRow
	err := t.get(ctx, &row, "SELECT "+visitColumns+" FROM visits WHERE id = ?", id)
	return row.visit(), err
}

func (t *tx) InsertVisit(ctx context.Context, v annotate.Visit) error {
	return t.insert(ctx, "visits", visitColumns, visitValues(v))
}

func visitValues(v annotate.Visit) []any {
	return []any{
		v.ID, v.CaseID, v.Revision, v.Window, v.Date, v.Acuity, v.UncorrectedAcuity, asText(v.Refraction), v.Pressure, v.OedemaGrade,
		v.Thickness, asText(v.Exam), asText(v.FellowExam), v.Medication, v.Note,
	}
}

func (t *tx) UpdateVisit(ctx context.Context, v annotate.Visit) error {
	return t.one(ctx, `UPDATE visits SET revision = ?, visit_window = ?, date = ?, acuity = ?, uncorrected_acuity = ?, refraction = ?,
		pressure = ?, oedema_grade = ?, thickness = ?, exam = ?, fellow_exam = ?, medication = ?, note = ? WHERE id = ?`, v.Revision, v.Window, v.Date,
		v.Acuity, v.UncorrectedAcuity, asText(v.Refraction), v.Pressure, v.OedemaGrade, v.Thickness, asText(v.Exam), asText(v.FellowExam),
		v.Medication, v.Note, v.ID)
}

func (t *tx) DeleteVisit(ctx context.Context, id string) error {
	return t.one(ctx, "DELETE FROM visits WHERE id = ?", id)
}
