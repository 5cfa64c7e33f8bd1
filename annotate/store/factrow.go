package store

import (
	"context"
	"encoding/json"
	"runtime"
	"slices"
	"sync"

	"zonule/annotate"
	"zonule/timeline/cohort"
)

func (t *tx) CaseRow(ctx context.Context, caseID string) (cohort.Row, error) {
	var body text[cohort.Row]
	err := t.get(ctx, &body, "SELECT body FROM case_rows WHERE case_id = ?", caseID)
	return body.value, err
}

type keptRow struct {
	Number int64
	Body   []byte
}

func (t *tx) CaseRowsAfter(ctx context.Context, number int64, limit int) ([]annotate.KeptRow, error) {
	var bodies []keptRow
	err := t.list(ctx, &bodies, "SELECT r.number, r.body FROM case_rows r WHERE r.number > ? ORDER BY r.number LIMIT ?", number, limit)
	if err != nil {
		return nil, err
	}
	return decodeRows(bodies)
}

// decodeRows shares the work out, because it is most of what the first comparison after a start waits for.
func decodeRows(bodies []keptRow) ([]annotate.KeptRow, error) {
	rows := make([]annotate.KeptRow, len(bodies))
	workers := runtime.GOMAXPROCS(0)
	faults := make([]error, workers)
	var group sync.WaitGroup
	for w := range workers {
		group.Go(func() {
			for i := w; i < len(bodies) && faults[w] == nil; i += workers {
				rows[i].Number = bodies[i].Number
				faults[w] = json.Unmarshal(bodies[i].Body, &rows[i].Row)
			}
		})
	}
	group.Wait()
	if at := slices.IndexFunc(faults, func(err error) bool { return err != nil }); at >= 0 {
		return nil, faults[at]
	}
	return rows, nil
}

func (t *tx) PutCaseRows(ctx context.Context, form int, rows ...cohort.Row) error {
	if len(rows) == 0 {
		return nil
	}
	// Numbers rise in the order of the commits because whoever takes one holds this lock until its commit is seen.
	if err := t.holdAudit(ctx); err != nil {
		return err
	}
	var last int64
	if err := t.get(ctx, &last, "SELECT COALESCE(MAX(number), 0) FROM case_rows"); err != nil {
		return err
	}
	values := make([][]any, len(rows))
	for i, row := range rows {
		values[i] = []any{row.CaseID, last + int64(i) + 1, form, asText(row)}
	}
	return t.put(ctx, "case_rows", "case_id", "number, form, body", values...)
}

func (t *tx) CasesWithoutRow(ctx context.Context, form int) ([]string, error) {
	var ids []string
	err := t.list(ctx, &ids, "SELECT id FROM cases WHERE id NOT IN (SELECT case_id FROM case_rows WHERE form = ?) ORDER BY id", form)
	return ids, err
}

func (t *tx) CasesNaming(ctx context.Context, userID string) ([]string, error) {
	var ids []string
	err := t.list(ctx, &ids, `SELECT case_id AS id FROM case_operators WHERE user_id = ?
		UNION SELECT case_id FROM case_shares WHERE user_id = ? ORDER BY id`, userID, userID)
	return ids, err
}

func (t *tx) Supervised(ctx context.Context, supervisorID string, grades []annotate.Grade) ([]string, error) {
	words := make([]string, len(grades))
	for i, grade := range grades {
		words[i] = string(grade)
	}
	var ids []string
	err := t.listIn(ctx, &ids, `SELECT DISTINCT user_id AS id FROM case_operators WHERE role = 'operator' AND grade IN (?)
		AND case_id IN (SELECT s.case_id FROM case_operators s WHERE s.user_id = ? AND s.role = 'supervisor') ORDER BY id`,
		words, supervisorID)
	return ids, err
}
