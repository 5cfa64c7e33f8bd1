package annotate

import (
	"context"
	"errors"
	"io"
	"slices"
	"strings"
	"time"
)

const (
	// intakeKept is how long an import and the rows of its file are kept.
	intakeKept = 30 * 24 * time.Hour
	// intakeStaged rows are stored at once.
	intakeStaged = 1000
)

// StartIntake keeps the rows of a file, of which the first is the header, and matches its columns: as the person last
// did for the same header, else as somebody in the unit did, else by the names of the columns. next gives io.EOF at the
// end. Nothing of the record changes.
func (s *Service) StartIntake(ctx context.Context, actor Actor, file IntakeFile, next func() (IntakeRow, error)) (Intake, error) {
	if err := mayManage(actor, IntakeUse); err != nil {
		return Intake{}, err
	}
	var p problems
	p.text("name", file.Name, 1, 200)
	if err := p.err("The file"); err != nil {
		return Intake{}, err
	}
	header, err := next()
	if errors.Is(err, io.EOF) {
		return Intake{}, Refuse(CodeInvalid, "The file holds no rows; nothing was read.")
	}
	if err != nil {
		return Intake{}, err
	}
	if file.Sheets == nil {
		file.Sheets = []string{}
	}
	intake := Intake{ID: s.newID(), OwnerID: actor.ID, File: file, Columns: header.Cells, MadeAt: s.nowMs()}
	err = s.store.Write(ctx, func(tx Tx) error {
		if err := tx.ForgetIntakes(ctx, s.now().Add(-intakeKept).UnixMilli()); err != nil {
			return err
		}
		if err := intake.match(ctx, tx, actor); err != nil {
			return err
		}
		if err := tx.PutIntake(ctx, intake); err != nil {
			return err
		}
		if err := intake.stage(ctx, tx, next); err != nil {
			return err
		}
		if intake.Rows == 0 {
			return Refuse(CodeInvalid, "The file holds a header and no rows; nothing was read.")
		}
		if err := tx.PutIntake(ctx, intake); err != nil {
			return err
		}
		return s.record(ctx, tx, actor, AuditEntry{Action: "intake.begin", ThingID: intake.ID, Detail: jsonText(map[string]any{"file": file.Hash, "rows": intake.Rows})})
	})
	if err != nil {
		return Intake{}, err
	}
	return intake, nil
}

func (i *Intake) stage(ctx context.Context, tx Tx, next func() (IntakeRow, error)) error {
	var batch []IntakeRow
	for {
		row, err := next()
		if err != nil && !errors.Is(err, io.EOF) {
			return err
		}
		if err == nil {
			batch = append(batch, row)
			i.Rows++
			if row.Hidden {
				i.Hidden++
			}
		}
		if len(batch) == intakeStaged || err != nil && len(batch) > 0 {
			if err := tx.PutIntakeRows(ctx, i.ID, batch); err != nil {
				return err
			}
			batch = batch[:0]
		}
		if err != nil {
			return nil
		}
	}
}

// columnsKey names a set of columns, whatever their order.
func (i Intake) columnsKey() string {
	names := make([]string, len(i.Columns))
	for at, column := range i.Columns {
		names[at] = strings.ToLower(column)
	}
	slices.Sort(names)
	return hashOf(names)
}

func (i *Intake) match(ctx context.Context, tx Tx, actor Actor) error {
	i.begin(matchColumns(i.Columns, i.File.Kind))
	for _, person := range []string{actor.ID, ""} {
		kept, err := tx.IntakeMatching(ctx, person, i.columnsKey())
		if errors.Is(err, ErrNoRow) {
			continue
		}
		if err != nil {
			return err
		}
		i.Remembered = true
		i.begin(kept.of(i.Columns))
		return nil
	}
	return nil
}

