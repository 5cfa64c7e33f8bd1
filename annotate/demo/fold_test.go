package demo

import (
	"cmp"
	"encoding/json"
	"math"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/demo/film"
	"zonule/timeline"
)

var today = time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)

// films gives the films with the facts that their scripts promise.
func films(t *testing.T) []Film {
	t.Helper()
	list, err := Films(func(name string) (annotate.MediaFacts, error) {
		for _, script := range film.Scripts() {
			for i, part := range script.Parts {
				if part.File == name {
					return annotate.MediaFacts{Duration: script.DurationMs(i), FrameRate: timeline.FrameRate{Num: script.RateNum, Den: script.RateDen}}, nil
				}
			}
		}
		return annotate.MediaFacts{}, os.ErrNotExist
	})
	require.NoError(t, err)
	return list
}

// made keeps the units that tests have asked for, by the number of cases: they only read them.
var made = map[int]Unit{}

func invent(t *testing.T, cases int) Unit {
	t.Helper()
	if _, ok := made[cases]; !ok {
		made[cases] = Invent(Options{Seed: 1, Today: today, Cases: cases, Films: films(t)})
	}
	return made[cases]
}

// phacoCases are those done as planned by phacoemulsification, tagged, in order; the films, whose times are scripted, left out.
func phacoCases(t *testing.T) []Record {
	t.Helper()
	return slices.DeleteFunc(slices.Clone(invent(t, 240).Records), func(r Record) bool {
		return r.Reading == nil || r.Case.Operation.TechniquePerformed != annotate.TechniquePhaco || strings.HasPrefix(r.Case.Pseudonym, "FILM")
	})
}

// fold gives the items as the journal leaves them, by the plainest means: the last version counts.
func fold(record Record) annotate.ReadingState {
	markers, events, comments := map[string]annotate.Marker{}, map[string]annotate.Event{}, map[string]annotate.Comment{}
	for _, edit := range record.Edits {
		for _, change := range edit.Changes {
			switch {
			case change.Marker != nil:
				markers[change.ID] = *change.Marker
			case change.Event != nil:
				events[change.ID] = *change.Event
			case change.Comment != nil:
				comments[change.ID] = *change.Comment
			}
		}
	}
	var state annotate.ReadingState
	for _, m := range markers {
		state.Markers = append(state.Markers, m)
	}
	for _, e := range events {
		state.Events = append(state.Events, e)
	}
	for _, c := range comments {
		state.Comments = append(state.Comments, c)
	}
	slices.SortFunc(state.Markers, func(a, b annotate.Marker) int { return cmp.Compare(a.ID, b.ID) })
	return state
}

// listWords are the codes that a step list knows.
type listWords struct {
	timeline []timeline.Step
	stages   []string
	steps    []string
	events   []string
}

// lists keeps what the step lists know.
var lists = map[string]listWords{}

func stepLists(t *testing.T) map[string]listWords {
	t.Helper()
	if len(lists) > 0 {
		return lists
	}
	for _, id := range []string{phaco, msics} {
		text, err := os.ReadFile("../steplists/" + id + ".json")
		require.NoError(t, err)
		var list annotate.StepList
		require.NoError(t, json.Unmarshal(text, &list))
		var w listWords
		for _, s := range list.Steps {
			w.steps = append(w.steps, s.Code)
			w.timeline = append(w.timeline, timeline.Step{Code: s.Code, Name: s.Name, Stage: s.Stage, Exclusive: s.Exclusive, Required: s.Required})
		}
		for _, s := range list.Stages {
			w.stages = append(w.stages, s.Code)
		}
		for _, e := range list.EventKinds {
			w.events = append(w.events, e.Code)
		}
		lists[id] = w
	}
	return lists
}

func complicationPhases(t *testing.T) map[string]string {
	t.Helper()
	text, err := os.ReadFile("../complications.json")
	require.NoError(t, err)
	var kinds []annotate.ComplicationKind
	require.NoError(t, json.Unmarshal(text, &kinds))
	phases := map[string]string{}
	for _, kind := range kinds {
		phases[kind.Code] = kind.Phase
	}
	return phases
}

func input(t *testing.T, record Record) timeline.Input {
	t.Helper()
	var parts []timeline.Part
	for _, part := range record.Parts {
		parts = append(parts, timeline.Part{ID: part.ID, Name: part.Source, Duration: part.Facts.Duration, RealTime: part.RealTime})
	}
	clock, err := timeline.NewClock(parts)
	require.NoError(t, err)
	lists := stepLists(t)
	in := timeline.Input{Clock: clock, Stages: lists[phaco].stages, Steps: timeline.MergeSteps(lists[phaco].timeline, lists[msics].timeline)}
	for _, m := range fold(record).Markers {
		in.Marks = append(in.Marks, timeline.Mark{ID: m.ID, Step: m.Step, Operator: m.OperatorID, Start: m.Start, End: m.End})
	}
	for _, c := range record.Complications {
		if c.At != nil {
			in.Complications = append(in.Complications, timeline.Happening{ID: c.ID, Kind: c.Kind, At: *c.At})
		}
	}
	return in
}

// measured keeps the durations of records, by case.
var measured = map[string]timeline.Result{}

func durations(t *testing.T, record Record) timeline.Result {
	t.Helper()
	if _, ok := measured[record.Case.ID]; !ok {
		measured[record.Case.ID] = timeline.Durations(input(t, record))
	}
	return measured[record.Case.ID]
}

func requireWithin(t *testing.T, record Record, at timeline.Instant) {
	t.Helper()
	for _, part := range record.Parts {
		if part.ID == at.Part {
			require.GreaterOrEqual(t, at.Ms, int64(0))
			require.LessOrEqual(t, at.Ms, part.Facts.Duration)
			return
		}
	}
	require.Fail(t, "an instant lies in no part", record.Case.Pseudonym)
}

func visitIn(record Record, window annotate.Window) *annotate.Visit {
	for i, visit := range record.Visits {
		if visit.Window == window {
			return &record.Visits[i]
		}
	}
	return nil
}

func median(values []float64) float64 {
	sorted := slices.Sorted(slices.Values(values))
	return (sorted[(len(sorted)-1)/2] + sorted[len(sorted)/2]) / 2
}

func mean(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum / float64(len(values))
}

// correlation is Pearson's.
func correlation(x, y []float64) float64 {
	mx, my := mean(x), mean(y)
	var xy, xx, yy float64
	for i := range x {
		xy += (x[i] - mx) * (y[i] - my)
		xx += (x[i] - mx) * (x[i] - mx)
		yy += (y[i] - my) * (y[i] - my)
	}
	return xy / math.Sqrt(xx*yy)
}
