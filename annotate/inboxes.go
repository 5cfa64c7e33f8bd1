package annotate

import (
	"context"
	"errors"
	"slices"
)

// Inbox is what waits for a meeting and what became of it.
type Inbox struct {
	// Entries stand by the number of their case and then by age.
	Entries []InboxEntry `json:"entries"`
	// More: cases are still to be held against the rules; the next reader of the inbox goes on.
	More bool `json:"more"`
}

// Inbox holds the cases that changed against the unit's rules and gives the reasons to discuss cases: to the chair all, to
// trainers those of the cases that they may see. Who may not see a case is not told its id.
func (s *Service) Inbox(ctx context.Context, actor Actor) (Inbox, error) {
	if err := mayManage(actor, InboxView); err != nil {
		return Inbox{}, err
	}
	more, err := s.sweepInbox(ctx, actor)
	if err != nil {
		return Inbox{}, err
	}
	inbox := Inbox{Entries: []InboxEntry{}, More: more}
	err = s.store.Read(ctx, func(tx Tx) error {
		all, err := tx.InboxEntries(ctx)
		if err != nil {
			return err
		}
		cases, err := sightOf(ctx, tx, actor, CaseView)
		if err != nil {
			return err
		}
		for _, entry := range all {
			if !Can(actor, InboxEdit, RelationNone) && !cases.sees(entry.CaseID) {
				continue
			}
			shown, err := s.hideMeeting(ctx, tx, actor, &entry)
			if err != nil {
				return err
			}
			if !shown {
				continue
			}
			cases.hide(&entry.CaseID)
			inbox.Entries = append(inbox.Entries, entry)
		}
		return nil
	})
	return inbox, err
}

// waitingCases counts the cases that wait for a meeting, for whoever makes the agenda.
func (s *Service) waitingCases(ctx context.Context, tx Tx, actor Actor) (int, error) {
	if !Can(actor, InboxEdit, RelationNone) {
		return 0, nil
	}
	entries, err := tx.InboxEntries(ctx)
	waiting := map[int]bool{}
	for _, entry := range entries {
		if entry.State == InboxWaiting {
			waiting[entry.Number] = true
		}
	}
	return len(waiting), err
}

// InboxDecision is what the chair decides about a reason: to leave it out, with words, or to let it wait again.
type InboxDecision struct {
	State  InboxState `json:"state"`
	Reason string     `json:"reason" required:"false"`
}

// DecideInbox dismisses a reason or lets it wait again; the chair may. What is on an agenda is decided there.
func (s *Service) DecideInbox(ctx context.Context, actor Actor, id string, decision InboxDecision) (InboxEntry, error) {
	if err := mayManage(actor, InboxEdit); err != nil {
		return InboxEntry{}, err
	}
	var p problems
	oneOf(&p, "state", decision.State, true, InboxWaiting, InboxDismissed)
	least := 0
	if decision.State == InboxDismissed {
		least = 1
	} else {
		decision.Reason = ""
	}
	p.text("reason", decision.Reason, least, 500)
	if err := p.err("The decision"); err != nil {
		return InboxEntry{}, err
	}
	var decided InboxEntry
	err := s.store.Write(ctx, func(tx Tx) error {
		if _, err := tx.LockInbox(ctx); err != nil {
			return err
		}
		entry, err := tx.InboxEntry(ctx, id)
		if entry, err = found(entry, err, true, "entry of the inbox"); err != nil {
			return err
		}
		decided = entry
		decided.State, decided.DismissedReason = decision.State, decision.Reason
		cases, err := sightOf(ctx, tx, actor, CaseView)
		if err != nil {
			return err
		}
		if err := s.keepEntry(ctx, tx, actor, entry, decided); err != nil {
			return err
		}
		cases.hide(&decided.CaseID)
		return nil
	})
	if err != nil {
		return InboxEntry{}, err
	}
	return decided, nil
}

