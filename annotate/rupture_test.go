package annotate_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

// TestRupture applies the definition to combinations. Source: national cataract audit of the United Kingdom; found.
func TestRupture(t *testing.T) {
	for _, row := range []struct {
		recorded []string
		kinds    []string
		why      string
	}{
		{nil, []string{}, "nothing is recorded that falls under the definition"},
		{[]string{"corneal-oedema", "rhexis-tear"}, []string{}, "nothing is recorded that falls under the definition"},
		{[]string{"posterior-capsule-rupture"}, []string{"posterior-capsule-rupture"}, "Posterior capsule rupture."},
		{[]string{"vitreous-loss", "posterior-capsule-rupture", "vitreous-loss"}, []string{"posterior-capsule-rupture", "vitreous-loss"}, "Posterior capsule rupture; Vitreous loss."},
		{[]string{"zonular-rupture-vitreous"}, []string{"zonular-rupture-vitreous"}, "Zonular rupture with vitreous prolapse."},
		{[]string{"zonular-dialysis"}, []string{}, "excluded by the definition"},
		{[]string{"zonular-dialysis", "vitreous-loss"}, []string{"vitreous-loss"}, "Vitreous loss."},
		{[]string{"dropped-fragment"}, []string{}, "usually means a rupture, and none is recorded"},
	} {
		var complications []annotate.Complication
		for _, kind := range row.recorded {
			complications = append(complications, annotate.Complication{Kind: kind})
		}
		got := annotate.RecordOf(annotate.Unit{}, annotate.Case{}, nil, complications).Rupture
		require.Equal(t, row.kinds, got.Kinds, row.recorded)
		require.Equal(t, len(row.kinds) > 0, got.Counts, row.recorded)
		require.Contains(t, got.Why, row.why, row.recorded)
		require.NotEmpty(t, got.Definition)
		require.NotEmpty(t, got.Source)
		require.NotEmpty(t, got.Status)
	}
}

func TestCountsFromDifferentInstruments(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c := u.AddCase(t, func(c *annotate.Case) {
			c.Before.Exam = &annotate.EndothelialExam{Density: 2500, Cells: pointerTo(100), CV: pointerTo(0.30), Instrument: "Specular A"}
			c.Before.FellowEye = &annotate.FellowEye{Exam: &annotate.EndothelialExam{Density: 2600, Date: "2026-05-01"}}
		})
		_, err := u.PutVisit(t.Context(), u.Clinic, annotate.Visit{
			ID: u.NewID(), CaseID: c.ID, Window: annotate.WindowMonth1, Date: "2026-06-01",
			Exam:       &annotate.EndothelialExam{Density: 900, Cells: pointerTo(100), CV: pointerTo(30.0), Instrument: "Confocal B"},
			FellowExam: &annotate.EndothelialExam{ImageCounts: []annotate.ImageCount{{Density: 990, Cells: 80, CV: pointerTo(31.0)}}},
		})
		require.NoError(t, err)
		visits, err := u.Visits(t.Context(), u.Surgeon, c.ID)
		require.NoError(t, err)
		require.InDelta(t, 0.31, *visits[0].FellowExam.CV, 1e-12, "given in percent, stored as a fraction")

		record, err := u.Record(t.Context(), u.Surgeon, c.ID)
		require.NoError(t, err)
		require.False(t, record.CompareInstruments)
		require.Len(t, record.Endothelium, 4)
		after, fellow := record.Endothelium[1], record.Endothelium[3]
		require.Nil(t, after.Loss.LossPercent)
		require.Contains(t, after.Loss.Notes[0], "184 to 228 cells/mm2")
		require.Equal(t, []string{"density under 1000 cells/mm²"}, after.Flags)
		require.Equal(t, annotate.LeftEye, fellow.Eye)
		require.Equal(t, annotate.WindowMonth1, fellow.Window)
		require.InDelta(t, 100*(2600-990)/2600.0, *fellow.Loss.LossPercent, 1e-9)
		require.Equal(t, []string{"density under 1000 cells/mm²"}, fellow.Flags, "the limit of the loss is about the eye that was operated on")

		c.CompareInstruments = true
		c, err = u.PutCase(t.Context(), u.Surgeon, c)
		require.NoError(t, err)
		stored, err := u.Case(t.Context(), u.Surgeon, c.ID)
		require.NoError(t, err)
		require.True(t, stored.CompareInstruments)
		record, err = u.Record(t.Context(), u.Surgeon, c.ID)
		require.NoError(t, err)
		require.True(t, record.CompareInstruments)
		after = record.Endothelium[1]
		require.InDelta(t, 64, *after.Loss.LossPercent, 1e-9)
		require.True(t, after.Loss.InstrumentMismatch)
		require.Contains(t, after.Loss.Notes[0], "compared on request")
		require.Equal(t, []string{"density under 1000 cells/mm²", "loss over 20 %"}, after.Flags)
		require.Nil(t, after.ExpectedWithoutSurgery, "not before half a year")
		verified(t, u)
	})
}

// TestExpectedWithoutSurgery: 2500 exp(-0.006 x 365/365.25) after a year. Source: Bourne 1997; found; arithmetic.
func TestExpectedWithoutSurgery(t *testing.T) {
	c := annotate.Case{Eye: annotate.RightEye, Date: "2025-01-01"}
	c.Before.Exam = &annotate.EndothelialExam{Density: 2500}
	points := annotate.RecordOf(annotate.Unit{LossLimitPercent: 12.5}, c, []annotate.Visit{
		{ID: "a", Window: annotate.WindowMonth3, Date: "2025-04-01", Exam: &annotate.EndothelialExam{Density: 2200}},
		{ID: "b", Window: annotate.WindowYear1, Date: "2026-01-01", Exam: &annotate.EndothelialExam{Density: 2180}},
	}, nil).Endothelium
	require.Nil(t, points[1].ExpectedWithoutSurgery)
	require.InDelta(t, 2485.05, *points[2].ExpectedWithoutSurgery, 0.01)
	require.Empty(t, points[1].Flags, "12 %")
	require.Equal(t, []string{"loss over 12.5 %"}, points[2].Flags, "12.8 %")
}
