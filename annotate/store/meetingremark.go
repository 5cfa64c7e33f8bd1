package store

import (
	"context"

	"zonule/annotate"
)

type remarkRow struct {
	ID       string
	ItemID   string `db:"item_id"`
	AuthorID string `db:"author_id"`
	MadeAt   int64  `db:"made_at"`
	Body     string
}

const selectRemark = "SELECT id, item_id, author_id, made_at, body FROM meeting_remarks "

func (r remarkRow) remark() annotate.Remark {
	return annotate.Remark{ID: r.ID, ItemID: r.ItemID, AuthorID: r.AuthorID, Text: r.Body, MadeAt: r.MadeAt}
}

func (t *tx) Remarks(ctx context.Context, meetingID string) ([]annotate.Remark, error) {
	var rows []remarkRow
	err := t.list(ctx, &rows, selectRemark+"WHERE meeting_id = ? ORDER BY made_at, id", meetingID)
	remarks := make([]annotate.Remark, len(rows))
	for i, row := range rows {
		remarks[i] = row.remark()
	}
	return remarks, err
}

func (t *tx) Remark(ctx context.Context, id string) (annotate.Remark, error) {
	var row remarkRow
	err := t.get(ctx, &row, selectRemark+"WHERE id = ?", id)
	return row.remark(), err
}

func (t *tx) PutRemark(ctx context.Context, meetingID string, r annotate.Remark) error {
	return t.put(ctx, "meeting_remarks", "id", "meeting_id, item_id, author_id, made_at, body",
		[]any{r.ID, meetingID, r.ItemID, r.AuthorID, r.MadeAt, r.Text})
}
