package stat

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestClusteredReference(t *testing.T) {
	eachVector(t, "clustered_regression.json", func(t *testing.T, v vector, _ string) {
		var in struct {
			Y, X, Z, U, Weights []float64
			Clusters            []string
		}
		var want struct{ SE, DF, VIF []float64 }
		v.read(t, &in, &want)
		d := NewDesign(len(in.Y))
		require.NoError(t, d.Add("x", in.X))
		require.NoError(t, d.Add("z", in.Z))
		require.NoError(t, d.Add("u", in.U))
		m, err := LeastSquares(d, in.Y, in.Weights, 0.95)
		require.NoError(t, err)
		c, err := m.Clustered(in.Clusters)
		require.NoError(t, err)
		require.Equal(t, 6, c.Clusters)
		v.nearAll(t, want.SE, c.SE, "standard errors")
		v.nearAll(t, want.DF, c.DF, "degrees of freedom")
		for j, interval := range c.Intervals {
			half := twoSidedT(0.95, c.DF[j]) * c.SE[j]
			require.InDelta(t, m.Coefficients[j].Estimate-half, interval.Lower, 1e-12)
		}
		if len(want.VIF) > 0 {
			v.nearAll(t, want.VIF, m.InflationFactors(d), "inflation factors")
		}
	})
}

// TestClusteredDegenerate: one cluster says nothing, and one that decides a term alone is told.
func TestClusteredDegenerate(t *testing.T) {
	y, x := []float64{1, 2, 4, 3, 6, 5}, []float64{0, 0, 0, 0, 1, 1}
	d := NewDesign(6)
	require.NoError(t, d.Add("x", x))
	m, err := LeastSquares(d, y, nil, 0.95)
	require.NoError(t, err)
	_, err = m.Clustered([]string{"a", "a", "a", "a", "a", "a"})
	requireReason(t, err, TooFew)
	_, err = m.Clustered([]string{"a"})
	requireReason(t, err, Invalid)
	c, err := m.Clustered([]string{"a", "a", "b", "b", "c", "c"})
	require.NoError(t, err)
	require.Equal(t, []bool{false, true}, c.Alone, "the intercept is decided by a and b, x by c alone")
	_, known := c.Mean([]float64{1, 0.5})
	require.False(t, known)
	at, known := c.Mean([]float64{1, 0})
	require.True(t, known)
	require.InDelta(t, c.Intervals[0].Lower, at.Lower, 1e-12)
	require.InDelta(t, c.Intervals[0].Upper, at.Upper, 1e-12)
	robust, known := m.RobustMean([]float64{1, 0})
	require.True(t, known)
	require.InDelta(t, m.Coefficients[0].RobustInterval.Upper, robust.Upper, 1e-12)
	for _, se := range c.SE {
		require.False(t, math.IsNaN(se))
	}
}

// TestClusteredHoldsItsLevel simulates units in which operators differ in outcome and exposure and nothing relates the two:
// 5 % of the intervals may leave 0 out. Those that take the cases for independent leave it out far more often.
func TestClusteredHoldsItsLevel(t *testing.T) {
	chance := rand.New(rand.NewPCG(20261125, 1))
	const units = 2000
	clustered, independent := 0, 0
	for range units {
		var y, x []float64
		var who []string
		for g := range 8 {
			level, habit := chance.NormFloat64(), chance.NormFloat64()
			for range 5 + 5*g {
				x = append(x, habit+chance.NormFloat64())
				y = append(y, level+2*chance.NormFloat64())
				who = append(who, fmt.Sprint(g))
			}
		}
		d := NewDesign(len(y))
		require.NoError(t, d.Add("x", x))
		m, err := LeastSquares(d, y, nil, 0.95)
		require.NoError(t, err)
		c, err := m.Clustered(who)
		require.NoError(t, err)
		if c.Intervals[1].Lower > 0 || c.Intervals[1].Upper < 0 {
			clustered++
		}
		if r := m.Coefficients[1].RobustInterval; r.Lower > 0 || r.Upper < 0 {
			independent++
		}
	}
	require.InDelta(t, 0.05, float64(clustered)/units, 0.015)
	require.Greater(t, float64(independent)/units, 0.12)
}

