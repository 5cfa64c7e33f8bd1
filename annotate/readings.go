package annotate

import (
	"context"
	"errors"
	"slices"

	"zonule/timeline"
)

// seesReading tells whether somebody who sees the case's readings sees this one: those with whom the case is shared
// see only the accepted one.
func (c seen) seesReading(reading Reading) bool {
	return c.can(ReadingView) && (reading.Accepted || c.relation != RelationShared)
}

// mayMark tells whether the actor may mark this reading. The accepted one is common to the operators and the
// supervisor; another one is marked by its author alone, so that two readings can be compared.
func (c seen) mayMark(reading Reading) bool {
	return c.can(ReadingMark) && (reading.Accepted || reading.AuthorID == c.actor.ID)
}

// Readings gives the readings of a case that the actor sees, oldest first.
func (s *Service) Readings(ctx context.Context, actor Actor, caseID string) ([]Reading, error) {
	readings := []Reading{}
	err := s.onCase(ctx, actor, caseID, ReadingView, func(tx Tx, c seen) error {
		all, err := tx.Readings(ctx, caseID)
		for _, reading := range all {
			if c.seesReading(reading) {
				readings = append(readings, reading)
			}
		}
		return err
	})
	return readings, err
}

// onReading runs fn on one consistent state in which the actor sees the reading.
func (s *Service) onReading(ctx context.Context, actor Actor, readingID string, fn func(tx Tx, c seen, reading Reading) error) error {
	if err := present(actor); err != nil {
		return err
	}
	return s.store.Read(ctx, func(tx Tx) error {
		c, reading, err := seeReading(ctx, tx, actor, readingID)
		if err != nil {
			return err
		}
		return fn(tx, c, reading)
	})
}

// seeReading reads a reading that the actor sees, with its case.
func seeReading(ctx context.Context, tx Tx, actor Actor, readingID string) (seen, Reading, error) {
	reading, err := tx.Reading(ctx, readingID)
	if reading, err = found(reading, err, true, "reading"); err != nil {
		return seen{}, Reading{}, err
	}
	c, err := tx.Case(ctx, reading.CaseID)
	visible, err := see(actor, c, err, ReadingView)
	if err != nil {
		return seen{}, Reading{}, notFoundInstead(err, "reading")
	}
	if !visible.seesReading(reading) {
		return seen{}, Reading{}, notFound("reading")
	}
	return visible, reading, nil
}

// changeReading runs fn on a reading that the actor sees, as a change to its case.
func (s *Service) changeReading(ctx context.Context, actor Actor, readingID string, action Action, fn func(w *work, reading Reading) error) error {
	if err := present(actor); err != nil {
		return err
	}
	return s.store.Write(ctx, func(tx Tx) error {
		reading, err := tx.Reading(ctx, readingID)
		if reading, err = found(reading, err, true, "reading"); err != nil {
			return err
		}
		err = s.changeIn(ctx, tx, actor, reading.CaseID, action, func(w *work) error {
			// Read again, because only now is nobody else changing it.
			reading, err := tx.Reading(ctx, readingID)
			if reading, err = found(reading, err, w.seesReading(reading), "reading"); err != nil {
				return err
			}
			return fn(w, reading)
		})
		return notFoundInstead(err, "reading")
	})
}

// ReadingState gives a reading with everything that it holds.
func (s *Service) ReadingState(ctx context.Context, actor Actor, readingID string) (ReadingState, error) {
	var state ReadingState
	err := s.onReading(ctx, actor, readingID, func(tx Tx, _ seen, _ Reading) (err error) {
		state, err = tx.ReadingState(ctx, readingID)
		return err
	})
	return state, err
}

// Edits gives the journal after a sequence number, oldest first.
func (s *Service) Edits(ctx context.Context, actor Actor, readingID string, after int64) ([]Edit, error) {
	var edits []Edit
	err := s.onReading(ctx, actor, readingID, func(tx Tx, _ seen, _ Reading) (err error) {
		edits, err = tx.Edits(ctx, readingID, after)
		return err
	})
	return edits, err
}

