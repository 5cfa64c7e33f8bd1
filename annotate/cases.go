package annotate

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// Case gives a case and notes in the audit log who saw it.
func (s *Service) Case(ctx context.Context, actor Actor, id string) (Case, error) {
	var c Case
	err := s.onCase(ctx, actor, id, CaseView, func(_ Tx, found seen) error {
		c = found.Case
		return nil
	})
	if err != nil {
		return Case{}, err
	}
	return c, s.noteView(ctx, actor, "case.view", id, "")
}

// noteView writes who saw what.
func (s *Service) noteView(ctx context.Context, actor Actor, action, caseID, thingID string) error {
	return s.store.Write(ctx, func(tx Tx) error {
		return s.record(ctx, tx, actor, AuditEntry{Action: action, CaseID: caseID, ThingID: thingID})
	})
}

// Cases gives one page of the cases that the actor may see.
func (s *Service) Cases(ctx context.Context, actor Actor, filter CaseFilter) (CasePage, error) {
	if err := present(actor); err != nil {
		return CasePage{}, err
	}
	if err := filter.validate(); err != nil {
		return CasePage{}, err
	}
	var rows CaseRows
	err := s.store.Read(ctx, func(tx Tx) (err error) {
		rows, err = tx.CasePage(ctx, s.query(actor, filter))
		return err
	})
	if err != nil {
		return CasePage{}, err
	}
	page := CasePage{Cases: []CaseSummary{}, Next: rows.Next, Total: rows.Total}
	for _, row := range rows.Rows {
		page.Cases = append(page.Cases, s.summary(actor, row))
	}
	return page, nil
}

func (s *Service) query(actor Actor, filter CaseFilter) CaseQuery {
	if filter.Limit == 0 {
		filter.Limit = 50
	}
	return CaseQuery{
		CaseFilter: filter, Viewer: actor.ID, Today: s.today(),
		All: Can(actor, CaseView, RelationNone),
	}
}

// summary completes a row, and takes out what clinic staff do not see.
func (s *Service) summary(actor Actor, row CaseRow) CaseSummary {
	c := row.CaseSummary
	today := s.today()
	switch {
	case row.DueOn == "":
		c.FollowUp = "complete"
	case today > row.LateOn:
		c.FollowUp = "overdue"
	case today >= row.DueOn:
		c.FollowUp = "due"
	}
	if !row.Named && !Can(actor, ReadingView, RelationNone) {
		c.Stages, c.Operation, c.OpenComments = []StageShare{}, nil, 0
	}
	return c
}

func (f CaseFilter) validate() error {
	var p problems
	p.text("q", f.Query, 0, 200)
	oneOf(&p, "eye", f.Eye, false, RightEye, LeftEye)
	oneOf(&p, "technique", f.Technique, false, Techniques...)
	p.date("from", f.From, false)
	p.date("to", f.To, false)
	oneOf(&p, "state", f.State, false, "to-record", "to-tag", "follow-up-due", "to-sign", "signed")
	oneOf(&p, "sort", f.Sort, false, "date", "pseudonym", "grade", "duration")
	if _, known := kindNamed(f.Complication); !known && f.Complication != "" && f.Complication != "any" {
		p.add("complication", "is not a known complication")
	}
	if f.Limit < 0 || f.Limit > mostListed {
		p.add("limit", "must lie between 1 and %d", mostListed)
	}
	if len(p.fields) > 0 {
		return listRefused(p)
	}
	return nil
}

func listRefused(p problems) error {
	return &Error{Code: CodeInvalid, Message: "The list was not made: " + p.fields[0].Field + " " + p.fields[0].Message + ".", Fields: p.fields}
}

// Permissions tells for each action whether the actor may do it to the case.
func (s *Service) Permissions(ctx context.Context, actor Actor, caseID string) (map[Action]bool, error) {
	allowed := map[Action]bool{}
	err := s.onCase(ctx, actor, caseID, CaseView, func(_ Tx, c seen) error {
		for _, action := range CaseActions {
			allowed[action] = c.can(action)
		}
		return nil
	})
	return allowed, err
}

