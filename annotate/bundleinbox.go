package annotate

import (
	"context"
	"encoding/json"
	"slices"
)

// takeInbox stores the reasons to discuss a case. They are the unit's, so that a bundle of one case holds none.
func (b *bundleReader) takeInbox(ctx context.Context, w *work, entries []InboxEntry) error {
	if len(entries) > 0 && b.head.Unit == nil {
		return badBundle("a bundle of one case has no inbox")
	}
	for _, entry := range entries {
		var p problems
		p.id("id", entry.ID)
		oneOf(&p, "state", entry.State, true, InboxWaiting, InboxScheduled, InboxDismissed, InboxWithdrawn)
		p.text("reason", entry.Reason, 1, 4000)
		p.text("dismissedReason", entry.DismissedReason, 0, 500)
		if !slices.ContainsFunc(TriggerChoices, func(c TriggerChoice) bool { return c.Kind == entry.Kind }) {
			p.add("kind", "is not a rule that there is")
		}
		if entry.Number < 1 || entry.Number != entries[0].Number {
			p.add("number", "must be the same, from 1, in all reasons of a case")
		}
		if err := p.err("The reason to discuss the case"); err != nil {
			return err
		}
		if entry.CaseID != w.ID {
			return badBundle("a reason to discuss a case belongs to another case")
		}
		if err := b.tx.InsertInboxEntry(ctx, entry); err != nil {
			return err
		}
	}
	return nil
}

// inbox compares the reasons to discuss the case with what the audit log holds of them.
func (v *verifier) inbox(ctx context.Context, tx Tx, log []AuditEntry) error {
	entries, err := tx.InboxEntriesOf(ctx, v.caseID)
	if err != nil {
		return err
	}
	for _, entry := range entries {
		told := map[string]any{}
		for _, logged := range slices.Backward(log) { // newest first, so that the oldest comes first
			if logged.ThingID != entry.ID {
				continue
			}
			var changes []Difference
			if err := json.Unmarshal([]byte(logged.Detail), &changes); err != nil {
				v.tell("audit", entry.ID, "entry %d cannot be read", logged.Seq)
				continue
			}
			for _, change := range changes {
				told[change.Field] = change.After
			}
		}
		for _, d := range Differences(told, entry.kept()) {
			v.tell("inbox", entry.ID, "%s is not what the audit log holds", d.Field)
		}
	}
	return nil
}
