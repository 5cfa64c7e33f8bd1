package store

import (
	"context"

	"zonule/annotate"
)

func (t *tx) Unit(ctx context.Context) (annotate.Unit, error) {
	var row struct {
		Name             string
		Revision         int64
		LossLimitPercent float64 `db:"loss_limit_percent"`
		DensityLimit     float64 `db:"density_limit"`
		Windows          text[[]annotate.WindowPlan]
		Recalibration    text[*annotate.Recalibration]
		Triggers         text[[]annotate.TriggerRule]
		ReportSections   text[[]string] `db:"report_sections"`
		Invented         bool
	}
	err := t.get(ctx, &row, "SELECT name, revision, loss_limit_percent, density_limit, windows, recalibration, triggers, report_sections, invented FROM unit WHERE id = 1")
	return annotate.Unit{
		Name: row.Name, Revision: row.Revision, LossLimitPercent: row.LossLimitPercent, DensityLimit: row.DensityLimit,
		Windows: row.Windows.value, Recalibration: row.Recalibration.value, Triggers: row.Triggers.value,
		ReportSections: row.ReportSections.value, Invented: row.Invented,
	}, err
}

func (t *tx) UpdateUnit(ctx context.Context, u annotate.Unit, had int64) error {
	return t.one(ctx, `UPDATE unit SET revision = ?, name = ?, loss_limit_percent = ?, density_limit = ?, windows = ?,
		recalibration = ?, triggers = ?, report_sections = ?, invented = ? WHERE id = 1 AND revision = ?`, u.Revision, u.Name, u.LossLimitPercent, u.DensityLimit, asText(u.Windows),
		asText(u.Recalibration), asText(u.Triggers), asText(u.ReportSections), u.Invented, had)
}

type stepListRow struct{ Body text[annotate.StepList] }

func (t *tx) StepLists(ctx context.Context) ([]annotate.StepList, error) {
	var rows []stepListRow
	err := t.list(ctx, &rows, "SELECT body FROM step_lists ORDER BY id, version")
	lists := make([]annotate.StepList, len(rows))
	for i, row := range rows {
		lists[i] = row.Body.value
	}
	return lists, err
}

func (t *tx) StepList(ctx context.Context, ref annotate.StepListRef) (annotate.StepList, error) {
	var row stepListRow
	err := t.get(ctx, &row, "SELECT body FROM step_lists WHERE id = ? AND version = ?", ref.ID, ref.Version)
	return row.Body.value, err
}

func (t *tx) InsertStepList(ctx context.Context, l annotate.StepList) error {
	return t.insert(ctx, "step_lists", "id, version, name, technique, shipped, created_at, body",
		[]any{l.ID, l.Version, l.Name, l.Technique, l.Shipped, l.CreatedAt, asText(l)})
}
