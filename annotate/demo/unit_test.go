package demo

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/timeline"
)

func TestSameOptionsGiveTheSameUnit(t *testing.T) {
	same := Options{Seed: 1, Today: today, Cases: 60, Films: films(t)}
	first := Invent(same)
	require.Equal(t, first, Invent(same))
	other := Invent(Options{Seed: 2, Today: today, Cases: 60, Films: films(t)})
	require.NotEqual(t, first.Records[5].Case.ID, other.Records[5].Case.ID)
}

func TestTheUnitIsMarkedAsInvented(t *testing.T) {
	require.Contains(t, UnitName, "invented")
	for _, record := range invent(t, 40).Records {
		require.Regexp(t, `^(SALT|FILM)-\d{4}$`, record.Case.Pseudonym)
	}
}

func TestTheUnitHoldsWhatItShould(t *testing.T) {
	unit := invent(t, 240)
	require.Len(t, unit.Records, 240)
	login := map[string]string{}
	for _, user := range unit.Users {
		login[user.ID] = user.Login
	}
	leads, performed, complicated, filmed := map[string]int{}, map[string]int{}, map[string]int{}, 0
	untagged, unrecorded, handedOver, overdue, open := 0, 0, 0, 0, 0
	for _, record := range unit.Records {
		c := record.Case
		leads[login[c.Operators[0].UserID]]++
		performed[string(c.Operation.TechniquePlanned)+" to "+string(c.Operation.TechniquePerformed)]++
		for _, complication := range record.Complications {
			complicated[complication.Kind]++
		}
		switch {
		case len(record.Parts) == 0:
			unrecorded++
		case record.Reading == nil:
			untagged++
		}
		if strings.HasPrefix(c.Pseudonym, "FILM") {
			filmed++
		}
		if slices.ContainsFunc(fold(record).Markers, func(m annotate.Marker) bool { return m.OperatorID != "" }) {
			handedOver++
		}
		open += len(slices.DeleteFunc(fold(record).Comments, func(c annotate.Comment) bool { return c.Settled || c.ReplyTo != "" }))
		day, err := time.Parse(time.DateOnly, c.Date)
		require.NoError(t, err)
		if today.Sub(day) > 60*24*time.Hour && visitIn(record, annotate.WindowMonth1) == nil {
			overdue++
		}
	}
	require.Len(t, leads, 6)
	for name, n := range leads {
		require.GreaterOrEqual(t, n, 20, name)
	}
	require.Equal(t, 4, filmed)
	require.GreaterOrEqual(t, performed["msics to msics"], 3)
	require.Equal(t, 2, performed["phaco to msics"])
	require.InDelta(t, 5, untagged, 2)
	require.InDelta(t, 4, unrecorded, 2)
	require.InDelta(t, 35, handedOver, 25)
	require.InDelta(t, 14, overdue, 10)
	require.Positive(t, open)
	// Rupture in 1 to 5 of a hundred: rates of units with trainees lie at 1 to 4 % (Day 2015: 1.95 %, found).
	require.InDelta(t, 7, complicated["posterior-capsule-rupture"], 5)
}

// TestEverythingFits: whatever is invented must be what people could have entered.
func TestEverythingFits(t *testing.T) {
	kinds, lists := complicationPhases(t), stepLists(t)
	ids := map[string]bool{}
	fresh := func(id string) {
		require.Regexp(t, `^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$`, id)
		require.False(t, ids[id], "id %s is there twice", id)
		ids[id] = true
	}
	for _, record := range invent(t, 240).Records {
		fresh(record.Case.ID)
		require.Less(t, record.Case.Date, today.Format(time.DateOnly))
		for _, part := range record.Parts {
			fresh(part.ID)
		}
		for _, visit := range record.Visits {
			fresh(visit.ID)
			require.Greater(t, visit.Date, record.Case.Date)
			require.LessOrEqual(t, visit.Date, today.Format(time.DateOnly))
		}
		for _, c := range record.Complications {
			fresh(c.ID)
			require.Equal(t, kinds[c.Kind] == "postoperative", c.OnDate != "", c.Kind)
			if c.At != nil {
				requireWithin(t, record, *c.At)
			}
		}
		last := int64(0)
		for _, edit := range record.Edits {
			fresh(edit.ID)
			require.Greater(t, edit.MadeAt, last)
			require.Less(t, edit.MadeAt, today.UnixMilli())
			last = edit.MadeAt
		}
		state := fold(record)
		for _, m := range state.Markers {
			require.Contains(t, lists[m.StepList.ID].steps, m.Step)
			requireWithin(t, record, m.Start)
			requireWithin(t, record, *m.End)
		}
		for _, e := range state.Events {
			require.Contains(t, lists[phaco].events, e.Kind)
			requireWithin(t, record, e.At)
		}
	}
}

