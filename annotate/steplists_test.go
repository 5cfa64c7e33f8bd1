package annotate

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/timeline"
)

func TestShippedListsKeepTheRules(t *testing.T) {
	require.Len(t, shippedStepLists, 2)
	for _, list := range shippedStepLists {
		require.NoError(t, list.validate(), list.ID)
		require.True(t, list.Shipped, list.ID)
		require.Len(t, list.Stages, len(stagesKnown), list.ID)
		for i, stage := range list.Stages {
			require.Equal(t, stagesKnown[i], stage.Code, list.ID)
		}
	}
}

func TestComplicationKinds(t *testing.T) {
	codes := map[string]bool{}
	for _, kind := range complicationKinds {
		require.False(t, codes[kind.Code], kind.Code)
		codes[kind.Code] = true
		require.Contains(t, []string{phaseDuring, phaseAfter}, kind.Phase, kind.Code)
		require.NotEmpty(t, kind.Name)
		require.False(t, kind.CapsuleRupture && kind.Phase == phaseAfter, kind.Code)
	}
}

func TestStepListRules(t *testing.T) {
	for _, row := range []struct {
		name   string
		change func(*StepList)
		field  string
	}{
		{"plain", func(*StepList) {}, ""},
		{"no name", func(l *StepList) { l.Name = " " }, "name"},
		{"technique", func(l *StepList) { l.Technique = "laser" }, "technique"},
		{"stage", func(l *StepList) { l.Stages[0].Code = "draping" }, "stages[0].code"},
		{"stage twice", func(l *StepList) { l.Stages = append(l.Stages, l.Stages[0]) }, "stages[6].code"},
		{"step in no stage", func(l *StepList) { l.Steps[0].Stage = "afterwards" }, "steps[0].stage"},
		{"code twice", func(l *StepList) { l.Steps[1].Code = l.Steps[0].Code }, "steps[1].code"},
		{"key twice", func(l *StepList) { l.Steps[1].Key = l.Steps[0].Key }, "steps[1].key"},
		{"two letters", func(l *StepList) { l.Steps[1].Key = "ab" }, "steps[1].key"},
		{"no key", func(l *StepList) { l.Steps[1].Key = "" }, "steps[1].key"},
		{"digit for a step", func(l *StepList) { l.Steps[1].Key = "1" }, "steps[1].key"},
		{"letter for an event", func(l *StepList) { l.EventKinds[0].Key = "s" }, "eventKinds[0].key"},
		{"no conversion", func(l *StepList) { l.EventKinds = l.EventKinds[:1] }, "eventKinds"},
		{"no steps", func(l *StepList) { l.Steps = nil }, "steps"},
		{"no words for the start", func(l *StepList) { l.Steps[2].Begins = "" }, "steps[2].begins"},
	} {
		t.Run(row.name, func(t *testing.T) {
			list := mustRead[StepList]("steplists/phaco.json")
			row.change(&list)
			fields := fieldsOf(t, list.validate())
			if row.field == "" {
				require.Empty(t, fields)
				return
			}
			require.Contains(t, fields, row.field)
		})
	}
}

// clip is a case file with one part of ten minutes and these markers.
func clip(lists []StepList, markers ...Marker) CaseFile {
	c := goodCase()
	return CaseFile{
		Case: c, Parts: []Part{{ID: "p", Source: "films:a/b.mp4", Facts: MediaFacts{Duration: 600_000}, RealTime: true}},
		StepLists: lists, Reading: &ReadingState{Markers: markers},
	}
}

func mark(step string, start, end int64) Marker {
	return Marker{ID: step, Step: step, Start: timeline.Instant{Part: "p", Ms: start}, End: &timeline.Instant{Part: "p", Ms: end}}
}

func TestIntervals(t *testing.T) {
	phaco, msics := shippedStepLists[0], shippedStepLists[1]
	file := clip([]StepList{phaco}, mark("side-port", 1000, 5000))
	other := mark("cortex", 6000, 9000)
	other.OperatorID = "b"
	file.Reading.Markers = append(file.Reading.Markers, other)
	file.Complications = []Complication{{ID: "k", Kind: "vitreous-loss", At: &timeline.Instant{Part: "p", Ms: 7000}}, {ID: "l", Kind: "uveitis"}}
	in, err := Intervals(file)
	require.NoError(t, err)
	require.Equal(t, stagesKnown, in.Stages)
	require.Len(t, in.Steps, len(phaco.Steps))
	require.Equal(t, "a", in.Marks[0].Operator, "a marker without an operator belongs to the one who led")
	require.Equal(t, "b", in.Marks[1].Operator)
	require.Equal(t, []timeline.Happening{{ID: "k", Kind: "vitreous-loss", At: timeline.Instant{Part: "p", Ms: 7000}}}, in.Complications)
	result := timeline.Durations(in)
	// By hand: from 1.000 s to 9.000 s are 8 s, of which 4 s and 3 s are marked and 1 s is not.
	require.Equal(t, int64(8000), *result.Operation.Time)
	require.Equal(t, int64(7000), *result.Operation.Tagged)

	converted, err := Intervals(clip([]StepList{phaco, msics}))
	require.NoError(t, err)
	required := func(code string) bool {
		at := slices.IndexFunc(converted.Steps, func(s timeline.Step) bool { return s.Code == code })
		require.GreaterOrEqual(t, at, 0, code)
		return converted.Steps[at].Required
	}
	require.False(t, required("removal"), "a converted case need not finish the first technique")
	require.False(t, required("nucleus-delivery"), "nor have all of the second")
	require.True(t, required("lens-insertion"), "what both need stays needed")
}

func TestAnotherVersionIsNoConversion(t *testing.T) {
	first := shippedStepLists[0]
	second := first
	second.Version = 2
	second.Steps = append(slices.Clone(first.Steps), Step{Code: "new", Name: "New", Stage: "lens", Exclusive: true, Required: true})
	in, err := Intervals(clip([]StepList{first, second}))
	require.NoError(t, err)
	require.Len(t, in.Steps, len(first.Steps)+1)
	for _, step := range in.Steps {
		known, ok := first.step(step.Code)
		require.Equal(t, ok && known.Required, step.Required, step.Code)
	}
}

func TestReferenceNeedsTwentyCases(t *testing.T) {
	file := clip(shippedStepLists[:1])
	file.Group = map[string][]int64{"cortex": make([]int64, 19), "removal": nil}
	for i := range 20 {
		file.Group["removal"] = append(file.Group["removal"], int64(i+1)*1000)
	}
	in, err := Intervals(file)
	require.NoError(t, err)
	// By hand: the middle of 10.000 s and 11.000 s.
	require.Equal(t, map[string]int64{"removal": 10_500}, in.Reference)
}

func TestPartsThatOverlapAreNamed(t *testing.T) {
	parts := []Part{
		{ID: "p", Source: "films:one.mp4", Facts: MediaFacts{Duration: 60_000}, RealTime: true},
		{ID: "q", Source: "films:two.mp4", Facts: MediaFacts{Duration: 60_000}, RealTime: true, Offset: pointer(int64(30_000))},
	}
	err := checkClock(parts)
	require.Equal(t, CodeInvalid, CodeOf(err))
	require.ErrorContains(t, err, "one.mp4")
	require.ErrorContains(t, err, "two.mp4")
	require.Equal(t, []string{"offset"}, fieldsOf(t, err))
}
