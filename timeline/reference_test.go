package timeline

import (
	"encoding/json"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

const referenceFolder = "../testdata/reference/"

func readReference(t *testing.T, name string, into any) {
	t.Helper()
	text, err := os.ReadFile(referenceFolder + name)
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(text, into))
}

// Source: R 4.2.2, stats::quantile(type = 7), to the tolerance in the file.
func TestQuantileAgainstR(t *testing.T) {
	var file struct {
		Cases []struct {
			Name  string
			Input struct {
				X     []float64
				Probs []float64
			}
			Expected struct {
				Quantiles      []float64
				Median, Q1, Q3 float64
			}
			ToleranceRel float64 `json:"tolerance_rel"`
			ToleranceAbs float64 `json:"tolerance_abs"`
		}
	}
	readReference(t, "quantiles.json", &file)
	require.NotEmpty(t, file.Cases)
	for _, c := range file.Cases {
		sorted := slices.Sorted(slices.Values(c.Input.X))
		near := func(want, p float64) {
			tolerance := c.ToleranceAbs + c.ToleranceRel*max(want, -want)
			require.InDelta(t, want, Quantile(sorted, p), tolerance, "%s at %g", c.Name, p)
		}
		require.Len(t, c.Expected.Quantiles, len(c.Input.Probs))
		for i, p := range c.Input.Probs {
			near(c.Expected.Quantiles[i], p)
		}
		near(c.Expected.Median, 0.5)
		near(c.Expected.Q1, 0.25)
		near(c.Expected.Q3, 0.75)
	}
}

// Source: the case step_durations_ms_101 of the same file for the quantiles; the percentile counted by hand.
func TestPlaceInAGroup(t *testing.T) {
	var file struct {
		Cases []struct {
			Name  string
			Input struct{ X []float64 }
		}
	}
	readReference(t, "quantiles.json", &file)
	var group []int64
	for _, c := range file.Cases {
		if c.Name == "step_durations_ms_101" {
			for _, x := range c.Input.X {
				group = append(group, int64(x))
			}
		}
	}
	require.Len(t, group, 101)
	ref := Place(90_267, group) // the median itself: 50 below, 1 equal, 50 above
	require.Equal(t, Reference{N: 101, Median: pointTo(90267.0), Q1: pointTo(61653.0), Q3: pointTo(123066.0),
		P5: pointTo(35889.0), P95: pointTo(190672.0), Percentile: pointTo(50.0)}, ref)
}

// Source of the expected percentiles: counted by hand from the definition of the mid-rank.
func TestPlaceByMidRank(t *testing.T) {
	group := []int64{10, 20, 20, 20, 30, 40, 50, 60, 70, 80, 90, 100, 110, 120, 130, 140, 150, 160, 170, 180}
	for value, want := range map[int64]float64{5: 0, 10: 2.5, 20: 12.5, 25: 20, 100: 57.5, 180: 97.5, 999: 100} {
		require.InDelta(t, want, *Place(value, group).Percentile, 1e-12, "%d", value)
	}
	small := Place(20, group[:19])
	require.Nil(t, small.Percentile)
	require.Nil(t, small.P5)
	require.Nil(t, small.P95)
	require.NotNil(t, small.Median)
	require.Equal(t, GroupSmall, small.Reason)
	require.Equal(t, Reference{Reason: GroupEmpty}, Place(20, nil))
}

func TestPlaceIsSane(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		group := rapid.SliceOfN(rapid.Int64Range(0, 50), 20, 60).Draw(t, "group")
		value := rapid.Int64Range(-5, 55).Draw(t, "value")
		ref := Place(value, group)
		require.True(t, *ref.P5 <= *ref.Q1 && *ref.Q1 <= *ref.Median && *ref.Median <= *ref.Q3 && *ref.Q3 <= *ref.P95)
		require.True(t, *ref.Percentile >= 0 && *ref.Percentile <= 100)
		require.GreaterOrEqual(t, *Place(value+1, group).Percentile, *ref.Percentile)
		mirrored := make([]int64, len(group))
		for i, g := range group {
			mirrored[i] = -g
		}
		require.InDelta(t, 100, *ref.Percentile+*Place(-value, mirrored).Percentile, 1e-9, "ties count half on both sides")
		require.Equal(t, ref, Place(value, rapid.Permutation(group).Draw(t, "shuffled")))
	})
}
