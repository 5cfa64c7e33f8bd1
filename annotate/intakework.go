package annotate

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
)

const (
	// intakeChecked rows are checked in one step, intakeWritten are written in one transaction.
	intakeChecked = 2000
	intakeWritten = 500
)

// CheckIntake checks the next batch of rows against the record as it stands and writes nothing to it: a dry run. It is
// called until the state is IntakeChecked; who stops calling has cancelled nothing and may go on at any server.
func (s *Service) CheckIntake(ctx context.Context, actor Actor, id string) (Intake, error) {
	return s.changeIntake(ctx, actor, id, func(tx Tx, intake *Intake) error {
		switch intake.State {
		case IntakeChecked:
			return nil
		case IntakeToMatch:
			return Refuse(CodeInvalid, "Say first which columns hold the pseudonym, the eye and the date of the visit.")
		case IntakeChecking:
		default:
			return tooLate
		}
		rows, err := tx.IntakeRows(ctx, id, intake.Cursor, intakeChecked)
		if err != nil {
			return err
		}
		if err := s.judgeRows(ctx, tx, actor, *intake, rows); err != nil {
			return err
		}
		if err := tx.PutIntakeRows(ctx, id, rows); err != nil {
			return err
		}
		intake.count(rows)
		if len(rows) < intakeChecked {
			intake.State = IntakeChecked
		}
		return nil
	})
}

func (i *Intake) count(rows []IntakeRow) {
	for _, row := range rows {
		i.Counts[row.Verdict]++
		i.Cursor = row.Number
	}
	i.Done += len(rows)
}

// judgeRows gives every row its verdict.
func (s *Service) judgeRows(ctx context.Context, tx Tx, actor Actor, intake Intake, rows []IntakeRow) error {
	read, faults := make([]named, len(rows)), make([]*unread, len(rows))
	names := map[string]bool{}
	for i, row := range rows {
		if read[i], faults[i] = intake.read(row); faults[i] == nil {
			names[strings.ToLower(read[i].pseudonym)] = true
		}
	}
	cases, err := s.placedCases(ctx, tx, actor, names)
	if err != nil {
		return err
	}
	for i := range rows {
		row := &rows[i]
		row.Judgement, row.Identity, row.Written = Judgement{}, "", false
		if faults[i] != nil {
			row.Verdict, row.Judgement = VerdictRefused, Judgement{Field: faults[i].field, Message: faults[i].message}
			continue
		}
		c, verdict, judgement := read[i].pick(cases[strings.ToLower(read[i].pseudonym)])
		if verdict != "" {
			row.Verdict, row.Judgement = verdict, judgement
			continue
		}
		var visit Visit
		row.Verdict, row.Judgement, visit = intake.Matching.judge(read[i], c, s.today())
		if row.Verdict != VerdictRefused {
			row.Identity = identity(c.ID, visit)
		}
	}
	return refuseRepeated(ctx, tx, intake.ID, rows)
}

// read reads a row of the file. In CSV a row of another length than the header has slipped somewhere.
func (i Intake) read(row IntakeRow) (named, *unread) {
	if n, want := len(row.Cells), len(i.Columns); n > want || n < want && i.File.Kind == "csv" {
		return named{}, &unread{"", fmt.Sprintf("has %d cells and the header has %d", n, want)}
	}
	return i.Matching.readRow(row.Cells)
}

// refuseRepeated refuses rows about a visit that an earlier row of the file is about.
func refuseRepeated(ctx context.Context, tx Tx, id string, rows []IntakeRow) error {
	var identities []string
	for _, row := range rows {
		if row.Identity != "" {
			identities = append(identities, row.Identity)
		}
	}
	slices.Sort(identities)
	first, err := tx.IntakeIdentities(ctx, id, slices.Compact(identities))
	if err != nil {
		return err
	}
	for i := range rows {
		row := &rows[i]
		if row.Identity == "" {
			continue
		}
		if number, known := first[row.Identity]; known && number < row.Number {
			row.Verdict, row.Identity = VerdictRefused, ""
			row.Judgement = Judgement{CaseID: row.CaseID, Field: "date", Message: fmt.Sprintf("is the same visit as in row %d", number)}
			continue
		}
		first[row.Identity] = row.Number
	}
	return nil
}

