package annotate_test

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

func TestPutCase(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		fresh := u.NewCase()
		fresh.Before.Age, fresh.Before.Exam = pointerTo(71), &annotate.EndothelialExam{Density: 2480.5, CV: pointerTo(31.0), Cells: pointerTo(102)}
		fresh.Operators[2].Grade = ""
		fresh.Operation.TechniquePerformed = ""
		kept, err := u.PutCase(t.Context(), u.Surgeon, fresh)
		require.NoError(t, err)
		require.Equal(t, int64(1), kept.Revision)
		require.Equal(t, int64(1), kept.Change)
		require.Equal(t, u.Surgeon.ID, kept.CreatedBy)
		require.InDelta(t, 0.31, *kept.Before.Exam.CV, 1e-12)
		require.Equal(t, annotate.GradeJuniorTrainee, kept.Operators[2].Grade, "the grade held on the day")
		require.Equal(t, annotate.TechniquePhaco, kept.Operation.TechniquePerformed)
		again, err := u.Case(t.Context(), u.Trainee, fresh.ID)
		require.NoError(t, err)
		require.Equal(t, kept, again)
		resent, err := u.PutCase(t.Context(), u.Surgeon, fresh)
		require.NoError(t, err)
		require.Equal(t, kept, resent, "the same new case sent again")

		mine, theirs := kept, kept
		theirs.Before.Age = pointerTo(72)
		theirs, err = u.PutCase(t.Context(), u.Trainer, theirs)
		require.NoError(t, err)
		require.Equal(t, int64(2), theirs.Revision)
		mine.Pseudonym = "ANOTHER"
		_, err = u.PutCase(t.Context(), u.Surgeon, mine)
		refusal := refused(t, annotate.CodeStale, err)
		require.Equal(t, "ANOTHER", refusal.Yours.(annotate.Case).Pseudonym)
		require.Equal(t, theirs, refusal.Theirs)
		unchanged, err := u.PutCase(t.Context(), u.Surgeon, theirs)
		require.NoError(t, err)
		require.Equal(t, theirs, unchanged, "saving without a change changes nothing")

		history, err := u.CaseHistory(t.Context(), u.Surgeon, fresh.ID)
		require.NoError(t, err)
		var actions []string
		for _, entry := range history {
			actions = append(actions, entry.Action)
		}
		require.Equal(t, []string{"case.change", "case.view", "case.create"}, actions)
		require.Equal(t, `[{"field":"before.age","before":71,"after":72}]`, history[0].Detail)
		require.Equal(t, u.Trainer.ID, history[0].ActorID)
		require.Equal(t, u.Trainer.RequestID, history[0].RequestID)
		verified(t, u)
	})
}

func pointerTo[T any](value T) *T { return &value }

