package store

import (
	"context"
	"errors"

	"zonule/annotate"
)

type auditRow struct {
	Seq       int64
	At        int64
	ActorID   string `db:"actor_id"`
	Action    string
	CaseID    string `db:"case_id"`
	ThingID   string `db:"thing_id"`
	Detail    string
	RequestID string `db:"request_id"`
	PrevHash  string `db:"prev_hash"`
	Hash      string
}

const auditColumns = "seq, at, actor_id, action, case_id, thing_id, detail, request_id, prev_hash, hash"

// holdAudit holds off, within Write, other additions to the audit log and to rows until the transaction ends.
func (t *tx) holdAudit(ctx context.Context) error {
	if !t.writes || t.dialect.lockAudit == "" {
		return nil
	}
	_, err := t.exec(ctx, t.dialect.lockAudit)
	return err
}

func (t *tx) LastAudit(ctx context.Context) (annotate.AuditEntry, error) {
	if err := t.holdAudit(ctx); err != nil {
		return annotate.AuditEntry{}, err
	}
	var row auditRow
	err := t.get(ctx, &row, "SELECT "+auditColumns+" FROM audit ORDER BY seq DESC LIMIT 1")
	if errors.Is(err, annotate.ErrNoRow) {
		return annotate.AuditEntry{}, nil
	}
	return annotate.AuditEntry(row), err
}

func (t *tx) InsertAudit(ctx context.Context, entries ...annotate.AuditEntry) error {
	rows := make([][]any, len(entries))
	for i, e := range entries {
		rows[i] = []any{e.Seq, e.At, e.ActorID, e.Action, e.CaseID, e.ThingID, e.Detail, e.RequestID, e.PrevHash, e.Hash}
	}
	return t.insert(ctx, "audit", auditColumns, rows...)
}

func (t *tx) CaseAudit(ctx context.Context, caseID string) ([]annotate.AuditEntry, error) {
	return t.auditRows(ctx, "SELECT "+auditColumns+" FROM audit WHERE case_id = ? ORDER BY seq DESC", caseID)
}

func (t *tx) AuditAfter(ctx context.Context, seq int64, limit int) ([]annotate.AuditEntry, error) {
	return t.auditRows(ctx, "SELECT "+auditColumns+" FROM audit WHERE seq > ? ORDER BY seq LIMIT ?", seq, limit)
}

func (t *tx) auditRows(ctx context.Context, query string, args ...any) ([]annotate.AuditEntry, error) {
	var rows []auditRow
	err := t.list(ctx, &rows, query, args...)
	entries := make([]annotate.AuditEntry, len(rows))
	for i, row := range rows {
		entries[i] = annotate.AuditEntry(row)
	}
	return entries, err
}
