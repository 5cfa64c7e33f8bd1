package annotate

import (
	"context"
	"slices"
	"strings"

	"zonule/timeline/cohort"
)

// batch is a transaction for changes to many cases: what a change to a case reads is read for all of them at once, and
// what it writes is kept back and written together by flush. So a row of a file costs a few statements of a hundredth of
// it rather than a dozen of its own. What is asked beyond the methods below goes to the transaction as ever; the
// methods cover the tables of which something is kept back.
type batch struct {
	Tx
	cases         map[string]Case
	visits        map[string][]Visit
	parts         map[string][]Part
	complications map[string][]Complication
	readings      map[string][]Reading
	reports       map[string][]SignedReport
	users         map[string]Account
	lists         map[StepListRef]StepList
	unit          *Unit

	keptVisits []Visit
	touched    []string
	touchedAt  int64
	facts      []CaseFacts
	rows       []cohort.Row
	entries    []AuditEntry
}

// newBatch holds the cases and reads what belongs to them.
func newBatch(ctx context.Context, tx Tx, ids []string) (*batch, error) {
	ids = slices.Sorted(slices.Values(ids))
	if err := tx.LockCases(ctx, ids); err != nil {
		return nil, err
	}
	b := &batch{Tx: tx, users: map[string]Account{}, lists: map[StepListRef]StepList{}}
	var err error
	if b.cases, err = tx.Cases(ctx, ids); err != nil {
		return nil, err
	}
	if b.visits, err = tx.VisitsOf(ctx, ids); err != nil {
		return nil, err
	}
	if b.parts, err = tx.PartsOf(ctx, ids); err != nil {
		return nil, err
	}
	if b.complications, err = tx.ComplicationsOf(ctx, ids); err != nil {
		return nil, err
	}
	if b.readings, err = tx.ReadingsOf(ctx, ids); err != nil {
		return nil, err
	}
	b.reports, err = tx.ReportsOf(ctx, ids)
	return b, err
}

// flush writes what was kept back. The audit log comes last, because additions to it wait for each other.
func (b *batch) flush(ctx context.Context, s *Service, actor Actor) error {
	if err := b.Tx.PutVisits(ctx, b.keptVisits); err != nil {
		return err
	}
	if err := b.Tx.TouchCases(ctx, b.touched, b.touchedAt); err != nil {
		return err
	}
	if err := b.Tx.PutCaseFacts(ctx, b.facts...); err != nil {
		return err
	}
	if err := b.Tx.PutCaseRows(ctx, rowForm, b.rows...); err != nil {
		return err
	}
	if len(b.entries) == 0 {
		return nil
	}
	return s.record(ctx, b.Tx, actor, b.entries...)
}

func (b *batch) Case(_ context.Context, id string) (Case, error) {
	c, known := b.cases[id]
	if !known {
		return Case{}, ErrNoRow
	}
	return c, nil
}

// LockCase reads a case; newBatch has locked it.
func (b *batch) LockCase(ctx context.Context, id string) (Case, error) { return b.Case(ctx, id) }

func (b *batch) UpdateCase(ctx context.Context, c Case) error {
	b.cases[c.ID] = c
	return b.Tx.UpdateCase(ctx, c)
}

// TouchCase keeps back that a case changed once. A case that was itself updated has the new count already.
func (b *batch) TouchCase(ctx context.Context, id string, change, at int64) error {
	c := b.cases[id]
	if c.Change == change {
		return b.Tx.TouchCase(ctx, id, change, at)
	}
	c.Change, c.UpdatedAt = change, at
	b.cases[id], b.touchedAt = c, at
	b.touched = append(b.touched, id)
	return nil
}

func (b *batch) Parts(_ context.Context, caseID string) ([]Part, error) { return b.parts[caseID], nil }

func (b *batch) Complications(_ context.Context, caseID string) ([]Complication, error) {
	return b.complications[caseID], nil
}

func (b *batch) Readings(_ context.Context, caseID string) ([]Reading, error) {
	return b.readings[caseID], nil
}

func (b *batch) Reports(_ context.Context, caseID string) ([]SignedReport, error) {
	return b.reports[caseID], nil
}

func (b *batch) Visits(_ context.Context, caseID string) ([]Visit, error) {
	return slices.Clone(b.visits[caseID]), nil
}

func (b *batch) Visit(_ context.Context, id string) (Visit, error) {
	for _, visits := range b.visits {
		if at := slices.IndexFunc(visits, func(v Visit) bool { return v.ID == id }); at >= 0 {
			return visits[at], nil
		}
	}
	return Visit{}, ErrNoRow
}

func (b *batch) InsertVisit(_ context.Context, visit Visit) error {
	b.keep(visit, append(slices.Clone(b.visits[visit.CaseID]), visit))
	return nil
}

func (b *batch) UpdateVisit(_ context.Context, visit Visit) error {
	visits := slices.Clone(b.visits[visit.CaseID])
	at := slices.IndexFunc(visits, func(v Visit) bool { return v.ID == visit.ID })
	if at < 0 {
		return ErrNotOne
	}
	visits[at] = visit
	b.keep(visit, visits)
	return nil
}

// keep puts the visits of a case into their order and one of them among those to be written, once.
func (b *batch) keep(visit Visit, visits []Visit) {
	slices.SortFunc(visits, func(x, y Visit) int { return strings.Compare(x.Date+" "+x.ID, y.Date+" "+y.ID) })
	b.visits[visit.CaseID] = visits
	b.keptVisits = append(slices.DeleteFunc(b.keptVisits, func(v Visit) bool { return v.ID == visit.ID }), visit)
}

func (b *batch) PutCaseFacts(_ context.Context, facts ...CaseFacts) error {
	b.facts = append(b.facts, facts...)
	return nil
}

func (b *batch) PutCaseRows(_ context.Context, _ int, rows ...cohort.Row) error {
	b.rows = append(b.rows, rows...)
	return nil
}

// LastAudit and InsertAudit keep entries back; flush gives them their places in the chain.
func (b *batch) LastAudit(context.Context) (AuditEntry, error) { return AuditEntry{}, nil }

func (b *batch) InsertAudit(_ context.Context, entries ...AuditEntry) error {
	b.entries = append(b.entries, entries...)
	return nil
}

// Unit, StepList and User are asked for again and again.
func (b *batch) Unit(ctx context.Context) (Unit, error) {
	if b.unit == nil {
		unit, err := b.Tx.Unit(ctx)
		if err != nil {
			return Unit{}, err
		}
		b.unit = &unit
	}
	return *b.unit, nil
}

func (b *batch) StepList(ctx context.Context, ref StepListRef) (StepList, error) {
	return remembered(b.lists, ref, func() (StepList, error) { return b.Tx.StepList(ctx, ref) })
}

func (b *batch) User(ctx context.Context, id string) (Account, error) {
	return remembered(b.users, id, func() (Account, error) { return b.Tx.User(ctx, id) })
}

// remembered gives what is known under the key, and asks once.
func remembered[K comparable, V any](known map[K]V, key K, ask func() (V, error)) (V, error) {
	if value, there := known[key]; there {
		return value, nil
	}
	value, err := ask()
	if err == nil {
		known[key] = value
	}
	return value, err
}
