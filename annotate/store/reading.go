package store

import (
	"context"

	"zonule/annotate"
)

type readingRow struct {
	ID              string
	CaseID          string `db:"case_id"`
	AuthorID        string `db:"author_id"`
	StepListID      string `db:"step_list_id"`
	StepListVersion int    `db:"step_list_version"`
	Accepted        bool
	Seq             int64
	CreatedAt       int64 `db:"created_at"`
	Acceptance      text[*annotate.ReadingChoice]
}

const readingColumns = "id, case_id, author_id, step_list_id, step_list_version, accepted, seq, created_at, acceptance"

func (r readingRow) reading() annotate.Reading {
	return annotate.Reading{
		ID: r.ID, CaseID: r.CaseID, AuthorID: r.AuthorID, StepList: annotate.StepListRef{ID: r.StepListID, Version: r.StepListVersion},
		Accepted: r.Accepted, Seq: r.Seq, CreatedAt: r.CreatedAt, Choice: r.Acceptance.value,
	}
}

func (t *tx) Readings(ctx context.Context, caseID string) ([]annotate.Reading, error) {
	var rows []readingRow
	err := t.list(ctx, &rows, "SELECT "+readingColumns+" FROM readings WHERE case_id = ? ORDER BY created_at, id", caseID)
	readings := make([]annotate.Reading, len(rows))
	for i, row := range rows {
		readings[i] = row.reading()
	}
	return readings, err
}

func (t *tx) RepeatedReadings(ctx context.Context) ([]annotate.Reading, error) {
	var rows []readingRow
	err := t.list(ctx, &rows, "SELECT "+readingColumns+` FROM readings
		WHERE case_id IN (SELECT case_id FROM readings GROUP BY case_id HAVING COUNT(*) > 1) ORDER BY case_id, created_at, id`)
	readings := make([]annotate.Reading, len(rows))
	for i, row := range rows {
		readings[i] = row.reading()
	}
	return readings, err
}

func (t *tx) Reading(ctx context.Context, id string) (annotate.Reading, error) {
	var row readingRow
	err := t.get(ctx, &row, "SELECT "+readingColumns+" FROM readings WHERE id = ?", id)
	return row.reading(), err
}

func (t *tx) InsertReading(ctx context.Context, r annotate.Reading) error {
	return t.insert(ctx, "readings", readingColumns,
		[]any{r.ID, r.CaseID, r.AuthorID, r.StepList.ID, r.StepList.Version, r.Accepted, r.Seq, r.CreatedAt, asText(r.Choice)})
}

func (t *tx) UpdateReading(ctx context.Context, r annotate.Reading) error {
	return t.one(ctx, "UPDATE readings SET step_list_id = ?, step_list_version = ?, accepted = ?, seq = ?, acceptance = ? WHERE id = ?",
		r.StepList.ID, r.StepList.Version, r.Accepted, r.Seq, asText(r.Choice), r.ID)
}

type editRow struct {
	ReadingID string `db:"reading_id"`
	Seq       int64
	ID        string
	Action    string
	Undoes    string
	AuthorID  string `db:"author_id"`
	MadeAt    int64  `db:"made_at"`
	Changes   text[[]annotate.Change]
}

const editColumns = "reading_id, seq, id, action, undoes, author_id, made_at, changes"

func (r editRow) edit() annotate.Edit {
	return annotate.Edit{
		ID: r.ID, Action: r.Action, Undoes: r.Undoes, Changes: r.Changes.value, Seq: r.Seq, AuthorID: r.AuthorID, MadeAt: r.MadeAt,
	}
}

func (t *tx) Edits(ctx context.Context, readingID string, after int64) ([]annotate.Edit, error) {
	var rows []editRow
	err := t.list(ctx, &rows, "SELECT "+editColumns+" FROM edits WHERE reading_id = ? AND seq > ? ORDER BY seq", readingID, after)
	edits := make([]annotate.Edit, len(rows))
	for i, row := range rows {
		edits[i] = row.edit()
	}
	return edits, err
}

func (t *tx) EditsByID(ctx context.Context, ids []string) ([]annotate.KeptEdit, error) {
	var rows []editRow
	err := t.listIn(ctx, &rows, "SELECT "+editColumns+" FROM edits WHERE id IN (?)", ids)
	edits := make([]annotate.KeptEdit, len(rows))
	for i, row := range rows {
		edits[i] = annotate.KeptEdit{ReadingID: row.ReadingID, Edit: row.edit()}
	}
	return edits, err
}

func (t *tx) AppendEdits(ctx context.Context, readingID string, edits []annotate.Edit) error {
	rows := make([][]any, len(edits))
	for i, e := range edits {
		rows[i] = []any{readingID, e.Seq, e.ID, e.Action, e.Undoes, e.AuthorID, e.MadeAt, asText(e.Changes)}
	}
	return t.insert(ctx, "edits", editColumns, rows...)
}

func (t *tx) CommentsToAnswer(ctx context.Context, userID string) (map[string]int, error) {
	var rows []struct {
		CaseID string `db:"case_id"`
		N      int
	}
	err := t.list(ctx, &rows, `SELECT r.case_id, COUNT(*) AS n FROM comments c JOIN readings r ON r.id = c.reading_id
		WHERE r.accepted AND c.reply_to = '' AND NOT c.settled
		AND (EXISTS (SELECT 1 FROM case_operators o WHERE o.case_id = r.case_id AND o.user_id = ?)
			OR EXISTS (SELECT 1 FROM comments m WHERE m.reading_id = c.reading_id AND (m.id = c.id OR m.reply_to = c.id) AND m.author_id = ?))
		AND (SELECT l.author_id FROM comments l WHERE l.reading_id = c.reading_id AND (l.id = c.id OR l.reply_to = c.id)
			ORDER BY l.made_at DESC, l.seq DESC, l.id DESC LIMIT 1) <> ?
		GROUP BY r.case_id`, userID, userID, userID)
	counts := map[string]int{}
	for _, row := range rows {
		counts[row.CaseID] = row.N
	}
	return counts, err
}
