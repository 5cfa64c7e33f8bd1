package stat

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// momentsFrom adds a design without its intercept.
func momentsFrom(d *Design, y []float64, groups []string) (*GroupMoments, []string) {
	names := slices.Compact(slices.Sorted(slices.Values(groups)))
	m := NewGroupMoments(d.Terms[1:], len(names))
	for i := range y {
		at, _ := slices.BinarySearch(names, groups[i])
		m.Add(at, append(d.Row(i)[1:], y[i]))
	}
	return m, names
}

// Without terms the effects at the ratio of variances of lme4 are its own. Source: lme4 1.1-31 (testdata/reference/mixed.json).
func TestContrastsAgainstLme4(t *testing.T) {
	checked := 0
	eachVector(t, "mixed.json", func(t *testing.T, v vector, _ string) {
		var in struct {
			Y          []float64
			Predictors []predictor
			Group      []string
			Intercept  *bool
		}
		var want struct{ REML wantMixed }
		v.read(t, &in, &want)
		if len(in.Predictors) > 0 || want.REML.Singular {
			return // with terms whose means differ between groups the effects are others: see the next test
		}
		checked++
		m, names := momentsFrom(designOf(t, len(in.Y), in.Predictors, in.Intercept), in.Y, in.Group)
		c, err := NewContrasts(m, 0.95)
		require.NoError(t, err)
		node := c.averaged(c.at(want.REML.VarGroup / want.REML.VarResidual))
		for i, name := range want.REML.Groups {
			at, _ := slices.BinarySearch(names, name)
			value, _ := c.contrast(&node, at)
			v.near(t, want.REML.Effects[i], value, name)
		}
	})
	require.Positive(t, checked)
}

// Source: R 4.2.2, least squares and a brute-force sum over the ratio of variances, as the file says.
func TestContrastsAgainstR(t *testing.T) {
	eachVector(t, "contrasts.json", func(t *testing.T, v vector, _ string) {
		var in struct {
			Y          []float64
			Predictors []predictor
			Group      []string
		}
		var want struct {
			Groups        []string
			Within        float64
			Alone         []float64
			AloneSE       []float64 `json:"alone_se"`
			AloneLower    []float64 `json:"alone_lower"`
			AloneUpper    []float64 `json:"alone_upper"`
			Shrunken      []float64
			ShrunkenLower []float64 `json:"shrunken_lower"`
			ShrunkenUpper []float64 `json:"shrunken_upper"`
		}
		v.read(t, &in, &want)
		m, names := momentsFrom(designOf(t, len(in.Y), in.Predictors, nil), in.Y, in.Group)
		c, err := NewContrasts(m, 0.95)
		require.NoError(t, err)
		v.near(t, want.Within, c.Within, "within")
		for i, name := range want.Groups {
			at, _ := slices.BinarySearch(names, name)
			alone, _ := c.Alone(at)
			v.near(t, want.Alone[i], alone.Value, name)
			v.near(t, want.AloneSE[i], *alone.SE, name+" se")
			v.near(t, want.AloneLower[i], alone.Interval.Lower, name+" lower")
			v.near(t, want.AloneUpper[i], alone.Interval.Upper, name+" upper")
			shrunken, _ := c.Shrunken(at)
			v.near(t, want.Shrunken[i], shrunken.Value, name+" shrunken")
			v.near(t, want.ShrunkenLower[i], shrunken.Interval.Lower, name+" shrunken, lower")
			v.near(t, want.ShrunkenUpper[i], shrunken.Interval.Upper, name+" shrunken, upper")
		}
	})
}

