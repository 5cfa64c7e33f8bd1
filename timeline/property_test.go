package timeline

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// requireIdentities holds for every result, whatever was marked.
func requireIdentities(t require.TestingT, r Result) {
	figure := func(f Figure) {
		if f.Total == nil {
			require.NotEqual(t, Measured, f.Quality)
			require.Zero(t, f.Episodes)
			return
		}
		require.Equal(t, *f.LastEnd-*f.FirstStart, *f.Span)
		require.Equal(t, *f.Span, *f.Total+f.Unrecorded+*f.Interrupted)
	}
	for _, step := range r.Steps {
		figure(step.Figure)
		for _, operator := range step.Operators {
			figure(operator.Figure)
		}
	}
	for _, stage := range r.Stages {
		figure(stage.Figure)
	}
	if o := r.Operation; o.Time != nil {
		require.Equal(t, *o.Time, *o.Tagged+*o.Untagged+o.Unrecorded)
		require.GreaterOrEqual(t, *o.Untagged, int64(0))
	}
}

// grid is the brute-force counterpart of a list of spans: one cell for each millisecond.
type grid map[int64]bool

func cells(list ...Span) grid {
	g := grid{}
	for _, s := range list {
		for ms := s.Start; ms < s.End; ms++ {
			g[ms] = true
		}
	}
	return g
}

// runs counts the maximal runs of cells.
func (g grid) runs() int {
	runs := 0
	for ms := range g {
		if !g[ms-1] {
			runs++
		}
	}
	return runs
}

func (g grid) keep(where func(ms int64) bool) grid {
	kept := grid{}
	for ms := range g {
		if where(ms) {
			kept[ms] = true
		}
	}
	return kept
}

var drawSpans = rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Span {
	return Span{rapid.Int64Range(-20, 60).Draw(t, "start"), rapid.Int64Range(-20, 60).Draw(t, "end")}
}), 0, 12)

// Source of the expected values: a count of milliseconds; arithmetic.
func TestSpansAgainstGrid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawSpans.Draw(t, "a"), drawSpans.Draw(t, "b")
		limits := Span{rapid.Int64Range(-20, 60).Draw(t, "from"), rapid.Int64Range(-20, 60).Draw(t, "to")}
		inA, inB := cells(a...), cells(b...)
		before := slices.Clone(a)

		union := Union(a)
		require.Equal(t, before, a, "the input is left alone")
		require.Equal(t, inA, cells(union...))
		require.Len(t, union, inA.runs())
		require.True(t, slices.IsSortedFunc(union, func(x, y Span) int { return int(x.Start - y.Start) }))
		require.Equal(t, int64(len(inA)), Length(a))
		require.Equal(t, union, Union(rapid.Permutation(a).Draw(t, "shuffled")), "the order does not matter")
		require.Equal(t, union, Union(union))

		both := Intersect(a, b)
		require.Equal(t, inA.keep(func(ms int64) bool { return inB[ms] }), cells(both...))
		require.Equal(t, both, Intersect(b, a))
		rest := Subtract(a, b)
		require.Equal(t, inA.keep(func(ms int64) bool { return !inB[ms] }), cells(rest...))
		require.Equal(t, Length(a), Length(both)+Length(rest), "the parts sum to the whole")
		require.Len(t, rest, cells(rest...).runs(), "intervals are maximal")
		require.Len(t, both, cells(both...).runs(), "intervals are maximal")

		clipped := Clip(a, limits)
		require.Equal(t, inA.keep(limits.Holds), cells(clipped...))
		require.Equal(t, clipped, Clip(clipped, limits), "clip twice is clip once")
	})
}

// scene is a random reading of parts in real time, with its own simple idea of where an instant lies.
type scene struct {
	in      Input
	offsets map[string]int64
	lengths map[string]int64
}

func (s scene) at(i Instant) int64 { return s.offsets[i.Part] + i.Ms }