// PutCase makes a case (revision 0) or changes it. The same new case sent again is answered as it was kept. Clinic staff
// may only declare it lost to follow-up, or take that back, and record what the patient agreed to.
func (s *Service) PutCase(ctx context.Context, actor Actor, c Case) (Case, error) {
	c.normalise()
	if err := c.validate(s.today()); err != nil {
		return Case{}, err
	}
	if c.Revision == 0 {
		return s.newCase(ctx, actor, c)
	}
	var kept Case
	err := s.changeCase(ctx, actor, c.ID, CaseView, func(w *work) (err error) {
		kept, err = w.put(ctx, c)
		return err
	})
	if err != nil {
		return Case{}, err
	}
	return kept, nil
}

func (s *Service) newCase(ctx context.Context, actor Actor, c Case) (Case, error) {
	if err := mayManage(actor, CaseCreate); err != nil {
		return Case{}, err
	}
	if !c.operates(actor.ID) {
		var p problems
		p.add("operators", "must name you too; otherwise you would not see the case")
		return Case{}, p.err("The case")
	}
	kept, err := s.keepNewCase(ctx, actor, c)
	if errors.Is(err, ErrDuplicate) {
		// Another server was keeping it at the same moment; by now it stands.
		kept, err = s.keepNewCase(ctx, actor, c)
	}
	return kept, err
}

func (s *Service) keepNewCase(ctx context.Context, actor Actor, c Case) (Case, error) {
	err := s.store.Write(ctx, func(tx Tx) error {
		stored, err := tx.Case(ctx, c.ID)
		if err == nil {
			c, err = c.again(actor, stored)
			return err
		}
		if !errors.Is(err, ErrNoRow) {
			return err
		}
		if err := fillPeople(ctx, tx, &c, Case{}); err != nil {
			return err
		}
		if err := checkStages(ctx, tx, c, Case{}); err != nil {
			return err
		}
		c.Revision, c.CreatedBy, c.CreatedAt, c.UpdatedAt, c.Change = 1, actor.ID, s.nowMs(), s.nowMs(), 0
		if err := tx.InsertCase(ctx, c); err != nil {
			return err
		}
		w := &work{seen: seen{Case: c, actor: actor}, tx: tx, now: s.nowMs()}
		w.note("case.create", "", Differences(nil, c))
		c.Change = 1
		return s.finish(ctx, w)
	})
	if err != nil {
		return Case{}, err
	}
	return c, nil
}

// again answers a new case whose id is there already: the same case was sent twice, or it is somebody else's.
func (c Case) again(actor Actor, stored Case) (Case, error) {
	if RelationTo(actor.User, stored) == RelationNone {
		return Case{}, Refuse(CodeTaken, "The id of the new case is in use; make another.")
	}
	for i := range c.Operators {
		if c.Operators[i].Grade == "" && i < len(stored.Operators) {
			c.Operators[i].Grade = stored.Operators[i].Grade
		}
	}
	if len(Differences(c, stored)) > 0 {
		return Case{}, stale("The case", c, stored)
	}
	return stored, nil
}

// put changes the case to what was sent, if it is based on the version that is stored.
func (w *work) put(ctx context.Context, c Case) (Case, error) {
	stored := w.Case
	c.CreatedBy, c.CreatedAt = stored.CreatedBy, stored.CreatedAt
	if err := fillPeople(ctx, w.tx, &c, stored); err != nil {
		return Case{}, err
	}
	if err := checkStages(ctx, w.tx, c, stored); err != nil {
		return Case{}, err
	}
	differences := Differences(stored, c)
	if !w.can(CaseEdit) && !(w.can(OutcomeEdit) && concernClinic(differences)) {
		return Case{}, forbidden(CaseEdit)
	}
	if len(differences) == 0 {
		return stored, nil
	}
	if c.Revision != stored.Revision {
		return Case{}, stale("The case", c, stored)
	}
	shared := slices.ContainsFunc(differences, func(d Difference) bool { return d.Field == "sharedWith" })
	if shared && !w.can(CaseShare) {
		return Case{}, forbidden(CaseShare)
	}
	if !slices.EqualFunc(stored.Operators, c.Operators, sameOperator) && !w.can(CaseShare) {
		return Case{}, Refuse(CodeForbidden, "Only the operator and the supervisor may change who took part, because that decides who sees and signs the case.")
	}
	if err := w.keepMarkersOperators(ctx, c); err != nil {
		return Case{}, err
	}
	c.Revision, c.UpdatedAt, c.Change = stored.Revision+1, w.now, stored.Change+1
	if err := w.tx.UpdateCase(ctx, c); err != nil {
		return Case{}, err
	}
	w.note("case.change", "", differences)
	return c, nil
}

