package timeline

import (
	"encoding/json"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
)

// manyMarks is a reading of n markers, one after the other with short pauses, of steps that come back.
func manyMarks(n int) Input {
	in := Input{Stages: []string{"one", "two"}, Reference: map[string]int64{"a": 60_000}}
	for _, code := range []string{"a", "b", "c", "d", "e", "f"} {
		in.Steps = append(in.Steps, Step{Code: code, Name: code, Stage: in.Stages[len(in.Steps)%2], Exclusive: true, Required: true})
	}
	half := int64(n) * 1000
	clock, err := NewClock([]Part{{ID: "p", Duration: half, RealTime: true}, {ID: "q", Duration: half, RealTime: true}})
	if err != nil {
		panic(err)
	}
	in.Clock = clock
	for i := range n {
		at := int64(i) * 1900
		part := []string{"p", "q"}[at/half]
		in.Marks = append(in.Marks, Mark{ID: fmt.Sprint(i), Step: in.Steps[i%6].Code, Operator: []string{"x", "y"}[i/7%2],
			Start: Instant{part, at % half}, End: &Instant{part, min(at%half+1500, half)}})
	}
	return in
}

func BenchmarkDurations(b *testing.B) {
	for _, n := range []int{40, 2000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			in := manyMarks(n)
			b.ReportAllocs()
			for b.Loop() {
				Durations(in)
			}
		})
	}
}

func TestMergeSteps(t *testing.T) {
	step := func(code string, required bool) Step {
		return Step{Code: code, Name: code, Exclusive: true, Required: required}
	}
	first := []Step{step("entry", true), step("rhexis", true), step("sculpting", true), step("cortex", true)}
	second := []Step{step("tunnel", true), step("rhexis", true), step("prolapse", true), step("delivery", false), step("cortex", false), step("suture", true)}
	require.Equal(t, []Step{
		step("tunnel", false), step("entry", false), step("rhexis", true), step("prolapse", false), step("delivery", false),
		step("sculpting", false), step("cortex", false), step("suture", false),
	}, MergeSteps(first, second))
	require.True(t, first[0].Required, "the input is left alone")
	require.Equal(t, first, MergeSteps(first, first))
}

// A marker of a step that is in no list counts for itself and for nothing else.
func TestStepInNoList(t *testing.T) {
	in := manyMarks(3)
	in.Marks = append(in.Marks, Mark{ID: "z", Step: "unheard-of", Start: Instant{"p", 100}, End: &Instant{"p", 900}})
	r := Durations(in)
	step, ok := r.Step("unheard-of")
	require.True(t, ok)
	require.Equal(t, int64(800), *step.Total)
	require.False(t, step.Exclusive)
	require.Equal(t, *Durations(manyMarks(3)).Operation.Tagged, *r.Operation.Tagged)
	_, ok = r.Step("nothing")
	require.False(t, ok)
	_, ok = r.Stage("nothing")
	require.False(t, ok)
}

func TestMarkFiguresAreOnTheCaseClock(t *testing.T) {
	clock, err := NewClock([]Part{{ID: "a", Duration: 1000, RealTime: true}, {ID: "b", Duration: 1000, Offset: pointTo(int64(1500)), RealTime: true}})
	require.NoError(t, err)
	in := Input{Clock: clock, Steps: []Step{{Code: "s", Name: "Step", Exclusive: true}}, Marks: []Mark{
		{ID: "late", Step: "s", Start: Instant{"c", 0}, End: &Instant{"c", 5}},
		{ID: "open", Step: "s", Start: Instant{"b", 300}},
		{ID: "through", Step: "s", Start: Instant{"a", 400}, End: &Instant{"b", 200}},
	}}
	r := Durations(in)
	require.Equal(t, []MarkFigure{
		{"through", "s", pointTo(int64(400)), pointTo(int64(1700)), pointTo(int64(800)), LowerBound},
		{"open", "s", pointTo(int64(1800)), nil, nil, LowerBound},
		{"late", "s", nil, nil, nil, NotRecorded},
	}, r.Marks)
	require.Equal(t, []Span{{1000, 1500}}, r.Gaps)
}

// A key stays the same when a marker moves, so that an accepted warning stays accepted; it names other markers otherwise.
func TestWarningKeysAreStable(t *testing.T) {
	build := func(firstEnd int64, second string) []Warning {
		clock, err := NewClock([]Part{{ID: "p", Duration: 100_000, RealTime: true}})
		require.NoError(t, err)
		return Durations(Input{Clock: clock, Steps: []Step{{Code: "a", Name: "Cortex removal", Exclusive: true}, {Code: "b", Name: "Polishing", Exclusive: true}}, Marks: []Mark{
			{ID: "m1", Step: "a", Start: Instant{"p", 0}, End: &Instant{"p", firstEnd}},
			{ID: second, Step: "b", Start: Instant{"p", 8000}, End: &Instant{"p", 30_000}},
		}}).Warnings
	}
	before := build(9000, "m2")
	require.Len(t, before, 1)
	require.Equal(t, "overlap:m1+m2", before[0].Key)
	require.Equal(t, "Cortex removal and Polishing overlap for 1.000 s; only one of them can run at a time.", before[0].Message)
	require.Equal(t, before[0].Key, build(9500, "m2")[0].Key)
	require.NotEqual(t, before[0].Key, build(9000, "m3")[0].Key)
	require.Empty(t, build(8000, "m2"))
}

func TestLengthsInWords(t *testing.T) {
	for ms, want := range map[int64]string{0: "0.000 s", 7: "0.007 s", 59_999: "59.999 s", 60_000: "1 min 00 s", 119_600: "2 min 00 s", 3_725_000: "62 min 05 s"} {
		require.Equal(t, want, inWords(ms))
	}
}

// The page and the reports read these names: lists are never null, a missing figure is null and never 0.
func TestResultAsJSON(t *testing.T) {
	text, err := json.Marshal(Durations(Input{}))
	require.NoError(t, err)
	require.JSONEq(t, `{"steps": [], "stages": [], "marks": [], "gaps": [], "warnings": [], "operation": {"time": null, "start": null,
		"end": null, "tagged": null, "untagged": null, "unrecorded": 0, "quality": "not-recorded", "operators": []}}`, string(text))

	in := manyMarks(1)
	in.Marks[0].End = nil
	text, err = json.Marshal(Durations(in))
	require.NoError(t, err)
	require.NotRegexp(t, `"(steps|stages|operators|marks|gaps|warnings)":null`, string(text))
	var back struct {
		Steps []struct {
			Code     string
			Total    *int64
			Quality  Quality
			Running  bool
			At       *Instant
			Operator []struct{ Operator string } `json:"operators"`
		}
		Warnings []struct{ Key, Code, Message, Step, Complication string }
	}
	require.NoError(t, json.Unmarshal(text, &back))
	require.Equal(t, "a", back.Steps[0].Code)
	require.Nil(t, back.Steps[0].Total)
	require.True(t, back.Steps[0].Running)
	require.Equal(t, &Instant{"p", 0}, back.Steps[0].At)
	require.Equal(t, "x", back.Steps[0].Operator[0].Operator)
	require.Equal(t, "no-end:0", back.Warnings[0].Key)
}
