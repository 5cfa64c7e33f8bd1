package annotate

import (
	"context"
	"errors"
	"slices"
)

// Why a reason was withdrawn, for whoever looks for it.
const (
	noLongerApplies = "The record was changed: the rule no longer applies."
	ruleIsOff       = "The unit switched the rule off."
)

// keepSwept keeps what a sweep found, unless another one, on this server or another, has gone on since it began.
func (s *Service) keepSwept(ctx context.Context, tx Tx, actor Actor, found sweeping) error {
	now, err := tx.LockInbox(ctx)
	if err != nil || now != found.had {
		return err
	}
	k := inboxKeeping{service: s, tx: tx, unit: found.unit}
	if k.last, err = tx.LastInboxNumber(ctx); err != nil {
		return err
	}
	for _, one := range found.cases {
		if err := k.keep(ctx, one); err != nil {
			return err
		}
	}
	if err := k.keepDrawn(ctx, found.drawn); err != nil {
		return err
	}
	if found.next != found.had {
		if err := tx.PutInboxSweep(ctx, found.next); err != nil {
			return err
		}
	}
	if len(k.entries) == 0 {
		return nil
	}
	return s.record(ctx, tx, Actor{User: User{ID: rulesID}, RequestID: actor.RequestID}, k.entries...)
}

// inboxKeeping adds and changes reasons in one transaction that holds the inbox.
type inboxKeeping struct {
	service *Service
	tx      Tx
	unit    Unit
	last    int          // greatest number of a case
	entries []AuditEntry // of what was done
}

// keep brings the reasons of a case to what the rules found. What was dismissed or is on an agenda stays as it is.
func (k *inboxKeeping) keep(ctx context.Context, one judged) error {
	stored, err := k.tx.InboxEntriesOf(ctx, one.caseID)
	if err != nil {
		return err
	}
	for _, entry := range stored {
		if err := k.review(ctx, entry, one); err != nil {
			return err
		}
	}
	if !one.recent {
		return nil
	}
	for _, reason := range one.reasons {
		if slices.ContainsFunc(stored, func(e InboxEntry) bool { return e.Kind == reason.Kind }) {
			continue
		}
		if err := k.raise(ctx, one.caseID, reason); err != nil {
			return err
		}
	}
	return nil
}

// review holds a reason that is there against what the rules find now.
func (k *inboxKeeping) review(ctx context.Context, entry InboxEntry, one judged) error {
	changed := entry
	at := slices.IndexFunc(one.reasons, func(r TriggerReason) bool { return r.Kind == entry.Kind })
	rule := k.unit.trigger(entry.Kind)
	switch {
	case entry.Kind == TriggerRequested:
		return nil
	case at >= 0 && (entry.State == InboxWaiting || entry.State == InboxWithdrawn):
		changed.State, changed.DismissedReason, changed.Reason = InboxWaiting, "", one.reasons[at].Words
	case entry.State != InboxWaiting:
		return nil
	case !rule.On:
		changed.State, changed.DismissedReason = InboxWithdrawn, ruleIsOff
	case entry.Kind == TriggerGoodCase && one.good:
		return nil
	default:
		changed.State, changed.DismissedReason = InboxWithdrawn, noLongerApplies
	}
	if changed == entry {
		return nil
	}
	if changed.State != entry.State && changed.State == InboxWaiting {
		changed.RaisedAt = k.service.nowMs()
	}
	err := k.tx.UpdateInboxEntry(ctx, changed, entry.State)
	if errors.Is(err, ErrNotOne) {
		return nil // it was put on an agenda, or dismissed, at this moment; that stands
	}
	k.note(entry, changed)
	return err
}

// note writes down what became of an entry; before is the zero value for a new one.
func (k *inboxKeeping) note(before, after InboxEntry) {
	k.entries = append(k.entries, inboxAudit(before, after))
}

// inboxAudit is the audit entry of a change; before is the zero value for a new entry.
func inboxAudit(before, after InboxEntry) AuditEntry {
	action := "inbox.change"
	if before.ID == "" {
		action = "inbox.add"
	}
	return AuditEntry{Action: action, CaseID: after.CaseID, ThingID: after.ID, Detail: detail(Differences(before.kept(), after.kept()))}
}

// keptEntry is what of an entry is kept of itself.
type keptEntry struct {
	Number          int         `json:"number"`
	Kind            TriggerKind `json:"kind"`
	Reason          string      `json:"reason"`
	State           InboxState  `json:"state"`
	DismissedReason string      `json:"dismissedReason"`
	MeetingID       string      `json:"meetingId"`
}

func (e InboxEntry) kept() any {
	if e.ID == "" {
		return nil
	}
	return keptEntry{e.Number, e.Kind, e.Reason, e.State, e.DismissedReason, e.MeetingID}
}

// raise adds a reason to a case. All reasons of a case have one number.
func (k *inboxKeeping) raise(ctx context.Context, caseID string, reason TriggerReason) error {
	stored, err := k.tx.InboxEntriesOf(ctx, caseID)
	if err != nil {
		return err
	}
	entry := InboxEntry{
		ID: k.service.newID(), CaseID: caseID, Kind: reason.Kind, Reason: reason.Words, RaisedAt: k.service.nowMs(), State: InboxWaiting,
	}
	if len(stored) > 0 {
		entry.Number = stored[0].Number
	} else {
		k.last++
		entry.Number = k.last
	}
	entry.Label = InboxLabel(entry.Number)
	k.note(InboxEntry{}, entry)
	return k.tx.InsertInboxEntry(ctx, entry)
}

// keepDrawn adds the good cases that were drawn, unless their month has one by now.
func (k *inboxKeeping) keepDrawn(ctx context.Context, drawn []judged) error {
	for _, one := range drawn {
		taken, err := goodMonthsTaken(ctx, k.tx)
		if err != nil {
			return err
		}
		c, err := k.tx.Case(ctx, one.caseID)
		if err != nil {
			return err
		}
		if taken[monthOf(c.Date)] {
			continue
		}
		if err := k.raise(ctx, one.caseID, one.reasons[0]); err != nil {
			return err
		}
	}
	return nil
}

// monthOf is the month of a date, such as "2026-03".
func monthOf(date string) string { return date[:min(len(date), len("2026-03"))] }

// goodMonthsTaken are the months of operations from which a good case was drawn, whatever became of it.
func goodMonthsTaken(ctx context.Context, tx Tx) (map[string]bool, error) {
	entries, err := tx.InboxEntries(ctx)
	if err != nil {
		return nil, err
	}
	var ids []string
	for _, entry := range entries {
		if entry.Kind == TriggerGoodCase {
			ids = append(ids, entry.CaseID)
		}
	}
	cases, err := tx.Cases(ctx, ids)
	taken := map[string]bool{}
	for _, c := range cases {
		taken[monthOf(c.Date)] = true
	}
	return taken, err
}
