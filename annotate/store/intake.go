package store

import (
	"context"
	"strings"

	"zonule/annotate"
)

func (t *tx) Intake(ctx context.Context, id string) (annotate.Intake, error) {
	return t.readIntake(ctx, id, "")
}

func (t *tx) LockIntake(ctx context.Context, id string) (annotate.Intake, error) {
	return t.readIntake(ctx, id, t.dialect.forUpdate)
}

func (t *tx) readIntake(ctx context.Context, id, lock string) (annotate.Intake, error) {
	var row struct {
		Place int
		Body  text[annotate.Intake]
	}
	err := t.get(ctx, &row, "SELECT place, body FROM imports WHERE id = ?"+lock, id)
	row.Body.value.Cursor = row.Place
	return row.Body.value, err
}

func (t *tx) PutIntake(ctx context.Context, intake annotate.Intake) error {
	return t.put(ctx, "imports", "id", "owner_id, place, body, made_at",
		[]any{intake.ID, intake.OwnerID, intake.Cursor, asText(intake), intake.MadeAt})
}

func (t *tx) ForgetIntakes(ctx context.Context, before int64) error {
	if _, err := t.exec(ctx, "DELETE FROM import_rows WHERE import_id IN (SELECT id FROM imports WHERE made_at < ?)", before); err != nil {
		return err
	}
	_, err := t.exec(ctx, "DELETE FROM imports WHERE made_at < ?", before)
	return err
}

func (t *tx) ForgetIntakeRows(ctx context.Context, id string) error {
	_, err := t.exec(ctx, "DELETE FROM import_rows WHERE import_id = ?", id)
	return err
}

func (t *tx) IntakeRows(ctx context.Context, id string, after, limit int, verdicts ...annotate.Verdict) ([]annotate.IntakeRow, error) {
	var rows []struct {
		Number    int
		Cells     text[[]string]
		Hidden    bool
		Verdict   annotate.Verdict
		Written   bool
		Judgement text[annotate.Judgement]
		Identity  string
	}
	narrowed, args := "", []any{id, after}
	if len(verdicts) > 0 {
		narrowed = " AND verdict IN (" + strings.TrimSuffix(strings.Repeat("?, ", len(verdicts)), ", ") + ")"
		for _, verdict := range verdicts {
			args = append(args, verdict)
		}
	}
	err := t.list(ctx, &rows, "SELECT number, cells, hidden, verdict, written, judgement, identity FROM import_rows "+
		"WHERE import_id = ? AND number > ?"+narrowed+" ORDER BY number LIMIT ?", append(args, limit)...)
	list := make([]annotate.IntakeRow, len(rows))
	for i, row := range rows {
		list[i] = annotate.IntakeRow{
			Number: row.Number, Cells: row.Cells.value, Hidden: row.Hidden, Verdict: row.Verdict, Written: row.Written,
			Judgement: row.Judgement.value, Identity: row.Identity,
		}
	}
	return list, err
}

func (t *tx) PutIntakeRows(ctx context.Context, id string, rows []annotate.IntakeRow) error {
	values := make([][]any, len(rows))
	for i, row := range rows {
		values[i] = []any{id, row.Number, asText(row.Cells), row.Hidden, row.Verdict, row.Written, asText(row.Judgement), row.Identity}
	}
	return t.put(ctx, "import_rows", "import_id, number", "cells, hidden, verdict, written, judgement, identity", values...)
}

func (t *tx) IntakeIdentities(ctx context.Context, id string, last int, identities []string) (map[string]int, error) {
	var rows []struct {
		Identity string
		Number   int
	}
	// The last row is heeded here: with it in the query SQLite goes through all rows up to it instead of the identities.
	err := t.listIn(ctx, &rows, "SELECT identity, number FROM import_rows WHERE identity IN (?) AND import_id = ?", identities, id)
	numbers := map[string]int{}
	for _, row := range rows {
		if first, known := numbers[row.Identity]; row.Number <= last && (!known || row.Number < first) {
			numbers[row.Identity] = row.Number
		}
	}
	return numbers, err
}

func (t *tx) IntakeMatching(ctx context.Context, personID, key string) (annotate.IntakeMatching, error) {
	var row struct{ Body text[annotate.IntakeMatching] }
	err := t.get(ctx, &row, "SELECT body FROM import_matchings WHERE person_id = ? AND columns_key = ?", personID, key)
	return row.Body.value, err
}

func (t *tx) PutIntakeMatching(ctx context.Context, personID, key string, matching annotate.IntakeMatching) error {
	return t.put(ctx, "import_matchings", "person_id, columns_key", "body", []any{personID, key, asText(matching)})
}

func (t *tx) CasesNamed(ctx context.Context, pseudonyms []string) ([]string, error) {
	var ids []string
	err := t.listIn(ctx, &ids, "SELECT id FROM cases WHERE search IN (?) ORDER BY id", pseudonyms)
	return ids, err
}