func (s scene) recorded(ms int64) bool {
	for id, start := range s.offsets {
		if start <= ms && ms < start+s.lengths[id] {
			return true
		}
	}
	return false
}

// span is the episode of a mark as the rules have it: none when it begins outside, has no end or ends too early.
func (s scene) span(m Mark) Span {
	if m.Start.Ms < 0 || m.Start.Ms > s.lengths[m.Start.Part] || m.End == nil {
		return Span{}
	}
	end := Instant{m.End.Part, min(max(m.End.Ms, 0), s.lengths[m.End.Part])}
	return Span{s.at(m.Start), s.at(end)}
}

func (s scene) spans(keep func(Mark, Step) bool) []Span {
	var all []Span
	for _, m := range s.in.Marks {
		if keep(m, s.in.Steps[indexOf(s.in.Steps, m.Step)]) {
			all = append(all, s.span(m))
		}
	}
	return all
}

var drawScene = rapid.Custom(func(t *rapid.T) scene {
	s := scene{offsets: map[string]int64{}, lengths: map[string]int64{}}
	var parts []Part
	var end int64
	for i := range rapid.IntRange(1, 3).Draw(t, "parts") {
		id := fmt.Sprintf("p%d", i)
		start, length := end+rapid.Int64Range(0, 8).Draw(t, "gap"), rapid.Int64Range(1, 40).Draw(t, "length")
		s.offsets[id], s.lengths[id] = start, length
		cuts := rapid.SliceOfN(rapid.Int64Range(0, length), 0, 1).Draw(t, "cuts")
		parts = append(parts, Part{ID: id, Duration: length, Offset: &start, Cuts: cuts, RealTime: true})
		end = start + length
	}
	clock, err := NewClock(parts)
	require.NoError(t, err)
	instant := rapid.Custom(func(t *rapid.T) Instant {
		part := rapid.SampledFrom(parts).Draw(t, "part")
		return Instant{part.ID, rapid.Int64Range(-3, part.Duration+3).Draw(t, "ms")}
	})
	s.in = Input{Clock: clock, Stages: []string{"one", "two"}, Steps: []Step{
		{"a", "A", "one", true, true}, {"b", "B", "one", true, false}, {"c", "C", "two", true, true}, {"d", "D", "two", false, true},
	}}
	for i := range rapid.IntRange(0, 9).Draw(t, "marks") {
		mark := Mark{ID: fmt.Sprintf("m%d", i), Start: instant.Draw(t, "start"),
			Step:     rapid.SampledFrom([]string{"a", "b", "c", "d"}).Draw(t, "step"),
			Operator: rapid.SampledFrom([]string{"x", "y"}).Draw(t, "operator")}
		if rapid.IntRange(0, 9).Draw(t, "closed") > 0 {
			mark.End = pointTo(instant.Draw(t, "end"))
		}
		s.in.Marks = append(s.in.Marks, mark)
	}
	return s
})

// Source of the expected values: a count of milliseconds; arithmetic.
func TestDurationsAgainstGrid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawScene.Draw(t, "scene")
		r := Durations(s.in)
		requireIdentities(t, r)
		for _, step := range r.Steps {
			of := func(m Mark, _ Step) bool { return m.Step == step.Code }
			requireGrid(t, s, step.Figure, s.spans(of))
			for _, operator := range step.Operators {
				requireGrid(t, s, operator.Figure, s.spans(func(m Mark, st Step) bool { return of(m, st) && m.Operator == operator.Operator }))
			}
		}
		for _, stage := range r.Stages {
			requireGrid(t, s, stage.Figure, s.spans(func(_ Mark, st Step) bool { return st.Exclusive && st.Stage == stage.Stage }))
		}
		exclusive := cells(s.spans(func(_ Mark, st Step) bool { return st.Exclusive })...)
		if r.Operation.Time == nil {
			require.Empty(t, exclusive)
			return
		}
		whole := cells(Span{*r.Operation.Start, *r.Operation.End})
		untagged := whole.keep(func(ms int64) bool { return s.recorded(ms) && !exclusive[ms] })
		require.Equal(t, int64(len(untagged)), *r.Operation.Untagged)
		require.Equal(t, int64(len(exclusive.keep(s.recorded))), *r.Operation.Tagged)
	})
}