// placedCases gives the cases that the actor may see among those named, by pseudonym in lower case.
func (s *Service) placedCases(ctx context.Context, tx Tx, actor Actor, pseudonyms map[string]bool) (map[string][]placed, error) {
	asked := make([]string, 0, len(pseudonyms))
	for name := range pseudonyms {
		asked = append(asked, name)
	}
	slices.Sort(asked)
	names, err := tx.CasesNamed(ctx, asked)
	if err != nil {
		return nil, err
	}
	cases := map[string][]placed{}
	for _, name := range names {
		c, err := tx.Case(ctx, name.ID)
		found, err := see(actor, c, err, CaseView)
		if CodeOf(err) == CodeNotFound {
			continue
		}
		if err != nil {
			return nil, err
		}
		p := placed{Case: found.Case}
		if !found.can(OutcomeEdit) {
			p.refusal = forbidden(OutcomeEdit)
		}
		if p.visits, err = tx.Visits(ctx, name.ID); err != nil {
			return nil, err
		}
		key := strings.ToLower(name.Pseudonym)
		cases[key] = append(cases[key], p)
	}
	return cases, nil
}

// ApplyIntake writes accepted rows. With whole, all rows are written in one transaction, or none if one cannot be.
// Without, the next batch is, and rows that cannot be written any more are told; it is called until the state is
// IntakeApplied, and goes on where it stopped, at any server. Each row is judged again on the record as it stands then.
func (s *Service) ApplyIntake(ctx context.Context, actor Actor, id string, whole bool) (Intake, error) {
	return s.changeIntake(ctx, actor, id, func(tx Tx, intake *Intake) error {
		switch intake.State {
		case IntakeApplied:
			return nil
		case IntakeChecked:
			if faulty := intake.Rows - intake.Counts[VerdictNew] - intake.Counts[VerdictChanges] - intake.Counts[VerdictSame]; whole && faulty > 0 {
				return Refuse(CodeInvalid, "Nothing was written: %d rows cannot be. Correct them in the file, or import the accepted rows only.", faulty)
			}
			intake.State, intake.Cursor, intake.Done = IntakeApplying, 0, intake.Rows-intake.Counts[VerdictNew]-intake.Counts[VerdictChanges]
		case IntakeApplying:
		default:
			return Refuse(CodeInvalid, "The rows are not checked yet; nothing was written.")
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
	for _, id := range order {
		err := s.writeCase(ctx, tx, actor, *intake, id, ofCase[id])
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
	return tx.PutIntakeRows(ctx, intake.ID, rows)
}

// writeCase judges rows about one case again, on the locked case, and writes their visits. A refusal comes before the
// first is written.
func (s *Service) writeCase(ctx context.Context, tx Tx, actor Actor, intake Intake, caseID string, rows []*IntakeRow) error {
	return s.changeIn(ctx, tx, actor, caseID, OutcomeEdit, func(w *work) error {
		for _, row := range rows {
			visits, err := tx.Visits(ctx, w.ID)
			if err != nil {
				return err
			}
			if err := s.writeRow(ctx, w, intake, row, placed{Case: w.Case, visits: visits}); err != nil {
				return err
			}
		}
		return nil
	})
}

func (s *Service) writeRow(ctx context.Context, w *work, intake Intake, row *IntakeRow, c placed) error {
	read, fault := intake.read(*row)
	if fault != nil {
		return fmt.Errorf("row %d was accepted and cannot be read: %w", row.Number, fault)
	}
	if _, verdict, judgement := read.pick([]placed{c}); verdict != "" {
		judgement.CaseID = w.ID
		row.Verdict, row.Judgement = VerdictRefused, judgement
		return nil
	}
	var visit Visit
	row.Verdict, row.Judgement, visit = intake.Matching.judge(read, c, s.today())
	if !row.Verdict.writes() {
		return nil
	}
	if row.Verdict == VerdictNew {
		visit.ID = s.newID()
	}
	if _, err := w.putVisit(ctx, visit); err != nil {
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