func TestPutCaseRefuses(t *testing.T) {
	u := annotatetest.NewUnit(t, annotatetest.SQLiteAddress(t))
	put := func(actor annotate.Actor, change func(*annotate.Case)) error {
		c := u.NewCase()
		change(&c)
		_, err := u.PutCase(t.Context(), actor, c)
		return err
	}
	nothing := func(*annotate.Case) {}
	require.Equal(t, annotate.CodeSignedOut, annotate.CodeOf(put(annotate.Actor{}, nothing)))
	for _, actor := range []annotate.Actor{u.Admin, u.Clinic, u.Chair, annotate.House()} {
		require.Equal(t, annotate.CodeForbidden, annotate.CodeOf(put(actor, nothing)), actor.Login)
	}
	require.Equal(t, "operators", refused(t, annotate.CodeInvalid, put(u.Stranger, nothing)).Fields[0].Field, "who makes a case takes part")
	unknown := func(c *annotate.Case) { c.Operators[1].UserID = "nobody" }
	require.Equal(t, "operators[1].userId", refused(t, annotate.CodeInvalid, put(u.Surgeon, unknown)).Fields[0].Field)
	shared := func(c *annotate.Case) { c.SharedWith = []string{"nobody"} }
	require.Equal(t, "sharedWith[0]", refused(t, annotate.CodeInvalid, put(u.Surgeon, shared)).Fields[0].Field)

	gone := u.Chair.User
	gone.Active = false
	_, err := u.PutUser(t.Context(), u.Admin, gone)
	require.NoError(t, err)
	leaver := func(c *annotate.Case) { c.SharedWith = []string{gone.ID} }
	require.Equal(t, "sharedWith[0]", refused(t, annotate.CodeInvalid, put(u.Surgeon, leaver)).Fields[0].Field)

	c := u.AddCase(t)
	c.SharedWith = []string{u.Stranger.ID}
	_, err = u.PutCase(t.Context(), u.Trainee, c)
	refused(t, annotate.CodeForbidden, err)
	_, err = u.PutCase(t.Context(), u.Surgeon, c)
	require.NoError(t, err)
	_, err = u.PutCase(t.Context(), u.Stranger, c)
	refused(t, annotate.CodeForbidden, err)

	fresh := u.NewCase()
	fresh.ID = u.AddCase(t).ID
	fresh.Operators = []annotate.Operator{{UserID: u.Stranger.ID, Role: annotate.OperatorLead}}
	_, err = u.PutCase(t.Context(), u.Stranger, fresh)
	refused(t, annotate.CodeTaken, err)
}

func TestTheClinicChangesOfACaseOnlyWhetherItIsLost(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		stored := u.AddCase(t)
		lost := stored
		lost.LostToFollowUp = &annotate.LostToFollowUp{On: stored.Date, Reason: "moved away"}

		other := lost
		other.Pseudonym += "x"
		_, err := u.PutCase(t.Context(), u.Clinic, other)
		refused(t, annotate.CodeForbidden, err)
		_, err = u.PutCase(t.Context(), u.Chair, lost)
		refused(t, annotate.CodeNotFound, err)
		seen := stored
		seen.SharedWith = []string{u.Stranger.ID}
		seen, err = u.PutCase(t.Context(), u.Surgeon, seen)
		require.NoError(t, err)
		lost.SharedWith, lost.Revision = seen.SharedWith, seen.Revision
		_, err = u.PutCase(t.Context(), u.Stranger, lost)
		refused(t, annotate.CodeForbidden, err)

		kept, err := u.PutCase(t.Context(), u.Clinic, lost)
		require.NoError(t, err)
		require.Equal(t, lost.LostToFollowUp, kept.LostToFollowUp)
		again, err := u.PutCase(t.Context(), u.Clinic, lost)
		require.NoError(t, err, "sent twice counts once")
		require.Equal(t, kept.Revision, again.Revision)
		page, err := u.FollowUp(t.Context(), u.Clinic, annotate.FollowUpFilter{})
		require.NoError(t, err)
		require.Empty(t, page.Items, "a lost case owes nothing")

		back := kept
		back.LostToFollowUp = nil
		back, err = u.PutCase(t.Context(), u.Clinic, back)
		require.NoError(t, err)
		require.Nil(t, back.LostToFollowUp)
		page, err = u.FollowUp(t.Context(), u.Clinic, annotate.FollowUpFilter{})
		require.NoError(t, err)
		require.Len(t, page.Items, 1)
		verified(t, u)
	})
}

func TestAnOperatorWhoIsMarkedStays(t *testing.T) {
	u := annotatetest.NewUnit(t, annotatetest.SQLiteAddress(t))
	c, part, reading := u.Marked(t)
	m := u.Marker(part.ID, "cortex", 1000, 2000)
	m.OperatorID = u.Trainee.ID
	add(t, u, u.Surgeon, reading.ID, u.Add(m))
	c.Operators = c.Operators[:2]
	_, err := u.PutCase(t.Context(), u.Surgeon, c)
	require.Equal(t, "operators", refused(t, annotate.CodeInvalid, err).Fields[0].Field)
}