// With terms of the same mean in all groups the mixed model has the same slopes, so the same effects.
func TestContrastsAgainstMixed(t *testing.T) {
	d, y, groups, _ := syntheticMixed(3, 400, 9)
	means, size := map[string][]float64{}, map[string]float64{}
	for i, g := range groups {
		if means[g] == nil {
			means[g] = make([]float64, 2)
		}
		means[g][0], means[g][1] = means[g][0]+d.columns[1][i], means[g][1]+d.columns[2][i]
		size[g]++
	}
	for i, g := range groups {
		d.columns[1][i] -= means[g][0] / size[g]
		d.columns[2][i] -= means[g][1] / size[g]
	}
	mixed, err := Mixed(d, y, groups, MixedOptions{Level: 0.95})
	require.NoError(t, err)
	m, names := momentsFrom(d, y, groups)
	c, err := NewContrasts(m, 0.95)
	require.NoError(t, err)
	node := c.averaged(c.at(mixed.VarGroup / mixed.VarResidual))
	for _, g := range mixed.Groups {
		at, _ := slices.BinarySearch(names, g.Group)
		value, _ := c.contrast(&node, at)
		require.InDelta(t, g.Value, value, 1e-9)
		shrunken, ok := c.Shrunken(at)
		require.True(t, ok)
		require.InDelta(t, g.Value, shrunken.Value, 0.2**shrunken.SE, "the average over ratios lies near the best one")
		require.Less(t, shrunken.Interval.Lower, shrunken.Value)
		require.Greater(t, shrunken.Interval.Upper, shrunken.Value)
	}
	require.InDelta(t, math.Sqrt(mixed.VarResidual), c.Within, 0.02*c.Within)
}

// The contrast of a group alone is that of least squares with one term for each group, coded to sum to 0 (algebra).
func TestContrastAloneIsLeastSquares(t *testing.T) {
	d, y, groups, _ := syntheticMixed(5, 150, 6)
	m, names := momentsFrom(d, y, groups)
	c, err := NewContrasts(m, 0.95)
	require.NoError(t, err)
	full := NewDesign(len(y))
	require.NoError(t, full.Add("grade", d.columns[1]))
	require.NoError(t, full.Add("pupil", d.columns[2]))
	last := len(names) - 1
	for g := range last {
		code := make([]float64, len(y))
		for i, name := range groups {
			switch name {
			case names[g]:
				code[i] = 1
			case names[last]:
				code[i] = -1
			}
		}
		require.NoError(t, full.Add(names[g], code))
	}
	want, err := LeastSquares(full, y, nil, 0.95)
	require.NoError(t, err)
	require.InDelta(t, want.ResidualSD, c.Within, 1e-10)
	for g := range last {
		got, ok := c.Alone(g)
		require.True(t, ok)
		require.InDelta(t, want.Coefficients[3+g].Estimate, got.Value, 1e-10)
		require.InDelta(t, want.Coefficients[3+g].SE, *got.SE, 1e-10)
		require.InDelta(t, want.Coefficients[3+g].Interval.Lower, got.Interval.Lower, 1e-9)
	}
}

// Groups that do not differ at all leave an interval that is no point: the variance between them is not known to be 0.
func TestContrastsOfAlikeGroups(t *testing.T) {
	random := rand.New(rand.NewPCG(8, 8))
	m := NewGroupMoments(nil, 4)
	for range 20 {
		v := random.NormFloat64()
		for g := range 3 { // group 3 stays empty
			m.Add(g, []float64{v})
		}
	}
	c, err := NewContrasts(m, 0.95)
	require.NoError(t, err)
	e, ok := c.Shrunken(0)
	require.True(t, ok)
	require.InDelta(t, 0, e.Value, 1e-12)
	require.Greater(t, e.Interval.Upper, 0.01)
	require.InDelta(t, -e.Interval.Lower, e.Interval.Upper, 1e-6)
	alone, _ := c.Alone(0)
	require.Less(t, e.Interval.Upper, alone.Interval.Upper)
	_, ok = c.Shrunken(3)
	require.False(t, ok)
	_, ok = c.Alone(3)
	require.False(t, ok)
}

