package timeline

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Two files of 100 s, the second from 110 s of the case clock. Steps, on the case clock: one 10 to 40 s, two 55 s to 122 s
// (12 s of it recorded in the second file), three from 130 s on without an end; a concurrent step throughout.
func leadInput(t *testing.T) Input {
	clock, err := NewClock([]Part{{ID: "a", Duration: 100_000, RealTime: true}, {ID: "b", Duration: 100_000, Offset: pointTo(int64(110_000)), RealTime: true}})
	require.NoError(t, err)
	at := func(part string, seconds int64) Instant { return Instant{part, seconds * 1000} }
	end := func(part string, seconds int64) *Instant { return pointTo(at(part, seconds)) }
	return Input{
		Clock: clock,
		Steps: []Step{{Code: "one", Exclusive: true}, {Code: "two", Exclusive: true}, {Code: "three", Exclusive: true}, {Code: "beside"}},
		Marks: []Mark{
			{ID: "1", Step: "one", Start: at("a", 10), End: end("a", 40)}, {ID: "2", Step: "two", Start: at("a", 55), End: end("b", 12)},
			{ID: "3", Step: "three", Start: at("b", 20)}, {ID: "4", Step: "beside", Start: at("a", 0), End: end("b", 90)},
		},
	}
}

// Every figure is the arithmetic of the spans above.
func TestLeadTo(t *testing.T) {
	cases := map[string]struct {
		at         Instant
		want       Span
		unmarked   []Span
		unrecorded []Span
		step       string
		since      int64
	}{
		"in a step over a gap of the recording": {Instant{"b", 5000}, Span{10_000, 115_000}, []Span{{40_000, 55_000}}, []Span{{100_000, 110_000}}, "two", 55_000},
		"in a step without an end":              {Instant{"b", 80_000}, Span{70_000, 190_000}, []Span{{122_000, 130_000}}, []Span{{100_000, 110_000}}, "three", 130_000},
		"in no step":                            {Instant{"a", 50_000}, Span{10_000, 50_000}, []Span{{40_000, 50_000}}, []Span{}, "", 0},
		"before the first step":                 {Instant{"a", 4000}, Span{0, 4000}, []Span{{0, 4000}}, []Span{}, "", 0},
		"where the first step begins":           {Instant{"a", 10_000}, Span{10_000, 10_000}, []Span{}, []Span{}, "one", 10_000},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			lead, err := LeadTo(leadInput(t), c.at, 120_000)
			require.NoError(t, err)
			require.Equal(t, Lead{c.want, c.unmarked, c.unrecorded, c.step, c.since}, lead)
			running, runs := StepAt(leadInput(t), c.at)
			require.Equal(t, c.step != "", runs)
			require.Equal(t, c.step, running.Step)
		})
	}
	handed := leadInput(t)
	handed.Marks = append(handed.Marks, Mark{ID: "5", Step: "one", Operator: "another", Start: Instant{"a", 40_000}, End: &Instant{"a", 50_000}})
	lead, err := LeadTo(handed, Instant{"a", 45_000}, 120_000)
	require.NoError(t, err)
	require.Equal(t, int64(10_000), lead.Since, "one episode, though it was handed over")
	_, err = LeadTo(leadInput(t), Instant{"c", 1}, 120_000)
	require.ErrorIs(t, err, ErrUnrecorded)
}