// manyCases adds cases whose dates, grades, pseudonyms and durations often tie or are missing.
func manyCases(t *testing.T, u *annotatetest.Unit, n int) {
	t.Helper()
	for i := range n {
		c := u.AddCase(t, func(c *annotate.Case) {
			c.Pseudonym = fmt.Sprintf("CASE-%d", i%7)
			c.Date = fmt.Sprintf("2026-05-%02d", 1+i%5)
			if i%3 > 0 {
				c.Before.NuclearGrade = pointerTo(1 + i%4)
			}
			if i%4 == 0 {
				c.Eye = annotate.LeftEye
			}
		})
		if i%2 > 0 {
			continue
		}
		part, reading := u.AddPart(t, c.ID, 600_000), u.AddReading(t, u.Surgeon, c.ID)
		add(t, u, u.Surgeon, reading.ID, u.Add(u.Marker(part.ID, "cortex", 0, int64(1+i%3)*1000)))
	}
}

func sortValue(c annotate.CaseSummary, sort string) any {
	switch sort {
	case "pseudonym":
		return c.Pseudonym
	case "grade":
		return c.NuclearGrade
	case "duration":
		return c.Operation
	}
	return c.Date
}

// TestEveryPageOnce walks each order in pages of any size: every case comes once, in order, and those without a value last.
func TestEveryPageOnce(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		const n = 22
		manyCases(t, u, n)
		for _, sort := range []string{"", "date", "pseudonym", "grade", "duration"} {
			for _, descending := range []bool{false, true} {
				filter := annotate.CaseFilter{Sort: sort, Descending: descending, Limit: 200}
				whole, err := u.Cases(t.Context(), u.Surgeon, filter)
				require.NoError(t, err)
				require.Len(t, whole.Cases, n)
				require.Empty(t, whole.Next)
				requireOrder(t, whole.Cases, sort, descending)
				for _, limit := range []int{1, 3, 7, n - 1, n} {
					filter.Limit, filter.Cursor = limit, ""
					require.Equal(t, whole.Cases, walk(t, u, u.Surgeon, filter), "%s %v in pages of %d", sort, descending, limit)
				}
			}
		}
		first, err := u.Cases(t.Context(), u.Surgeon, annotate.CaseFilter{Sort: "grade", Limit: 2})
		require.NoError(t, err)
		for _, filter := range []annotate.CaseFilter{
			{Sort: "duration", Cursor: first.Next},
			{Sort: "grade", Descending: true, Cursor: first.Next},
			{Cursor: "nonsense"},
			{Cursor: "e30"}, // {} in base64
		} {
			_, err := u.Cases(t.Context(), u.Surgeon, filter)
			require.Equal(t, "cursor", refused(t, annotate.CodeInvalid, err).Fields[0].Field)
		}
	})
}

func walk(t *testing.T, u *annotatetest.Unit, actor annotate.Actor, filter annotate.CaseFilter) []annotate.CaseSummary {
	t.Helper()
	var all []annotate.CaseSummary
	for {
		page, err := u.Cases(t.Context(), actor, filter)
		require.NoError(t, err)
		require.LessOrEqual(t, len(page.Cases), filter.Limit)
		all = append(all, page.Cases...)
		if page.Next == "" {
			return all
		}
		filter.Cursor = page.Next
	}
}

func requireOrder(t *testing.T, cases []annotate.CaseSummary, sort string, descending bool) {
	t.Helper()
	missing := false
	for i, c := range cases {
		value := sortValue(c, sort)
		none := value == (*int)(nil) || value == (*int64)(nil)
		require.False(t, missing && !none, "cases without a value come last")
		missing = none
		if i == 0 || none {
			continue
		}
		before, now := fmt.Sprintf("%012v", plainOf(sortValue(cases[i-1], sort))), fmt.Sprintf("%012v", plainOf(value))
		if descending {
			before, now = now, before
		}
		require.LessOrEqual(t, before, now, "%s, descending %v, at %d", sort, descending, i)
	}
}