func TestContrastsRefuse(t *testing.T) {
	add := func(terms []string, rows ...[]float64) *GroupMoments {
		m := NewGroupMoments(terms, 3)
		for _, row := range rows {
			m.Add(int(row[0]), row[1:])
		}
		return m
	}
	_, err := NewContrasts(add(nil, []float64{0, 1}, []float64{1, 2}, []float64{1, 3}), 0.95)
	requireReason(t, err, TooFew)
	_, err = NewContrasts(add(nil, []float64{0, 1}, []float64{1, 2}, []float64{2, 3}, []float64{2, 4}), 0.95)
	requireReason(t, err, TooFew)
	var same [][]float64
	for g := range 3 {
		for range 4 {
			same = append(same, []float64{float64(g), float64(g)})
		}
	}
	_, err = NewContrasts(add(nil, same...), 0.95)
	requireReason(t, err, Constant)
	_, err = NewContrasts(add(nil, same...), 2)
	requireReason(t, err, Invalid)
}

func TestUsableTerms(t *testing.T) {
	random := rand.New(rand.NewPCG(4, 4))
	m := NewGroupMoments([]string{"a", "constant", "between", "twice a", "b"}, 3)
	for i := range 60 {
		g := i % 3
		a, b := random.NormFloat64(), random.NormFloat64()
		m.Add(g, []float64{a, 1, float64(g), 2 * a, b, a + b + random.NormFloat64()})
	}
	usable, dropped := m.Usable()
	require.Equal(t, []string{"a", "b"}, usable.terms)
	require.Equal(t, []DroppedTerm{
		{Term: "constant", Reason: Constant}, {Term: "between", Reason: RankDeficient, Between: true}, {Term: "twice a", Reason: RankDeficient},
	}, dropped)
	_, err := NewContrasts(usable, 0.95)
	require.NoError(t, err)
	_, err = NewContrasts(m, 0.95)
	requireReason(t, err, RankDeficient)
	same, none := usable.Usable()
	require.Empty(t, none)
	require.Equal(t, 60, same.N())
	require.Equal(t, 20, same.Size(0))
}

// Ranks: R 4.2.2 qbinom(0.025, n, 0.5).
func TestMedianInterval(t *testing.T) {
	for n, rank := range map[int]int{5: 0, 6: 1, 7: 1, 8: 1, 10: 2, 15: 4, 20: 6, 25: 8, 30: 10, 50: 18, 100: 40, 1000: 469, 10000: 4902} {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			sorted := make([]int64, n)
			for i := range sorted {
				sorted[i] = int64(i + 1)
			}
			e, err := MedianInterval(sorted, 0.95)
			require.InDelta(t, float64(n+1)/2, e.Value, 0)
			if rank == 0 {
				requireReason(t, err, TooFew)
				return
			}
			require.NoError(t, err)
			require.Equal(t, Interval{float64(rank), float64(n + 1 - rank), 0.95}, *e.Interval)
		})
	}
	_, err := MedianInterval([]int64{}, 0.95)
	requireReason(t, err, TooFew)
	_, err = MedianInterval([]int64{1}, 1)
	requireReason(t, err, Invalid)
}

// The jackknife of a mean is its own standard error (algebra).
func TestJackknifeOfMean(t *testing.T) {
	x := []float64{3, 1, 4, 1, 5, 9, 2, 6}
	mean, _, sem, ci := meanInterval(x, 0.95)
	without := make([]float64, len(x))
	for i, v := range x {
		without[i] = (sum(x) - v) / float64(len(x)-1)
	}
	got := Jackknife(mean, without, 0.95)
	require.InDelta(t, *sem, *got.SE, 1e-12)
	require.InDelta(t, ci.Upper, got.Interval.Upper, 1e-12)
}

// The same cases as BenchmarkMixed10000, with the contrast of every group.
func BenchmarkContrasts10000(b *testing.B) {
	d, y, groups, _ := syntheticMixed(1, 10_000, 60)
	b.ReportAllocs()
	for b.Loop() {
		m, names := momentsFrom(d, y, groups)
		c, err := NewContrasts(m, 0.95)
		if err != nil {
			b.Fatal(err)
		}
		for g := range names {
			c.Shrunken(g)
		}
	}
}