// TestClusteredOddsHoldTheirLevel is the same for odds: 12 operators who differ in events and exposure.
func TestClusteredOddsHoldTheirLevel(t *testing.T) {
	chance := rand.New(rand.NewPCG(20261125, 2))
	const units = 1000
	clustered, plain := 0, 0
	for range units {
		var y, x []float64
		var who []string
		for g := range 12 {
			level, habit := 0.7*chance.NormFloat64(), chance.NormFloat64()
			for range 20 + 3*g {
				x = append(x, habit+chance.NormFloat64())
				event := 0.0
				if chance.Float64() < 1/(1+math.Exp(1.5-level)) {
					event = 1
				}
				y, who = append(y, event), append(who, fmt.Sprint(g))
			}
		}
		d := NewDesign(len(y))
		require.NoError(t, d.Add("x", x))
		m, err := Logistic(d, y, LogisticOptions{Level: 0.95, Penalised: true, Clusters: who, Profiled: []int{}})
		require.NoError(t, err)
		c, err := m.Clustered(d, who)
		require.NoError(t, err)
		require.InDelta(t, m.Coefficients[1].Estimate, (c.Intervals[1].Lower+c.Intervals[1].Upper)/2, 1e-6)
		if c.Intervals[1].Lower > 0 || c.Intervals[1].Upper < 0 {
			clustered++
		}
		if m.Coefficients[1].P < 0.05 {
			plain++
		}
	}
	require.InDelta(t, 0.05, float64(clustered)/units, 0.02)
	require.Greater(t, float64(plain)/units, 0.12)
	t.Logf("clustered %.1f %%, independent %.1f %%", 100*float64(clustered)/units, 100*float64(plain)/units)
}

// TestSmallestDetectable simulates the power that it promises.
func TestSmallestDetectable(t *testing.T) {
	// Published normal deviates: 1.96 + 0.8416 = 2.80 standard errors for 80 % power at 5 %. Source: textbook.
	size, err := SmallestDetectable(1, 0, 0.95, 0.8)
	require.NoError(t, err)
	require.InDelta(t, 2.8016, size, 0.0001)
	// Student's quantiles with 10 degrees of freedom: 2.2281 and 0.8791. Source: printed tables.
	size10, err := SmallestDetectable(2, 10, 0.95, 0.8)
	require.NoError(t, err)
	require.InDelta(t, 2*(2.2281+0.8791), size10, 0.0005)
	chance := rand.New(rand.NewPCG(5, 5))
	found := 0
	const studies = 20_000
	for range studies {
		if size+chance.NormFloat64() > twoSidedZ(0.95) {
			found++
		}
	}
	require.InDelta(t, 0.8, float64(found)/studies, 0.01)
	_, err = SmallestDetectable(0, 0, 0.95, 0.8)
	requireReason(t, err, Invalid)
}

// TestOutcomeErrors plants a slope of 0.5 under errors of very different size: both fits are unbiased, the weighted one is
// closer and its intervals hold.
func TestOutcomeErrors(t *testing.T) {
	chance := rand.New(rand.NewPCG(6, 1))
	const studies, n = 1000, 80
	var plainBias, bias, plainSquares, squares, between, share float64
	covered := 0
	for range studies {
		x, y, variances := make([]float64, n), make([]float64, n), make([]float64, n)
		for i := range n {
			x[i] = chance.NormFloat64()
			variances[i] = 0.05
			if i%2 == 0 {
				variances[i] = 4
			}
			y[i] = 1 + 0.5*x[i] + 0.5*chance.NormFloat64() + math.Sqrt(variances[i])*chance.NormFloat64()
		}
		d := NewDesign(n)
		require.NoError(t, d.Add("x", x))
		plain, err := LeastSquares(d, y, nil, 0.95)
		require.NoError(t, err)
		o, err := LeastSquaresWithErrors(d, y, variances, 0.95)
		require.NoError(t, err)
		b, p := o.Model.Coefficients[1], plain.Coefficients[1].Estimate-0.5
		plainBias, plainSquares = plainBias+p/studies, plainSquares+p*p/studies
		bias, squares = bias+(b.Estimate-0.5)/studies, squares+(b.Estimate-0.5)*(b.Estimate-0.5)/studies
		if b.RobustInterval.Lower <= 0.5 && b.RobustInterval.Upper >= 0.5 {
			covered++
		}
		between, share = between+o.Between/studies, share+o.Share/studies
	}
	require.InDelta(t, 0, plainBias, 0.02)
	require.InDelta(t, 0, bias, 0.01)
	require.Less(t, squares, 0.5*plainSquares)
	require.InDelta(t, 0.95, float64(covered)/studies, 0.025)
	require.InDelta(t, 0.25, between, 0.1)
	require.InDelta(t, 2.025/2.275, share, 0.06)

	d := NewDesign(3)
	_, err := LeastSquaresWithErrors(d, []float64{1, 2, 3}, []float64{1, -1, 1}, 0.95)
	requireReason(t, err, Invalid)
}
