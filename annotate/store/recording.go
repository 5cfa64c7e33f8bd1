package store

import (
	"context"

	"zonule/annotate"
	"zonule/timeline"
)

type partRow struct {
	ID          string
	CaseID      string `db:"case_id"`
	Revision    int64
	Place       int
	Source      string
	Facts       text[annotate.MediaFacts]
	State       annotate.PartState
	StateReason string `db:"state_reason"`
	OffsetMs    *int64 `db:"offset_ms"`
	Rates       text[[]timeline.RateSpan]
	Cuts        text[[]int64]
	RealTime    bool   `db:"real_time"`
	CheckedAt   int64  `db:"checked_at"`
	ClearedBy   string `db:"cleared_by"`
	ClearedAt   int64  `db:"cleared_at"`
}

const partColumns = "id, case_id, revision, place, source, facts, state, state_reason, offset_ms, rates, cuts, real_time, checked_at, cleared_by, cleared_at"

func (r partRow) part() annotate.Part {
	return annotate.Part{
		ID: r.ID, CaseID: r.CaseID, Revision: r.Revision, Position: r.Place, Source: r.Source, Facts: r.Facts.value, State: r.State,
		StateReason: r.StateReason, Offset: r.OffsetMs, Rates: r.Rates.value, Cuts: r.Cuts.value, RealTime: r.RealTime, CheckedAt: r.CheckedAt,
		ClearedBy: r.ClearedBy, ClearedAt: r.ClearedAt,
	}
}

func (t *tx) Parts(ctx context.Context, caseID string) ([]annotate.Part, error) {
	var rows []partRow
	err := t.list(ctx, &rows, "SELECT "+partColumns+" FROM parts WHERE case_id = ? ORDER BY place, id", caseID)
	parts := make([]annotate.Part, len(rows))
	for i, row := range rows {
		parts[i] = row.part()
	}
	return parts, err
}

func (t *tx) Part(ctx context.Context, id string) (annotate.Part, error) {
	var row partRow
	err := t.get(ctx, &row, "SELECT "+partColumns+" FROM parts WHERE id = ?", id)
	return row.part(), err
}

func (t *tx) InsertPart(ctx context.Context, p annotate.Part) error {
	return t.insert(ctx, "parts", partColumns, []any{
		p.ID, p.CaseID, p.Revision, p.Position, p.Source, asText(p.Facts), p.State, p.StateReason, p.Offset, asText(p.Rates),
		asText(p.Cuts), p.RealTime, p.CheckedAt, p.ClearedBy, p.ClearedAt,
	})
}

func (t *tx) UpdatePart(ctx context.Context, p annotate.Part) error {
	return t.one(ctx, `UPDATE parts SET revision = ?, place = ?, source = ?, facts = ?, state = ?, state_reason = ?, offset_ms = ?,
		rates = ?, cuts = ?, real_time = ?, checked_at = ?, cleared_by = ?, cleared_at = ? WHERE id = ?`, p.Revision, p.Position, p.Source, asText(p.Facts), p.State,
		p.StateReason, p.Offset, asText(p.Rates), asText(p.Cuts), p.RealTime, p.CheckedAt, p.ClearedBy, p.ClearedAt, p.ID)
}

func (t *tx) DeletePart(ctx context.Context, id string) error {
	return t.one(ctx, "DELETE FROM parts WHERE id = ?", id)
}

func (t *tx) PartUses(ctx context.Context, id string) (int, error) {
	var n int
	err := t.get(ctx, &n, `SELECT (SELECT COUNT(*) FROM markers WHERE start_part = ? OR end_part = ?)
		+ (SELECT COUNT(*) FROM events WHERE at_part = ?) + (SELECT COUNT(*) FROM comments WHERE at_part = ? OR end_part = ?)
		+ (SELECT COUNT(*) FROM complications WHERE at_part = ?)`, id, id, id, id, id, id)
	return n, err
}