// concernClinic reports whether all that differs is that the case is lost to follow-up, or what the patient agreed to.
func concernClinic(differences []Difference) bool {
	return !slices.ContainsFunc(differences, func(d Difference) bool {
		return !strings.HasPrefix(d.Field, "lostToFollowUp") && !strings.HasPrefix(d.Field, "consent.")
	})
}

// sameOperator: the same person in the same role, whatever the grade.
func sameOperator(a, b Operator) bool { return a.UserID == b.UserID && a.Role == b.Role }

// keepMarkersOperators refuses to take somebody off the case who operated during a marker.
func (w *work) keepMarkersOperators(ctx context.Context, c Case) error {
	readings, err := w.tx.Readings(ctx, c.ID)
	if err != nil {
		return err
	}
	var p problems
	for _, reading := range readings {
		state, err := w.tx.ReadingState(ctx, reading.ID)
		if err != nil {
			return err
		}
		for _, marker := range state.Markers {
			if marker.OperatorID != "" && !c.operates(marker.OperatorID) && len(p.fields) == 0 {
				p.add("operators", "leaves out a person who operated during a marked step; change the marker first")
			}
		}
	}
	return p.err("The case")
}

// fillPeople checks that everybody named is known, and gives operators the grade that they hold now when none is said.
// People who are no longer active stay where they stood.
func fillPeople(ctx context.Context, tx Tx, c *Case, before Case) error {
	var p problems
	check := func(field, id string, known bool) (User, error) {
		account, err := tx.User(ctx, id)
		switch {
		case errors.Is(err, ErrNoRow):
			p.add(field, "is not a person of this unit")
		case err != nil:
			return User{}, err
		case !account.Active && !known:
			p.add(field, "is no longer active")
		}
		return account.User, nil
	}
	c.Operators = slices.Clone(c.Operators)
	for i, o := range c.Operators {
		user, err := check(fmt.Sprintf("operators[%d].userId", i), o.UserID, before.operates(o.UserID))
		if err != nil {
			return err
		}
		if o.Grade == "" {
			c.Operators[i].Grade = user.Grade
		}
	}
	for i, id := range c.SharedWith {
		if _, err := check(fmt.Sprintf("sharedWith[%d]", i), id, slices.Contains(before.SharedWith, id)); err != nil {
			return err
		}
	}
	return p.err("The case")
}

// CaseHistory gives what was done to the case, newest first. Clinic staff see what concerns the case and its follow-up.
func (s *Service) CaseHistory(ctx context.Context, actor Actor, caseID string) ([]AuditEntry, error) {
	history := []AuditEntry{}
	err := s.onCase(ctx, actor, caseID, CaseView, func(tx Tx, c seen) error {
		entries, err := tx.CaseAudit(ctx, caseID)
		if err != nil {
			return err
		}
		for _, entry := range entries {
			if entry.Action == inboxSchedule {
				continue // it would tell of a meeting
			}
			subject, _, _ := strings.Cut(entry.Action, ".")
			if c.can(ReadingView) || slices.Contains([]string{"case", "visit", "complication"}, subject) {
				history = append(history, entry)
			}
		}
		return nil
	})
	return history, err
}
