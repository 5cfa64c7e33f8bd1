package annotate

import (
	"context"
	"errors"
	"fmt"
	"path"
	"slices"
	"strings"

	"zonule/timeline"
)

// Parts gives the parts of a case's recording in order.
func (s *Service) Parts(ctx context.Context, actor Actor, caseID string) ([]Part, error) {
	var parts []Part
	err := s.onCase(ctx, actor, caseID, RecordingView, func(tx Tx, _ seen) (err error) {
		parts, err = tx.Parts(ctx, caseID)
		return err
	})
	return parts, err
}

// PartForPlayback gives a part whose recording the actor may watch.
func (s *Service) PartForPlayback(ctx context.Context, actor Actor, partID string) (Part, error) {
	if err := present(actor); err != nil {
		return Part{}, err
	}
	var part Part
	err := s.store.Read(ctx, func(tx Tx) (err error) {
		part, err = tx.Part(ctx, partID)
		if part, err = found(part, err, true, "recording"); err != nil {
			return err
		}
		c, err := tx.Case(ctx, part.CaseID)
		if _, err = see(actor, c, err, RecordingView); err != nil {
			return notFoundInstead(err, "recording")
		}
		return nil
	})
	if err != nil {
		return Part{}, err
	}
	return part, nil
}

// notFoundInstead hides from somebody who does not see the case which kind of thing the id belongs to.
func notFoundInstead(err error, what string) error {
	if CodeOf(err) == CodeNotFound {
		return notFound(what)
	}
	return err
}

func (part *Part) normalise() {
	part.Source = strings.TrimSpace(part.Source)
	if part.Rates == nil {
		part.Rates = []timeline.RateSpan{}
	}
	if part.Cuts == nil {
		part.Cuts = []int64{}
	}
}

func (part Part) validate() error {
	var p problems
	p.id("id", part.ID)
	p.text("source", part.Source, 1, 2000)
	if part.Position < 0 || part.Position > 1000 {
		p.add("position", "must lie between 1 and 1000")
	}
	if len(part.Rates) > 1000 {
		p.add("rates", "has %d spans; at most 1000 are possible", len(part.Rates))
	}
	if len(part.Cuts) > 1000 {
		p.add("cuts", "has %d entries; at most 1000 are possible", len(part.Cuts))
	}
	return p.err("The recording")
}

// PutPart registers a part (revision 0; position 0 puts it last) or changes it. The file is looked at when it is new or
// another. The other parts move to make room for its position.
func (s *Service) PutPart(ctx context.Context, actor Actor, part Part) (Part, error) {
	part.normalise()
	if err := part.validate(); err != nil {
		return Part{}, err
	}
	known, err := s.knownPart(ctx, actor, part)
	if err != nil {
		return Part{}, err
	}
	part.Facts, part.State, part.StateReason, part.CheckedAt = known.Facts, known.State, known.StateReason, known.CheckedAt
	if known.Source != part.Source {
		if err := s.probe(ctx, &part); err != nil {
			return Part{}, err
		}
	}
	var kept Part
	err = s.changeCase(ctx, actor, part.CaseID, RecordingEdit, func(w *work) (err error) {
		kept, err = w.putPart(ctx, part)
		return err
	})
	if err != nil {
		return Part{}, err
	}
	return kept, nil
}

// knownPart gives the part as it is stored, a zero one when it is new; before the file is looked at, it checks that
// the actor may.
func (s *Service) knownPart(ctx context.Context, actor Actor, part Part) (Part, error) {
	var known Part
	err := s.onCase(ctx, actor, part.CaseID, RecordingEdit, func(tx Tx, _ seen) error {
		stored, err := tx.Part(ctx, part.ID)
		if errors.Is(err, ErrNoRow) && part.Revision == 0 {
			return nil
		}
		known, err = found(stored, err, stored.CaseID == part.CaseID, "recording")
		return err
	})
	return known, err
}

func (s *Service) probe(ctx context.Context, part *Part) error {
	facts, err := s.media.Probe(ctx, part.Source)
	if err != nil {
		return err
	}
	if facts.Duration <= 0 {
		refusal := Refuse(CodeMedia, "The length of the recording cannot be read, so that nothing could be marked on it.")
		refusal.Fields = []FieldError{{Field: "source", Message: refusal.Message}}
		return refusal
	}
	part.Facts, part.State, part.StateReason, part.CheckedAt = facts, PartOK, "", s.nowMs()
	if !facts.Playable {
		part.State, part.StateReason = PartNotPlayable, facts.Reason
	}
	return nil
}

