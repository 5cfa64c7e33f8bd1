package annotate

import (
	"context"
	"errors"
	"fmt"
	"slices"
)

// Bounds of one call, so that a transaction stays short. A page that was long without network sends in pieces.
const (
	mostEdits   = 1000
	mostChanges = 500
)

// AddEdits adds edits to the journal of a reading, all or nothing. An edit whose id is there already is answered as
// done. A change is refused as stale when its item has changed since the version that Base names; an edit of the same
// call that came before does not count, so that a page may send what it did without waiting for numbers. For a stale
// change, Yours is the Change as sent and Theirs the item as it stands, as a Change too (without an item: it is gone).
func (s *Service) AddEdits(ctx context.Context, actor Actor, readingID string, edits []Edit) ([]EditAnswer, error) {
	if err := validateEdits(edits); err != nil {
		return nil, err
	}
	var answers []EditAnswer
	err := s.changeReading(ctx, actor, readingID, ReadingView, func(w *work, reading Reading) error {
		j, err := openJournal(ctx, w, reading)
		if err != nil {
			return err
		}
		answers, err = j.add(ctx, edits)
		return err
	})
	if err != nil {
		return nil, err
	}
	return answers, nil
}

// validateEdits checks what needs no store.
func validateEdits(edits []Edit) error {
	var p problems
	if len(edits) == 0 || len(edits) > mostEdits {
		p.add("edits", "must hold 1 to %d edits", mostEdits)
		return p.err("The marking")
	}
	for i, edit := range edits {
		field := fmt.Sprintf("edits[%d].", i)
		p.id(field+"id", edit.ID)
		oneOf(&p, field+"action", edit.Action, true, Actions...)
		if (edit.Undoes != "") != (edit.Action == "undo" || edit.Action == "redo") {
			p.add(field+"undoes", "must name the edit that an undo or redo is about, and stand in no other edit")
		}
		if len(edit.Changes) == 0 || len(edit.Changes) > mostChanges {
			p.add(field+"changes", "must hold 1 to %d changes", mostChanges)
			continue
		}
		touched := map[itemKey]bool{}
		for n, change := range edit.Changes {
			change.validateShape(&p, fmt.Sprintf("%schanges[%d].", field, n))
			if touched[change.key()] {
				p.add(fmt.Sprintf("%schanges[%d].id", field, n), "is changed twice in one edit")
			}
			touched[change.key()] = true
		}
	}
	return p.err("The marking")
}

// journal is one reading being added to.
type journal struct {
	w       *work
	reading Reading
	all     items
	// done holds the edits of this call that were there before, and those added so far.
	done map[string]Edit
	// built holds for each item that the edits of this call touched, old or new, the version that the first was based on.
	built   map[itemKey]built
	touched map[itemKey]bool
	marking markContext
}

// built is what an item was made from by the edits of one call.
type built struct {
	base int64 // of the first edit that touched it
	seq  int64 // of the newest
	// removed: the newest took it away.
	removed bool
}

func openJournal(ctx context.Context, w *work, reading Reading) (*journal, error) {
	state, err := w.tx.ReadingState(ctx, reading.ID)
	if err != nil {
		return nil, err
	}
	all := itemsOf(state)
	marking, err := newMarkContext(ctx, w, reading, all)
	if err != nil {
		return nil, err
	}
	return &journal{
		w: w, reading: reading, all: all, done: map[string]Edit{}, built: map[itemKey]built{},
		touched: map[itemKey]bool{}, marking: marking,
	}, nil
}

func (j *journal) add(ctx context.Context, edits []Edit) ([]EditAnswer, error) {
	if err := j.findDone(ctx, edits); err != nil {
		return nil, err
	}
	answers := make([]EditAnswer, 0, len(edits))
	var added []Edit
	for i, edit := range edits {
		if before, ok := j.done[edit.ID]; ok {
			j.build(edit.Changes, before.Seq)
			answers = append(answers, EditAnswer{ID: edit.ID, Seq: before.Seq, AlreadyDone: true})
			continue
		}
		edit, err := j.apply(ctx, fmt.Sprintf("edits[%d].", i), edit)
		if err != nil {
			return nil, err
		}
		j.done[edit.ID] = edit
		added = append(added, edit)
		answers = append(answers, EditAnswer{ID: edit.ID, Seq: edit.Seq})
	}
	return answers, j.keep(ctx, added)
}

// findDone looks for the edits that were applied before.
func (j *journal) findDone(ctx context.Context, edits []Edit) error {
	ids := make([]string, 0, 2*len(edits))
	for _, edit := range edits {
		ids = append(ids, edit.ID)
		if edit.Undoes != "" {
			ids = append(ids, edit.Undoes)
		}
	}
	kept, err := j.w.tx.EditsByID(ctx, ids)
	if err != nil {
		return err
	}
	for _, edit := range kept {
		if edit.ReadingID == j.reading.ID {
			j.done[edit.ID] = edit.Edit
			continue
		}
		if slices.ContainsFunc(edits, func(e Edit) bool { return e.ID == edit.ID }) {
			return Refuse(CodeTaken, "The id of an edit is in use in another reading; nothing was saved.")
		}
	}
	return nil
}

