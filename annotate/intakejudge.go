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
	// refusal says why the person may not record what followed; nil when they may.
	refusal error
}

// judge says what a row would do to its case and gives the visit to write. New visits have no id yet.
func (m IntakeMatching) judge(row named, c placed, today string) (Verdict, Judgement, Visit) {
	j := Judgement{CaseID: c.ID}
	refused := func(field, message string) (Verdict, Judgement, Visit) {
		j.Field, j.Message = field, message
		return VerdictRefused, j, Visit{}
	}
	if c.refusal != nil {
		var refusal *Error
		if errors.As(c.refusal, &refusal) {
			return refused("pseudonym", refusal.Message)
		}
		return refused("pseudonym", "is not yours to change")
	}
	stored, stands := row.among(c.visits, c.Date)
	visit := stored
	if !stands {
		visit = Visit{CaseID: c.ID, Window: row.window}
	}
	visit.Date = row.date
	switch {
	case row.window != "":
		visit.Window = row.window
	case !stands:
		visit.Window = windowOn(c.Date, row.date)
	}
	if fault := m.fill(row, &visit); fault != nil {
		return refused(fault.field, fault.message)
	}
	checked := visit
	if !stands {
		checked.ID = "new"
	}
	var invalid *Error
	if err := checked.validate(c.Date, today); errors.As(err, &invalid) && len(invalid.Fields) > 0 {
		return refused(invalid.Fields[0].Field, invalid.Fields[0].Message)
	}
	if !stands {
		return VerdictNew, j, visit
	}
	if j.Changes = Differences(stored, visit); len(j.Changes) == 0 {
		return VerdictSame, Judgement{CaseID: c.ID}, visit
	}
	return VerdictChanges, j, visit
}

// among finds the visit of a case that the row is about: the one in the named window, or the one on the same date, or
// the one in the window into which the date falls. Any number of visits may stand in the window "other": only the
// date tells them apart.
func (row named) among(visits []Visit, operated string) (Visit, bool) {
	window := row.window
	if window == "" || window == WindowOther {
		at := slices.IndexFunc(visits, func(v Visit) bool { return v.Date == row.date && (window == "" || v.Window == window) })
		if at >= 0 {
			return visits[at], true
		}
	}
	if window == "" {
		window = windowOn(operated, row.date)
	}
	at := slices.IndexFunc(visits, func(v Visit) bool { return v.Window == window && window != WindowOther })
	if at < 0 {
		return Visit{}, false
	}
	return visits[at], true
}

// identity tells apart the visits that rows of one file are about.
func identity(caseID string, visit Visit) string {
	switch {
	case visit.ID != "":
		return caseID + " " + visit.ID
	case visit.Window == WindowOther:
		return caseID + " " + visit.Date
	}
	return caseID + " " + string(visit.Window)
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
