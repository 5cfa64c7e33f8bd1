package store

import (
	"context"
	"encoding/base64"
	"encoding/json"
	"strings"

	"zonule/annotate"
)

// condition is a part of a WHERE with its arguments.
type condition struct {
	sql  string
	args []any
}

type conditions []condition

func (c *conditions) add(sql string, args ...any) { *c = append(*c, condition{sql, args}) }

func (c conditions) where() (string, []any) {
	texts := []string{"1 = 1"}
	var args []any
	for _, one := range c {
		texts = append(texts, one.sql)
		args = append(args, one.args...)
	}
	return strings.Join(texts, " AND "), args
}

const (
	// IN rather than EXISTS: both databases then look the viewer's cases up once, not once for each case.
	operates = "c.id IN (SELECT o.case_id FROM case_operators o WHERE o.user_id = ?)"
	isShared = "c.id IN (SELECT h.case_id FROM case_shares h WHERE h.user_id = ?)"
	named    = "(" + operates + " OR " + isShared + ")"
	fromList = " FROM cases c JOIN case_facts f ON f.case_id = c.id WHERE "
)

// states says in SQL what the states of the case filter mean; the date of today is an argument of the third.
var states = map[string]string{
	"to-record":     "NOT f.recorded",
	"to-tag":        "f.recorded AND NOT f.tagged",
	"follow-up-due": "f.due_on <> '' AND f.due_on <= ?",
	"to-sign":       "f.tagged AND f.due_on = '' AND NOT f.signed",
	"signed":        "f.signed",
}

