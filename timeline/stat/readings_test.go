package stat

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"zonule/timeline"
)

type wantBoundaries struct {
	Matched    int
	UnmatchedA int      `json:"unmatched_a"`
	UnmatchedB int      `json:"unmatched_b"`
	MeanAbs    *float64 `json:"mean_abs"`
	MedianAbs  *float64 `json:"median_abs"`
	P90Abs     *float64 `json:"p90_abs"`
	MeanSigned *float64 `json:"mean_signed"`
}

// Source: a brute-force grid of one millisecond, every order-preserving matching tried; to the tolerance in the file.
func TestReadingsAgainstTheGrid(t *testing.T) {
	eachVector(t, "segment_agreement.json", func(t *testing.T, v vector, _ string) {
		var in struct {
			Timeline   [2]int64 `json:"timeline_ms"`
			Exclusive  []string
			Concurrent []string
			Window     *int64 `json:"boundary_window_ms"`
			A, B       []Episode
		}
		var want struct {
			Extent [2]int64 `json:"extent_ms"`
			Labels map[string]struct {
				TotalA         int64 `json:"total_a"`
				TotalB         int64 `json:"total_b"`
				Overlap, Union int64
				IoU            *float64
				KappaOnOff     *float64 `json:"kappa_on_off"`
				Boundaries     wantBoundaries
			}
			Confusion     [][]int64
			Kappa         *float64 `json:"kappa_extent"`
			KappaTimeline *float64 `json:"kappa_timeline"`
			KappaLabelled *float64 `json:"kappa_labelled"`
			Boundaries    wantBoundaries
		}
		v.read(t, &in, &want)
		got, err := CompareReadings(Readings{
			A: in.A, B: in.B, Exclusive: in.Exclusive, Concurrent: in.Concurrent,
			Timeline: timeline.Span{Start: in.Timeline[0], End: in.Timeline[1]}, Window: in.Window,
		})
		require.NoError(t, err)
		require.Empty(t, got.Notes)
		require.Equal(t, timeline.Span{Start: want.Extent[0], End: want.Extent[1]}, got.Extent)
		require.Len(t, got.Labels, len(want.Labels))
		for _, label := range got.Labels {
			w := want.Labels[label.Label]
			require.Equal(t, []int64{w.TotalA, w.TotalB, w.Overlap, w.Union},
				[]int64{label.TotalA, label.TotalB, label.Overlap, label.Union}, label.Label)
			v.nearOptional(t, w.IoU, label.IoU, label.Label+" iou")
			v.nearOptional(t, w.KappaOnOff, label.KappaOnOff, label.Label+" kappa")
			checkBoundaries(t, v, w.Boundaries, label.Boundaries, false)
		}
		require.Equal(t, want.Confusion, got.Confusion)
		v.nearOptional(t, want.Kappa, got.Kappa, "kappa")
		v.nearOptional(t, want.KappaTimeline, got.KappaTimeline, "kappa over the recording")
		v.nearOptional(t, want.KappaLabelled, got.KappaLabelled, "kappa where labelled")
		checkBoundaries(t, v, want.Boundaries, got.Boundaries, true)
	})
}

func checkBoundaries(t *testing.T, v vector, want wantBoundaries, got Boundaries, pooled bool) {
	t.Helper()
	require.Equal(t, []int{want.Matched, want.UnmatchedA, want.UnmatchedB}, []int{got.Matched, got.UnmatchedA, got.UnmatchedB})
	v.nearOptional(t, want.MeanAbs, got.MeanAbs, "mean distance")
	if pooled {
		v.nearOptional(t, want.MedianAbs, got.MedianAbs, "median distance")
		v.nearOptional(t, want.P90Abs, got.P90Abs, "90th percentile of the distance")
		v.nearOptional(t, want.MeanSigned, got.MeanSigned, "mean difference")
	}
}

func TestReadingsTellWhatIsLeftOut(t *testing.T) {
	span := func(from, to int64) timeline.Span { return timeline.Span{Start: from, End: to} }
	got, err := CompareReadings(Readings{
		A:         []Episode{{"capsule", span(0, 5000)}, {"nucleus", span(4000, 9000)}, {"pause", span(0, 100)}},
		B:         []Episode{{"capsule", span(0, 5900)}},
		Exclusive: []string{"capsule", "nucleus"},
	})
	require.NoError(t, err)
	require.Len(t, got.Notes, 2)
	require.Equal(t, 2, got.Boundaries.Within) // 0 and 900 ms apart
	_, err = CompareReadings(Readings{Exclusive: []string{"capsule"}})
	requireReason(t, err, TooFew)
}

// A reading agrees wholly with itself, and exchanging two readings transposes the table (algebra).
func TestReadingsAreSymmetric(t *testing.T) {
	labels := []string{"one", "two", "three"}
	draw := func(t *rapid.T, name string) []Episode {
		cuts := rapid.SliceOfN(rapid.Int64Range(1, 500), 1, 10).Draw(t, name)
		var reading []Episode
		var at int64
		for i, length := range cuts {
			reading = append(reading, Episode{labels[i%3], timeline.Span{Start: at, End: at + length}})
			at += length + int64(i%2)*50
		}
		return reading
	}
	rapid.Check(t, func(t *rapid.T) {
		a, b := draw(t, "a"), draw(t, "b")
		forth, err := CompareReadings(Readings{A: a, B: b, Exclusive: labels})
		require.NoError(t, err)
		back, err := CompareReadings(Readings{A: b, B: a, Exclusive: labels})
		require.NoError(t, err)
		for i := range forth.Confusion {
			for j := range forth.Confusion {
				require.Equal(t, forth.Confusion[i][j], back.Confusion[j][i])
			}
		}
		require.Equal(t, forth.Boundaries.Matched, back.Boundaries.Matched)
		self, err := CompareReadings(Readings{A: a, B: a, Exclusive: labels})
		require.NoError(t, err)
		if self.Kappa != nil {
			require.InDelta(t, 1, *self.Kappa, 1e-12)
		}
		require.Zero(t, *self.Boundaries.MeanAbs)
	})
}
