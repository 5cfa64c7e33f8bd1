package annotate_test

import (
	"encoding/json"
	"fmt"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
	"zonule/timeline/cohort"
)

// troubled is a case with a complication of the kind.
func troubled(t *testing.T, u *annotatetest.Unit, kind string, changes ...func(*annotate.Case)) (annotate.Case, annotate.Complication) {
	t.Helper()
	c := u.AddCase(t, changes...)
	complication, err := u.PutComplication(t.Context(), u.Surgeon, annotate.Complication{ID: u.NewID(), CaseID: c.ID, Kind: kind, Severity: 2})
	require.NoError(t, err)
	return c, complication
}

func inboxOf(t *testing.T, u *annotatetest.Unit, actor annotate.Actor) []annotate.InboxEntry {
	t.Helper()
	inbox, err := u.Inbox(t.Context(), actor)
	require.NoError(t, err)
	require.False(t, inbox.More)
	return inbox.Entries
}

func dismiss(t *testing.T, u *annotatetest.Unit, entry annotate.InboxEntry) {
	t.Helper()
	decided, err := u.DecideInbox(t.Context(), u.Chair, entry.ID, annotate.InboxDecision{State: annotate.InboxDismissed, Reason: "Seen elsewhere."})
	require.NoError(t, err)
	require.Equal(t, annotate.InboxDismissed, decided.State)
}

// schedule puts an entry on an agenda, as a meeting does.
func schedule(t *testing.T, u *annotatetest.Unit, entry annotate.InboxEntry) {
	t.Helper()
	had := entry.State
	entry.State, entry.MeetingID = annotate.InboxScheduled, "meeting-1"
	require.NoError(t, u.Store.Write(t.Context(), func(tx annotate.Tx) error { return tx.UpdateInboxEntry(t.Context(), entry, had) }))
}

func TestTheSweepRaisesAndWithdraws(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		u.AddCase(t)
		c, complication := troubled(t, u, "zonular-dialysis")
		other, _ := troubled(t, u, "posterior-capsule-rupture")
		entries := inboxOf(t, u, u.Chair)
		require.Len(t, entries, 2)
		require.Equal(t, []any{"Case 1", annotate.TriggerZonularDialysis, "Zonular dialysis without vitreous, moderate.", annotate.InboxWaiting, annotate.TechniquePhaco},
			[]any{entries[0].Label, entries[0].Kind, entries[0].Reason, entries[0].State, entries[0].Technique})
		require.Equal(t, []any{"Case 2", annotate.TriggerCapsuleRupture}, []any{entries[1].Label, entries[1].Kind})
		require.Equal(t, entries, inboxOf(t, u, u.Chair), "sweeping twice changes nothing")

		// A second reason has the number of its case; one that no longer applies is withdrawn, and comes back with its rule.
		require.NoError(t, u.RemoveComplication(t.Context(), u.Surgeon, c.ID, complication.ID, complication.Revision))
		_, err := u.PutComplication(t.Context(), u.Surgeon, annotate.Complication{ID: u.NewID(), CaseID: c.ID, Kind: "dropped-fragment"})
		require.NoError(t, err)
		entries = inboxOf(t, u, u.Chair)
		require.Len(t, entries, 3)
		require.Equal(t, []any{annotate.InboxWithdrawn, "The record was changed: the rule no longer applies."}, []any{entries[0].State, entries[0].DismissedReason})
		require.Equal(t, []any{"Case 1", annotate.TriggerDroppedFragment, annotate.InboxWaiting}, []any{entries[1].Label, entries[1].Kind, entries[1].State})
		refused(t, annotate.CodeInvalid, second(u.DecideInbox(t.Context(), u.Chair, entries[0].ID, annotate.InboxDecision{State: annotate.InboxWaiting})))
		_, err = u.PutComplication(t.Context(), u.Surgeon, annotate.Complication{ID: u.NewID(), CaseID: c.ID, Kind: "zonular-dialysis"})
		require.NoError(t, err)
		entries = inboxOf(t, u, u.Chair)
		require.Len(t, entries, 3)
		require.Equal(t, []any{annotate.InboxWaiting, "", "Zonular dialysis without vitreous."}, []any{entries[0].State, entries[0].DismissedReason, entries[0].Reason})

		// What was dismissed or is on an agenda stays as it is, whatever becomes of the record.
		dismiss(t, u, entries[1])
		verified(t, u)
		schedule(t, u, entries[2])
		refused(t, annotate.CodeInvalid, second(u.DecideInbox(t.Context(), u.Chair, entries[2].ID, annotate.InboxDecision{State: annotate.InboxDismissed, Reason: "No."})))
		for _, id := range []string{c.ID, other.ID} {
			complications, err := u.Complications(t.Context(), u.Surgeon, id)
			require.NoError(t, err)
			for _, one := range complications {
				require.NoError(t, u.RemoveComplication(t.Context(), u.Surgeon, id, one.ID, one.Revision))
			}
		}
		states := []annotate.InboxState{}
		for _, entry := range inboxOf(t, u, u.Chair) {
			states = append(states, entry.State)
		}
		require.Equal(t, []annotate.InboxState{annotate.InboxWithdrawn, annotate.InboxDismissed, annotate.InboxScheduled}, states)
	})
}

