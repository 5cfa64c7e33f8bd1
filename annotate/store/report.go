package store

import (
	"context"

	"zonule/annotate"
)

type reportRow struct {
	ID         string
	CaseID     string `db:"case_id"`
	Number     int
	Hash       string
	SignedBy   string `db:"signed_by"`
	SignerName string `db:"signer_name"`
	SignedAt   int64  `db:"signed_at"`
	CaseChange int64  `db:"case_change"`
}

const reportColumns = "id, case_id, number, hash, signed_by, signer_name, signed_at, case_change"

func (r reportRow) report() annotate.SignedReport {
	return annotate.SignedReport{
		ID: r.ID, CaseID: r.CaseID, Number: r.Number, Hash: r.Hash, SignedBy: r.SignedBy, SignerName: r.SignerName,
		SignedAt: r.SignedAt, CaseChange: r.CaseChange, Addenda: []annotate.Addendum{},
	}
}

func (t *tx) Reports(ctx context.Context, caseID string) ([]annotate.SignedReport, error) {
	var rows []reportRow
	if err := t.list(ctx, &rows, "SELECT "+reportColumns+" FROM reports WHERE case_id = ? ORDER BY number", caseID); err != nil {
		return nil, err
	}
	return t.withAddenda(ctx, rows)
}

func (t *tx) Report(ctx context.Context, id string) (annotate.SignedReport, error) {
	var row reportRow
	if err := t.get(ctx, &row, "SELECT "+reportColumns+" FROM reports WHERE id = ?", id); err != nil {
		return annotate.SignedReport{}, err
	}
	reports, err := t.withAddenda(ctx, []reportRow{row})
	if err != nil {
		return annotate.SignedReport{}, err
	}
	return reports[0], nil
}

func (t *tx) withAddenda(ctx context.Context, rows []reportRow) ([]annotate.SignedReport, error) {
	ids := make([]string, len(rows))
	for i, row := range rows {
		ids[i] = row.ID
	}
	var addenda []struct {
		ID         string
		ReportID   string `db:"report_id"`
		AuthorID   string `db:"author_id"`
		AuthorName string `db:"author_name"`
		Text       string `db:"body"`
		MadeAt     int64  `db:"made_at"`
		Hash       string
	}
	err := t.listIn(ctx, &addenda, `SELECT id, report_id, author_id, author_name, body, made_at, hash FROM addenda
		WHERE report_id IN (?) ORDER BY report_id, place`, ids)
	reports := make([]annotate.SignedReport, len(rows))
	for i, row := range rows {
		reports[i] = row.report()
		for _, addendum := range addenda {
			if addendum.ReportID == row.ID {
				reports[i].Addenda = append(reports[i].Addenda, annotate.Addendum(addendum))
			}
		}
	}
	return reports, err
}

func (t *tx) ReportContent(ctx context.Context, id string) (annotate.SignedContent, error) {
	var row struct {
		JSON []byte `db:"content_json"`
		HTML []byte `db:"content_html"`
		PDF  []byte `db:"content_pdf"`
		CSV  []byte `db:"content_csv"`
	}
	err := t.get(ctx, &row, "SELECT content_json, content_html, content_pdf, content_csv FROM reports WHERE id = ?", id)
	return annotate.SignedContent(row), err
}

func (t *tx) InsertReport(ctx context.Context, r annotate.SignedReport, c annotate.SignedContent) error {
	return t.insert(ctx, "reports", reportColumns+", content_json, content_html, content_pdf, content_csv", []any{
		r.ID, r.CaseID, r.Number, r.Hash, r.SignedBy, r.SignerName, r.SignedAt, r.CaseChange,
		notNil(c.JSON), notNil(c.HTML), notNil(c.PDF), notNil(c.CSV),
	})
}

// notNil: a nil slice would be stored as NULL.
func notNil(content []byte) []byte { return append([]byte{}, content...) }

func (t *tx) InsertAddendum(ctx context.Context, a annotate.Addendum, place int) error {
	return t.insert(ctx, "addenda", "id, report_id, place, author_id, author_name, body, made_at, hash",
		[]any{a.ID, a.ReportID, place, a.AuthorID, a.AuthorName, a.Text, a.MadeAt, a.Hash})
}
