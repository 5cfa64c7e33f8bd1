package annotate

import (
	"context"
	"errors"
	"slices"
)

// teachingOf adds to the head of a unit's bundle its assessment forms and the goals of everybody. Which comments a person
// has seen is not carried: it is theirs, and worth nothing elsewhere.
func teachingOf(ctx context.Context, tx Tx, head *BundleHead) (err error) {
	if head.AssessmentForms, err = tx.AssessmentForms(ctx); err != nil {
		return err
	}
	for _, account := range head.Users {
		goals, err := tx.Goals(ctx, account.ID)
		if err != nil {
			return err
		}
		head.Goals = append(head.Goals, goals...)
	}
	return nil
}

// formsOf gives the forms with which a case was assessed, each once.
func formsOf(ctx context.Context, tx Tx, assessments []Assessment) ([]AssessmentForm, error) {
	var forms []AssessmentForm
	for _, a := range assessments {
		if slices.ContainsFunc(forms, func(f AssessmentForm) bool { return f.ref() == a.Form }) {
			continue
		}
		form, err := tx.AssessmentForm(ctx, a.Form)
		if err != nil {
			return nil, err
		}
		forms = append(forms, form)
	}
	return forms, nil
}

// takeForms stores the forms that this unit does not have; one that differs from the unit's own is refused.
func (b *bundleReader) takeForms(ctx context.Context) error {
	for _, form := range b.head.AssessmentForms {
		stored, err := b.tx.AssessmentForm(ctx, form.ref())
		if errors.Is(err, ErrNoRow) {
			if err := form.validate(); err != nil {
				return err
			}
			err = b.tx.InsertAssessmentForm(ctx, form)
		} else if err == nil && len(Differences(stored, form)) > 0 {
			return badBundle("its assessment form %s, version %d, is not the one of this unit", form.ID, form.Version)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func (b *bundleReader) takeGoals(ctx context.Context) error {
	for _, goal := range b.head.Goals {
		if err := goal.validate(b.service.today()); err != nil {
			return err
		}
		goal.Revision = max(1, goal.Revision)
		if err := b.tx.InsertGoal(ctx, goal); err != nil {
			return err
		}
	}
	return nil
}

func (b *bundleReader) takeAssessments(ctx context.Context, w *work, assessments []Assessment) error {
	for _, a := range assessments {
		form, err := b.tx.AssessmentForm(ctx, a.Form)
		if errors.Is(err, ErrNoRow) {
			return badBundle("an assessment was made with a form that it does not hold")
		}
		if err != nil {
			return err
		}
		if err := a.validate(form); err != nil {
			return err
		}
		if a.CaseID != w.ID || !w.operates(a.SubjectID) {
			return badBundle("an assessment belongs to another case, or to somebody who took no part")
		}
		a.Revision = max(1, a.Revision)
		if err := b.tx.InsertAssessment(ctx, a); err != nil {
			return err
		}
	}
	return nil
}