// apply checks one edit against what stands and applies it in memory.
func (j *journal) apply(ctx context.Context, field string, edit Edit) (Edit, error) {
	if _, known := j.done[edit.Undoes]; edit.Undoes != "" && !known {
		var p problems
		p.add(field+"undoes", "names no edit of this reading")
		return Edit{}, p.err("The marking")
	}
	edit.Seq, edit.AuthorID, edit.MadeAt = j.reading.Seq+1, j.w.actor.ID, j.w.now
	changes := make([]Change, len(edit.Changes))
	for n, change := range edit.Changes {
		now, err := j.check(change, fmt.Sprintf("%schanges[%d].", field, n))
		if err != nil {
			return Edit{}, err
		}
		changes[n] = j.marking.complete(change, now, edit.Seq)
		changes[n].Base = now.Base
		j.all.put(changes[n], edit.Seq)
		j.touched[change.key()] = true
	}
	// The rules are asked once all changes of the edit stand, because they hold together.
	var p problems
	for n, change := range changes {
		if err := j.marking.validate(ctx, &p, fmt.Sprintf("%schanges[%d].", field, n), change); err != nil {
			return Edit{}, err
		}
	}
	j.threads(&p, field, changes)
	if err := p.err("The marking"); err != nil {
		return Edit{}, err
	}
	j.build(edit.Changes, edit.Seq)
	edit.Changes = changes
	j.reading.Seq = edit.Seq
	return edit, nil
}

// check refuses a change that the actor may not make, or that was built on another version than stands. It gives what
// stands.
func (j *journal) check(change Change, field string) (Change, error) {
	now, stands := j.all[change.key()]
	if err := j.marking.allowed(change, now, j.reading); err != nil {
		return Change{}, err
	}
	fits := change.Base == now.Base
	if chain, chained := j.built[change.key()]; chained {
		fits = stands == !chain.removed && (fits || chain.base == change.Base && chain.seq >= now.Base)
	}
	if fits && (stands || !change.Removes()) {
		return now, nil
	}
	if !stands {
		now = Change{Thing: change.Thing, ID: change.ID}
	}
	refusal := &Error{
		Code: CodeStale, Yours: change, Theirs: now,
		Message: "Somebody changed the same " + string(change.Thing) + " since you saw it. Both versions are shown; nothing was saved.",
		Fields:  []FieldError{{Field: field + "base", Message: fmt.Sprintf("is %d, but the item was last changed by edit %d", change.Base, now.Base)}},
	}
	return Change{}, refusal
}

// build remembers which items the edit of this call made, and from which version.
func (j *journal) build(changes []Change, seq int64) {
	for _, change := range changes {
		b, known := j.built[change.key()]
		if !known {
			b.base = change.Base
		}
		b.seq, b.removed = seq, change.Removes()
		j.built[change.key()] = b
	}
}

// threads refuses an edit after which an answer stands without the comment that it answers.
func (j *journal) threads(p *problems, field string, changes []Change) {
	for n, change := range changes {
		if change.Thing != ThingComment || !change.Removes() {
			continue
		}
		for _, other := range j.all {
			if other.Comment != nil && other.Comment.ReplyTo == change.ID {
				p.add(fmt.Sprintf("%schanges[%d].id", field, n), "is a comment that was answered; settle it instead")
				break
			}
		}
	}
}

// keep stores what was added, and the rows of the items that it touched.
func (j *journal) keep(ctx context.Context, added []Edit) error {
	if len(added) == 0 {
		return nil
	}
	tx := j.w.tx
	if err := tx.AppendEdits(ctx, j.reading.ID, added); errors.Is(err, ErrDuplicate) {
		return Refuse(CodeTaken, "The id of an edit is in use in another reading; nothing was saved.")
	} else if err != nil {
		return err
	}
	rows := make([]Change, 0, len(j.touched))
	for key := range j.touched {
		row, stands := j.all[key]
		if !stands {
			row = Change{Thing: key.thing, ID: key.id}
		}
		rows = append(rows, row)
	}
	if err := tx.PutItems(ctx, j.reading.ID, rows); err != nil {
		return err
	}
	if err := tx.UpdateReading(ctx, j.reading); err != nil {
		return err
	}
	if j.reading.Accepted {
		state := j.all.state(j.reading)
		j.w.accepted = &state
	}
	// The hash ties the journal to the audit chain: an entry of either cannot be changed without the other.
	j.w.entries = append(j.w.entries, AuditEntry{
		Action: "reading.edit", CaseID: j.w.ID, ThingID: j.reading.ID,
		Detail: jsonText(journalSeal{From: added[0].Seq, To: added[len(added)-1].Seq, Hash: hashOf(added)}),
	})
	return nil
}

// journalSeal is what the audit log keeps about a piece of a journal.
type journalSeal struct {
	From int64  `json:"from"` // seq
	To   int64  `json:"to"`
	Hash string `json:"hash"` // SHA-256 of the JSON of the edits
}
