package stat

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// predictor is a column, or columns, of a reference file.
type predictor struct {
	Name   string
	Values []any
	Powers []int
	Levels []string
}

func designOf(t *testing.T, n int, predictors []predictor, intercept *bool) *Design {
	t.Helper()
	d := NewDesign(n)
	if intercept != nil && !*intercept {
		d = NewDesignWithoutIntercept(n)
	}
	for _, p := range predictors {
		if p.Levels != nil {
			values := make([]string, len(p.Values))
			for i, v := range p.Values {
				values[i] = v.(string)
			}
			require.NoError(t, d.AddFactor(p.Name, p.Levels, values))
			continue
		}
		powers := p.Powers
		if powers == nil {
			powers = []int{1}
		}
		for _, power := range powers {
			values := make([]float64, len(p.Values))
			for i, v := range p.Values {
				values[i] = math.Pow(v.(float64), float64(power))
			}
			name := p.Name
			if power != 1 {
				name = fmt.Sprintf("%s^%d", p.Name, power)
			}
			require.NoError(t, d.Add(name, values))
		}
	}
	return d
}

type linearExpected struct {
	Terms              []string
	Estimate, SE, T, P []float64
	Lower, Upper       []float64
	HC3                []float64 `json:"se_hc3"`
	HC3Lower           []float64 `json:"hc3_lower"`
	HC3Upper           []float64 `json:"hc3_upper"`
	ResidualSD         float64   `json:"residual_sd"`
	DF                 int       `json:"df_residual"`
	RSquared           float64   `json:"r_squared"`
	AdjRSquared        float64   `json:"adj_r_squared"`
	F                  float64
	FDF1               float64 `json:"f_df1"`
	FP                 float64 `json:"f_p"`
	Predictions        *struct {
		Fit       []float64
		MeanLower []float64 `json:"mean_lower"`
		MeanUpper []float64 `json:"mean_upper"`
		NewLower  []float64 `json:"new_lower"`
		NewUpper  []float64 `json:"new_upper"`
	}
}

// Source: NIST StRD linear regression, certified values; R 4.2.2 lm; statsmodels HC3; to the tolerance in the file.
func TestLinearRegressionAgainstNISTAndR(t *testing.T) {
	eachVector(t, "linear_regression.json", func(t *testing.T, v vector, kind string) {
		var in struct {
			Y             []float64
			Predictors    []predictor
			NewPredictors []predictor `json:"new_predictors"`
			Intercept     *bool
		}
		var want linearExpected
		v.read(t, &in, &want)
		d := designOf(t, len(in.Y), in.Predictors, in.Intercept)
		require.Equal(t, want.Terms, d.Terms)
		got, err := LeastSquares(d, in.Y, nil, 0.95)
		require.NoError(t, err)
		require.Equal(t, want.DF, got.DF)
		v.near(t, want.ResidualSD, got.ResidualSD, "residual sd")
		v.near(t, want.RSquared, got.RSquared, "r squared")
		for j, c := range got.Coefficients {
			v.near(t, want.Estimate[j], c.Estimate, c.Term)
			v.near(t, want.SE[j], c.SE, c.Term+" se")
			if kind == "certified" {
				continue
			}
			v.near(t, want.T[j], c.Statistic, c.Term+" t")
			v.near(t, want.P[j], c.P, c.Term+" p")
			v.near(t, want.Lower[j], c.Interval.Lower, c.Term+" lower")
			v.near(t, want.Upper[j], c.Interval.Upper, c.Term+" upper")
			v.near(t, want.HC3[j], *c.RobustSE, c.Term+" hc3")
			v.near(t, want.HC3Lower[j], c.RobustInterval.Lower, c.Term+" hc3 lower")
			v.near(t, want.HC3Upper[j], c.RobustInterval.Upper, c.Term+" hc3 upper")
		}
		if kind == "certified" {
			return
		}
		v.near(t, want.AdjRSquared, got.AdjRSquared, "adjusted r squared")
		v.near(t, want.F, got.F.Statistic, "f")
		v.near(t, want.FDF1, got.F.DF, "f df")
		v.near(t, want.FP, got.F.P, "f p")
		if want.Predictions == nil {
			return
		}
		fresh := designOf(t, len(want.Predictions.Fit), in.NewPredictors, in.Intercept)
		for i := range want.Predictions.Fit {
			p, err := got.Predict(fresh.Row(i), 1)
			require.NoError(t, err)
			v.near(t, want.Predictions.Fit[i], p.Value, "fit")
			v.near(t, want.Predictions.MeanLower[i], p.Mean.Lower, "mean lower")
			v.near(t, want.Predictions.MeanUpper[i], p.Mean.Upper, "mean upper")
			v.near(t, want.Predictions.NewLower[i], p.New.Lower, "new lower")
			v.near(t, want.Predictions.NewUpper[i], p.New.Upper, "new upper")
		}
	})
}

