package annotate_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
	"zonule/timeline"
)

func TestPartsKeepTheirOrder(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c := u.AddCase(t)
		first, second, third := u.AddPart(t, c.ID, 60_000), u.AddPart(t, c.ID, 60_000), u.AddPart(t, c.ID, 60_000)
		require.Equal(t, []int{1, 2, 3}, []int{first.Position, second.Position, third.Position})
		order := func() []string {
			parts, err := u.Parts(t.Context(), u.Surgeon, c.ID)
			require.NoError(t, err)
			var ids []string
			for i, part := range parts {
				require.Equal(t, i+1, part.Position)
				ids = append(ids, part.ID)
			}
			return ids
		}
		third.Position = 1
		moved, err := u.PutPart(t.Context(), u.Surgeon, third)
		require.NoError(t, err)
		require.Equal(t, int64(2), moved.Revision)
		require.Equal(t, []string{third.ID, first.ID, second.ID}, order())
		second.RealTime = false
		_, err = u.PutPart(t.Context(), u.Surgeon, second)
		refused(t, annotate.CodeStale, err)
		require.NoError(t, u.RemovePart(t.Context(), u.Surgeon, c.ID, third.ID, moved.Revision))
		require.Equal(t, []string{first.ID, second.ID}, order())
		verified(t, u)
	})
}

func TestPutPart(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c, part, reading := u.Marked(t)
		require.Equal(t, annotate.PartOK, part.State)
		require.Equal(t, int64(600_000), part.Facts.Duration)
		fresh := annotate.Part{ID: part.ID, CaseID: c.ID, Source: part.Source, RealTime: true}
		resent, err := u.PutPart(t.Context(), u.Surgeon, fresh)
		require.NoError(t, err)
		require.Equal(t, part, resent, "the same part sent again")
		_, err = u.PutPart(t.Context(), u.Surgeon, annotate.Part{ID: u.NewID(), CaseID: c.ID, Source: "films:none.mp4"})
		refused(t, annotate.CodeMedia, err)
		u.Media.Set("films:endless.mp4", 0)
		_, err = u.PutPart(t.Context(), u.Surgeon, annotate.Part{ID: u.NewID(), CaseID: c.ID, Source: "films:endless.mp4"})
		refused(t, annotate.CodeMedia, err)
		_, err = u.PutPart(t.Context(), u.Chair, fresh)
		refused(t, annotate.CodeNotFound, err)

		other := u.AddCase(t)
		stolen := fresh
		stolen.CaseID = other.ID
		_, err = u.PutPart(t.Context(), u.Surgeon, stolen)
		refused(t, annotate.CodeNotFound, err)

		add(t, u, u.Surgeon, reading.ID, u.Add(u.Marker(part.ID, "cortex", 0, 10_000)))
		require.Equal(t, int64(10_000), operationTime(t, u, c.ID))
		part.Rates = []timeline.RateSpan{{Start: 0, End: 5000, PerMille: 2000}}
		changed, err := u.PutPart(t.Context(), u.Surgeon, part)
		require.NoError(t, err)
		// By hand: 5 s of film at twice the speed are 10 s, and 5 s more.
		require.Equal(t, int64(15_000), operationTime(t, u, c.ID), "a corrected part moves every time with it")
		changed.Rates = []timeline.RateSpan{{Start: 5000, End: 4000, PerMille: 2000}}
		_, err = u.PutPart(t.Context(), u.Surgeon, changed)
		require.Equal(t, "rates[0]", refused(t, annotate.CodeInvalid, err).Fields[0].Field)

		err = u.RemovePart(t.Context(), u.Surgeon, c.ID, part.ID, changed.Revision)
		require.Equal(t, "id", refused(t, annotate.CodeInvalid, err).Fields[0].Field, "a marker stands on it")
		refused(t, annotate.CodeStale, u.RemovePart(t.Context(), u.Surgeon, c.ID, part.ID, 1))
		refused(t, annotate.CodeNotFound, u.RemovePart(t.Context(), u.Surgeon, c.ID, "none", 1))

		overlapping := u.AddPart(t, c.ID, 1000)
		overlapping.Offset = pointerTo(int64(2000))
		_, err = u.PutPart(t.Context(), u.Surgeon, overlapping)
		require.Equal(t, "offset", refused(t, annotate.CodeInvalid, err).Fields[0].Field)
		verified(t, u)
	})
}

