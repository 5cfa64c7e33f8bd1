package annotate

import (
	"context"
	"errors"
)

// Complications gives the complications of a case, by id. Who does not see the recording is not told the instant.
func (s *Service) Complications(ctx context.Context, actor Actor, caseID string) ([]Complication, error) {
	var list []Complication
	err := s.onCase(ctx, actor, caseID, CaseView, func(tx Tx, c seen) (err error) {
		list, err = tx.Complications(ctx, caseID)
		for i := range list {
			if !c.can(RecordingView) {
				list[i].At = nil
			}
		}
		return err
	})
	return list, err
}

// phase tells when kinds of complications happen.
const (
	phaseDuring = "intraoperative"
	phaseAfter  = "postoperative"
)

func (c Complication) validate(operated, today string) error {
	var p problems
	p.id("id", c.ID)
	kind, known := kindNamed(c.Kind)
	if !known {
		p.add("kind", "is not a known complication")
	}
	p.number("severity", "complication.severity", float64(c.Severity))
	p.text("action", c.Action, 0, 1000)
	p.text("note", c.Note, 0, 4000)
	on, resolved := p.date("onDate", c.OnDate, kind.Phase == phaseAfter), p.date("resolvedOn", c.ResolvedOn, false)
	switch kind.Phase {
	case phaseDuring:
		if c.VisitID != "" {
			p.add("visitId", "belongs to complications after the operation")
		}
		if on && c.OnDate != operated {
			p.add("onDate", "differs from the date of the operation, during which this kind happens")
		}
	case phaseAfter:
		if c.At != nil {
			p.add("at", "belongs to complications during the operation; give the date")
		}
		if on && c.OnDate < operated {
			p.add("onDate", "lies before the operation")
		}
	}
	if on && c.OnDate > today {
		p.add("onDate", "lies in the future")
	}
	if resolved && (c.ResolvedOn < operated || on && c.ResolvedOn < c.OnDate) {
		p.add("resolvedOn", "lies before the complication")
	}
	if resolved && c.ResolvedOn > today {
		p.add("resolvedOn", "lies in the future")
	}
	return p.err("The complication")
}

// mayRecord refuses clinic staff what happened during the operation.
func (c seen) mayRecord(kind string) error {
	if known, ok := kindNamed(kind); ok && known.Phase == phaseDuring && !c.can(RecordingView) {
		return Refuse(CodeForbidden, "Only the operators and the supervisor may record what happened during the operation.")
	}
	return nil
}

// PutComplication records a complication (revision 0) or changes it. The same one sent again is answered as it is kept.
func (s *Service) PutComplication(ctx context.Context, actor Actor, complication Complication) (Complication, error) {
	var kept Complication
	err := s.changeCase(ctx, actor, complication.CaseID, OutcomeEdit, func(w *work) (err error) {
		if err := w.mayRecord(complication.Kind); err != nil {
			return err
		}
		if err := complication.validate(w.Date, s.today()); err != nil {
			return err
		}
		kept, err = w.putComplication(ctx, complication)
		return err
	})
	if err != nil {
		return Complication{}, err
	}
	return kept, nil
}

func (w *work) putComplication(ctx context.Context, complication Complication) (Complication, error) {
	if err := w.onPart(ctx, complication); err != nil {
		return Complication{}, err
	}
	if err := w.atVisit(ctx, complication); err != nil {
		return Complication{}, err
	}
	stored, err := w.tx.Complication(ctx, complication.ID)
	switch {
	case errors.Is(err, ErrNoRow) && complication.Revision == 0:
		complication.Revision = 1
		w.note("complication.add", complication.ID, Differences(nil, complication))
		return complication, w.tx.InsertComplication(ctx, complication)
	case errors.Is(err, ErrNoRow):
		return Complication{}, notFound("complication")
	case err != nil:
		return Complication{}, err
	case stored.CaseID != w.ID:
		return Complication{}, Refuse(CodeTaken, "The id of the new complication is in use; make another.")
	}
	if err := w.mayRecord(stored.Kind); err != nil {
		return Complication{}, err
	}
	differences := Differences(stored, complication)
	if len(differences) == 0 {
		return stored, nil
	}
	if complication.Revision != stored.Revision {
		return Complication{}, stale("The complication", complication, stored)
	}
	complication.Revision++
	w.note("complication.change", complication.ID, differences)
	return complication, w.tx.UpdateComplication(ctx, complication)
}

// onPart refuses an instant outside the recording.
func (w *work) onPart(ctx context.Context, complication Complication) error {
	if complication.At == nil {
		return nil
	}
	marking, err := newMarkContext(ctx, w, Reading{}, nil)
	if err != nil {
		return err
	}
	var p problems
	marking.instant(&p, "at", *complication.At)
	return p.err("The complication")
}

// atVisit refuses a visit that is not one of the case.
func (w *work) atVisit(ctx context.Context, complication Complication) error {
	if complication.VisitID == "" {
		return nil
	}
	var p problems
	visit, err := w.tx.Visit(ctx, complication.VisitID)
	switch {
	case errors.Is(err, ErrNoRow), err == nil && visit.CaseID != w.ID:
		p.add("visitId", "is not a visit of this case")
	case err != nil:
		return err
	}
	return p.err("The complication")
}

// RemoveComplication takes a complication off the record; the audit log keeps it.
func (s *Service) RemoveComplication(ctx context.Context, actor Actor, caseID, id string, revision int64) error {
	return s.changeCase(ctx, actor, caseID, OutcomeEdit, func(w *work) error {
		stored, err := w.tx.Complication(ctx, id)
		if stored, err = found(stored, err, stored.CaseID == caseID, "complication"); err != nil {
			return err
		}
		if err := w.mayRecord(stored.Kind); err != nil {
			return err
		}
		if stored.Revision != revision {
			return stale("The complication", nil, stored)
		}
		w.note("complication.remove", id, Differences(stored, nil))
		return w.tx.DeleteComplication(ctx, id)
	})
}
