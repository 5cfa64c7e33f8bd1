package annotate_test

import (
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

// model is a reading kept by the plainest means: the newest value of each marker, and what each edit did.
type model struct {
	markers map[string]annotate.Marker
	deeds   []deed
	seq     int64
}

// deed is an edit with the markers that it touched as they were before and after; nil: not there.
type deed struct {
	edit          annotate.Edit
	before, after map[string]*annotate.Marker
}

// apply notes an edit that was accepted.
func (m *model) apply(edit annotate.Edit) {
	m.seq++
	d := deed{edit: edit, before: map[string]*annotate.Marker{}, after: map[string]*annotate.Marker{}}
	for _, change := range edit.Changes {
		if was, ok := m.markers[change.ID]; ok {
			d.before[change.ID] = &was
		} else {
			d.before[change.ID] = nil
		}
		if change.Removes() {
			delete(m.markers, change.ID)
			d.after[change.ID] = nil
			continue
		}
		is := *change.Marker
		is.Seq = m.seq
		m.markers[change.ID] = is
		d.after[change.ID] = &is
	}
	m.deeds = append(m.deeds, d)
}

// inverse is the edit that takes a deed back; false when somebody built on it.
func (m *model) inverse(id string, d deed) (annotate.Edit, bool) {
	undo := annotate.Edit{ID: id, Action: "undo", Undoes: d.edit.ID}
	for _, change := range d.edit.Changes {
		now, stands := m.markers[change.ID]
		if after := d.after[change.ID]; stands != (after != nil) || stands && now.Seq != after.Seq {
			return undo, false
		}
		back := annotate.Change{Thing: annotate.ThingMarker, ID: change.ID, Base: now.Seq, Marker: d.before[change.ID]}
		if back.Removes() && !stands {
			return undo, false
		}
		undo.Changes = append(undo.Changes, back)
	}
	return undo, true
}

func (m *model) sorted() []annotate.Marker {
	list := []annotate.Marker{}
	for _, marker := range m.markers {
		list = append(list, marker)
	}
	slices.SortFunc(list, func(a, b annotate.Marker) int {
		if a.ID < b.ID {
			return -1
		}
		return 1
	})
	return list
}

// TestAnyStreamOfEdits sends random edits, whole ones and undos, some of them twice and some built on an old version, and
// compares rows and fold with the model after each call.
func TestAnyStreamOfEdits(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c := u.AddCase(t)
		part := u.AddPart(t, c.ID, 600_000)
		steps := []string{"side-port", "capsulorhexis", "removal", "cortex", "second-instrument"}
		rapid.Check(t, func(rt *rapid.T) {
			reading := u.AddReading(t, u.Surgeon, c.ID)
			m := &model{markers: map[string]annotate.Marker{}}
			for range rapid.IntRange(1, 8).Draw(rt, "calls") {
				var edits []annotate.Edit
				trial := &model{markers: map[string]annotate.Marker{}, deeds: slices.Clone(m.deeds), seq: m.seq}
				for id, marker := range m.markers {
					trial.markers[id] = marker
				}
				for range rapid.IntRange(1, 4).Draw(rt, "edits") {
					edit, ok := drawEdit(rt, u, trial, part.ID, steps)
					if !ok {
						continue
					}
					edits = append(edits, edit)
					trial.apply(edit)
				}
				if len(edits) == 0 {
					continue
				}
				call := edits
				if len(m.deeds) > 0 && rapid.Bool().Draw(rt, "send an old one again") {
					call = append([]annotate.Edit{m.deeds[len(m.deeds)-1].edit}, edits...)
				}
				if rapid.IntRange(0, 4).Draw(rt, "spoil") == 0 {
					spoilt := slices.Clone(edits)
					last := &spoilt[len(spoilt)-1]
					last.ID = u.NewID()
					last.Changes = slices.Clone(last.Changes)
					last.Changes[0].Base += 1000
					_, err := u.AddEdits(t.Context(), u.Surgeon, reading.ID, spoilt)
					require.Equal(rt, annotate.CodeStale, annotate.CodeOf(err))
				}
				_, err := u.AddEdits(t.Context(), u.Surgeon, reading.ID, call)
				require.NoError(rt, err)
				m = trial
				compare(t, rt, u, reading, m)
			}
		})
		verified(t, u)
	})
}

// drawEdit makes an edit that fits the model.
func drawEdit(rt *rapid.T, u *annotatetest.Unit, m *model, part string, steps []string) (annotate.Edit, bool) {
	standing := m.sorted()
	if len(m.deeds) > 0 && rapid.IntRange(0, 3).Draw(rt, "undo") == 0 {
		return m.inverse(u.NewID(), m.deeds[rapid.IntRange(0, len(m.deeds)-1).Draw(rt, "deed")])
	}
	edit := annotate.Edit{ID: u.NewID(), Action: "move"}
	for range rapid.IntRange(1, 3).Draw(rt, "changes") {
		start := int64(rapid.IntRange(0, 590_000).Draw(rt, "start"))
		marker := u.Marker(part, rapid.SampledFrom(steps).Draw(rt, "step"), start, start+int64(rapid.IntRange(0, 10_000).Draw(rt, "length")))
		marker.Note = "n" + strconv.Itoa(int(start))
		change := annotate.Change{Thing: annotate.ThingMarker, ID: marker.ID, Marker: &marker}
		if len(standing) > 0 && rapid.Bool().Draw(rt, "an old marker") {
			at := rapid.IntRange(0, len(standing)-1).Draw(rt, "which")
			old := standing[at]
			standing = slices.Delete(standing, at, at+1)
			marker.ID, change.ID, change.Base = old.ID, old.ID, old.Seq
			if rapid.IntRange(0, 3).Draw(rt, "remove") == 0 {
				change.Marker = nil
			}
		}
		edit.Changes = append(edit.Changes, change)
	}
	return edit, true
}

func compare(t *testing.T, rt *rapid.T, u *annotatetest.Unit, reading annotate.Reading, m *model) {
	state, err := u.ReadingState(t.Context(), u.Surgeon, reading.ID)
	require.NoError(rt, err)
	require.Equal(rt, m.sorted(), state.Markers)
	require.Equal(rt, m.seq, state.Seq)
	journal, err := u.Edits(t.Context(), u.Surgeon, reading.ID, 0)
	require.NoError(rt, err)
	require.Equal(rt, state, annotate.Fold(state.Reading, journal))
}
