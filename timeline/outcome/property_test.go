package outcome

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"zonule/timeline"
	"zonule/timeline/cohort"
)

// drawRow draws a case in which anything may be missing, constant or odd.
func drawRow(t *rapid.T) cohort.Row {
	maybe := func(name string) bool { return rapid.IntRange(0, 5).Draw(t, name) > 0 }
	part := func(code string) cohort.Part {
		p := cohort.Part{Code: code, Quality: rapid.SampledFrom([]timeline.Quality{timeline.Measured, timeline.Measured, timeline.Measured, timeline.LowerBound}).Draw(t, "quality")}
		if maybe("part") {
			total := rapid.Int64Range(0, 20).Draw(t, "total") * 30_000
			p.Total = &total
		}
		return p
	}
	countOf := func(name string) *cohort.Count {
		if !maybe(name) {
			return nil
		}
		c := &cohort.Count{Density: float64(rapid.IntRange(4, 30).Draw(t, name+" density")) * 100}
		if maybe(name + " error") {
			cells, cv := rapid.IntRange(1, 200).Draw(t, "cells"), rapid.SampledFrom([]float64{0.2, 0.3, 30}).Draw(t, "cv")
			c.Cells, c.CV = &cells, &cv
		}
		return c
	}
	row := cohort.Row{
		CaseID: rapid.StringMatching(`[a-z]{6}`).Draw(t, "id"), Date: rapid.SampledFrom([]string{"2026-01-01", "2026-01-02", ""}).Draw(t, "date"),
		Technique: "phaco", Operator: rapid.SampledFrom([]string{"a", "b", "c", "d", "e", "f", ""}).Draw(t, "operator"),
		Grade: rapid.SampledFrom([]string{"consultant", "fellow", ""}).Draw(t, "grade"), Tagged: maybe("tagged"), Measured: maybe("measured"),
		Steps: []cohort.Part{part("cortex")}, Stages: []cohort.Part{part("nucleus")},
		Before: cohort.Before{Count: countOf("before"), Pupil: rapid.SampledFrom([]string{"large", "medium", "small", ""}).Draw(t, "pupil"), Guttata: rapid.SampledFrom([]timeline.Answer{"", "yes", "no"}).Draw(t, "guttata")},
		After:  []cohort.Seen{{Window: "day-1", Count: countOf("after")}}, CapsuleRupture: rapid.Bool().Draw(t, "rupture"),
		Events: map[string]int{"fragment-contact": rapid.IntRange(0, 3).Draw(t, "contacts")},
	}
	if maybe("nucleus") {
		grade := rapid.IntRange(1, 5).Draw(t, "nuclear grade")
		row.Before.NuclearGrade = &grade
	}
	if maybe("oedema") {
		grade := rapid.IntRange(0, 4).Draw(t, "oedema")
		row.After[0].OedemaGrade = &grade
	}
	if maybe("acuity") {
		before, after := rapid.Float64Range(0, 2).Draw(t, "acuity before"), rapid.Float64Range(-0.2, 1).Draw(t, "acuity after")
		row.Before.LogMAR, row.After[0].LogMAR = &before, &after
	}
	if maybe("thickness") {
		before, after := rapid.IntRange(450, 600).Draw(t, "thin"), rapid.IntRange(450, 800).Draw(t, "thick")
		row.Before.Thickness, row.After[0].Thickness = &before, &after
	}
	if maybe("energy") {
		cde := rapid.Float64Range(0, 40).Draw(t, "cde")
		row.Operation = cohort.Operation{CDE: &cde, MachineFamily: rapid.SampledFrom([]string{"a", "b", ""}).Draw(t, "family")}
	}
	if rapid.Bool().Draw(t, "complicated") {
		row.Complications = []cohort.Mishap{{Kind: "corneal-oedema"}, {Kind: "posterior-capsule-rupture", Step: "cortex"}}
	}
	return row
}

// TestAnyRecordIsAnswered: whatever is missing, a study and a case are answered with figures that can be sent, or with the
// reason; the cases add up.
func TestAnyRecordIsAnswered(t *testing.T) {
	outcomes := []Outcome{
		{Kind: Loss, Window: "day-1"}, {Kind: Oedema, Window: "day-1"}, {Kind: Thickness, Window: "day-1"}, {Kind: AcuityGain, Window: "day-1"},
		{Kind: Complication, Complication: cohort.CapsuleRupture}, {Kind: Complication, Complication: "corneal-oedema"},
	}
	exposures := []Exposure{{Kind: StageTime, Code: "nucleus"}, {Kind: StepTime, Code: "cortex", Scale: PerDoubling}, {Kind: Dissipated}, {Kind: Contacts}}
	modelled := 0
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.SampledFrom([]int{0, 15, 60, 120, 120, 200}).Draw(t, "n")
		rows := make([]cohort.Row, n)
		for i := range rows {
			rows[i] = drawRow(t)
		}
		first := rapid.IntRange(0, len(exposures)-1).Draw(t, "exposure")
		d := Definition{Outcome: rapid.SampledFrom(outcomes).Draw(t, "outcome"), Exposures: exposures[first:min(first+2, len(exposures))]}
		d.Population.WithRuptures = true
		if rapid.Bool().Draw(t, "no factors") {
			d.Adjust = []string{}
		}
		r := Study(rows, d)
		_, err := json.Marshal(r)
		require.NoError(t, err)
		fell := 0
		for _, f := range r.FellOut {
			fell += f.Cases
		}
		require.Equal(t, n, r.N+fell)
		require.True(t, r.Why != "" || len(r.Relations) == len(d.Exposures))
		if len(r.Relations) > 0 {
			modelled++
		}
		for _, rel := range r.Relations {
			require.True(t, rel.Adjusted != nil || rel.Why != "")
			require.NotEmpty(t, rel.Text)
			if a := rel.Adjusted; a != nil {
				require.LessOrEqual(t, a.Low, a.Value)
				require.LessOrEqual(t, a.Value, a.High)
			}
		}
		if n > 0 {
			answer := besideOthers(rows, rows[0])
			_, err := json.Marshal(answer)
			require.NoError(t, err)
			require.NotEmpty(t, answer.StandsOut)
			require.NotEmpty(t, answer.CannotSay)
		}
	})
	require.Greater(t, modelled, 10)
}
