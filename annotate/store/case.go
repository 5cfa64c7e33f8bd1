package store

import (
	"context"
	"strings"

	"zonule/annotate"
)

type caseRow struct {
	ID        string
	Revision  int64
	Pseudonym string
	Eye       annotate.Eye
	Date      string
	EyeBefore text[annotate.EyeBefore] `db:"eye_before"`
	Operation text[annotate.Operation]
	Lost      text[*annotate.LostToFollowUp] `db:"lost_to_follow_up"`
	Compare   bool                           `db:"compare_instruments"`
	Consent   text[annotate.Consent]
	CreatedBy string `db:"created_by"`
	CreatedAt int64  `db:"created_at"`
	UpdatedAt int64  `db:"updated_at"`
	Change    int64
}

const caseColumns = `id, revision, pseudonym, eye, date, eye_before, operation, lost_to_follow_up, compare_instruments, consent, created_by,
	created_at, updated_at, change`

// toCase is the case without the people of it.
func (row caseRow) toCase() annotate.Case {
	return annotate.Case{
		ID: row.ID, Revision: row.Revision, Pseudonym: row.Pseudonym, Eye: row.Eye, Date: row.Date, Before: row.EyeBefore.value,
		Operation: row.Operation.value, Operators: []annotate.Operator{}, SharedWith: []string{},
		LostToFollowUp: row.Lost.value, CompareInstruments: row.Compare, Consent: row.Consent.value,
		CreatedBy: row.CreatedBy, CreatedAt: row.CreatedAt, UpdatedAt: row.UpdatedAt, Change: row.Change,
	}
}

func (t *tx) Case(ctx context.Context, id string) (annotate.Case, error) {
	return t.readCase(ctx, id, "")
}

func (t *tx) LockCase(ctx context.Context, id string) (annotate.Case, error) {
	return t.readCase(ctx, id, t.dialect.forUpdate)
}

func (t *tx) readCase(ctx context.Context, id, lock string) (annotate.Case, error) {
	var row caseRow
	if err := t.get(ctx, &row, "SELECT "+caseColumns+" FROM cases WHERE id = ?"+lock, id); err != nil {
		return annotate.Case{}, err
	}
	c := row.toCase()
	operators, err := t.operatorsOf(ctx, []string{id})
	if err != nil {
		return annotate.Case{}, err
	}
	c.Operators = append(c.Operators, operators[id]...)
	err = t.list(ctx, &c.SharedWith, "SELECT user_id FROM case_shares WHERE case_id = ? ORDER BY place", id)
	return c, err
}

func (t *tx) operatorsOf(ctx context.Context, caseIDs []string) (map[string][]annotate.Operator, error) {
	var rows []struct {
		CaseID string `db:"case_id"`
		UserID string `db:"user_id"`
		Role   annotate.OperatorRole
		Grade  annotate.Grade
	}
	err := t.listIn(ctx, &rows, "SELECT case_id, user_id, role, grade FROM case_operators WHERE case_id IN (?) ORDER BY case_id, place", caseIDs)
	operators := map[string][]annotate.Operator{}
	for _, row := range rows {
		operators[row.CaseID] = append(operators[row.CaseID], annotate.Operator{UserID: row.UserID, Role: row.Role, Grade: row.Grade})
	}
	return operators, err
}

func (t *tx) CaseIDs(ctx context.Context) ([]string, error) {
	var ids []string
	err := t.list(ctx, &ids, "SELECT id FROM cases ORDER BY id")
	return ids, err
}

func (t *tx) InsertCase(ctx context.Context, c annotate.Case) error {
	err := t.insert(ctx, "cases", caseColumns+", pseudonym_key, search, nuclear_grade, technique_planned, technique_performed", []any{
		c.ID, c.Revision, c.Pseudonym, c.Eye, c.Date, asText(c.Before), asText(c.Operation), asText(c.LostToFollowUp), c.CompareInstruments,
		asText(c.Consent), c.CreatedBy, c.CreatedAt, c.UpdatedAt, c.Change, annotate.SortKey(c.Pseudonym), strings.ToLower(c.Pseudonym), c.Before.NuclearGrade,
		c.Operation.TechniquePlanned, c.Operation.TechniquePerformed,
	})
	if err != nil {
		return err
	}
	return t.insertPeople(ctx, c)
}

func (t *tx) UpdateCase(ctx context.Context, c annotate.Case) error {
	err := t.one(ctx, `UPDATE cases SET revision = ?, pseudonym = ?, pseudonym_key = ?, search = ?, eye = ?, date = ?,
		nuclear_grade = ?, technique_planned = ?, technique_performed = ?, eye_before = ?, operation = ?,
		lost_to_follow_up = ?, compare_instruments = ?, consent = ?, updated_at = ?, change = ?
		WHERE id = ?`, c.Revision, c.Pseudonym, annotate.SortKey(c.Pseudonym), strings.ToLower(c.Pseudonym), c.Eye, c.Date,
		c.Before.NuclearGrade, c.Operation.TechniquePlanned, c.Operation.TechniquePerformed, asText(c.Before), asText(c.Operation),
		asText(c.LostToFollowUp), c.CompareInstruments, asText(c.Consent), c.UpdatedAt, c.Change, c.ID)
	if err != nil {
		return err
	}
	for _, table := range []string{"case_operators", "case_shares"} {
		if _, err := t.exec(ctx, "DELETE FROM "+table+" WHERE case_id = ?", c.ID); err != nil {
			return err
		}
	}
	return t.insertPeople(ctx, c)
}

func (t *tx) insertPeople(ctx context.Context, c annotate.Case) error {
	var operators, shares [][]any
	for i, o := range c.Operators {
		operators = append(operators, []any{c.ID, o.UserID, o.Role, o.Grade, i + 1})
	}
	for i, id := range c.SharedWith {
		shares = append(shares, []any{c.ID, id, i + 1})
	}
	if err := t.insert(ctx, "case_operators", "case_id, user_id, role, grade, place", operators...); err != nil {
		return err
	}
	return t.insert(ctx, "case_shares", "case_id, user_id, place", shares...)
}

func (t *tx) TouchCase(ctx context.Context, id string, change, at int64) error {
	return t.one(ctx, "UPDATE cases SET change = ?, updated_at = ? WHERE id = ?", change, at, id)
}
