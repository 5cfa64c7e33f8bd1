package store

import (
	"context"

	"zonule/annotate"
)

type inboxRow struct {
	ID              string
	CaseID          string `db:"case_id"`
	Number          int
	Kind            annotate.TriggerKind
	Reason          string
	RaisedAt        int64 `db:"raised_at"`
	State           annotate.InboxState
	DismissedReason string             `db:"dismissed_reason"`
	MeetingID       string             `db:"meeting_id"`
	Technique       annotate.Technique `db:"technique_performed"`
	Eye             annotate.Eye
	NuclearGrade    *int `db:"nuclear_grade"`
}

const selectInbox = `SELECT i.id, i.case_id, i.number, i.kind, i.reason, i.raised_at, i.state, i.dismissed_reason, i.meeting_id,
	c.technique_performed, c.eye, c.nuclear_grade FROM inbox_entries i JOIN cases c ON c.id = i.case_id `

func (r inboxRow) entry() annotate.InboxEntry {
	return annotate.InboxEntry{
		ID: r.ID, CaseID: r.CaseID, Label: annotate.InboxLabel(r.Number), Kind: r.Kind, Reason: r.Reason, RaisedAt: r.RaisedAt,
		State: r.State, DismissedReason: r.DismissedReason, MeetingID: r.MeetingID, Technique: r.Technique, Eye: r.Eye,
		NuclearGrade: r.NuclearGrade, Number: r.Number,
	}
}

func inboxEntries(rows []inboxRow) []annotate.InboxEntry {
	entries := make([]annotate.InboxEntry, len(rows))
	for i, row := range rows {
		entries[i] = row.entry()
	}
	return entries
}

func (t *tx) InboxEntries(ctx context.Context) ([]annotate.InboxEntry, error) {
	var rows []inboxRow
	err := t.list(ctx, &rows, selectInbox+"ORDER BY i.number, i.raised_at, i.id")
	return inboxEntries(rows), err
}

func (t *tx) InboxEntriesOf(ctx context.Context, caseIDs ...string) ([]annotate.InboxEntry, error) {
	var rows []inboxRow
	err := t.listIn(ctx, &rows, selectInbox+"WHERE i.case_id IN (?) ORDER BY i.number, i.raised_at, i.id", caseIDs)
	return inboxEntries(rows), err
}

func (t *tx) InboxEntry(ctx context.Context, id string) (annotate.InboxEntry, error) {
	var row inboxRow
	err := t.get(ctx, &row, selectInbox+"WHERE i.id = ?", id)
	return row.entry(), err
}

func (t *tx) LastInboxNumber(ctx context.Context) (int, error) {
	var number int
	err := t.get(ctx, &number, "SELECT COALESCE(MAX(number), 0) FROM inbox_entries")
	return number, err
}

func (t *tx) InsertInboxEntry(ctx context.Context, e annotate.InboxEntry) error {
	return t.insert(ctx, "inbox_entries", "id, case_id, number, kind, reason, raised_at, state, dismissed_reason, meeting_id",
		[]any{e.ID, e.CaseID, e.Number, e.Kind, e.Reason, e.RaisedAt, e.State, e.DismissedReason, e.MeetingID})
}

func (t *tx) UpdateInboxEntry(ctx context.Context, e annotate.InboxEntry, had annotate.InboxState) error {
	return t.one(ctx, `UPDATE inbox_entries SET reason = ?, raised_at = ?, state = ?, dismissed_reason = ?, meeting_id = ?
		WHERE id = ? AND state = ?`, e.Reason, e.RaisedAt, e.State, e.DismissedReason, e.MeetingID, e.ID, had)
}

func (t *tx) InboxSweep(ctx context.Context) (annotate.InboxSweep, error) {
	return t.sweep(ctx, "")
}

func (t *tx) LockInbox(ctx context.Context) (annotate.InboxSweep, error) {
	return t.sweep(ctx, t.dialect.forUpdate)
}

func (t *tx) sweep(ctx context.Context, lock string) (annotate.InboxSweep, error) {
	var sweep annotate.InboxSweep
	err := t.get(ctx, &sweep, "SELECT number, rules FROM inbox_sweep WHERE id = 1"+lock)
	return sweep, err
}

func (t *tx) PutInboxSweep(ctx context.Context, sweep annotate.InboxSweep) error {
	return t.one(ctx, "UPDATE inbox_sweep SET number = ?, rules = ? WHERE id = 1", sweep.Number, sweep.Rules)
}
