package annotate

import (
	"context"
	"errors"
	"slices"
	"strings"
)

// shippedForms are the forms that the program carries: plain examples of our own.
var shippedForms = []AssessmentForm{mustRead[AssessmentForm]("forms/plain.json")}

// EnsureAssessmentForms stores the shipped forms that are not there yet.
func (s *Service) EnsureAssessmentForms(ctx context.Context) error {
	return s.store.Write(ctx, func(tx Tx) error {
		for _, form := range shippedForms {
			_, err := tx.AssessmentForm(ctx, form.ref())
			if err == nil {
				continue
			}
			if !errors.Is(err, ErrNoRow) {
				return err
			}
			form.CreatedAt = s.nowMs()
			// Another server may be storing it at the same moment.
			if err := tx.InsertAssessmentForm(ctx, form); err != nil && !errors.Is(err, ErrDuplicate) {
				return err
			}
		}
		return nil
	})
}

// AssessmentForms gives every version of every form, by name and version: old ones are needed to read what was judged
// with them. The newest of a form that is not retired is offered.
func (s *Service) AssessmentForms(ctx context.Context, actor Actor) ([]AssessmentForm, error) {
	if err := present(actor); err != nil {
		return nil, err
	}
	forms := []AssessmentForm{}
	err := s.store.Read(ctx, func(tx Tx) (err error) {
		forms, err = tx.AssessmentForms(ctx)
		return err
	})
	slices.SortStableFunc(forms, func(a, b AssessmentForm) int { return strings.Compare(a.Name+"\x00"+a.ID, b.Name+"\x00"+b.ID) })
	return forms, err
}

// PutAssessmentForm stores the form as a new version: version 1 of a new id, or the next version of one that is there. For
// a change the version sent is the one that it is based on.
func (s *Service) PutAssessmentForm(ctx context.Context, actor Actor, form AssessmentForm) (AssessmentForm, error) {
	if err := mayManage(actor, AssessmentFormEdit); err != nil {
		return AssessmentForm{}, err
	}
	if err := form.validate(); err != nil {
		return AssessmentForm{}, err
	}
	err := s.store.Write(ctx, func(tx Tx) error {
		forms, err := tx.AssessmentForms(ctx)
		if err != nil {
			return err
		}
		var newest AssessmentForm
		for _, stored := range forms {
			if stored.ID == form.ID {
				newest = stored
			}
		}
		if newest.Version > 0 && newest.Version != form.Version {
			return stale("The form", form, newest)
		}
		if newest.Shipped {
			var p problems
			p.add("id", "belongs to a shipped form; copy it under another id and change the copy")
			return p.err("The form")
		}
		form.Shipped, form.CreatedAt = false, newest.CreatedAt
		differences := Differences(newest, form)
		if newest.Version > 0 && len(differences) == 0 {
			form = newest
			return nil
		}
		form.Version, form.CreatedAt = newest.Version+1, s.nowMs()
		if err := tx.InsertAssessmentForm(ctx, form); err != nil {
			if errors.Is(err, ErrDuplicate) {
				return stale("The form", form, newest)
			}
			return err
		}
		return s.record(ctx, tx, actor, AuditEntry{Action: "assessment-form.change", ThingID: form.ID, Detail: detail(differences)})
	})
	if err != nil {
		return AssessmentForm{}, err
	}
	return form, nil
}

// seesAssessment: the two that it is between see it, and whoever supervises the case.
func (c seen) seesAssessment(a Assessment) bool {
	return c.can(AssessmentView) && (a.SubjectID == c.actor.ID || a.AssessorID == c.actor.ID || c.relation == RelationSupervisor)
}

// Assessments gives those of a case that the actor sees, oldest first.
func (s *Service) Assessments(ctx context.Context, actor Actor, caseID string) ([]Assessment, error) {
	list := []Assessment{}
	err := s.onCase(ctx, actor, caseID, AssessmentView, func(tx Tx, c seen) error {
		all, err := tx.Assessments(ctx, caseID)
		for _, a := range all {
			if c.seesAssessment(a) {
				list = append(list, a)
			}
		}
		return err
	})
	return list, err
}

// PutAssessment records a judgement (revision 0) or changes it; only its author may. The supervisor judges whoever
// operated or assisted; those judge themselves.
func (s *Service) PutAssessment(ctx context.Context, actor Actor, a Assessment) (Assessment, error) {
	var kept Assessment
	err := s.changeCase(ctx, actor, a.CaseID, CaseAssess, func(w *work) (err error) {
		kept, err = w.putAssessment(ctx, a)
		return err
	})
	if err != nil {
		return Assessment{}, err
	}
	return kept, nil
}

func (w *work) putAssessment(ctx context.Context, a Assessment) (Assessment, error) {
	form, err := w.tx.AssessmentForm(ctx, a.Form)
	if errors.Is(err, ErrNoRow) {
		var p problems
		p.add("form", "is not a form of this unit")
		return Assessment{}, p.err("The assessment")
	}
	if err != nil {
		return Assessment{}, err
	}
	if err := a.validate(form); err != nil {
		return Assessment{}, err
	}
	if err := w.mayAssess(a.SubjectID); err != nil {
		return Assessment{}, err
	}
	stored, err := w.tx.Assessment(ctx, a.ID)
	switch {
	case errors.Is(err, ErrNoRow) && a.Revision == 0:
		a.Revision, a.AssessorID, a.MadeAt, a.UpdatedAt = 1, w.actor.ID, w.now, w.now
		w.note("assessment.add", a.ID, Differences(nil, a))
		return a, w.tx.InsertAssessment(ctx, a)
	case errors.Is(err, ErrNoRow):
		return Assessment{}, notFound("assessment")
	case err != nil:
		return Assessment{}, err
	case stored.CaseID != w.ID:
		return Assessment{}, Refuse(CodeTaken, "The id of the new assessment is in use; make another.")
	case stored.AssessorID != w.actor.ID:
		return Assessment{}, Refuse(CodeForbidden, "Only its author may change an assessment.")
	}
	a.AssessorID, a.MadeAt, a.UpdatedAt, a.SubjectID = stored.AssessorID, stored.MadeAt, stored.UpdatedAt, stored.SubjectID
	differences := Differences(stored, a)
	if len(differences) == 0 {
		return stored, nil
	}
	if a.Revision != stored.Revision {
		return Assessment{}, stale("The assessment", a, stored)
	}
	a.Revision, a.UpdatedAt = a.Revision+1, w.now
	w.note("assessment.change", a.ID, differences)
	return a, w.tx.UpdateAssessment(ctx, a)
}

// mayAssess refuses a judgement of somebody who did not work in the case, and of others by anybody but the supervisor.
func (w *work) mayAssess(subject string) error {
	at := slices.IndexFunc(w.Operators, func(o Operator) bool { return o.UserID == subject })
	if at < 0 {
		var p problems
		p.add("subjectId", "did not take part in this case")
		return p.err("The assessment")
	}
	if subject != w.actor.ID && w.relation != RelationSupervisor {
		return Refuse(CodeForbidden, "Only the supervisor of the case may judge somebody else; you may judge yourself.")
	}
	return nil
}