func TestNoExclusiveStepsOverlapAndEveryMarkHasALength(t *testing.T) {
	impossible := []timeline.WarningCode{
		timeline.WarnOverlap, timeline.WarnNoLength, timeline.WarnEndFirst, timeline.WarnNoEnd, timeline.WarnBeyond, timeline.WarnOutside,
	}
	for _, record := range invent(t, 240).Records {
		for _, warning := range durations(t, record).Warnings {
			require.NotContains(t, impossible, warning.Code, "%s: %s", record.Case.Pseudonym, warning.Message)
		}
	}
}

// TestStepTimesLieNearPublishedOnes: the median of each phase lies within the quartiles of one of the public series that
// package timeline ships (Cataract-101 and Cataract-1K), and times are skewed to the right.
func TestStepTimesLieNearPublishedOnes(t *testing.T) {
	for _, group := range timeline.PublishedGroups() {
		if group.Code != "cataract-101" {
			continue
		}
		for _, phase := range group.Phases {
			low, high := phase.P25, phase.P75
			for _, other := range timeline.PublishedGroups() {
				for _, p := range other.Phases {
					if slices.Equal(p.Steps, phase.Steps) && p.Whole == phase.Whole {
						low, high = min(low, p.P25), max(high, p.P75)
					}
				}
			}
			var times []float64
			for _, record := range phacoCases(t) {
				if figure := timeline.Comparable(input(t, record), phase); figure.Total != nil {
					times = append(times, float64(*figure.Total))
				}
			}
			require.Greater(t, len(times), 100, phase.Name)
			require.GreaterOrEqual(t, median(times), float64(low), phase.Name)
			require.LessOrEqual(t, median(times), float64(high), phase.Name)
			require.Greater(t, mean(times), median(times), "%s is not skewed to the right", phase.Name)
		}
	}
}

// TestPlantedRelationsCanBeFound with a plain correlation; the slopes are in the package's comment.
func TestPlantedRelationsCanBeFound(t *testing.T) {
	var grades, energies, nucleus, losses, lossEnergies []float64
	for _, record := range phacoCases(t) {
		energy := math.Log(*record.Case.Operation.CDE)
		grades = append(grades, float64(*record.Case.Before.NuclearGrade))
		energies = append(energies, energy)
		stage, ok := durations(t, record).Stage("nucleus")
		require.True(t, ok)
		nucleus = append(nucleus, math.Log(float64(*stage.Total)))
		before, visit := record.Case.Before.Exam, visitIn(record, annotate.WindowMonth1)
		if before != nil && visit != nil && visit.Exam != nil {
			losses = append(losses, math.Log(before.Density/visit.Exam.Density))
			lossEnergies = append(lossEnergies, *record.Case.Operation.CDE)
		}
	}
	// The published correlation of grade and CDE is 0.81, of CDE and loss 0.61 (a Korean series of 67 eyes, found);
	// counting noise and skill make ours weaker.
	require.InDelta(t, 0.7, correlation(grades, energies), 0.2)
	require.InDelta(t, 0.6, correlation(energies, nucleus), 0.25)
	require.InDelta(t, 0.45, correlation(lossEnergies, losses), 0.25)
	require.Greater(t, len(losses), 150)
	loss := 1 - math.Exp(-mean(losses))
	require.InDelta(t, 0.105, loss, 0.03, "mean loss at one month; 11 %% in a modern series (Perone 2018, found)")
}

func TestTraineesAreSlowerAndLearn(t *testing.T) {
	times := map[string][]float64{}
	unit := invent(t, 240)
	for _, record := range phacoCases(t) {
		for _, user := range unit.Users {
			if user.ID == record.Case.Operators[0].UserID {
				times[user.Login] = append(times[user.Login], float64(*durations(t, record).Operation.Time))
			}
		}
	}
	require.Greater(t, median(times["haruka"]), 1.3*median(times["mara"]))
	require.Greater(t, median(times["tomas"]), median(times["eleni"]))
	for _, login := range []string{"haruka", "tomas"} {
		half := len(times[login]) / 2
		require.Greater(t, median(times[login][:half]), median(times[login][half:]), login)
	}
}