func TestLeastSquaresRefuses(t *testing.T) {
	d := NewDesign(3)
	require.NoError(t, d.Add("x", []float64{1, 2, 3}))
	require.NoError(t, d.Add("twice", []float64{2, 4, 6}))
	_, err := LeastSquares(d, []float64{1, 2, 3}, nil, 0.95)
	requireReason(t, err, TooFew)
	d = NewDesign(4)
	require.NoError(t, d.Add("x", []float64{1, 2, 3, 5}))
	require.NoError(t, d.Add("again", []float64{2, 4, 6, 10}))
	_, err = LeastSquares(d, []float64{1, 2, 3, 4}, nil, 0.95)
	requireReason(t, err, RankDeficient)
	d = NewDesign(3)
	require.NoError(t, d.Add("x", []float64{1, 2, 4}))
	_, err = LeastSquares(d, []float64{1, math.Inf(1), 3}, nil, 0.95)
	requireReason(t, err, Invalid)
	_, err = LeastSquares(d, []float64{1, 2, 3}, []float64{1, 0, 1}, 0.95)
	requireReason(t, err, Invalid)
	requireReason(t, d.Add("short", []float64{1}), Invalid)
	requireReason(t, d.AddFactor("who", []string{"a", "b"}, []string{"a", "c", "a"}), Invalid)
}

// randomRegression draws a design and an outcome for the algebraic checks.
func randomRegression(t *rapid.T) (*Design, []float64) {
	n := rapid.IntRange(8, 30).Draw(t, "n")
	draw := func(name string) []float64 {
		return rapid.SliceOfN(rapid.Float64Range(-10, 10), n, n).Draw(t, name)
	}
	d := NewDesign(n)
	require.NoError(t, d.Add("a", draw("a")))
	require.NoError(t, d.Add("b", draw("b")))
	return d, draw("y")
}

// Residuals are orthogonal to every term, leverages sum to the number of terms, a whole-number weight is the same
// as repeating the observation, and the added-variable plot has the slope of its term (algebra).
func TestLeastSquaresAlgebra(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, y := randomRegression(t)
		m, err := LeastSquares(d, y, nil, 0.95)
		if err != nil {
			return
		}
		for _, c := range d.columns {
			var dot float64
			for i, e := range m.residuals {
				dot += e * c[i]
			}
			require.InDelta(t, 0, dot, 1e-8)
		}
		require.InDelta(t, 3, sum(m.Influence().Leverage), 1e-9)

		uneven := make([]float64, len(y))
		for i := range uneven {
			uneven[i] = 1 + float64(i%5)
		}
		weighted, err := LeastSquares(d, y, uneven, 0.95)
		require.NoError(t, err)
		for _, one := range []struct {
			model   *LinearModel
			weights []float64
		}{{m, nil}, {weighted, uneven}} {
			x, rest, err := AddedVariable(d, y, one.weights, 2)
			require.NoError(t, err)
			var xy, xx float64
			for i := range x {
				w := 1.0
				if one.weights != nil {
					w = one.weights[i]
				}
				xy, xx = xy+w*x[i]*rest[i], xx+w*x[i]*x[i]
			}
			require.InDelta(t, xy/xx, one.model.estimates[2], 1e-6*(1+math.Abs(one.model.estimates[2])))
		}

		weights := make([]float64, len(y))
		twice, yy := NewDesign(len(y)+1), append(append([]float64{}, y...), y[0])
		for i := range weights {
			weights[i] = 1
		}
		weights[0] = 2
		for j, c := range d.columns[1:] {
			require.NoError(t, twice.Add(d.Terms[j+1], append(append([]float64{}, c...), c[0])))
		}
		weighted, err = LeastSquares(d, y, weights, 0.95)
		require.NoError(t, err)
		repeated, err := LeastSquares(twice, yy, nil, 0.95)
		require.NoError(t, err)
		for j := range weighted.estimates {
			require.InDelta(t, repeated.estimates[j], weighted.estimates[j], 1e-7*(1+math.Abs(repeated.estimates[j])))
		}
	})
}

// syntheticRegression is n rows of 12 covariates; seeded.
func syntheticRegression(n int) (*Design, []float64, []float64) {
	random := rand.New(rand.NewPCG(11, 12))
	d, y := NewDesign(n), make([]float64, n)
	for i := range y {
		y[i] = random.NormFloat64()
	}
	for j := range 12 {
		x := make([]float64, n)
		for i := range x {
			x[i] = random.NormFloat64() + float64(j)
			y[i] += 0.05 * float64(j) * x[i] / 4
		}
		d.Terms, d.columns = append(d.Terms, fmt.Sprint("x", j)), append(d.columns, x)
	}
	events := make([]float64, n)
	for i, v := range y {
		if random.Float64() < 1/(1+math.Exp(5.5-v)) {
			events[i] = 1
		}
	}
	return d, y, events
}

func BenchmarkLeastSquares100000x12(b *testing.B) {
	d, y, _ := syntheticRegression(100_000)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := LeastSquares(d, y, nil, 0.95); err != nil {
			b.Fatal(err)
		}
	}
}