func second[T any](_ T, err error) error { return err }

func TestTheRulesOfTheUnit(t *testing.T) {
	u := annotatetest.NewUnit(t, annotatetest.SQLiteAddress(t))
	unit, err := u.Service.Unit(t.Context())
	require.NoError(t, err)
	require.Len(t, unit.Triggers, len(annotate.TriggerChoices))
	for i, rule := range unit.Triggers {
		require.Equal(t, annotate.TriggerChoices[i].Kind, rule.Kind)
		require.Equal(t, rule.Kind != annotate.TriggerLongStep, rule.On, rule.Kind)
	}
	old, _ := troubled(t, u, "zonular-dialysis", func(c *annotate.Case) { c.Date = "2025-06-14" })
	troubled(t, u, "zonular-dialysis", func(c *annotate.Case) { c.Date = "2025-06-15" })
	entries := inboxOf(t, u, u.Chair)
	require.Len(t, entries, 1, "an operation of more than a year ago does not come by itself")
	require.NotEqual(t, old.ID, entries[0].CaseID)

	put := func(change func([]annotate.TriggerRule) []annotate.TriggerRule) (annotate.Unit, error) {
		unit, err := u.Service.Unit(t.Context())
		require.NoError(t, err)
		unit.Triggers = change(unit.Triggers)
		return u.PutUnit(t.Context(), u.Admin, unit)
	}
	off, err := put(func(rules []annotate.TriggerRule) []annotate.TriggerRule {
		return []annotate.TriggerRule{{Kind: annotate.TriggerZonularDialysis}}
	})
	require.NoError(t, err)
	require.Len(t, off.Triggers, len(annotate.TriggerChoices), "what is left out is off")
	entries = inboxOf(t, u, u.Chair)
	require.Equal(t, []any{annotate.InboxWithdrawn, "The unit switched the rule off."}, []any{entries[0].State, entries[0].DismissedReason})
	_, err = put(func([]annotate.TriggerRule) []annotate.TriggerRule { return nil })
	require.NoError(t, err)
	kept, err := u.Service.Unit(t.Context())
	require.NoError(t, err)
	require.Equal(t, off.Triggers, kept.Triggers, "a change that leaves the rules out keeps them")
	_, err = put(func(rules []annotate.TriggerRule) []annotate.TriggerRule {
		return []annotate.TriggerRule{{Kind: annotate.TriggerZonularDialysis, On: true}}
	})
	require.NoError(t, err)
	require.Equal(t, annotate.InboxWaiting, inboxOf(t, u, u.Chair)[0].State, "switched on again, it waits again")

	for name, row := range map[string]struct {
		rules []annotate.TriggerRule
		field string
	}{
		"unknown":           {[]annotate.TriggerRule{{Kind: "gut-feeling"}}, "triggers[0].kind"},
		"twice":             {[]annotate.TriggerRule{{Kind: annotate.TriggerConversion}, {Kind: annotate.TriggerConversion}}, "triggers[1].kind"},
		"grade 0":           {[]annotate.TriggerRule{{Kind: annotate.TriggerFirstDayOedema, Limit: pointerTo(0.0)}}, "triggers[0].limit"},
		"no grade":          {[]annotate.TriggerRule{{Kind: annotate.TriggerFirstDayOedema}}, "triggers[0].limit"},
		"a limit elsewhere": {[]annotate.TriggerRule{{Kind: annotate.TriggerConversion, Limit: pointerTo(1.0)}}, "triggers[0].limit"},
		"a step elsewhere":  {[]annotate.TriggerRule{{Kind: annotate.TriggerConversion, Step: "removal"}}, "triggers[0].step"},
		"a step with a /":   {[]annotate.TriggerRule{{Kind: annotate.TriggerLongStep, Step: "a/b"}}, "triggers[0].step"},
	} {
		_, err := put(func([]annotate.TriggerRule) []annotate.TriggerRule { return row.rules })
		require.Equal(t, row.field, refused(t, annotate.CodeInvalid, err).Fields[0].Field, name)
	}
}

