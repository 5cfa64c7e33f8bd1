package store

import (
	"context"

	"zonule/annotate"
)

type findingRow struct{ Body text[annotate.Finding] }

func (t *tx) Findings(ctx context.Context, caseID string) ([]annotate.Finding, error) {
	var rows []findingRow
	err := t.list(ctx, &rows, "SELECT body FROM findings WHERE case_id = ? ORDER BY place, id", caseID)
	list := make([]annotate.Finding, len(rows))
	for i, row := range rows {
		list[i] = row.Body.value
	}
	return list, err
}

func (t *tx) Finding(ctx context.Context, id string) (annotate.Finding, error) {
	var row findingRow
	err := t.get(ctx, &row, "SELECT body FROM findings WHERE id = ?", id)
	return row.Body.value, err
}

func (t *tx) InsertFinding(ctx context.Context, f annotate.Finding) error {
	return t.insert(ctx, "findings", "id, case_id, revision, place, author_id, body", []any{f.ID, f.CaseID, f.Revision, f.Place, f.AuthorID, asText(f)})
}

func (t *tx) UpdateFinding(ctx context.Context, f annotate.Finding) error {
	return t.one(ctx, "UPDATE findings SET revision = ?, place = ?, body = ? WHERE id = ? AND revision = ?", f.Revision, f.Place, asText(f), f.ID, f.Revision-1)
}

func (t *tx) DeleteFinding(ctx context.Context, id string) error {
	return t.one(ctx, "DELETE FROM findings WHERE id = ?", id)
}