func requireGrid(t *rapid.T, s scene, f Figure, list []Span) {
	covered := cells(list...)
	require.Equal(t, covered.runs(), f.Episodes)
	if len(covered) == 0 {
		require.Nil(t, f.Total)
		return
	}
	require.Equal(t, int64(len(covered.keep(s.recorded))), *f.Total)
	first, last := int64(math.MaxInt64), int64(math.MinInt64)
	for ms := range covered {
		first, last = min(first, ms), max(last, ms+1)
	}
	require.Equal(t, last-first-int64(len(covered)), *f.Interrupted)
}

func TestDurationsIgnoreTheOrderOfMarks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawScene.Draw(t, "scene")
		want := Durations(s.in)
		s.in.Marks = rapid.Permutation(s.in.Marks).Draw(t, "shuffled")
		require.Equal(t, want, Durations(s.in))
	})
}

// Measured is said only of a step whose every mark lies wholly in the recording and crosses nothing.
func TestMeasuredIsEarned(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawScene.Draw(t, "scene")
		for _, step := range Durations(s.in).Steps {
			sound, marked := true, false
			for _, m := range s.in.Marks {
				if m.Step != step.Code {
					continue
				}
				marked = true
				span := s.span(m)
				sound = sound && span.Length() > 0 && m.End.Ms >= 0 && m.End.Ms <= s.lengths[m.End.Part]
				for ms := span.Start; ms < span.End; ms++ {
					sound = sound && s.recorded(ms)
				}
				for _, cut := range s.in.Clock.cuts {
					sound = sound && (cut <= span.Start || cut >= span.End)
				}
			}
			require.Equal(t, marked && sound, step.Quality == Measured, "%+v", step)
		}
	})
}

// Every exclusive mark that begins while an earlier one runs is told, each key once, and no more than n - 1.
func TestOverlapsAreTold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawScene.Draw(t, "scene")
		keys, told := map[string]bool{}, map[string]bool{}
		for _, w := range Durations(s.in).Warnings {
			require.False(t, keys[w.Key], "two warnings with the key %s", w.Key)
			keys[w.Key] = true
			if w.Code == WarnOverlap {
				told[w.Marks[0]], told[w.Marks[1]] = true, true
			}
		}
		for _, m := range s.in.Marks {
			overlaps := false
			for _, other := range s.in.Marks {
				shared := Intersect([]Span{s.span(m)}, []Span{s.span(other)})
				overlaps = overlaps || m.ID != other.ID && m.Step != "d" && other.Step != "d" && len(shared) > 0
			}
			require.Equal(t, overlaps, told[m.ID], "%+v", m)
		}
	})
}

// StepAt agrees with looking through the marks one by one, for marks that have an end.
func TestStepAtAgainstSearch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawScene.Draw(t, "scene")
		s.in.Marks = slices.DeleteFunc(s.in.Marks, func(m Mark) bool { return m.End == nil })
		part := rapid.SampledFrom(s.in.Clock.parts).Draw(t, "part")
		at := Instant{part.ID, rapid.Int64Range(0, part.Duration).Draw(t, "ms")}
		var want Mark
		for _, m := range s.in.Marks {
			later := want.ID == "" || s.at(m.Start) > s.at(want.Start) || s.at(m.Start) == s.at(want.Start) && m.ID > want.ID
			if m.Step != "d" && s.span(m).Holds(s.at(at)) && later {
				want = m
			}
		}
		got, ok := StepAt(s.in, at)
		require.Equal(t, want.ID != "", ok)
		require.Equal(t, Running{want.Step, want.ID}, got)
	})
}
