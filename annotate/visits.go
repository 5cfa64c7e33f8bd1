package annotate

import (
	"context"
	"errors"
	"slices"
)

// Visits gives the visits of a case, by date.
func (s *Service) Visits(ctx context.Context, actor Actor, caseID string) ([]Visit, error) {
	var list []Visit
	err := s.onCase(ctx, actor, caseID, CaseView, func(tx Tx, _ seen) (err error) {
		list, err = tx.Visits(ctx, caseID)
		return err
	})
	return list, err
}

func (v Visit) validate(operated, today string) error {
	p := v.check(operated, today)
	return p.err("The visit")
}

// check is validate with what is merely doubtful.
func (v Visit) check(operated, today string) problems {
	var p problems
	p.id("id", v.ID)
	oneOf(&p, "window", v.Window, true, Windows...)
	if p.date("date", v.Date, true) {
		if v.Date < operated {
			p.add("date", "lies before the operation")
		}
		if v.Date > today {
			p.add("date", "lies in the future")
		}
	}
	p.acuity("acuity", v.Acuity)
	p.acuity("uncorrectedAcuity", v.UncorrectedAcuity)
	v.Refraction.validate(&p, "refraction.")
	maybe(&p, "pressure", "visit.pressure", v.Pressure)
	maybe(&p, "oedemaGrade", "visit.oedemaGrade", v.OedemaGrade)
	maybe(&p, "thickness", "visit.thickness", v.Thickness)
	v.Exam.validateAfter(&p, "exam.", operated, today)
	v.FellowExam.validateAfter(&p, "fellowExam.", operated, today)
	p.text("medication", v.Medication, 0, 1000)
	p.text("note", v.Note, 0, 4000)
	return p
}

// PutVisit records a visit (revision 0) or changes it. The same one sent again is answered as it is kept.
func (s *Service) PutVisit(ctx context.Context, actor Actor, visit Visit) (Visit, error) {
	visit.Exam, visit.FellowExam = normalisedExam(visit.Exam), normalisedExam(visit.FellowExam)
	var kept Visit
	err := s.changeCase(ctx, actor, visit.CaseID, OutcomeEdit, func(w *work) (err error) {
		if err := visit.validate(w.Date, s.today()); err != nil {
			return err
		}
		kept, err = w.putVisit(ctx, visit)
		return err
	})
	if err != nil {
		return Visit{}, err
	}
	return kept, nil
}

func (w *work) putVisit(ctx context.Context, visit Visit) (Visit, error) {
	stored, err := w.tx.Visit(ctx, visit.ID)
	switch {
	case errors.Is(err, ErrNoRow) && visit.Revision == 0:
		visit.Revision = 1
		w.note("visit.add", visit.ID, Differences(nil, visit))
		return visit, w.tx.InsertVisit(ctx, visit)
	case errors.Is(err, ErrNoRow):
		return Visit{}, notFound("visit")
	case err != nil:
		return Visit{}, err
	case stored.CaseID != w.ID:
		return Visit{}, Refuse(CodeTaken, "The id of the new visit is in use; make another.")
	}
	differences := Differences(stored, visit)
	if len(differences) == 0 {
		return stored, nil
	}
	if visit.Revision != stored.Revision {
		return Visit{}, stale("The visit", visit, stored)
	}
	visit.Revision++
	w.note("visit.change", visit.ID, differences)
	return visit, w.tx.UpdateVisit(ctx, visit)
}

// RemoveVisit takes a visit off the record; the audit log keeps it.
func (s *Service) RemoveVisit(ctx context.Context, actor Actor, caseID, id string, revision int64) error {
	return s.changeCase(ctx, actor, caseID, OutcomeEdit, func(w *work) error {
		stored, err := w.tx.Visit(ctx, id)
		if stored, err = found(stored, err, stored.CaseID == caseID, "visit"); err != nil {
			return err
		}
		if stored.Revision != revision {
			return stale("The visit", nil, stored)
		}
		if err := w.unfound(ctx, id); err != nil {
			return err
		}
		w.note("visit.remove", id, Differences(stored, nil))
		return w.tx.DeleteVisit(ctx, id)
	})
}

// unfound refuses to remove a visit at which a complication was found.
func (w *work) unfound(ctx context.Context, visitID string) error {
	complications, err := w.tx.Complications(ctx, w.ID)
	if err != nil {
		return err
	}
	var p problems
	if slices.ContainsFunc(complications, func(c Complication) bool { return c.VisitID == visitID }) {
		p.add("id", "is the visit at which a complication was found; change the complication first")
	}
	return p.err("The visit")
}
