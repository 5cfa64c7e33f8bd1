package stat

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

type wantMixed struct {
	Estimate, SE, T []float64
	VarGroup        float64 `json:"var_group"`
	VarResidual     float64 `json:"var_residual"`
	ICC             float64
	LogLik          float64 `json:"log_likelihood"`
	Singular        bool
	Groups          []string
	Effects         []float64 `json:"group_effects"`
	EffectSD        []float64 `json:"group_effect_sd"`
}

// Source: lme4 1.1-31, to the tolerance in the file.
func TestMixedAgainstLme4(t *testing.T) {
	eachVector(t, "mixed.json", func(t *testing.T, v vector, _ string) {
		var in struct {
			Y          []float64
			Predictors []predictor
			Group      []string
			Intercept  *bool
		}
		var want struct {
			Terms    []string
			N        int
			Groups   int `json:"n_groups"`
			REML, ML wantMixed
		}
		v.read(t, &in, &want)
		d := designOf(t, len(in.Y), in.Predictors, in.Intercept)
		require.Equal(t, want.Terms, d.Terms)
		reml, err := Mixed(d, in.Y, in.Group, MixedOptions{Level: 0.95})
		require.NoError(t, err)
		require.Equal(t, want.N, reml.N)
		require.Len(t, reml.Groups, want.Groups)
		checkMixed(t, v, want.REML, reml)
		byName := map[string]GroupEffect{}
		for _, g := range reml.Groups {
			byName[g.Group] = g
		}
		for i, name := range want.REML.Groups {
			v.near(t, want.REML.Effects[i], byName[name].Value, name)
			v.near(t, want.REML.EffectSD[i], byName[name].ConditionalSD, name+" sd")
		}
		ml, err := Mixed(d, in.Y, in.Group, MixedOptions{Level: 0.95, MaximumLikelihood: true})
		require.NoError(t, err)
		checkMixed(t, v, want.ML, ml)
	})
}

func checkMixed(t *testing.T, v vector, want wantMixed, got *MixedModel) {
	t.Helper()
	for j, c := range got.Coefficients {
		v.near(t, want.Estimate[j], c.Estimate, c.Term)
		v.near(t, want.SE[j], c.SE, c.Term+" se")
		v.near(t, want.T[j], c.Statistic, c.Term+" t")
	}
	v.near(t, want.VarGroup, got.VarGroup, "variance between groups")
	v.near(t, want.VarResidual, got.VarResidual, "variance within")
	v.near(t, want.ICC, got.ICC, "icc")
	v.near(t, want.LogLik, got.LogLik, "log likelihood")
	require.Equal(t, want.Singular, got.Singular)
}

func TestMixedRefuses(t *testing.T) {
	d := NewDesign(4)
	options := MixedOptions{Level: 0.95}
	_, err := Mixed(d, []float64{1, 2, 3, 4}, []string{"a", "a", "a", "a"}, options)
	requireReason(t, err, TooFew)
	_, err = Mixed(d, []float64{1, 2, 3, 4}, []string{"a", "b", "c", "d"}, options)
	requireReason(t, err, TooFew)
	_, err = Mixed(d, []float64{1, 2, 3, 4}, []string{"a"}, options)
	requireReason(t, err, Invalid)
	_, err = Mixed(d, []float64{2, 2, 2, 2}, []string{"a", "a", "b", "b"}, options)
	requireReason(t, err, Constant)
	_, err = Mixed(d, []float64{1, 1, 2, 2}, []string{"a", "a", "b", "b"}, options)
	requireReason(t, err, Constant)
}

// In a balanced layout REML gives the variances of the analysis of variance (algebra).
func TestMixedBalancedIsAnalysisOfVariance(t *testing.T) {
	y := []float64{5, 6, 7.5, 9, 8, 10.5, 4, 3.5, 4.5, 7, 6.5, 7.5}
	groups := make([]string, len(y))
	var within, between float64
	grand := sum(y) / 12
	for g := range 4 {
		part := y[3*g : 3*g+3]
		mean, squares := momentsOf(part)
		within += squares
		between += 3 * (mean - grand) * (mean - grand)
		for i := range 3 {
			groups[3*g+i] = fmt.Sprint(g)
		}
	}
	within, between = within/8, between/3
	m, err := Mixed(NewDesign(12), y, groups, MixedOptions{Level: 0.95})
	require.NoError(t, err)
	require.InDelta(t, within, m.VarResidual, 1e-9)
	require.InDelta(t, (between-within)/3, m.VarGroup, 1e-9)
}

// syntheticMixed is n log durations of operators with known effects and confounded case mix; seeded.
func syntheticMixed(seed uint64, n, operators int) (d *Design, y []float64, groups []string, effects []float64) {
	random := rand.New(rand.NewPCG(seed, 2))
	effects = make([]float64, operators)
	for g := range effects {
		effects[g] = 0.2 * random.NormFloat64()
	}
	grade, pupil := make([]float64, n), make([]float64, n)
	y, groups = make([]float64, n), make([]string, n)
	for i := range y {
		// Skewed shares of cases, and harder eyes for the later operators.
		g := int(float64(operators) * math.Pow(random.Float64(), 1.5))
		grade[i] = math.Round(1 + 2*float64(g)/float64(operators) + 2*random.Float64())
		pupil[i] = 6 + random.NormFloat64()
		y[i] = 5 + 0.15*grade[i] - 0.04*pupil[i] + effects[g] + 0.3*random.NormFloat64()
		groups[i] = fmt.Sprintf("op%03d", g)
	}
	d = NewDesign(n)
	d.Terms, d.columns = append(d.Terms, "grade", "pupil"), append(d.columns, grade, pupil)
	return d, y, groups, effects
}

// Planted operator effects, confounded with the grade of the eyes, are covered by the 95 % intervals of the adjusted
// comparison as often as they should be: between 93 and 97 % over 300 seeded units of 12 operators.
func TestMixedCoversPlantedEffects(t *testing.T) {
	inside, total := 0, 0
	for seed := range uint64(300) {
		d, y, groups, effects := syntheticMixed(seed, 240, 12)
		m, err := Mixed(d, y, groups, MixedOptions{Level: 0.95})
		require.NoError(t, err)
		for _, g := range m.Groups {
			var at int
			_, err := fmt.Sscanf(g.Group, "op%d", &at)
			require.NoError(t, err)
			if g.Interval.Lower <= effects[at] && effects[at] <= g.Interval.Upper {
				inside++
			}
			total++
		}
	}
	coverage := float64(inside) / float64(total)
	t.Logf("coverage %.4f of %d", coverage, total)
	require.InDelta(t, 0.95, coverage, 0.02)
}

func BenchmarkMixed10000(b *testing.B) {
	d, y, groups, _ := syntheticMixed(1, 10_000, 60)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Mixed(d, y, groups, MixedOptions{Level: 0.95}); err != nil {
			b.Fatal(err)
		}
	}
}
