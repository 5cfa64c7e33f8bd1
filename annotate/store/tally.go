package store

import (
	"context"

	"zonule/annotate"
)

type tallyRow struct {
	ID           string
	Pseudonym    string
	Eye          annotate.Eye
	Date         string
	Named        bool
	Signed       bool
	Lost         bool
	DueOn        string `db:"due_on"`
	LateOn       string `db:"late_on"`
	Seen         bool
	ItemRules    int     `db:"item_rules"`
	MissingItems int64   `db:"missing_items"`
	ExpectedLow  float64 `db:"expected_low"`
	ExpectedHigh float64 `db:"expected_high"`
}

func (t *tx) TallyRows(ctx context.Context, q annotate.CaseQuery) ([]annotate.TallyRow, error) {
	where, args := conditionsOf(q).where()
	var found []tallyRow
	err := t.list(ctx, &found, `SELECT c.id, c.pseudonym, c.eye, c.date, `+named+` AS named, f.signed, c.lost_to_follow_up <> 'null' AS lost, f.due_on,
		f.late_on, c.id IN (SELECT v.case_id FROM visits v) AS seen, f.item_rules, f.missing_items, f.expected_low, f.expected_high`+
		fromList+where, append([]any{q.Viewer, q.Viewer}, args...)...)
	if err != nil {
		return nil, err
	}
	var kinds []struct {
		CaseID string `db:"case_id"`
		Kind   string
	}
	err = t.list(ctx, &kinds, "SELECT DISTINCT k.case_id, k.kind FROM complications k WHERE k.case_id IN (SELECT c.id"+fromList+where+")", args...)
	of := map[string][]string{}
	for _, row := range kinds {
		of[row.CaseID] = append(of[row.CaseID], row.Kind)
	}
	rows := make([]annotate.TallyRow, len(found))
	for i, row := range found {
		rows[i] = annotate.TallyRow{
			ID: row.ID, Pseudonym: row.Pseudonym, Eye: row.Eye, Date: row.Date, Named: row.Named, Signed: row.Signed, Lost: row.Lost, DueOn: row.DueOn, LateOn: row.LateOn,
			Seen: row.Seen, Kinds: of[row.ID], Items: annotate.ItemFacts{
				Rules: row.ItemRules, Missing: row.MissingItems, ExpectedLow: row.ExpectedLow, ExpectedHigh: row.ExpectedHigh,
			},
		}
	}
	return rows, err
}