// TestTwoServersSweepAtOnce lets two services on one database read the inbox at the same time, while cases still change.
func TestTwoServersSweepAtOnce(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		one := annotatetest.NewUnit(t, address)
		two := annotatetest.EmptyUnit(t, address)
		for range 100_000 {
			two.NewID() // so that the two do not make the same ids
		}
		const cases = 8
		for range cases {
			troubled(t, one, "vitreous-loss") // two reasons: it counts as a rupture too
		}
		var group sync.WaitGroup
		faults := make([]error, 8)
		for i := range faults {
			group.Go(func() { _, faults[i] = []*annotatetest.Unit{one, two}[i%2].Inbox(t.Context(), one.Chair) })
		}
		group.Wait()
		for _, err := range faults {
			require.NoError(t, err)
		}
		entries := inboxOf(t, two, one.Chair)
		require.Len(t, entries, 2*cases)
		for i, entry := range entries {
			require.Equal(t, fmt.Sprintf("Case %d", i/2+1), entry.Label)
			require.Equal(t, entries[i/2*2].CaseID, entry.CaseID)
		}
		verified(t, one)
	})
}

func TestWhoSeesTheInbox(t *testing.T) {
	u := annotatetest.NewUnit(t, annotatetest.SQLiteAddress(t))
	c, _ := troubled(t, u, "dropped-fragment")
	entries := inboxOf(t, u, u.Chair)
	require.Len(t, entries, 1)
	require.Empty(t, entries[0].CaseID, "the chair has no part in the case")
	theirs := inboxOf(t, u, u.Trainer)
	require.Len(t, theirs, 1)
	require.Equal(t, c.ID, theirs[0].CaseID)
	alone, _ := troubled(t, u, "dropped-fragment", func(c *annotate.Case) { c.Operators = c.Operators[:1] })
	require.Len(t, inboxOf(t, u, u.Chair), 2)
	require.Len(t, inboxOf(t, u, u.Trainer), 1)
	for _, actor := range []annotate.Actor{u.Surgeon, u.Trainee, u.Clinic, u.Admin, u.Stranger} {
		refused(t, annotate.CodeForbidden, second(u.Inbox(t.Context(), actor)))
	}
	refused(t, annotate.CodeForbidden, second(u.DecideInbox(t.Context(), u.Trainer, entries[0].ID, annotate.InboxDecision{State: annotate.InboxDismissed, Reason: "No."})))
	refused(t, annotate.CodeInvalid, second(u.DecideInbox(t.Context(), u.Chair, entries[0].ID, annotate.InboxDecision{State: annotate.InboxDismissed})))
	refused(t, annotate.CodeInvalid, second(u.DecideInbox(t.Context(), u.Chair, entries[0].ID, annotate.InboxDecision{State: annotate.InboxScheduled})))
	refused(t, annotate.CodeNotFound, second(u.DecideInbox(t.Context(), u.Chair, "none", annotate.InboxDecision{State: annotate.InboxWaiting})))
	dismiss(t, u, entries[0])
	again, err := u.DecideInbox(t.Context(), u.Chair, entries[0].ID, annotate.InboxDecision{State: annotate.InboxWaiting})
	require.NoError(t, err)
	require.Equal(t, entries[0], again)

	today, err := u.Today(t.Context(), u.Chair)
	require.NoError(t, err)
	require.Equal(t, 2, today.Inbox)
	today, err = u.Today(t.Context(), u.Surgeon)
	require.NoError(t, err)
	require.Zero(t, today.Inbox)

	reasons, err := u.CaseReasons(t.Context(), u.Trainee, c.ID)
	require.NoError(t, err)
	require.Equal(t, annotate.TriggerDroppedFragment, reasons[0].Kind)
	refused(t, annotate.CodeNotFound, second(u.CaseReasons(t.Context(), u.Trainee, alone.ID)))
	refused(t, annotate.CodeForbidden, second(u.CaseReasons(t.Context(), u.Clinic, alone.ID)))
}

