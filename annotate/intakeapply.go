package annotate

import (
	"context"
	"errors"
	"fmt"
	"slices"
)

// intakeWritten rows are written together: in one transaction, unless the whole file is.
const intakeWritten = 1000

// ApplyIntake writes accepted rows. With whole, all rows are written in one transaction, or none if one cannot be.
// Without, the next batch is, and rows that cannot be written any more are told; it is called until the state is
// IntakeApplied, and goes on where it stopped, at any server. Each row is judged again on the record as it stands then.
func (s *Service) ApplyIntake(ctx context.Context, actor Actor, id string, whole bool) (Intake, error) {
	return s.changeIntake(ctx, actor, id, func(tx Tx, intake *Intake) error {
		switch intake.State {
		case IntakeApplied:
			return nil
		case IntakeChecked:
			accepted := intake.Counts[VerdictNew] + intake.Counts[VerdictChanges]
			if faulty := intake.Rows - accepted - intake.Counts[VerdictSame]; whole && faulty > 0 {
				return Refuse(CodeInvalid, "Nothing was written: %d rows cannot be. Correct them in the file, or import the accepted rows only.", faulty)
			}
			intake.State, intake.Cursor, intake.Done = IntakeApplying, 0, intake.Rows-accepted
		case IntakeApplying:
		default:
			return Refuse(CodeInvalid, "The rows are not checked yet; nothing was written.")
		}
		if whole {
			if err := holdCases(ctx, tx, id); err != nil {
				return err
			}
		}
		for {
			rows, err := tx.IntakeRows(ctx, id, intake.Cursor, intakeWritten, VerdictNew, VerdictChanges)
			if err != nil {
				return err
			}
			if err := s.writeRows(ctx, tx, actor, intake, rows, whole); err != nil {
				return err
			}
			if len(rows) < intakeWritten {
				intake.State = IntakeApplied
				return s.record(ctx, tx, actor, AuditEntry{Action: "intake.apply", ThingID: id, Detail: jsonText(map[string]any{
					"file": intake.File.Hash, "rows": intake.Rows, "written": intake.Written, "counts": intake.Counts,
				})})
			}
			if !whole {
				return nil
			}
		}
	})
}

// holdCases holds off other changes to every case that a file is to be written to. It comes before the first addition to
// the audit log, because who waits for that may hold a case.
func holdCases(ctx context.Context, tx Tx, id string) error {
	var ids []string
	for after := 0; ; {
		rows, err := tx.IntakeRows(ctx, id, after, intakeWritten, VerdictNew, VerdictChanges)
		if err != nil {
			return err
		}
		for _, row := range rows {
			ids = append(ids, row.CaseID)
			after = row.Number
		}
		if len(rows) < intakeWritten {
			slices.Sort(ids)
			return tx.LockCases(ctx, slices.Compact(ids))
		}
	}
}

// writeRows writes rows case by case: what follows from a case is made anew once for all its rows.
func (s *Service) writeRows(ctx context.Context, tx Tx, actor Actor, intake *Intake, rows []IntakeRow, whole bool) error {
	var order []string
	ofCase := map[string][]*IntakeRow{}
	for i := range rows {
		id := rows[i].CaseID
		if ofCase[id] == nil {
			order = append(order, id)
		}
		ofCase[id] = append(ofCase[id], &rows[i])
		intake.Counts[rows[i].Verdict]--
		intake.Cursor = rows[i].Number
	}
	by, err := s.judgedBy(ctx, tx, *intake)
	if err != nil {
		return err
	}
	together, err := newBatch(ctx, tx, order)
	if err != nil {
		return err
	}
	for _, id := range order {
		err := s.writeCase(ctx, together, actor, *intake, by, id, ofCase[id])
		var refusal *Error
		if errors.As(err, &refusal) && (refusal.Code == CodeNotFound || refusal.Code == CodeForbidden) {
			for _, row := range ofCase[id] {
				row.Verdict, row.Judgement = VerdictRefused, Judgement{CaseID: id, Field: "pseudonym", Message: refusal.Message}
			}
		} else if err != nil {
			return err
		}
	}
	for _, row := range rows {
		if whole && row.Verdict == VerdictRefused {
			return Refuse(CodeTaken, "Nothing was written: the record changed since the check, and row %d cannot be written any more. Check again.", row.Number)
		}
		intake.Counts[row.Verdict]++
		if row.Written {
			intake.Written++
		}
	}
	intake.Done += len(rows)
	if err := together.flush(ctx, s, actor); err != nil {
		return err
	}
	return tx.PutIntakeRows(ctx, intake.ID, rows)
}

// writeCase judges rows about one case again, on the locked case, and writes what they say. A refusal comes before the
// first is written.
func (s *Service) writeCase(ctx context.Context, tx Tx, actor Actor, intake Intake, by judging, caseID string, rows []*IntakeRow) error {
	return s.changeIn(ctx, tx, actor, caseID, OutcomeEdit, func(w *work) error {
		for _, row := range rows {
			visits, err := tx.Visits(ctx, w.ID)
			if err != nil {
				return err
			}
			if err := s.writeRow(ctx, w, intake, by, row, placedOf(w.seen, visits)); err != nil {
				return err
			}
		}
		return nil
	})
}

func (s *Service) writeRow(ctx context.Context, w *work, intake Intake, by judging, row *IntakeRow, c placed) error {
	read, fault := intake.read(*row)
	if fault != nil {
		return fmt.Errorf("row %d was accepted and cannot be read: %w", row.Number, fault)
	}
	if _, verdict, judgement := read.pick([]placed{c}); verdict != "" {
		judgement.CaseID = w.ID
		row.Verdict, row.Judgement = VerdictRefused, judgement
		return nil
	}
	var found finding
	row.Verdict, row.Judgement, found = by.judge(read, c)
	if !row.Verdict.writes() {
		return nil
	}
	var err error
	if found.before != nil {
		changed := w.Case
		changed.Before = *found.before
		_, err = w.put(ctx, changed)
	} else {
		if row.Verdict == VerdictNew {
			found.visit.ID = s.newID()
		}
		_, err = w.putVisit(ctx, found.visit)
	}
	if err != nil {
		return fmt.Errorf("write row %d: %w", row.Number, err)
	}
	row.Written = true
	return nil
}

// CancelIntake ends an import. What was written stays; the rest of the file is forgotten unless something was.
func (s *Service) CancelIntake(ctx context.Context, actor Actor, id string) (Intake, error) {
	return s.changeIntake(ctx, actor, id, func(tx Tx, intake *Intake) error {
		if intake.State == IntakeApplied || intake.State == IntakeCancelled {
			return nil
		}
		intake.State = IntakeCancelled
		if intake.Written == 0 {
			if err := tx.ForgetIntakeRows(ctx, id); err != nil {
				return err
			}
		}
		return s.record(ctx, tx, actor, AuditEntry{Action: "intake.cancel", ThingID: id, Detail: jsonText(map[string]any{"written": intake.Written})})
	})
}