// conditionsOf narrows the list to what the query asks for.
func conditionsOf(q annotate.CaseQuery) conditions {
	var c conditions
	switch {
	case q.Own:
		c.add(operates, q.Viewer)
	case !q.All:
		c.add(named, q.Viewer, q.Viewer)
	}
	for word := range strings.FieldsSeq(strings.ToLower(q.Query)) {
		like := "%" + strings.NewReplacer(`\`, `\\`, "%", `\%`, "_", `\_`).Replace(word) + "%"
		c.add(`(c.search LIKE ? ESCAPE '\' OR c.id IN (SELECT o.case_id FROM users u JOIN case_operators o ON o.user_id = u.id
			WHERE u.search LIKE ? ESCAPE '\'))`, like, like)
	}
	for _, equal := range []struct{ sql, value string }{
		{"c.eye = ?", string(q.Eye)},
		{"c.technique_performed = ?", string(q.Technique)},
		{"c.date >= ?", q.From},
		{"c.date <= ?", q.To},
		{operates, q.Operator},
	} {
		if equal.value != "" {
			c.add(equal.sql, equal.value)
		}
	}
	switch q.Complication {
	case "":
	case "any":
		c.add("EXISTS (SELECT 1 FROM complications k WHERE k.case_id = c.id)")
	default:
		c.add("c.id IN (SELECT k.case_id FROM complications k WHERE k.kind = ?)", q.Complication)
	}
	if state, asked := states[q.State]; asked {
		var args []any
		if strings.Contains(state, "?") {
			args = []any{q.Today}
		}
		c.add(state, args...)
	}
	if q.Owing {
		c.add("f.due_on <> ''")
	}
	if q.Window != "" {
		c.add("f.due_window = ?", q.Window)
	}
	if q.Overdue {
		c.add("f.late_on <> '' AND f.late_on < ?", q.Today)
	}
	if q.IDs != nil {
		marks := strings.TrimSuffix(strings.Repeat("?, ", len(q.IDs)), ", ")
		args := make([]any, len(q.IDs))
		for i, id := range q.IDs {
			args[i] = id
		}
		c.add("c.id IN ("+marks+")", args...)
	}
	return c
}

// order is a list order: an expression, and whether it can be NULL, which then comes last in both directions.
type order struct {
	by       string
	nullable bool
}

func orderOf(q annotate.CaseQuery) order {
	switch {
	case q.Due:
		return order{"f.late_on", false}
	case q.Sort == "pseudonym":
		return order{"c.pseudonym_key", false}
	case q.Sort == "grade":
		return order{"c.nuclear_grade", true}
	case q.Sort == "duration" && q.All:
		// A viewer of all cases is shown the times of their own only, so that the order must not tell the others.
		return order{"CASE WHEN " + named + " THEN f.operation_ms END", true}
	case q.Sort == "duration":
		return order{"f.operation_ms", true}
	}
	return order{"c.date", false}
}

func (o order) args(q annotate.CaseQuery) []any {
	if strings.Contains(o.by, "?") {
		return []any{q.Viewer, q.Viewer}
	}
	return nil
}

// cursor is the last line of the page before: its place in the order, and the order that it belongs to.
type cursor struct {
	Sort       string  `json:"s"`
	Descending bool    `json:"d"`
	Text       *string `json:"t,omitempty"`
	Number     *int64  `json:"n,omitempty"`
	Bytes      []byte  `json:"b,omitempty"`
	ID         string  `json:"i"`
}

func (c cursor) value() any {
	switch {
	case c.Text != nil:
		return *c.Text
	case c.Number != nil:
		return *c.Number
	case c.Bytes != nil:
		return c.Bytes
	}
	return nil
}

func (c cursor) encode() (string, error) {
	text, err := json.Marshal(c)
	return base64.RawURLEncoding.EncodeToString(text), err
}

func decodeCursor(q annotate.CaseQuery) (cursor, error) {
	var c cursor
	text, err := base64.RawURLEncoding.DecodeString(q.Cursor)
	if err == nil {
		err = json.Unmarshal(text, &c)
	}
	if err != nil || c.Sort != q.Sort || c.Descending != q.Descending || c.ID == "" {
		refusal := annotate.Refuse(annotate.CodeInvalid, "The next page belongs to another order of the list; begin at the first.")
		refusal.Fields = []annotate.FieldError{{Field: "cursor", Message: "does not belong to this list"}}
		return c, refusal
	}
	return c, nil
}

// after narrows the list to what comes after the cursor.
func (o order) after(c cursor, descending bool) condition {
	value := c.value()
	than := ">"
	if descending {
		than = "<"
	}
	switch {
	case value == nil:
		return condition{"sort_value IS NULL AND id " + than + " ?", []any{c.ID}}
	case o.nullable:
		return condition{"(sort_value " + than + " ? OR sort_value = ? AND id " + than + " ? OR sort_value IS NULL)", []any{value, value, c.ID}}
	}
	return condition{"(sort_value " + than + " ? OR sort_value = ? AND id " + than + " ?)", []any{value, value, c.ID}}
}

type listRow struct {
	ID           string
	Pseudonym    string
	PseudonymKey []byte `db:"pseudonym_key"`
	Eye          annotate.Eye
	Date         string
	NuclearGrade *int               `db:"nuclear_grade"`
	Planned      annotate.Technique `db:"technique_planned"`
	Performed    annotate.Technique `db:"technique_performed"`
	factsRow
	Named     bool
	SortValue any `db:"sort_value"`
}

func (t *tx) CasePage(ctx context.Context, q annotate.CaseQuery) (annotate.CaseRows, error) {
	if q.IDs != nil && len(q.IDs) == 0 {
		return annotate.CaseRows{}, nil
	}
	where, args := conditionsOf(q).where()
	var page annotate.CaseRows
	if err := t.get(ctx, &page.Total, "SELECT COUNT(*)"+fromList+where, args...); err != nil {
		return annotate.CaseRows{}, err
	}
	rows, err := t.listRows(ctx, q, where, args)
	if err != nil {
		return annotate.CaseRows{}, err
	}
	if len(rows) > q.Limit {
		rows = rows[:q.Limit]
		if page.Next, err = cursorAt(q, rows[q.Limit-1]).encode(); err != nil {
			return annotate.CaseRows{}, err
		}
	}
	page.Rows, err = t.complete(ctx, rows)
	return page, err
}

// listRows reads one line more than the page holds, which tells whether there is another page.
func (t *tx) listRows(ctx context.Context, q annotate.CaseQuery, where string, whereArgs []any) ([]listRow, error) {
	o := orderOf(q)
	args := append([]any{q.Viewer, q.Viewer}, o.args(q)...)
	args = append(args, whereArgs...)
	query := `SELECT * FROM (SELECT c.id, c.pseudonym, c.pseudonym_key, c.eye, c.date, c.nuclear_grade, c.technique_planned,
		c.technique_performed, f.recorded, f.tagged, f.signed, f.operation_ms, f.due_window, f.due_on, f.late_on, f.open_comments, ` +
		named + " AS named, " + o.by + " AS sort_value" + fromList + where + ") listed"
	if q.Cursor != "" {
		c, err := decodeCursor(q)
		if err != nil {
			return nil, err
		}
		after := o.after(c, q.Descending)
		query += " WHERE " + after.sql
		args = append(args, after.args...)
	}
	direction := ""
	if q.Descending {
		direction = " DESC"
	}
	query += " ORDER BY sort_value" + direction
	if o.nullable {
		query += " NULLS LAST"
	}
	query += ", id" + direction + " LIMIT ?"
	var rows []listRow
	err := t.list(ctx, &rows, query, append(args, q.Limit+1)...)
	return rows, err
}

// cursorAt names the place of a line in the order of the query.
func cursorAt(q annotate.CaseQuery, row listRow) cursor {
	c := cursor{Sort: q.Sort, Descending: q.Descending, ID: row.ID}
	switch {
	case q.Due:
		c.Text = &row.LateOn
	case q.Sort == "pseudonym":
		c.Bytes = row.PseudonymKey
	case q.Sort == "grade" && row.NuclearGrade != nil:
		grade := int64(*row.NuclearGrade)
		c.Number = &grade
	case q.Sort == "duration" && (row.Named || !q.All):
		c.Number = row.OperationMs
	case q.Sort == "" || q.Sort == "date":
		c.Text = &row.Date
	}
	return c
}

// complete adds operators, stages and complications to all lines at once.
func (t *tx) complete(ctx context.Context, rows []listRow) ([]annotate.CaseRow, error) {
	ids := make([]string, len(rows))
	for i, row := range rows {
		ids[i] = row.ID
	}
	operators, err := t.operatorsOf(ctx, ids)
	if err != nil {
		return nil, err
	}
	stages, err := t.stagesOf(ctx, ids)
	if err != nil {
		return nil, err
	}
	complications, err := t.kindsOf(ctx, ids)
	if err != nil {
		return nil, err
	}
	list := make([]annotate.CaseRow, len(rows))
	for i, row := range rows {
		list[i] = annotate.CaseRow{
			Due: row.DueWindow, DueOn: row.DueOn, LateOn: row.LateOn, Named: row.Named,
			CaseSummary: annotate.CaseSummary{
				ID: row.ID, Pseudonym: row.Pseudonym, Eye: row.Eye, Date: row.Date, NuclearGrade: row.NuclearGrade,
				Planned: row.Planned, Performed: row.Performed, Operators: operators[row.ID],
				Stages: append([]annotate.StageShare{}, stages[row.ID]...), Operation: row.OperationMs, Recorded: row.Recorded,
				Tagged: row.Tagged, Report: reportState(row.Signed), OpenComments: row.OpenComments,
				Complications: append([]string{}, complications[row.ID]...),
			},
		}
	}
	return list, nil
}

func reportState(signed bool) annotate.ReportState {
	if signed {
		return annotate.ReportSigned
	}
	return annotate.ReportDraft
}

func (t *tx) stagesOf(ctx context.Context, caseIDs []string) (map[string][]annotate.StageShare, error) {
	var rows []struct {
		CaseID  string `db:"case_id"`
		Code    string
		TotalMs int64 `db:"total_ms"`
	}
	err := t.listIn(ctx, &rows, `SELECT case_id, code, total_ms FROM case_steps
		WHERE case_id IN (?) AND kind = 'stage' AND total_ms IS NOT NULL ORDER BY case_id, place`, caseIDs)
	stages := map[string][]annotate.StageShare{}
	for _, row := range rows {
		stages[row.CaseID] = append(stages[row.CaseID], annotate.StageShare{Stage: row.Code, Total: row.TotalMs})
	}
	return stages, err
}

func (t *tx) kindsOf(ctx context.Context, caseIDs []string) (map[string][]string, error) {
	var rows []struct {
		CaseID string `db:"case_id"`
		Kind   string
	}
	err := t.listIn(ctx, &rows, "SELECT DISTINCT case_id, kind FROM complications WHERE case_id IN (?) ORDER BY case_id, kind", caseIDs)
	kinds := map[string][]string{}
	for _, row := range rows {
		kinds[row.CaseID] = append(kinds[row.CaseID], row.Kind)
	}
	return kinds, err
}
