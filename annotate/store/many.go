package store

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"zonule/annotate"
)

func (t *tx) Cases(ctx context.Context, ids []string) (map[string]annotate.Case, error) {
	cases := map[string]annotate.Case{}
	for chunk := range slices.Chunk(ids, rowsAtOnce) {
		var rows []caseRow
		if err := t.listIn(ctx, &rows, "SELECT "+caseColumns+" FROM cases WHERE id IN (?)", chunk); err != nil {
			return nil, err
		}
		operators, err := t.operatorsOf(ctx, chunk)
		if err != nil {
			return nil, err
		}
		shares, err := many(ctx, t, "SELECT case_id, user_id FROM case_shares WHERE case_id IN (?) ORDER BY case_id, place", chunk,
			func(row shareRow) (string, string) { return row.CaseID, row.UserID })
		if err != nil {
			return nil, err
		}
		for _, row := range rows {
			c := row.toCase()
			c.Operators = append(c.Operators, operators[c.ID]...)
			c.SharedWith = append(c.SharedWith, shares[c.ID]...)
			cases[c.ID] = c
		}
	}
	return cases, nil
}

type shareRow struct {
	CaseID string `db:"case_id"`
	UserID string `db:"user_id"`
}

func (t *tx) LockCases(ctx context.Context, ids []string) error {
	if t.dialect.forUpdate == "" {
		return nil // a transaction that writes is alone as it is
	}
	for chunk := range slices.Chunk(ids, rowsAtOnce) {
		var locked []string
		if err := t.listIn(ctx, &locked, "SELECT id FROM cases WHERE id IN (?) ORDER BY id"+t.dialect.forUpdate, chunk); err != nil {
			return err
		}
	}
	return nil
}

func (t *tx) VisitsOf(ctx context.Context, caseIDs []string) (map[string][]annotate.Visit, error) {
	return many(ctx, t, "SELECT "+visitColumns+" FROM visits WHERE case_id IN (?) ORDER BY date, id", caseIDs,
		func(row visitRow) (string, annotate.Visit) { return row.CaseID, row.visit() })
}

func (t *tx) PartsOf(ctx context.Context, caseIDs []string) (map[string][]annotate.Part, error) {
	return many(ctx, t, "SELECT "+partColumns+" FROM parts WHERE case_id IN (?) ORDER BY place, id", caseIDs,
		func(row partRow) (string, annotate.Part) { return row.CaseID, row.part() })
}

func (t *tx) ComplicationsOf(ctx context.Context, caseIDs []string) (map[string][]annotate.Complication, error) {
	return many(ctx, t, "SELECT "+complicationColumns+" FROM complications WHERE case_id IN (?) ORDER BY id", caseIDs,
		func(row complicationRow) (string, annotate.Complication) { return row.CaseID, row.complication() })
}

func (t *tx) ReadingsOf(ctx context.Context, caseIDs []string) (map[string][]annotate.Reading, error) {
	return many(ctx, t, "SELECT "+readingColumns+" FROM readings WHERE case_id IN (?) ORDER BY created_at, id", caseIDs,
		func(row readingRow) (string, annotate.Reading) { return row.CaseID, row.reading() })
}

func (t *tx) ReportsOf(ctx context.Context, caseIDs []string) (map[string][]annotate.SignedReport, error) {
	rows, err := many(ctx, t, "SELECT "+reportColumns+" FROM reports WHERE case_id IN (?) ORDER BY number", caseIDs,
		func(row reportRow) (string, reportRow) { return row.CaseID, row })
	if err != nil {
		return nil, err
	}
	reports := map[string][]annotate.SignedReport{}
	for caseID, ofCase := range rows {
		if reports[caseID], err = t.withAddenda(ctx, ofCase); err != nil {
			return nil, err
		}
	}
	return reports, nil
}

// many reads rows of many cases, some cases at a time, in the order of the query.
func many[Row, T any](ctx context.Context, t *tx, query string, caseIDs []string, of func(Row) (string, T)) (map[string][]T, error) {
	all := map[string][]T{}
	for chunk := range slices.Chunk(caseIDs, rowsAtOnce) {
		var rows []Row
		if err := t.listIn(ctx, &rows, query, chunk); err != nil {
			return nil, err
		}
		for _, row := range rows {
			caseID, value := of(row)
			all[caseID] = append(all[caseID], value)
		}
	}
	return all, nil
}

func (t *tx) PutVisits(ctx context.Context, visits []annotate.Visit) error {
	rows := make([][]any, len(visits))
	for i, v := range visits {
		rows[i] = visitValues(v)
	}
	columns := strings.TrimPrefix(strings.Join(strings.Fields(visitColumns), " "), "id, ")
	return t.put(ctx, "visits", "id", columns, rows...)
}

func (t *tx) TouchCases(ctx context.Context, ids []string, at int64) error {
	n, err := t.execIn(ctx, "UPDATE cases SET change = change + 1, updated_at = ? WHERE id IN (?)", ids, at)
	if err == nil && n != int64(len(ids)) {
		err = fmt.Errorf("%d rows instead of %d: %w", n, len(ids), annotate.ErrNotOne)
	}
	return err
}
