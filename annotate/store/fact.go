package store

import (
	"context"

	"zonule/annotate"
	"zonule/timeline"
)

type factsRow struct {
	Recorded     bool
	Tagged       bool
	Signed       bool
	OperationMs  *int64          `db:"operation_ms"`
	DueWindow    annotate.Window `db:"due_window"`
	DueOn        string          `db:"due_on"`
	LateOn       string          `db:"late_on"`
	OpenComments int             `db:"open_comments"`
	ItemRules    int             `db:"item_rules"`
	MissingItems int64           `db:"missing_items"`
	ExpectedLow  float64         `db:"expected_low"`
	ExpectedHigh float64         `db:"expected_high"`
}

type timeRow struct {
	Kind     annotate.FactKind
	Code     string
	TotalMs  *int64 `db:"total_ms"`
	Episodes int
	Quality  timeline.Quality
}

func (t *tx) CaseFacts(ctx context.Context, caseID string) (annotate.CaseFacts, error) {
	var row factsRow
	if err := t.get(ctx, &row, `SELECT recorded, tagged, signed, operation_ms, due_window, due_on, late_on, open_comments,
		item_rules, missing_items, expected_low, expected_high
		FROM case_facts WHERE case_id = ?`, caseID); err != nil {
		return annotate.CaseFacts{}, err
	}
	facts := annotate.CaseFacts{
		CaseID: caseID, Recorded: row.Recorded, Tagged: row.Tagged, Signed: row.Signed, Operation: row.OperationMs,
		Due: row.DueWindow, DueOn: row.DueOn, LateOn: row.LateOn, OpenComments: row.OpenComments, Times: []annotate.TimeFact{},
		Items: annotate.ItemFacts{Rules: row.ItemRules, Missing: row.MissingItems, ExpectedLow: row.ExpectedLow, ExpectedHigh: row.ExpectedHigh},
	}
	var times []timeRow
	err := t.list(ctx, &times, "SELECT kind, code, total_ms, episodes, quality FROM case_steps WHERE case_id = ? ORDER BY place", caseID)
	for _, time := range times {
		facts.Times = append(facts.Times, annotate.TimeFact{
			Kind: time.Kind, Code: time.Code, Total: time.TotalMs, Episodes: time.Episodes, Quality: time.Quality,
		})
	}
	return facts, err
}

func (t *tx) PutCaseFacts(ctx context.Context, all ...annotate.CaseFacts) error {
	var facts, times [][]any
	ids := make([]string, len(all))
	for i, f := range all {
		ids[i] = f.CaseID
		facts = append(facts, []any{f.CaseID, f.Recorded, f.Tagged, f.Signed, f.Operation, f.Due, f.DueOn, f.LateOn, f.OpenComments,
			f.Items.Rules, f.Items.Missing, f.Items.ExpectedLow, f.Items.ExpectedHigh})
		for i, time := range f.Times {
			times = append(times, []any{f.CaseID, time.Kind, time.Code, i + 1, time.Total, time.Episodes, time.Quality})
		}
	}
	err := t.put(ctx, "case_facts", "case_id", "recorded, tagged, signed, operation_ms, due_window, due_on, late_on, open_comments, "+
		"item_rules, missing_items, expected_low, expected_high", facts...)
	if err != nil {
		return err
	}
	if _, err := t.execIn(ctx, "DELETE FROM case_steps WHERE case_id IN (?)", ids); err != nil {
		return err
	}
	return t.insert(ctx, "case_steps", "case_id, kind, code, place, total_ms, episodes, quality", times...)
}

func (t *tx) UpdateDue(ctx context.Context, caseID string, window annotate.Window, dueOn, lateOn string) error {
	return t.one(ctx, "UPDATE case_facts SET due_window = ?, due_on = ?, late_on = ? WHERE case_id = ?", window, dueOn, lateOn, caseID)
}