func operationTime(t *testing.T, u *annotatetest.Unit, caseID string) int64 {
	t.Helper()
	page, err := u.Cases(t.Context(), u.Surgeon, annotate.CaseFilter{})
	require.NoError(t, err)
	for _, c := range page.Cases {
		if c.ID == caseID && c.Operation != nil {
			return *c.Operation
		}
	}
	return -1
}

func TestCheckParts(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c := u.AddCase(t)
		lost, changed, kept := u.AddPart(t, c.ID, 1000), u.AddPart(t, c.ID, 1000), u.AddPart(t, c.ID, 1000)
		u.Media.Lose(lost.Source)
		u.Media.Set(changed.Source, 2000)
		parts, err := u.CheckParts(t.Context(), u.Surgeon, c.ID)
		require.NoError(t, err)
		require.Equal(t, []annotate.PartState{annotate.PartMissing, annotate.PartChanged, annotate.PartOK},
			[]annotate.PartState{parts[0].State, parts[1].State, parts[2].State})
		require.NotEmpty(t, parts[0].StateReason)
		require.Equal(t, int64(1000), parts[1].Facts.Duration, "what was registered stays until somebody decides")
		stored, err := u.Parts(t.Context(), u.Surgeon, c.ID)
		require.NoError(t, err)
		require.Equal(t, parts, stored)
		require.Equal(t, kept.Revision, stored[2].Revision, "looking is no change")
	})
}

func TestReadings(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c, part, reading := u.Marked(t)
		again, err := u.PutReading(t.Context(), u.Surgeon, reading)
		require.NoError(t, err)
		require.Equal(t, reading, again)
		reading.StepList.ID = "msics"
		switched, err := u.PutReading(t.Context(), u.Surgeon, reading)
		require.NoError(t, err)
		require.Equal(t, "msics", switched.StepList.ID)
		reading.StepList.Version = 7
		_, err = u.PutReading(t.Context(), u.Surgeon, reading)
		require.Equal(t, "stepList", refused(t, annotate.CodeInvalid, err).Fields[0].Field)
		add(t, u, u.Surgeon, reading.ID, u.Add(u.Marker(part.ID, "cortex", 0, 10_000)))
		reading.StepList = annotate.StepListRef{ID: "phaco", Version: 1}
		_, err = u.PutReading(t.Context(), u.Surgeon, reading)
		require.Equal(t, "stepList", refused(t, annotate.CodeInvalid, err).Fields[0].Field)
		other := u.AddCase(t)
		_, err = u.PutReading(t.Context(), u.Surgeon, annotate.Reading{ID: reading.ID, CaseID: other.ID, StepList: reading.StepList})
		refused(t, annotate.CodeTaken, err)

		result, err := u.Durations(t.Context(), u.Surgeon, reading.ID)
		require.NoError(t, err)
		figure, ok := result.Step("cortex")
		require.True(t, ok)
		require.Equal(t, int64(10_000), *figure.Total)
		require.Equal(t, u.Surgeon.ID, figure.Operators[0].Operator)
		_, err = u.Edits(t.Context(), u.Surgeon, "none", 0)
		refused(t, annotate.CodeNotFound, err)
		require.Equal(t, int64(10_000), operationTime(t, u, c.ID))
	})
}

// TestTagged marks the required steps one after another; the last may be explained instead.
func TestTagged(t *testing.T) {
	u := annotatetest.NewUnit(t, annotatetest.SQLiteAddress(t))
	c, part, reading := u.Marked(t)
	tagged := func() bool {
		page, err := u.Cases(t.Context(), u.Surgeon, annotate.CaseFilter{})
		require.NoError(t, err)
		require.Equal(t, c.ID, page.Cases[0].ID)
		return page.Cases[0].Tagged
	}
	required := []string{"side-port", "main-incision", "capsulorhexis", "removal", "cortex", "lens-insertion", "ovd-removal"}
	for i, step := range required {
		require.False(t, tagged())
		add(t, u, u.Surgeon, reading.ID, u.Add(u.Marker(part.ID, step, int64(i)*1000, int64(i)*1000+900)))
	}
	require.False(t, tagged(), "the wound was not closed")
	result, err := u.Durations(t.Context(), u.Surgeon, reading.ID)
	require.NoError(t, err)
	for _, warning := range result.Warnings {
		if warning.Code == timeline.WarnAbsent {
			require.Equal(t, "wound-closure", warning.Step)
			add(t, u, u.Surgeon, reading.ID, edit(u, "accept-warning", annotate.Change{
				Thing: annotate.ThingAcceptance, ID: warning.Key, Acceptance: &annotate.Acceptance{Reason: "The recorder stopped."},
			}))
		}
	}
	require.True(t, tagged())
	verified(t, u)
}
