package annotate

import (
	"cmp"
	"slices"
)

// The fold of a journal: every change replaces or removes one item, and what stands at the end is the reading.

// itemKey names one item of a reading.
type itemKey struct {
	thing Thing
	id    string
}

// items holds what stands in a reading. Each value is the change that made the item what it is; its Base is the seq of
// the edit that made it.
type items map[itemKey]Change

// itemsOf takes the items out of a state.
func itemsOf(state ReadingState) items {
	all := items{}
	for _, m := range state.Markers {
		all[itemKey{ThingMarker, m.ID}] = Change{Thing: ThingMarker, ID: m.ID, Base: m.Seq, Marker: &m}
	}
	for _, e := range state.Events {
		all[itemKey{ThingEvent, e.ID}] = Change{Thing: ThingEvent, ID: e.ID, Base: e.Seq, Event: &e}
	}
	for _, c := range state.Comments {
		all[itemKey{ThingComment, c.ID}] = Change{Thing: ThingComment, ID: c.ID, Base: c.Seq, Comment: &c}
	}
	for _, a := range state.Acceptances {
		all[itemKey{ThingAcceptance, a.ID}] = Change{Thing: ThingAcceptance, ID: a.ID, Base: a.Seq, Acceptance: &a}
	}
	return all
}

func (c Change) key() itemKey { return itemKey{c.Thing, c.ID} }

// numbered gives the change with the item's seq set. The item is copied.
func (c Change) numbered(seq int64) Change {
	switch {
	case c.Marker != nil:
		item := *c.Marker
		item.ID, item.Seq = c.ID, seq
		c.Marker = &item
	case c.Event != nil:
		item := *c.Event
		item.ID, item.Seq = c.ID, seq
		c.Event = &item
	case c.Comment != nil:
		item := *c.Comment
		item.ID, item.Seq = c.ID, seq
		c.Comment = &item
	case c.Acceptance != nil:
		item := *c.Acceptance
		item.ID, item.Seq = c.ID, seq
		c.Acceptance = &item
	}
	return c
}

// put applies one change of the edit with the given seq.
func (all items) put(c Change, seq int64) {
	if c.Removes() {
		delete(all, c.key())
		return
	}
	c.Base = seq
	all[c.key()] = c.numbered(seq)
}

// state lays the items out as a reading holds them, by id.
func (all items) state(reading Reading) ReadingState {
	state := ReadingState{Reading: reading, Markers: []Marker{}, Events: []Event{}, Comments: []Comment{}, Acceptances: []Acceptance{}}
	for _, c := range all {
		switch {
		case c.Marker != nil:
			state.Markers = append(state.Markers, *c.Marker)
		case c.Event != nil:
			state.Events = append(state.Events, *c.Event)
		case c.Comment != nil:
			state.Comments = append(state.Comments, *c.Comment)
		case c.Acceptance != nil:
			state.Acceptances = append(state.Acceptances, *c.Acceptance)
		}
	}
	slices.SortFunc(state.Markers, func(a, b Marker) int { return cmp.Compare(a.ID, b.ID) })
	slices.SortFunc(state.Events, func(a, b Event) int { return cmp.Compare(a.ID, b.ID) })
	slices.SortFunc(state.Comments, func(a, b Comment) int { return cmp.Compare(a.ID, b.ID) })
	slices.SortFunc(state.Acceptances, func(a, b Acceptance) int { return cmp.Compare(a.ID, b.ID) })
	return state
}

// Fold gives what a reading holds after its whole journal, items by id.
func Fold(reading Reading, journal []Edit) ReadingState {
	all := items{}
	reading.Seq = 0
	for _, edit := range journal {
		for _, change := range edit.Changes {
			all.put(change, edit.Seq)
		}
		reading.Seq = edit.Seq
	}
	return all.state(reading)
}