func TestAskingToDiscuss(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c := u.AddCase(t, func(c *annotate.Case) { c.Pseudonym = "WREN-77" })
		renamed, err := u.PutUser(t.Context(), u.Admin, annotate.User{ID: u.Surgeon.ID, Revision: 1, Login: "surgeon", Name: "Ines van Quill", Roles: u.Surgeon.Roles, Active: true})
		require.NoError(t, err)
		u.Surgeon.User = renamed
		asked, err := u.AskToDiscuss(t.Context(), u.Trainee, c.ID, "Was the chamber too shallow for the second quadrant?")
		require.NoError(t, err)
		require.Equal(t, []any{annotate.TriggerRequested, annotate.InboxWaiting, "Case 1"}, []any{asked.Kind, asked.State, asked.Label})
		again, err := u.AskToDiscuss(t.Context(), u.Trainee, c.ID, asked.Reason)
		require.NoError(t, err)
		require.Equal(t, asked, again)
		newer, err := u.AskToDiscuss(t.Context(), u.Surgeon, c.ID, "And the hooks?")
		require.NoError(t, err)
		require.Equal(t, []any{asked.ID, "And the hooks?"}, []any{newer.ID, newer.Reason})
		require.Len(t, inboxOf(t, u, u.Chair), 1, "no rule takes a request away")
		dismiss(t, u, newer)
		newer, err = u.AskToDiscuss(t.Context(), u.Surgeon, c.ID, "Once more.")
		require.NoError(t, err)
		require.Equal(t, annotate.InboxWaiting, newer.State)
		verified(t, u)
		for name, words := range map[string]string{
			"nothing": " ", "pseudonym": "See wren-77 again.", "ISO date": "As on 2026-05-04.", "date": "As on 4.5.26, too long.",
			"name": "Ask Quill about it.", "whole name": "What did THE  TRAINER say?", "somebody else": "The stranger knows.",
		} {
			require.Equal(t, "words", refused(t, annotate.CodeInvalid, second(u.AskToDiscuss(t.Context(), u.Trainee, c.ID, words))).Fields[0].Field, name)
		}
		_, err = u.AskToDiscuss(t.Context(), u.Trainee, c.ID, "At 3:12 the operator in the van, a surgeon in training, stopped for 20.5 s; grade 3/4.")
		require.NoError(t, err)
		schedule(t, u, newer)
		refused(t, annotate.CodeInvalid, second(u.AskToDiscuss(t.Context(), u.Trainee, c.ID, "Too late.")))
		refused(t, annotate.CodeNotFound, second(u.AskToDiscuss(t.Context(), u.Stranger, c.ID, "Mine?")))
		refused(t, annotate.CodeForbidden, second(u.AskToDiscuss(t.Context(), u.Clinic, c.ID, "Ours?")))
		unit, err := u.Service.Unit(t.Context())
		require.NoError(t, err)
		unit.Triggers = []annotate.TriggerRule{}
		_, err = u.PutUnit(t.Context(), u.Admin, unit)
		require.NoError(t, err)
		refused(t, annotate.CodeInvalid, second(u.AskToDiscuss(t.Context(), u.Trainee, u.AddCase(t).ID, "Nobody listens.")))
	})
}

