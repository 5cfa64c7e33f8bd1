package annotate_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
	"zonule/timeline"
)

// TestCaseLevel follows a case from nothing recorded to a rupture with what came before it, on both databases.
func TestCaseLevel(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c, part, reading := u.Marked(t)
		level, err := u.CaseLevel(t.Context(), u.Trainee, c.ID)
		require.NoError(t, err)
		require.Zero(t, level.Others, "the case itself is not among the others")
		require.Nil(t, level.Loss)
		require.NotEmpty(t, level.WhyNoLoss)
		require.Empty(t, level.Complications)
		_, err = u.CaseLevel(t.Context(), u.Stranger, c.ID)
		refused(t, annotate.CodeNotFound, err)
		_, err = u.CaseLevel(t.Context(), u.Clinic, c.ID)
		refused(t, annotate.CodeForbidden, err)

		for i := range int64(21) {
			_, otherPart, otherReading := u.Marked(t)
			add(t, u, u.Surgeon, otherReading.ID, u.Add(u.Marker(otherPart.ID, "removal", 10_000, 40_000+i*1000)))
		}
		event := annotate.Event{ID: u.NewID(), Kind: "fragment-contact", At: timeline.Instant{Part: part.ID, Ms: 90_000}}
		early := annotate.Event{ID: u.NewID(), Kind: "ovd-top-up", At: timeline.Instant{Part: part.ID, Ms: 5_000}}
		add(t, u, u.Surgeon, reading.ID,
			u.Add(u.Marker(part.ID, "capsulorhexis", 10_000, 60_000), u.Marker(part.ID, "removal", 100_000, 260_000)),
			edit(u, "add", annotate.Change{Thing: annotate.ThingEvent, ID: event.ID, Event: &event}),
			edit(u, "add", annotate.Change{Thing: annotate.ThingEvent, ID: early.ID, Event: &early}),
		)
		for kind, at := range map[string]*timeline.Instant{"posterior-capsule-rupture": {Part: part.ID, Ms: 200_000}, "vitreous-loss": {Part: part.ID, Ms: 190_000}, "zonular-dialysis": nil} {
			_, err := u.PutComplication(t.Context(), u.Surgeon, annotate.Complication{ID: u.NewID(), CaseID: c.ID, Kind: kind, At: at})
			require.NoError(t, err)
		}

		level, err = u.CaseLevel(t.Context(), u.Surgeon, c.ID)
		require.NoError(t, err)
		require.Equal(t, 21, level.Others)
		found := map[string]annotate.LevelComplication{}
		for _, one := range level.Complications {
			found[one.Kind] = one
		}
		rupture := found["posterior-capsule-rupture"]
		require.Equal(t, "posterior capsule rupture", rupture.Name)
		require.Equal(t, "segment removal", rupture.StepName)
		require.EqualValues(t, 200_000, *rupture.Clock)
		require.Equal(t, 21, rupture.InStep.Cases)
		require.Zero(t, rupture.InStep.Events)
		b := rupture.Before
		require.Equal(t, timeline.Span{Start: 20_000, End: 200_000}, b.Span, "three minutes")
		require.Equal(t, []timeline.Span{{Start: 60_000, End: 100_000}}, b.Gaps)
		require.Len(t, b.Events, 2, "the contact and the vitreous loss; the top-up was earlier")
		require.Equal(t, []string{"fragment-contact", "vitreous-loss"}, []string{b.Events[0].Kind, b.Events[1].Kind})
		require.True(t, b.Events[1].Complication)
		require.EqualValues(t, 100_000, *b.Since)
		require.EqualValues(t, 160_000, *b.StepLength)
		require.Equal(t, 21, b.StepReference.N)
		require.InDelta(t, 40_000, *b.StepReference.Median, 1e-9, "30 to 50 s by seconds")
		require.Nil(t, found["zonular-dialysis"].Before)
		require.Nil(t, found["zonular-dialysis"].Clock)

		file, err := u.CaseFile(t.Context(), u.Surgeon, c.ID)
		require.NoError(t, err)
		require.Equal(t, level, *file.Level, "the report tells the same")
	})
}

// TestCaseLevelOfPartsThatOverlap: a recording that cannot be placed on one clock leaves the case without times, not without
// an answer.
func TestCaseLevelOfPartsThatOverlap(t *testing.T) {
	u := annotatetest.NewUnit(t, annotatetest.SQLiteAddress(t))
	c, part, reading := u.Marked(t)
	add(t, u, u.Surgeon, reading.ID, u.Add(u.Marker(part.ID, "removal", 10_000, 60_000)))
	file, err := u.CaseFile(t.Context(), u.Surgeon, c.ID)
	require.NoError(t, err)
	second := part
	second.ID, second.Position, second.Offset = u.NewID(), 2, pointerTo(int64(1000))
	file.Parts = append(file.Parts, second)
	file.Complications = []annotate.Complication{{ID: "k", Kind: "posterior-capsule-rupture", At: &timeline.Instant{Part: part.ID, Ms: 20_000}}}
	level := annotate.BesideOthers(file, nil)
	require.Len(t, level.Complications, 1)
	require.Nil(t, level.Complications[0].Clock)
	require.Nil(t, level.Complications[0].Before)
}