func plainOf(value any) any {
	switch v := value.(type) {
	case *int:
		return *v
	case *int64:
		return *v
	}
	return value
}

func TestFilters(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		manyCases(t, u, 14)
		odd := u.AddCase(t, func(c *annotate.Case) {
			c.Pseudonym, c.Date = "100%_ÄÖ", "2026-06-14"
			c.Operation.TechniquePerformed = annotate.TechniqueMSICS
			c.Operators = []annotate.Operator{{UserID: u.Surgeon.ID, Role: annotate.OperatorLead}}
		})
		_, err := u.PutComplication(t.Context(), u.Surgeon, annotate.Complication{ID: u.NewID(), CaseID: odd.ID, Kind: "vitreous-loss"})
		require.NoError(t, err)
		count := func(filter annotate.CaseFilter) int {
			page, err := u.Cases(t.Context(), u.Surgeon, filter)
			require.NoError(t, err)
			require.Len(t, page.Cases, page.Total)
			return page.Total
		}
		for _, row := range []struct {
			filter annotate.CaseFilter
			want   int
		}{
			{annotate.CaseFilter{}, 15},
			{annotate.CaseFilter{Query: "case-3"}, 2},
			{annotate.CaseFilter{Query: "CASE"}, 14},
			{annotate.CaseFilter{Query: "äö"}, 1},
			{annotate.CaseFilter{Query: "%"}, 1},
			{annotate.CaseFilter{Query: "_"}, 1},
			{annotate.CaseFilter{Query: `\`}, 0},
			{annotate.CaseFilter{Query: "trainer"}, 14},
			{annotate.CaseFilter{Query: "trainer case-3"}, 2},
			{annotate.CaseFilter{Query: "'; DROP TABLE cases; --"}, 0},
			{annotate.CaseFilter{Eye: annotate.LeftEye}, 4},
			{annotate.CaseFilter{Technique: annotate.TechniqueMSICS}, 1},
			{annotate.CaseFilter{Operator: u.Trainee.ID}, 14},
			{annotate.CaseFilter{Operator: u.Stranger.ID}, 0},
			{annotate.CaseFilter{From: "2026-05-05"}, 3},
			{annotate.CaseFilter{To: "2026-05-01"}, 3},
			{annotate.CaseFilter{From: "2026-05-02", To: "2026-05-03"}, 6},
			{annotate.CaseFilter{Complication: "any"}, 1},
			{annotate.CaseFilter{Complication: "vitreous-loss"}, 1},
			{annotate.CaseFilter{Complication: "uveitis"}, 0},
			{annotate.CaseFilter{State: "to-record"}, 8},
			{annotate.CaseFilter{State: "to-tag"}, 7}, // one step of several that are required
			{annotate.CaseFilter{State: "follow-up-due"}, 15},
			{annotate.CaseFilter{State: "to-sign"}, 0},
			{annotate.CaseFilter{State: "signed"}, 0},
		} {
			require.Equal(t, row.want, count(row.filter), "%+v", row.filter)
		}
		for _, filter := range []annotate.CaseFilter{
			{Eye: "OU"}, {Technique: "laser"}, {State: "lost"}, {Sort: "beauty"}, {Limit: 201}, {Limit: -1}, {From: "soon"}, {Complication: "bad-luck"}, {Query: "\xff"},
		} {
			_, err := u.Cases(t.Context(), u.Surgeon, filter)
			refused(t, annotate.CodeInvalid, err)
		}
	})
}

func TestWhoSeesWhichCase(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c := u.AddCase(t, func(c *annotate.Case) { c.SharedWith = []string{u.Chair.ID} })
		part, reading := u.AddPart(t, c.ID, 60_000), u.AddReading(t, u.Surgeon, c.ID)
		add(t, u, u.Surgeon, reading.ID, u.Add(u.Marker(part.ID, "cortex", 1000, 2000)))
		listed := func(actor annotate.Actor) []annotate.CaseSummary {
			page, err := u.Cases(t.Context(), actor, annotate.CaseFilter{Sort: "duration"})
			require.NoError(t, err)
			require.Len(t, page.Cases, page.Total, "not even the number of other cases is told")
			return page.Cases
		}
		for _, actor := range []annotate.Actor{u.Surgeon, u.Trainer, u.Trainee, u.Chair} {
			require.Len(t, listed(actor), 1, actor.Login)
			require.NotNil(t, listed(actor)[0].Operation)
		}
		for _, actor := range []annotate.Actor{u.Stranger, u.Admin} {
			require.Empty(t, listed(actor), actor.Login)
			_, err := u.Case(t.Context(), actor, c.ID)
			refused(t, annotate.CodeNotFound, err)
			_, unknown := u.Case(t.Context(), actor, "no-such-case")
			require.Equal(t, unknown.Error(), err.Error(), "what is not yours looks like what is not there")
		}
		clinic := listed(u.Clinic)
		require.Len(t, clinic, 1)
		require.Empty(t, clinic[0].Stages)
		require.Nil(t, clinic[0].Operation, "clinic staff see no times")
		permissions, err := u.Permissions(t.Context(), u.Clinic, c.ID)
		require.NoError(t, err)
		require.Len(t, permissions, len(annotate.CaseActions))
		require.True(t, permissions[annotate.OutcomeEdit])
		require.False(t, permissions[annotate.ReadingView])
	})
}

// TestNothingLeaks asks for everything of a case that is not the caller's.
func TestNothingLeaks(t *testing.T) {
	u := annotatetest.NewUnit(t, annotatetest.SQLiteAddress(t))
	c, part, reading := u.Marked(t)
	report := signed(t, u, c.ID)
	visit, err := u.PutVisit(t.Context(), u.Surgeon, annotate.Visit{ID: u.NewID(), CaseID: c.ID, Window: annotate.WindowDay1, Date: "2026-05-05"})
	require.NoError(t, err)
	ctx := t.Context()
	renamed := c
	renamed.Pseudonym = "ANOTHER-1"
	asks := map[string]func(annotate.Actor) error{
		"case":          func(a annotate.Actor) error { _, err := u.Case(ctx, a, c.ID); return err },
		"put case":      func(a annotate.Actor) error { _, err := u.PutCase(ctx, a, renamed); return err },
		"history":       func(a annotate.Actor) error { _, err := u.CaseHistory(ctx, a, c.ID); return err },
		"permissions":   func(a annotate.Actor) error { _, err := u.Permissions(ctx, a, c.ID); return err },
		"parts":         func(a annotate.Actor) error { _, err := u.Parts(ctx, a, c.ID); return err },
		"put part":      func(a annotate.Actor) error { _, err := u.PutPart(ctx, a, part); return err },
		"remove part":   func(a annotate.Actor) error { return u.RemovePart(ctx, a, c.ID, part.ID, 1) },
		"check parts":   func(a annotate.Actor) error { _, err := u.CheckParts(ctx, a, c.ID); return err },
		"play":          func(a annotate.Actor) error { _, err := u.PartForPlayback(ctx, a, part.ID); return err },
		"readings":      func(a annotate.Actor) error { _, err := u.Readings(ctx, a, c.ID); return err },
		"put reading":   func(a annotate.Actor) error { _, err := u.PutReading(ctx, a, reading); return err },
		"reading":       func(a annotate.Actor) error { _, err := u.ReadingState(ctx, a, reading.ID); return err },
		"edits":         func(a annotate.Actor) error { _, err := u.Edits(ctx, a, reading.ID, 0); return err },
		"durations":     func(a annotate.Actor) error { _, err := u.Durations(ctx, a, reading.ID); return err },
		"accept":        func(a annotate.Actor) error { return u.AcceptReading(ctx, a, reading.ID, "Frame by frame.") },
		"complications": func(a annotate.Actor) error { _, err := u.Complications(ctx, a, c.ID); return err },
		"visits":        func(a annotate.Actor) error { _, err := u.Visits(ctx, a, c.ID); return err },
		"put visit":     func(a annotate.Actor) error { _, err := u.PutVisit(ctx, a, visit); return err },
		"remove visit":  func(a annotate.Actor) error { return u.RemoveVisit(ctx, a, c.ID, visit.ID, 1) },
		"file":          func(a annotate.Actor) error { _, err := u.CaseFile(ctx, a, c.ID); return err },
		"reports":       func(a annotate.Actor) error { _, err := u.SignedReports(ctx, a, c.ID); return err },
		"report":        func(a annotate.Actor) error { _, _, err := u.SignedContent(ctx, a, report.ID); return err },
		"addendum":      func(a annotate.Actor) error { _, err := u.AddAddendum(ctx, a, report.ID, u.NewID(), "x"); return err },
		"sign": func(a annotate.Actor) error {
			_, err := u.SignReport(ctx, a, c.ID, 1, "", annotate.SignedContent{})
			return err
		},
	}
	clinicSees := []string{"case", "history", "permissions", "complications", "visits", "put visit", "remove visit"}
	for name, ask := range asks {
		require.Equal(t, annotate.CodeSignedOut, annotate.CodeOf(ask(annotate.Actor{})), "%s, signed out", name)
		for _, actor := range []annotate.Actor{u.Stranger, u.Admin} {
			require.Equal(t, annotate.CodeNotFound, annotate.CodeOf(ask(actor)), "%s, %s", name, actor.Login)
		}
		if !slices.Contains(clinicSees, name) {
			require.Equal(t, annotate.CodeForbidden, annotate.CodeOf(ask(u.Clinic)), "%s, clinic", name)
		}
	}
	history, err := u.CaseHistory(ctx, u.Clinic, c.ID)
	require.NoError(t, err)
	for _, entry := range history {
		require.NotContains(t, entry.Action, "reading")
		require.NotContains(t, entry.Action, "recording")
		require.NotContains(t, entry.Action, "report")
	}
}

// A page that sends a new case again, through another server, before the first answer came.
func TestNewCaseSentTwiceAtOnce(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		for range 5 {
			fresh := u.NewCase()
			answers := make(chan error, 8)
			for range cap(answers) {
				go func() {
					sent := fresh
					sent.Operators = slices.Clone(fresh.Operators)
					_, err := u.PutCase(t.Context(), u.Surgeon, sent)
					answers <- err
				}()
			}
			for range cap(answers) {
				require.NoError(t, <-answers)
			}
		}
		verified(t, u)
	})
}

// Who takes part in a case sees it, and as operator or supervisor signs: an assistant does not hand that out.
func TestAssistantDoesNotChangeWhoTookPart(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		kept := u.AddCase(t)
		for name, change := range map[string]func(c *annotate.Case){
			"takes over": func(c *annotate.Case) {
				c.Operators[0].Role, c.Operators[2].Role = annotate.OperatorAssistant, annotate.OperatorLead
			},
			"removes": func(c *annotate.Case) { c.Operators = slices.Delete(c.Operators, 1, 2) },
			"lets somebody in": func(c *annotate.Case) {
				c.Operators = append(c.Operators, annotate.Operator{UserID: u.Stranger.ID, Role: annotate.OperatorAssistant})
			},
		} {
			changed := kept
			changed.Operators = slices.Clone(kept.Operators)
			change(&changed)
			_, err := u.PutCase(t.Context(), u.Trainee, changed)
			refused(t, annotate.CodeForbidden, err)
			unchanged, err := u.Case(t.Context(), u.Surgeon, kept.ID)
			require.NoError(t, err)
			require.Equal(t, kept, unchanged, name)
		}
		corrected := kept
		corrected.Operators = slices.Clone(kept.Operators)
		corrected.Operators[2].Grade = annotate.GradeSeniorTrainee
		_, err := u.PutCase(t.Context(), u.Trainee, corrected)
		require.NoError(t, err, "a grade is no right")
	})
}