// TestReasonsTellNobody fills a case with words that must not leave it and looks for them in all that the chair gets.
func TestReasonsTellNobody(t *testing.T) {
	u := annotatetest.NewUnit(t, annotatetest.SQLiteAddress(t))
	hostile := []string{"QUAGGA", "2026-05-04", "05-04", u.Surgeon.ID, u.Trainer.ID, u.Trainee.ID, u.Surgeon.Name, u.Trainer.Name, u.Trainee.Name, "QUOKKA"}
	c, part, reading := u.Marked(t)
	c.Pseudonym, c.Operation.TechniquePerformed, c.Operation.ConversionReason, c.Operation.Note = "QUAGGA-9", annotate.TechniqueMSICS, "QUOKKA", "QUOKKA"
	c.Before.Exam = &annotate.EndothelialExam{Density: 2500, Instrument: "QUOKKA"}
	c, err := u.PutCase(t.Context(), u.Surgeon, c)
	require.NoError(t, err)
	add(t, u, u.Surgeon, reading.ID, u.Add(u.Marker(part.ID, "removal", 1000, 500_000)))
	for _, kind := range []string{"vitreous-loss", "zonular-dialysis", "dropped-fragment", "return-to-theatre", "endophthalmitis"} {
		complication := annotate.Complication{ID: u.NewID(), CaseID: c.ID, Kind: kind, Action: "QUOKKA", Note: "QUOKKA"}
		if kind == "return-to-theatre" || kind == "endophthalmitis" {
			complication.OnDate = "2026-05-06"
		}
		_, err := u.PutComplication(t.Context(), u.Surgeon, complication)
		require.NoError(t, err)
	}
	_, err = u.PutVisit(t.Context(), u.Clinic, annotate.Visit{
		ID: u.NewID(), CaseID: c.ID, Window: annotate.WindowDay1, Date: "2026-05-05", OedemaGrade: pointerTo(4), Note: "QUOKKA",
		Exam: &annotate.EndothelialExam{Density: 900, Instrument: "QUOKKA"},
	})
	require.NoError(t, err)
	_, err = u.AskToDiscuss(t.Context(), u.Trainee, c.ID, "Why was it so long?")
	require.NoError(t, err)
	inbox, err := u.Inbox(t.Context(), u.Chair)
	require.NoError(t, err)
	require.Len(t, inbox.Entries, 10, "%v", inbox.Entries)
	told, err := json.Marshal(inbox)
	require.NoError(t, err)
	for _, secret := range append(hostile, c.ID, part.ID, "2026-05") {
		require.NotContains(t, string(told), secret)
	}
}

// ruptured puts n cases with a rupture and their rows into the store, without the work of recording them.
func ruptured(t testing.TB, u *annotatetest.Unit, n int, changes ...func(i int, row *cohort.Row)) {
	t.Helper()
	rows := make([]cohort.Row, n)
	require.NoError(t, u.Store.Write(t.Context(), func(tx annotate.Tx) error {
		for i := range rows {
			c := u.NewCase()
			c.CreatedBy = u.Surgeon.ID
			if err := tx.InsertCase(t.Context(), c); err != nil {
				return err
			}
			rows[i] = cohort.Row{
				CaseID: c.ID, Date: c.Date, Technique: "phaco", CapsuleRupture: true,
				Complications: []cohort.Mishap{{Kind: "posterior-capsule-rupture"}},
			}
			for _, change := range changes {
				change(i, &rows[i])
			}
		}
		return tx.PutCaseRows(t.Context(), 1, rows...)
	}))
}

// TestALongSweepGoesOn has a clock by which every look takes two seconds.
func TestALongSweepGoesOn(t *testing.T) {
	u := annotatetest.NewUnit(t, annotatetest.SQLiteAddress(t))
	ruptured(t, u, 350)
	looks := 0
	service := annotate.NewService(annotate.Options{
		Store: u.Store, NewID: u.NewID, Media: u.Media, Now: func() time.Time { looks++; return u.Clock.Now().Add(time.Duration(looks) * 2 * time.Second) },
	})
	found := []int{}
	for more := true; more; {
		inbox, err := service.Inbox(t.Context(), u.Chair)
		require.NoError(t, err)
		more, found = inbox.More, append(found, len(inbox.Entries))
	}
	require.Greater(t, len(found), 2, "%v", found)
	require.Equal(t, 350, found[len(found)-1])
	require.IsIncreasing(t, found)
}