// keepEntry keeps a change of an entry that was made by a person.
func (s *Service) keepEntry(ctx context.Context, tx Tx, actor Actor, stored, entry InboxEntry) error {
	switch {
	case stored == entry:
		return nil
	case stored.State == InboxScheduled:
		return Refuse(CodeInvalid, "%s is on the agenda of a meeting; take it off there first.", stored.Label)
	case stored.State == InboxWithdrawn && entry.Kind != TriggerRequested:
		return Refuse(CodeInvalid, "The reason was withdrawn: %s", stored.DismissedReason)
	}
	if err := tx.UpdateInboxEntry(ctx, entry, stored.State); errors.Is(err, ErrNotOne) {
		return Refuse(CodeInvalid, "%s was put on the agenda of a meeting at this moment.", stored.Label)
	} else if err != nil {
		return err
	}
	return s.record(ctx, tx, actor, inboxAudit(stored, entry))
}

// CaseReasons gives the reasons for which a case is or was to be discussed, for those who took part in it.
func (s *Service) CaseReasons(ctx context.Context, actor Actor, caseID string) ([]InboxEntry, error) {
	entries := []InboxEntry{}
	err := s.onCase(ctx, actor, caseID, CaseDiscuss, func(tx Tx, _ seen) error {
		stored, err := tx.InboxEntriesOf(ctx, caseID)
		entries = append(entries, stored...)
		return err
	})
	return entries, err
}

// AskToDiscuss brings a case to the meeting because somebody who took part in it asks, with words that name nobody. Asked
// again while it waits, the newer words stand.
func (s *Service) AskToDiscuss(ctx context.Context, actor Actor, caseID, words string) (InboxEntry, error) {
	if err := present(actor); err != nil {
		return InboxEntry{}, err
	}
	var asked InboxEntry
	err := s.store.Write(ctx, func(tx Tx) error {
		c, err := tx.Case(ctx, caseID)
		of, err := see(actor, c, err, CaseDiscuss)
		if err != nil {
			return err
		}
		unit, err := unitOf(ctx, tx)
		if err != nil {
			return err
		}
		if !unit.trigger(TriggerRequested).On {
			return Refuse(CodeInvalid, "This unit takes no requests to discuss a case; an administrator can switch them on under Meeting rules.")
		}
		if err := checkBlinded(ctx, tx, of.Case, words); err != nil {
			return err
		}
		if _, err := tx.LockInbox(ctx); err != nil {
			return err
		}
		asked, err = s.ask(ctx, tx, actor, caseID, words)
		return err
	})
	if err != nil {
		return InboxEntry{}, err
	}
	return asked, nil
}

// ask keeps a request in a transaction that holds the inbox.
func (s *Service) ask(ctx context.Context, tx Tx, actor Actor, caseID, words string) (InboxEntry, error) {
	stored, err := tx.InboxEntriesOf(ctx, caseID)
	if err != nil {
		return InboxEntry{}, err
	}
	at := slices.IndexFunc(stored, func(e InboxEntry) bool { return e.Kind == TriggerRequested })
	if at >= 0 {
		entry := stored[at]
		entry.State, entry.Reason, entry.DismissedReason = InboxWaiting, words, ""
		if stored[at].State == InboxDismissed {
			entry.RaisedAt = s.nowMs()
		}
		return entry, s.keepEntry(ctx, tx, actor, stored[at], entry)
	}
	k := inboxKeeping{service: s, tx: tx}
	if k.last, err = tx.LastInboxNumber(ctx); err != nil {
		return InboxEntry{}, err
	}
	if err := k.raise(ctx, caseID, TriggerReason{TriggerRequested, words}); err != nil {
		return InboxEntry{}, err
	}
	entry, err := tx.InboxEntry(ctx, k.entries[0].ThingID)
	if err != nil {
		return InboxEntry{}, err
	}
	return entry, s.record(ctx, tx, actor, k.entries...)
}
