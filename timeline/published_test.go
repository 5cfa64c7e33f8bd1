package timeline

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

// Source: testdata/reference/published_durations.json, summary figures computed from openly published phase markings.
func TestPublishedGroupsKeepTheirFigures(t *testing.T) {
	type figures struct {
		N      int
		Median float64 `json:"median_s"`
		Mean   float64 `json:"mean_s"`
		SD     float64 `json:"sd_s"`
		P5     float64 `json:"p5_s"`
		P25    float64 `json:"p25_s"`
		P75    float64 `json:"p75_s"`
		P95    float64 `json:"p95_s"`
	}
	var file struct {
		Groups []struct {
			Name   string
			Phases map[string]figures
		}
	}
	readReference(t, "published_durations.json", &file)
	groups := PublishedGroups()
	require.Len(t, groups, len(file.Groups))
	ms := func(seconds float64) int64 { return int64(math.Round(seconds * 1000)) }
	for i, source := range file.Groups {
		require.Equal(t, source.Name, groups[i].Name)
		require.Len(t, groups[i].Phases, len(source.Phases))
		for _, phase := range groups[i].Phases {
			f, ok := source.Phases[phase.Name]
			require.True(t, ok, phase.Name)
			require.Equal(t, []int64{int64(f.N), ms(f.Median), ms(f.Mean), ms(f.SD), ms(f.P5), ms(f.P25), ms(f.P75), ms(f.P95)},
				[]int64{int64(phase.N), phase.Median, phase.Mean, phase.SD, phase.P5, phase.P25, phase.P75, phase.P95}, phase.Name)
		}
	}
}

func TestPublishedGroupsAreCitedAndMapped(t *testing.T) {
	text, err := os.ReadFile("../annotate/steplists/phaco.json")
	require.NoError(t, err)
	var list struct{ Steps []Step }
	require.NoError(t, json.Unmarshal(text, &list))
	codes := map[string]bool{}
	for _, group := range PublishedGroups() {
		require.False(t, codes[group.Code])
		codes[group.Code] = true
		require.NotEmpty(t, group.Citation)
		require.NotEmpty(t, group.Definition)
		require.Equal(t, "phaco", group.Technique)
		used, whole := map[string]bool{}, 0
		for _, phase := range group.Phases {
			require.NotEmpty(t, phase.Definition, phase.Name)
			require.True(t, phase.P5 <= phase.P25 && phase.P25 <= phase.Median && phase.Median <= phase.P75 && phase.P75 <= phase.P95, phase.Name)
			require.LessOrEqual(t, phase.N, group.Operations)
			if phase.Whole {
				whole++
				require.Empty(t, phase.Steps)
			}
			for _, step := range phase.Steps {
				require.GreaterOrEqual(t, indexOf(list.Steps, step), 0, "%s is not in the phaco list", step)
				require.False(t, used[step], "%s stands beside two phases of %s", step, group.Name)
				used[step] = true
			}
		}
		require.Equal(t, 1, whole, group.Name)
	}
}

func phaseOf(t *testing.T, group, name string) PublishedPhase {
	t.Helper()
	for _, g := range PublishedGroups() {
		for _, p := range g.Phases {
			if g.Code == group && p.Name == name {
				return p
			}
		}
	}
	t.Fatalf("no phase %s in %s", name, group)
	return PublishedPhase{}
}

// Source of the expected places: read off the quantiles of Cataract-101, phacoemulsification, in ms (60160, 81640,
// 121320, 211200, 264000).
func TestPublishedPlace(t *testing.T) {
	phase := phaseOf(t, "cataract-101", "phacoemulsification")
	for _, c := range []struct {
		ms        int64
		low, high *int
		text      string
	}{
		{0, nil, pointTo(5), "below the 5th percentile of that series"},
		{60_160, pointTo(5), pointTo(5), "at the 5th percentile of that series"},
		{60_161, pointTo(5), pointTo(25), "between the 5th percentile and the 25th percentile of that series"},
		{100_000, pointTo(25), pointTo(50), "between the 25th percentile and the median of that series"},
		{121_320, pointTo(50), pointTo(50), "at the median of that series"},
		{264_001, pointTo(95), nil, "above the 95th percentile of that series"},
	} {
		require.Equal(t, PublishedPlace{c.low, c.high, c.text}, phase.Place(c.ms))
	}
}

// Where published quantiles coincide, the lower one is named, so that no more is said than is known.
func TestPublishedPlaceOnTies(t *testing.T) {
	tied := PublishedPhase{P5: 1, P25: 2, Median: 2, P75: 3, P95: 4}
	require.Equal(t, PublishedPlace{pointTo(25), pointTo(25), "at the 25th percentile of that series"}, tied.Place(2))
}

func TestComparable(t *testing.T) {
	clock, err := NewClock([]Part{{ID: "a", Duration: 600_000, RealTime: true}})
	require.NoError(t, err)
	in := Input{Clock: clock, Steps: []Step{
		{"side-port", "", "opening", true, true}, {"sculpting", "", "nucleus", true, false}, {"division", "", "nucleus", true, false}, {"removal", "", "nucleus", true, true},
	}}
	mark := func(step string, start, end int64) {
		in.Marks = append(in.Marks, Mark{ID: step, Step: step, Start: Instant{"a", start}, End: &Instant{"a", end}})
	}
	mark("side-port", 0, 8000)
	mark("sculpting", 10_000, 70_000)
	mark("division", 68_000, 80_000) // 2 s overlap count once
	mark("removal", 90_000, 150_000)

	nucleus := Comparable(in, phaseOf(t, "cataract-101", "phacoemulsification"))
	require.Equal(t, int64(130_000), *nucleus.Total) // 70 s + 60 s by hand
	require.Equal(t, 2, nucleus.Episodes)
	require.Equal(t, Measured, nucleus.Quality)
	require.Equal(t, int64(8000), *Comparable(in, phaseOf(t, "cataract-1k", "incision")).Total, "one of the two steps is enough")
	whole := Comparable(in, phaseOf(t, "cataract-1k", "first start to last end"))
	require.Equal(t, int64(150_000), *whole.Total)
	require.Equal(t, Measured, whole.Quality)
	for _, name := range []string{"capsulorhexis", "anterior chamber flushing"} {
		none := Comparable(in, phaseOf(t, "cataract-1k", name))
		require.Nil(t, none.Total)
		require.Equal(t, NotRecorded, none.Quality)
	}
	require.Equal(t, Figure{Quality: NotRecorded}, Comparable(Input{}, PublishedPhase{Whole: true}))
}
