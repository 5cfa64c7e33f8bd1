package annotate

import (
	"errors"
	"fmt"
	"slices"
	"strings"
)

// placed is a case that a row may be about, with what stands in it.
type placed struct {
	Case
	visits []Visit
	// refusal says why the person may not record what followed, fixed why they may not change the eye before; nil when
	// they may.
	refusal, fixed error
}

// finding is what a row leads to: a visit, or the eye before the operation.
type finding struct {
	visit  Visit // new ones have no id yet
	before *EyeBefore
}

// identity tells apart what rows of one file are about.
func (f finding) identity(caseID string) string {
	switch {
	case f.before != nil:
		return caseID + " before"
	case f.visit.ID != "":
		return caseID + " " + f.visit.ID
	case f.visit.Window == WindowOther:
		return caseID + " " + f.visit.Date
	}
	return caseID + " " + string(f.visit.Window)
}

// judging is what rows are judged by, beside their case.
type judging struct {
	IntakeMatching
	plans []WindowPlan
	today string
}

// judge says what a row would do to its case, and gives what to write.
func (m judging) judge(row named, c placed) (Verdict, Judgement, finding) {
	if c.refusal != nil {
		return refusedRow(c, "pseudonym", refusalText(c.refusal))
	}
	if row.before || m.Baseline && row.window == "" && row.date <= c.Date {
		return m.judgeBefore(row, c)
	}
	return m.judgeVisit(row, c)
}

func refusedRow(c placed, field, message string) (Verdict, Judgement, finding) {
	return VerdictRefused, Judgement{CaseID: c.ID, Field: field, Message: message}, finding{}
}

func refusalText(err error) string {
	var refusal *Error
	if errors.As(err, &refusal) {
		return refusal.Message
	}
	return "is not yours to change"
}

func (m judging) judgeVisit(row named, c placed) (Verdict, Judgement, finding) {
	if row.window == "" && row.date < c.Date {
		return refusedRow(c, "date", "lies before the operation; say so with the columns if such rows are about the eye before")
	}
	stored, stands := row.among(c.visits, m.plans, c.Date)
	visit := stored
	if !stands {
		visit = Visit{CaseID: c.ID, Window: row.window}
	}
	visit.Date = row.date
	switch {
	case row.window != "":
		visit.Window = row.window
	case !stands:
		visit.Window = windowOn(m.plans, c.Date, row.date)
	}
	var fault *unread
	if visit.Refraction, visit.Exam, fault = m.fill(row, findingsAt(&visit), visit.Refraction, visit.Exam); fault != nil {
		return refusedRow(c, fault.field, fault.message)
	}
	checked := visit
	if !stands {
		checked.ID = "new"
	}
	if first := firstFault(checked.validate(c.Date, m.today)); first != nil {
		return refusedRow(c, first.Field, first.Message)
	}
	j := Judgement{CaseID: c.ID}
	if !stands {
		return VerdictNew, j, finding{visit: visit}
	}
	if j.Changes = Differences(stored, visit); len(j.Changes) == 0 {
		return VerdictSame, Judgement{CaseID: c.ID}, finding{visit: visit}
	}
	return VerdictChanges, j, finding{visit: visit}
}

// judgeBefore judges a row about the eye before the operation.
func (m judging) judgeBefore(row named, c placed) (Verdict, Judgement, finding) {
	if c.fixed != nil {
		return refusedRow(c, "pseudonym", refusalText(c.fixed))
	}
	if row.date > c.Date {
		return refusedRow(c, "date", "lies after the operation, and the row says that it is about the eye before")
	}
	before := c.Before
	var fault *unread
	if before.Refraction, before.Exam, fault = m.fill(row, findingsBefore(&before), before.Refraction, before.Exam); fault != nil {
		return refusedRow(c, fault.field, fault.message)
	}
	if row.examined() && row.cells["exam.date"] == "" {
		before.Exam.Date = row.date
	}
	changed := c.Case
	changed.Before = before
	if first := firstFault(changed.validate(m.today)); first != nil {
		return refusedRow(c, first.Field, first.Message)
	}
	j := Judgement{CaseID: c.ID, Message: row.unplaced(), Changes: Differences(c.Case, changed)}
	if len(j.Changes) == 0 {
		return VerdictSame, Judgement{CaseID: c.ID, Message: j.Message}, finding{before: &before}
	}
	return VerdictChanges, j, finding{before: &before}
}

// examined tells whether a row says anything about an endothelial exam.
func (row named) examined() bool {
	for field := range row.cells {
		if strings.HasPrefix(field, "exam.") {
			return true
		}
	}
	return false
}

// firstFault gives the first of the fields that a value is refused for; nil when it is not.
func firstFault(err error) *FieldError {
	var invalid *Error
	if errors.As(err, &invalid) && len(invalid.Fields) > 0 {
		return &invalid.Fields[0]
	}
	return nil
}

// among finds the visit of a case that the row is about: the one in the named window, or the one on the same date, or
// the one in the window into which the date falls. Any number of visits may stand in the window "other": only the
// date tells them apart.
func (row named) among(visits []Visit, plans []WindowPlan, operated string) (Visit, bool) {
	window := row.window
	if window == "" || window == WindowOther {
		at := slices.IndexFunc(visits, func(v Visit) bool { return v.Date == row.date && (window == "" || v.Window == window) })
		if at >= 0 {
			return visits[at], true
		}
	}
	if window == "" {
		window = windowOn(plans, operated, row.date)
	}
	at := slices.IndexFunc(visits, func(v Visit) bool { return v.Window == window && window != WindowOther })
	if at < 0 {
		return Visit{}, false
	}
	return visits[at], true
}

// pick finds the one case that a row names among those with its pseudonym. With several, the date of the operation
// must tell.
func (row named) pick(cases []placed) (placed, Verdict, Judgement) {
	var found []placed
	var otherEye, otherDate bool
	for _, c := range cases {
		switch {
		case !strings.EqualFold(c.Pseudonym, row.pseudonym):
		case c.Eye != row.eye:
			otherEye = true
		case row.operated != "" && c.Date != row.operated:
			otherDate = true
		default:
			found = append(found, c)
		}
	}
	switch {
	case len(found) == 1:
		return found[0], "", Judgement{CaseID: found[0].ID}
	case len(found) > 1 && row.operated == "":
		return placed{}, VerdictAmbiguous, Judgement{Field: "operated", Message: fmt.Sprintf("%d operations answer to this pseudonym and eye; give the date of the operation", len(found))}
	case len(found) > 1:
		return placed{}, VerdictAmbiguous, Judgement{Field: "pseudonym", Message: fmt.Sprintf("%d operations on that date answer to this pseudonym and eye", len(found))}
	case otherDate:
		return placed{}, VerdictNoCase, Judgement{Field: "operated", Message: "the case has another date of operation"}
	case otherEye:
		return placed{}, VerdictNoCase, Judgement{Field: "eye", Message: "there is a case of that pseudonym, for the other eye"}
	}
	return placed{}, VerdictNoCase, Judgement{Field: "pseudonym", Message: "there is no such case, or it is not yours to see"}
}