func (w *work) putPart(ctx context.Context, part Part) (Part, error) {
	parts, err := w.tx.Parts(ctx, w.ID)
	if err != nil {
		return Part{}, err
	}
	others := slices.Clone(parts)
	var stored *Part
	if at := slices.IndexFunc(parts, func(p Part) bool { return p.ID == part.ID }); at >= 0 {
		stored = &parts[at]
		others = slices.Delete(others, at, at+1)
	}
	if part.Position == 0 && stored != nil {
		part.Position = stored.Position
	}
	if part.Position == 0 || part.Position > len(others)+1 {
		part.Position = len(others) + 1
	}
	if stored == nil && part.Revision != 0 {
		return Part{}, notFound("recording")
	}
	ordered := slices.Insert(others, part.Position-1, part)
	if err := checkClock(ordered); err != nil {
		return Part{}, err
	}
	part.ClearedBy, part.ClearedAt = "", 0
	if stored != nil && stored.Source == part.Source {
		part.ClearedBy, part.ClearedAt = stored.ClearedBy, stored.ClearedAt
	}
	if stored == nil {
		part.Revision = 1
		if err := w.tx.InsertPart(ctx, part); errors.Is(err, ErrDuplicate) {
			return Part{}, Refuse(CodeTaken, "The id of the new recording is in use; make another.")
		} else if err != nil {
			return Part{}, err
		}
		w.note("recording.add", part.ID, Differences(nil, part))
		return part, w.renumber(ctx, ordered, part.ID)
	}
	differences := Differences(*stored, part)
	if len(differences) == 0 {
		return *stored, nil
	}
	if part.Revision != stored.Revision {
		return Part{}, stale("The recording", part, *stored)
	}
	part.Revision++
	if err := w.tx.UpdatePart(ctx, part); err != nil {
		return Part{}, err
	}
	w.note("recording.change", part.ID, differences)
	return part, w.renumber(ctx, ordered, part.ID)
}

// renumber gives the other parts the positions in which they stand.
func (w *work) renumber(ctx context.Context, ordered []Part, except string) error {
	for i, part := range ordered {
		if part.ID == except || part.Position == i+1 {
			continue
		}
		part.Position = i + 1
		part.Revision++
		if err := w.tx.UpdatePart(ctx, part); err != nil {
			return err
		}
	}
	return nil
}

// checkClock refuses parts that cannot be placed one after another.
func checkClock(parts []Part) error {
	_, err := clockOf(parts)
	var fault *timeline.PartError
	if errors.As(err, &fault) {
		var p problems
		p.add(fault.Field, "cannot be: %s", strings.TrimSuffix(fault.Message, "."))
		return p.err("The recording")
	}
	return err
}

// clockOf places parts, given in their order, on the case clock.
func clockOf(parts []Part) (timeline.Clock, error) {
	placed := make([]timeline.Part, len(parts))
	for i, part := range parts {
		placed[i] = timeline.Part{
			ID: part.ID, Name: fmt.Sprintf("Part %d (%s)", i+1, path.Base(part.Source)), Duration: part.Facts.Duration,
			Offset: part.Offset, Rates: part.Rates, Cuts: part.Cuts, RealTime: part.RealTime,
		}
	}
	return timeline.NewClock(placed)
}

// RemovePart takes a part off the case; the file is left alone. It is refused while anything stands on the part.
func (s *Service) RemovePart(ctx context.Context, actor Actor, caseID, partID string, revision int64) error {
	return s.changeCase(ctx, actor, caseID, RecordingEdit, func(w *work) error {
		parts, err := w.tx.Parts(ctx, caseID)
		if err != nil {
			return err
		}
		at := slices.IndexFunc(parts, func(p Part) bool { return p.ID == partID })
		if at < 0 {
			return notFound("recording")
		}
		part := parts[at]
		if part.Revision != revision {
			return stale("The recording", nil, part)
		}
		uses, err := w.tx.PartUses(ctx, partID)
		if err != nil {
			return err
		}
		if uses > 0 {
			var p problems
			p.add("id", "still carries %d markers, events, comments or complications; remove them first", uses)
			return p.err("The recording")
		}
		ordered := slices.Delete(parts, at, at+1)
		if err := checkClock(ordered); err != nil {
			return err
		}
		if err := w.tx.DeletePart(ctx, partID); err != nil {
			return err
		}
		w.note("recording.remove", partID, Differences(part, nil))
		return w.renumber(ctx, ordered, "")
	})
}

// CheckParts looks whether the files are still the ones that were registered, and keeps what it finds.
func (s *Service) CheckParts(ctx context.Context, actor Actor, caseID string) ([]Part, error) {
	var parts []Part
	err := s.onCase(ctx, actor, caseID, RecordingEdit, func(tx Tx, _ seen) (err error) {
		parts, err = tx.Parts(ctx, caseID)
		return err
	})
	if err != nil {
		return nil, err
	}
	for i := range parts {
		part := &parts[i]
		part.State, part.StateReason, err = s.media.State(ctx, part.Source, part.Facts)
		if err != nil {
			return nil, err
		}
		part.CheckedAt = s.nowMs()
	}
	err = s.changeCase(ctx, actor, caseID, RecordingEdit, func(w *work) (err error) {
		parts, err = w.keepStates(ctx, parts)
		return err
	})
	return parts, err
}

// keepStates stores the states that were found of the parts that did not change meanwhile.
func (w *work) keepStates(ctx context.Context, checked []Part) ([]Part, error) {
	stored, err := w.tx.Parts(ctx, w.ID)
	if err != nil {
		return nil, err
	}
	for i, part := range stored {
		at := slices.IndexFunc(checked, func(p Part) bool { return p.ID == part.ID && p.Source == part.Source })
		if at < 0 {
			continue
		}
		before := part
		part.State, part.StateReason, part.CheckedAt = checked[at].State, checked[at].StateReason, checked[at].CheckedAt
		if part.State == PartChanged {
			part.ClearedBy, part.ClearedAt = "", 0 // it was said of another file
		}
		if err := w.tx.UpdatePart(ctx, part); err != nil {
			return nil, err
		}
		if part.State != before.State {
			w.note("recording.check", part.ID, Differences(before.State, part.State))
		}
		stored[i] = part
	}
	return stored, nil
}