// Durations computes the times of a reading, with warnings that compare with the unit's own cases.
func (s *Service) Durations(ctx context.Context, actor Actor, readingID string) (timeline.Result, error) {
	var result timeline.Result
	err := s.onReading(ctx, actor, readingID, func(tx Tx, c seen, _ Reading) error {
		state, err := tx.ReadingState(ctx, readingID)
		if err != nil {
			return err
		}
		file, err := caseFile(ctx, tx, c.ID, &state)
		if err != nil {
			return err
		}
		if file.Group, err = s.snapshot.group(ctx, tx, c.Operation.TechniquePerformed, c.ID); err != nil {
			return err
		}
		in, err := Intervals(file)
		result = timeline.Durations(in)
		return err
	})
	return result, err
}

// PutReading opens a reading by the actor. The first of a case becomes the accepted one. Sent again it is answered as
// it is kept; the step list can be changed until the first edit.
func (s *Service) PutReading(ctx context.Context, actor Actor, reading Reading) (Reading, error) {
	var p problems
	p.id("id", reading.ID)
	if err := p.err("The reading"); err != nil {
		return Reading{}, err
	}
	var kept Reading
	err := s.changeCase(ctx, actor, reading.CaseID, ReadingMark, func(w *work) (err error) {
		kept, err = w.putReading(ctx, reading)
		return err
	})
	if err != nil {
		return Reading{}, err
	}
	return kept, nil
}

func (w *work) putReading(ctx context.Context, reading Reading) (Reading, error) {
	if _, err := w.tx.StepList(ctx, reading.StepList); errors.Is(err, ErrNoRow) {
		var p problems
		p.add("stepList", "is not a step list of this unit")
		return Reading{}, p.err("The reading")
	} else if err != nil {
		return Reading{}, err
	}
	readings, err := w.tx.Readings(ctx, w.ID)
	if err != nil {
		return Reading{}, err
	}
	at := slices.IndexFunc(readings, func(r Reading) bool { return r.ID == reading.ID })
	if at >= 0 {
		return w.changeStepList(ctx, readings[at], reading.StepList)
	}
	fresh := Reading{
		ID: reading.ID, CaseID: w.ID, AuthorID: w.actor.ID, StepList: reading.StepList,
		Accepted: len(readings) == 0, CreatedAt: w.now,
	}
	if err := w.tx.InsertReading(ctx, fresh); errors.Is(err, ErrDuplicate) {
		return Reading{}, Refuse(CodeTaken, "The id of the new reading is in use; make another.")
	} else if err != nil {
		return Reading{}, err
	}
	w.note("reading.open", fresh.ID, Differences(nil, fresh))
	return fresh, nil
}

func (w *work) changeStepList(ctx context.Context, stored Reading, list StepListRef) (Reading, error) {
	if stored.StepList == list {
		return stored, nil
	}
	if !w.mayMark(stored) {
		return Reading{}, forbidden(ReadingMark)
	}
	if stored.Seq > 0 {
		var p problems
		p.add("stepList", "cannot be changed once something is marked; record a conversion, or open another reading")
		return Reading{}, p.err("The reading")
	}
	before := stored.StepList
	stored.StepList = list
	if err := w.tx.UpdateReading(ctx, stored); err != nil {
		return Reading{}, err
	}
	w.note("reading.step-list", stored.ID, Differences(before, list))
	return stored, nil
}

// AcceptReading makes a reading the one that statistics and reports use, and keeps why.
func (s *Service) AcceptReading(ctx context.Context, actor Actor, readingID, reason string) error {
	var p problems
	p.text("reason", reason, 1, 1000)
	if err := p.err("The choice"); err != nil {
		return err
	}
	return s.changeReading(ctx, actor, readingID, ReadingAccept, func(w *work, reading Reading) error {
		if reading.Accepted {
			return nil
		}
		readings, err := w.tx.Readings(ctx, w.ID)
		if err != nil {
			return err
		}
		before := ""
		for _, other := range readings {
			if !other.Accepted {
				continue
			}
			before = other.ID
			other.Accepted, other.Choice = false, nil
			if err := w.tx.UpdateReading(ctx, other); err != nil {
				return err
			}
		}
		reading.Accepted, reading.Choice = true, &ReadingChoice{By: w.actor.ID, At: w.now, Reason: reason}
		if err := w.tx.UpdateReading(ctx, reading); err != nil {
			return err
		}
		w.note("reading.accept", reading.ID, []Difference{{Field: "accepted", Before: before, After: reading.ID}, {Field: "reason", After: reason}})
		return nil
	})
}
