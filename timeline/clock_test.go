package timeline

import (
	"errors"
	"math/big"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestNewClockRefuses(t *testing.T) {
	second := int64(1000)
	early := int64(-500)
	for name, c := range map[string]struct {
		parts              []Part
		part, other, field string
	}{
		"overlap names both":       {[]Part{{ID: "a", Duration: 2000}, {ID: "b", Duration: 500, Offset: &second}}, "b", "a", "offset"},
		"overlap in reverse order": {[]Part{{ID: "a", Duration: 2000}, {ID: "b", Duration: 600, Offset: &early}}, "a", "b", "offset"},
		"overlap behind a point":   {[]Part{{ID: "a", Duration: 3000}, {ID: "b", Offset: &second}, {ID: "c", Duration: 10, Offset: &second}}, "c", "a", "offset"},
		"same id":                  {[]Part{{ID: "a", Duration: 1}, {ID: "a", Duration: 1}}, "a", "", "id"},
		"negative length":          {[]Part{{ID: "a", Duration: -1}}, "a", "", "duration"},
		"rate out of range":        {[]Part{{ID: "a", Duration: 100, Rates: []RateSpan{{0, 101, 2000}}}}, "a", "", "rates[0]"},
		"rate empty":               {[]Part{{ID: "a", Duration: 100, Rates: []RateSpan{{5, 5, 2000}}}}, "a", "", "rates[0]"},
		"rate of nothing":          {[]Part{{ID: "a", Duration: 100, Rates: []RateSpan{{0, 5, 0}}}}, "a", "", "rates[0]"},
		"rates out of order":       {[]Part{{ID: "a", Duration: 100, Rates: []RateSpan{{50, 60, 2000}, {0, 5, 2000}}}}, "a", "", "rates[1]"},
		"cut outside":              {[]Part{{ID: "a", Duration: 100, Cuts: []int64{50, 101}}}, "a", "", "cuts[1]"},
		"offset beyond reason":     {[]Part{{ID: "a", Duration: 100, Offset: pointTo(timeLimit + 1)}}, "a", "", "offset"},
	} {
		_, err := NewClock(c.parts)
		var refused *PartError
		require.ErrorAs(t, err, &refused, name)
		require.Equal(t, []string{c.part, c.other, c.field}, []string{refused.Part, refused.Other, refused.Field}, name)
		require.NotEmpty(t, refused.Error(), name)
	}
}

func TestClockOfNothing(t *testing.T) {
	clock, err := NewClock(nil)
	require.NoError(t, err)
	require.Equal(t, Span{}, clock.Extent())
	require.Empty(t, clock.Gaps())
	_, err = clock.Case(Instant{"a", 0})
	require.ErrorIs(t, err, ErrUnrecorded)
	_, ok := clock.Media(0)
	require.False(t, ok)
}

// The order of the parts gives the default offset, not the place: an offset may put a later part first.
func TestOffsetWins(t *testing.T) {
	clock, err := NewClock([]Part{{ID: "a", Duration: 1000, Offset: pointTo(int64(5000))}, {ID: "b", Duration: 400, Offset: pointTo(int64(0))}, {ID: "c", Duration: 100}})
	require.NoError(t, err)
	require.Equal(t, Span{0, 6000}, clock.Extent())
	require.Equal(t, []Span{{500, 5000}}, clock.Gaps())
	at, err := clock.Case(Instant{"c", 50})
	require.NoError(t, err)
	require.Equal(t, int64(450), at)
}

func TestBreaksAndEdited(t *testing.T) {
	clock, err := NewClock([]Part{
		{ID: "a", Duration: 1000, Cuts: []int64{300}, RealTime: true},
		{ID: "b", Duration: 1000, Offset: pointTo(int64(1200)), RealTime: false},
	})
	require.NoError(t, err)
	for _, c := range []struct {
		span           Span
		breaks, edited bool
	}{
		{Span{0, 300}, false, false}, {Span{300, 1000}, false, false}, {Span{299, 301}, true, false}, {Span{900, 1001}, true, false},
		{Span{1200, 1300}, false, true}, {Span{900, 1300}, true, true}, {Span{1000, 1000}, false, false}, {Span{1200, 1200}, false, true},
	} {
		require.Equal(t, c.breaks, clock.Breaks(c.span), "%v", c.span)
		require.Equal(t, c.edited, clock.Edited(c.span), "%v", c.span)
	}
}

// drawPart draws a part whose rates lie between slowest and fastest per mille.
func drawPart(t *rapid.T, id string, slowest, fastest int64) Part {
	part := Part{ID: id, Duration: rapid.Int64Range(1, 400).Draw(t, "length"), RealTime: true}
	var from int64
	for range rapid.IntRange(0, 4).Draw(t, "rates") {
		start := from + rapid.Int64Range(0, 20).Draw(t, "pause")
		end := start + rapid.Int64Range(1, 80).Draw(t, "stretch")
		if end > part.Duration {
			break
		}
		part.Rates = append(part.Rates, RateSpan{start, end, rapid.Int64Range(slowest, fastest).Draw(t, "rate")})
		from = end
	}
	return part
}

// Source of the expected values: the integral summed millisecond by millisecond in exact fractions; arithmetic.
func TestCaseAgainstSum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		part := drawPart(t, "a", 1, 5000)
		clock, err := NewClock([]Part{part})
		require.NoError(t, err)
		sum := new(big.Rat)
		for ms := int64(0); ms <= part.Duration; ms++ {
			got, err := clock.Case(Instant{"a", ms})
			require.NoError(t, err)
			rounded, _ := new(big.Int).SetString(sum.FloatString(0), 10) // rounds half away from zero
			require.Equal(t, rounded.Int64(), got, "at %d", ms)
			rate := int64(1000)
			for _, r := range part.Rates {
				if r.Start <= ms && ms < r.End {
					rate = r.PerMille
				}
			}
			sum.Add(sum, big.NewRat(rate, 1000))
		}
	})
}

