package stat

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Source: optimal partitioning in exact rational arithmetic, all segmentations tried for short series; to the tolerance in
// the file.
func TestChangePointsAgainstExactArithmetic(t *testing.T) {
	eachVector(t, "changepoint.json", func(t *testing.T, v vector, _ string) {
		var in struct {
			X                 []float64
			Variance, Penalty float64
			Shortest          int `json:"min_length"`
		}
		var want struct {
			ChangePoints []int   `json:"change_points"`
			Total        float64 `json:"total_cost"`
			Cost         float64 `json:"unpenalised_cost"`
			Segments     []Segment
		}
		v.read(t, &in, &want)
		got, err := ChangePoints(in.X, in.Variance, in.Penalty, in.Shortest)
		require.NoError(t, err)
		require.Equal(t, want.ChangePoints, got.ChangePoints)
		v.near(t, want.Total, got.Total, "total cost")
		v.near(t, want.Cost, got.Cost, "cost")
		require.Len(t, got.Segments, len(want.Segments))
		for i, s := range want.Segments {
			require.Equal(t, s.First, got.Segments[i].First)
			require.Equal(t, s.Last, got.Segments[i].Last)
			v.near(t, s.Mean, got.Segments[i].Mean, "mean")
		}
	})
}

func TestChangePointsRefuse(t *testing.T) {
	_, err := ChangePoints([]float64{1, 2}, 1, 1, 3)
	requireReason(t, err, TooFew)
	_, err = ChangePoints([]float64{1, 2}, 0, 1, 1)
	requireReason(t, err, Invalid)
	_, err = ChangePoints([]float64{1, math.NaN()}, 1, 1, 1)
	requireReason(t, err, Invalid)
}

// Dropping starts loses nothing: the total equals that of a search that drops none.
func TestChangePointsDropNothingOfUse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 30).Draw(t, "n")
		shortest := rapid.IntRange(1, min(n, 5)).Draw(t, "shortest")
		penalty := rapid.Float64Range(0, 12).Draw(t, "penalty")
		x := make([]float64, n)
		for i := range x {
			x[i] = float64(rapid.IntRange(0, 9).Draw(t, "x"))
		}
		best := make([]float64, n+1)
		best[0] = -penalty
		for end := 1; end <= n; end++ {
			best[end] = math.Inf(1)
			for start := 0; start <= end-shortest; start++ {
				_, squares := momentsOf(x[start:end])
				best[end] = min(best[end], best[start]+squares+penalty)
			}
		}
		got, err := ChangePoints(x, 1, penalty, shortest)
		require.NoError(t, err)
		require.InDelta(t, best[n], got.Total, 1e-9)
	})
}