// of turns a matching that was kept by column name into one by place; named gives the former.
func (m IntakeMatching) of(columns []string) IntakeMatching {
	fields := map[string]string{}
	for _, line := range m.Fields {
		column, field, _ := strings.Cut(line, "\x1f")
		fields[column] = field
	}
	m.Fields = make([]string, len(columns))
	for i, column := range columns {
		m.Fields[i] = fields[strings.ToLower(column)]
		delete(fields, strings.ToLower(column))
	}
	return m
}

func (m IntakeMatching) named(columns []string) IntakeMatching {
	lines := []string{}
	for i, column := range columns {
		if m.Fields[i] != "" {
			lines = append(lines, strings.ToLower(column)+"\x1f"+m.Fields[i])
		}
	}
	m.Fields = lines
	return m
}

// begin takes a matching: every row is to be checked by it.
func (i *Intake) begin(matching IntakeMatching) {
	i.Matching, i.State, i.Cursor, i.Done, i.Counts = matching, IntakeChecking, 0, 0, map[Verdict]int{}
	if !matching.complete() {
		i.State = IntakeToMatch
	}
}

// Intake gives an import of the actor.
func (s *Service) Intake(ctx context.Context, actor Actor, id string) (Intake, error) {
	if err := mayManage(actor, IntakeUse); err != nil {
		return Intake{}, err
	}
	var intake Intake
	err := s.store.Read(ctx, func(tx Tx) (err error) {
		intake, err = tx.Intake(ctx, id)
		intake, err = found(intake, err, intake.OwnerID == actor.ID, "import")
		return err
	})
	return intake, err
}

// IntakeRows gives at most limit rows after the one with the number; with a verdict, only those that have it.
func (s *Service) IntakeRows(ctx context.Context, actor Actor, id string, after, limit int, verdict Verdict) ([]IntakeRow, error) {
	if _, err := s.Intake(ctx, actor, id); err != nil {
		return nil, err
	}
	var verdicts []Verdict
	if verdict != "" {
		var p problems
		oneOf(&p, "verdict", verdict, true, Verdicts...)
		if err := p.err("The list"); err != nil {
			return nil, err
		}
		verdicts = []Verdict{verdict}
	}
	var rows []IntakeRow
	err := s.store.Read(ctx, func(tx Tx) (err error) {
		rows, err = tx.IntakeRows(ctx, id, after, limit, verdicts...)
		return err
	})
	return rows, err
}

// changeIntake runs fn on an import of the actor, in a transaction that holds off every other change to it.
func (s *Service) changeIntake(ctx context.Context, actor Actor, id string, fn func(tx Tx, intake *Intake) error) (Intake, error) {
	if err := mayManage(actor, IntakeUse); err != nil {
		return Intake{}, err
	}
	var intake Intake
	err := s.store.Write(ctx, func(tx Tx) (err error) {
		intake, err = tx.LockIntake(ctx, id)
		if intake, err = found(intake, err, intake.OwnerID == actor.ID, "import"); err != nil {
			return err
		}
		if err := fn(tx, &intake); err != nil {
			return err
		}
		return tx.PutIntake(ctx, intake)
	})
	if err != nil {
		return Intake{}, err
	}
	return intake, nil
}

// PutIntakeMatching says which column holds what. It is remembered for the person and for the unit, and the check
// begins anew.
func (s *Service) PutIntakeMatching(ctx context.Context, actor Actor, id string, matching IntakeMatching) (Intake, error) {
	return s.changeIntake(ctx, actor, id, func(tx Tx, intake *Intake) error {
		if !slices.Contains([]IntakeState{IntakeToMatch, IntakeChecking, IntakeChecked}, intake.State) {
			return tooLate
		}
		if err := matching.validate(len(intake.Columns)); err != nil {
			return err
		}
		intake.begin(matching)
		for _, person := range []string{actor.ID, ""} {
			if err := tx.PutIntakeMatching(ctx, person, intake.columnsKey(), matching.named(intake.Columns)); err != nil {
				return err
			}
		}
		return nil
	})
}

var tooLate = Refuse(CodeTaken, "This import is under way, done or cancelled; begin a new one with the file.")
