package annotate

import (
	"context"
	"fmt"
	"slices"

	"zonule/timeline/cohort"
)

// KeptRow is the flat row of a case with its number, which rises in the order in which changes are committed.
type KeptRow struct {
	Number int64
	cohort.Row
}

// RowTx keeps the flat rows from which comparisons answer.
type RowTx interface {
	CaseRow(ctx context.Context, caseID string) (cohort.Row, error)
	// CaseRowsAfter gives at most limit rows whose number is greater, by number. Who has read up to a number misses
	// nothing that is committed later, whichever server wrote it.
	CaseRowsAfter(ctx context.Context, number int64, limit int) ([]KeptRow, error)
	// PutCaseRows adds rows or replaces them, under new numbers, and holds off other additions to rows and to the audit
	// log until the transaction ends.
	PutCaseRows(ctx context.Context, form int, rows ...cohort.Row) error
	// CasesWithoutRow gives the ids, in order, of the cases that have no row of the form.
	CasesWithoutRow(ctx context.Context, form int) ([]string, error)

	// CasesNaming gives the ids, in order, of the cases in which a person took part or that are shared with them.
	CasesNaming(ctx context.Context, userID string) ([]string, error)
	// Supervised gives the ids, in order, of the people who operated, holding one of the grades, under a supervisor.
	Supervised(ctx context.Context, supervisorID string, grades []Grade) ([]string, error)
}

// filledAtOnce is how many rows are made in one transaction.
const filledAtOnce = 200

// FillRows makes the rows that an older program did not make, or made in another form. It is called when the database is
// opened; when nothing is missing it costs one query.
func (s *Service) FillRows(ctx context.Context) error {
	var ids []string
	err := s.store.Read(ctx, func(tx Tx) (err error) {
		ids, err = tx.CasesWithoutRow(ctx, rowForm)
		return err
	})
	if err != nil {
		return err
	}
	for chunk := range slices.Chunk(ids, filledAtOnce) {
		if err := s.store.Write(ctx, func(tx Tx) error { return fillRows(ctx, tx, chunk) }); err != nil {
			return err
		}
	}
	return nil
}

// ReadRows reads the rows ahead, so that the first comparison after a start does not wait for them.
func (s *Service) ReadRows(ctx context.Context) error {
	return s.store.Read(ctx, func(tx Tx) error {
		_, err := s.snapshot.cohort(ctx, tx)
		return err
	})
}

func fillRows(ctx context.Context, tx Tx, ids []string) error {
	if err := tx.LockCases(ctx, ids); err != nil {
		return err
	}
	rows, all := make([]cohort.Row, len(ids)), make([]CaseFacts, len(ids))
	for i, id := range ids {
		facts, row, err := caseFacts(ctx, tx, id, nil)
		if err != nil {
			return fmt.Errorf("row of case %s: %w", id, err)
		}
		rows[i], all[i] = row, facts
	}
	if err := tx.PutCaseFacts(ctx, all...); err != nil {
		return err
	}
	return tx.PutCaseRows(ctx, rowForm, rows...)
}