func TestClockIsMonotoneAndInvertible(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		slowest := rapid.SampledFrom([]int64{1000, 100}).Draw(t, "slowest")
		first, second := drawPart(t, "a", slowest, 4000), drawPart(t, "b", slowest, 4000)
		head, err := NewClock([]Part{first})
		require.NoError(t, err)
		gap := rapid.Int64Range(0, 30).Draw(t, "gap")
		second.Offset = pointTo(head.Extent().End + gap)
		clock, err := NewClock([]Part{first, second})
		require.NoError(t, err)
		require.Equal(t, gap, Length(clock.Gaps()))

		last := int64(-1)
		for _, part := range []Part{first, second} {
			for ms := int64(0); ms < part.Duration; ms++ {
				at := Instant{part.ID, ms}
				there, err := clock.Case(at)
				require.NoError(t, err)
				require.GreaterOrEqual(t, there, last)
				if slowest == 1000 {
					require.Greater(t, there, last, "strictly, when no edit is slower than real time")
				}
				last = there
				back, ok := clock.Media(there)
				if !ok || back.Part != part.ID {
					require.Less(t, slowest, int64(1000), "only a rounded end of a slowed part may fall out of it")
					continue
				}
				again, err := clock.Case(back)
				require.NoError(t, err)
				require.Equal(t, there, again)
				if slowest == 1000 {
					require.Equal(t, at, back)
				}
			}
		}
		for ms := clock.Extent().Start - 2; ms < clock.Extent().End+2; ms++ {
			_, ok := clock.Media(ms)
			inGap := len(Clip(clock.Gaps(), Span{ms, ms + 1})) > 0
			require.Equal(t, clock.Extent().Holds(ms) && !inGap, ok)
		}
	})
}

func TestInstantOutsideEveryPart(t *testing.T) {
	clock, err := NewClock([]Part{{ID: "a", Duration: 100}})
	require.NoError(t, err)
	for _, at := range []Instant{{"a", -1}, {"a", 101}, {"b", 0}, {"", 0}} {
		_, err := clock.Case(at)
		require.True(t, errors.Is(err, ErrUnrecorded), "%v", at)
	}
}
