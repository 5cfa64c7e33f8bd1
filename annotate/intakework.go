package annotate

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"
)

// intakeChecked rows are checked in one step.
const intakeChecked = 2000

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

// judgedBy gives what rows of the import are judged by.
func (s *Service) judgedBy(ctx context.Context, tx Tx, intake Intake) (judging, error) {
	unit, err := unitOf(ctx, tx)
	return judging{IntakeMatching: intake.Matching, plans: unit.Windows, today: s.today()}, err
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
	cases, err := placedCases(ctx, tx, actor, names)
	if err != nil {
		return err
	}
	by, err := s.judgedBy(ctx, tx, intake)
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
		var found finding
		row.Verdict, row.Judgement, found = by.judge(read[i], c)
		if row.Verdict != VerdictRefused {
			row.Identity = found.identity(c.ID)
		}
	}
	return refuseRepeated(ctx, tx, intake, rows)
}

// read reads a row of the file. In CSV a row of another length than the header has slipped somewhere.
func (i Intake) read(row IntakeRow) (named, *unread) {
	if n, want := len(row.Cells), len(i.Columns); n > want || n < want && i.File.Kind == "csv" {
		return named{}, &unread{"", fmt.Sprintf("has %d cells and the header has %d", n, want)}
	}
	return i.Matching.readRow(row.Cells)
}

// refuseRepeated refuses rows about a visit that an earlier row of the file is about. Rows beyond the cursor may hold what
// an earlier check, with the columns matched otherwise, made of them.
func refuseRepeated(ctx context.Context, tx Tx, intake Intake, rows []IntakeRow) error {
	var identities []string
	for _, row := range rows {
		if row.Identity != "" {
			identities = append(identities, row.Identity)
		}
	}
	slices.Sort(identities)
	first, err := tx.IntakeIdentities(ctx, intake.ID, intake.Cursor, slices.Compact(identities))
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
func placedCases(ctx context.Context, tx Tx, actor Actor, pseudonyms map[string]bool) (map[string][]placed, error) {
	ids, err := tx.CasesNamed(ctx, slices.Sorted(maps.Keys(pseudonyms)))
	if err != nil {
		return nil, err
	}
	cases, err := tx.Cases(ctx, ids)
	if err != nil {
		return nil, err
	}
	visits, err := tx.VisitsOf(ctx, ids)
	if err != nil {
		return nil, err
	}
	named := map[string][]placed{}
	for _, id := range ids {
		found, err := see(actor, cases[id], nil, CaseView)
		if CodeOf(err) == CodeNotFound {
			continue
		}
		if err != nil {
			return nil, err
		}
		key := strings.ToLower(found.Pseudonym)
		named[key] = append(named[key], placedOf(found, visits[id]))
	}
	return named, nil
}

func placedOf(c seen, visits []Visit) placed {
	p := placed{Case: c.Case, visits: visits}
	if !c.can(OutcomeEdit) {
		p.refusal = forbidden(OutcomeEdit)
	}
	if !c.can(CaseEdit) {
		p.fixed = forbidden(CaseEdit)
	}
	return p
}
