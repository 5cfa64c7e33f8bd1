package stat

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

type chartInput struct {
	Kind, Chart, Rounding string
	P0                    float64
	OddsRatio             float64 `json:"odds_ratio"`
	Null                  float64 `json:"odds_ratio_null"`
	Alternative           float64 `json:"odds_ratio_alternative"`
	TrueOddsRatio         float64 `json:"true_odds_ratio"`
	Adequate              float64 `json:"p_adequate"`
	Inadequate            float64 `json:"p_inadequate"`
	PTrue                 float64 `json:"p_true"`
	Limit                 float64
	Restart               bool `json:"reset_after_signal"`
	Outcomes              []int
	Risks, Shares         []float64
	States                int
	Cases                 []int
	Lambda, Centre, SD    float64
	Width, Shift          float64
	X                     []float64
}

type chartExpected struct {
	Success float64 `json:"weight_success"`
	Failure float64 `json:"weight_failure"`
	Weights []float64
	Path    []float64
	Signals []int
	SD      []float64
	Lower   []float64
	Upper   []float64
	Average float64   `json:"average_run_length"`
	Within  []float64 `json:"signal_within"`
}

func (in chartInput) failed() []bool {
	failed := make([]bool, len(in.Outcomes))
	for i, o := range in.Outcomes {
		failed[i] = o == 1
	}
	return failed
}

func (in chartInput) weights(t *testing.T) Weights {
	if in.Kind == "lc_cusum" || in.Chart == "lc_cusum" {
		w, err := LearningWeights(in.Adequate, in.Inadequate)
		require.NoError(t, err)
		return w
	}
	w, err := BernoulliWeights(in.P0, in.OddsRatio)
	require.NoError(t, err)
	return w
}

// Source: an implementation in R 4.2.2 outside this program, with simulation, and spc 0.6.7; to the tolerance in the file.
func TestMonitoringAgainstR(t *testing.T) {
	eachVector(t, "cusum.json", func(t *testing.T, v vector, kind string) {
		var in chartInput
		var want chartExpected
		v.read(t, &in, &want)
		switch kind {
		case "bernoulli_cusum", "lc_cusum":
			w := in.weights(t)
			v.near(t, want.Success, w.Success, "weight of a success")
			v.near(t, want.Failure, w.Failure, "weight of a failure")
			weights := make([]float64, len(in.Outcomes))
			for i, failed := range in.failed() {
				weights[i] = w.Of(failed)
			}
			got, err := CUSUM(weights, in.Limit, in.Restart)
			require.NoError(t, err)
			v.nearAll(t, want.Path, got.Path, "path")
			require.Equal(t, want.Signals, got.Signals)
		case "risk_adjusted_cusum":
			got, err := RiskAdjustedCUSUM(in.Risks, in.failed(), in.Null, in.Alternative, in.Limit, in.Restart)
			require.NoError(t, err)
			v.nearAll(t, want.Weights, got.Weights, "weights")
			v.nearAll(t, want.Path, got.Path, "path")
			require.Equal(t, want.Signals, got.Signals)
		case "observed_minus_expected":
			got, err := ObservedMinusExpected(in.Risks, in.failed())
			require.NoError(t, err)
			v.nearAll(t, want.Path, got.Path, "path")
			v.nearAll(t, want.SD, got.SD, "sd")
		case "ewma":
			got, err := EWMA(in.X, in.Lambda, in.Centre, in.SD, in.Width)
			require.NoError(t, err)
			v.nearAll(t, want.Path, got.Path, "path")
			v.nearAll(t, want.Lower, got.Lower, "lower")
			v.nearAll(t, want.Upper, got.Upper, "upper")
			require.Equal(t, want.Signals, got.Signals)
		case "run_length_exact":
			got, err := RunLengthExact(in.weights(t), in.PTrue, in.Limit, in.Cases)
			require.NoError(t, err)
			require.Empty(t, got.Notes)
			v.near(t, want.Average, got.Average, "average")
			v.nearAll(t, want.Within, got.Within, "within")
		case "run_length_markov":
			checkChain(t, v, in, want)
		case "ewma_run_length_normal":
			got, err := EWMARunLength(in.Lambda, in.Width, in.Shift)
			require.NoError(t, err)
			v.near(t, want.Average, got, "average")
		default:
			t.Fatalf("no check for %q", kind)
		}
	})
}

func checkChain(t *testing.T, v vector, in chartInput, want chartExpected) {
	var moves []Move
	if in.Chart == "risk_adjusted_cusum" {
		var err error
		moves, err = MixedMoves(in.Risks, in.Shares, in.Null, in.Alternative, in.TrueOddsRatio)
		require.NoError(t, err)
	} else {
		moves = ConstantMoves(in.weights(t), in.PTrue)
	}
	got, err := RunLengthByChain(moves, in.Limit, in.States, in.Cases)
	require.NoError(t, err)
	if in.Rounding == "nearest" {
		// The file gives this one as a warning, the value of a method that we must not use: 2552 for a true 3576.5.
		exact, err := RunLengthExact(in.weights(t), in.PTrue, in.Limit, nil)
		require.NoError(t, err)
		require.InEpsilon(t, exact.Average, got.Average, 0.005)
		require.Greater(t, got.Average, 1.3*want.Average)
		return
	}
	v.near(t, want.Average, got.Average, "average")
	v.nearAll(t, want.Within, got.Within, "within")
}

// Check values 44 to 50. Source: Steiner 2000 for 44 to 47 and the improvement weight of 48 (found); the rest arithmetic.
func TestSteinerWeights(t *testing.T) {
	for _, c := range []struct {
		p, ratio, success, failure float64
	}{
		{0.0246, 2, -0.024, 0.669}, {0.5424, 2, -0.433, 0.260}, {0.0246, 0.5, 0.012, -0.681}, {0.5424, 0.5, 0.316, -0.377},
	} {
		w, err := RiskAdjustedWeights(c.p, 1, c.ratio)
		require.NoError(t, err)
		require.InDelta(t, c.success, w.Success, 0.0005)
		require.InDelta(t, c.failure, w.Failure, 0.0005)
	}
	const p48 = 0.09912 // logit p = -3.67 + 0.077 * 19
	w, err := RiskAdjustedWeights(p48, 1, 2)
	require.NoError(t, err)
	require.InDelta(t, -0.0945, w.Success, 0.00005)
	w, err = RiskAdjustedWeights(p48, 1, 0.5)
	require.NoError(t, err)
	require.InDelta(t, 0.05083, w.Success, 0.00005)
	w, err = BernoulliWeights(0.0192, 2)
	require.NoError(t, err)
	require.InDelta(t, -0.01902, w.Success, 0.00001)
	require.InDelta(t, 0.67413, w.Failure, 0.00001)
	risks := []float64{0.0192, 0.0192, 0.0192, 0.0192, 0.0192}
	chart, err := RiskAdjustedCUSUM(risks, []bool{false, false, true, false, true}, 1, 2, 4.5, false)
	require.NoError(t, err)
	for i, want := range []float64{0, 0, 0.6741, 0.6551, 1.3292} {
		require.InDelta(t, want, chart.Path[i], 0.0001)
	}
}

// Check values 51 to 55: arithmetic of the stated formulas; the rates of 51 and 52 were published for this operation.
func TestSequenceAndLearningCheckValues(t *testing.T) {
	for _, c := range []struct{ p0, p1, s, h float64 }{{0.05, 0.10, 0.0724, 2.9406}, {0.10, 0.20, 0.1452, 2.7095}} {
		got, err := SequenceOf(c.p0, c.p1, 0.1, 0.1)
		require.NoError(t, err)
		require.InDelta(t, c.s, got.S, 0.0005)
		require.InDelta(t, c.h, got.H1, 0.0005)
		require.InDelta(t, -c.h, got.H0, 0.0005)
	}
	for _, c := range []struct{ adequate, inadequate, success, failure float64 }{
		{0.05, 0.10, 0.0541, -0.6931}, {0.10, 0.20, 0.1178, -0.6931}, {0.40, 0.55, 0.2877, -0.3185},
	} {
		w, err := LearningWeights(c.adequate, c.inadequate)
		require.NoError(t, err)
		require.InDelta(t, c.success, w.Success, 0.0005)
		require.InDelta(t, c.failure, w.Failure, 0.0005)
	}
}

// Source: R 4.2.2 qbinom and pbinom, to the tolerance in the file.
func TestFunnelAgainstR(t *testing.T) {
	eachVector(t, "funnel.json", func(t *testing.T, v vector, _ string) {
		var in struct {
			Target    float64
			N, Events []int
		}
		var want struct {
			Lower95, Upper95, Lower998, Upper998 []float64
			RawLower95                           []float64 `json:"raw_lower95"`
			RawLower998                          []float64 `json:"raw_lower998"`
			Z                                    []float64 `json:"unit_z"`
			Dispersion                           float64
			P                                    float64 `json:"p_dispersion"`
			Outside95, Outside998                []bool
		}
		v.read(t, &in, &want)
		for i, n := range in.N {
			got, err := FunnelAt(n, in.Target)
			require.NoError(t, err)
			v.near(t, want.Lower95[i], got.Lower95, "lower 95")
			v.near(t, want.Upper95[i], got.Upper95, "upper 95")
			v.near(t, want.Lower998[i], got.Lower998, "lower 99.8")
			v.near(t, want.Upper998[i], got.Upper998, "upper 99.8")
			v.near(t, want.RawLower95[i], got.RawLower95, "raw lower 95")
			v.near(t, want.RawLower998[i], got.RawLower998, "raw lower 99.8")
		}
		if in.Events == nil {
			return
		}
		got, err := Funnel(in.Events, in.N, in.Target)
		require.NoError(t, err)
		v.near(t, want.Dispersion, got.Dispersion, "dispersion")
		v.near(t, want.P, got.P, "p of the dispersion")
		for i, u := range got.Units {
			v.near(t, want.Z[i], u.Z, "z")
			require.Equal(t, want.Outside95[i], u.Outside95)
			require.Equal(t, want.Outside998[i], u.Outside998)
		}
	})
}

// Check values 56 to 59, in per cent to 0.01: arithmetic of the method.
func TestFunnelCheckValues(t *testing.T) {
	for _, c := range []struct {
		n                                    int
		target                               float64
		lower998, lower95, upper95, upper998 float64
	}{
		{100, 0.0192, 0, 0, 4.61, 6.89}, {200, 0.0192, 0, 0, 3.82, 5.33},
		{500, 0.0192, 0.22, 0.70, 3.12, 3.98}, {1000, 0.0101, 0.13, 0.39, 1.63, 2.07},
	} {
		got, err := FunnelAt(c.n, c.target)
		require.NoError(t, err)
		if c.n >= 500 {
			require.InDelta(t, c.lower998, 100*got.Lower998, 0.01)
			require.InDelta(t, c.lower95, 100*got.Lower95, 0.01)
		}
		require.InDelta(t, c.upper95, 100*got.Upper95, 0.01)
		require.InDelta(t, c.upper998, 100*got.Upper998, 0.01)
	}
}

// The limit found for a false-alarm rate keeps it, by the exact computation that shares no code with the chain. The run
// length rises in steps, so the exact one may lie off by the size of a step.
func TestLimitKeepsItsFalseAlarmRate(t *testing.T) {
	w, err := BernoulliWeights(0.05, 2)
	require.NoError(t, err)
	limit, length, err := LimitForRunLength(ConstantMoves(w, 0.05), 1000)
	require.NoError(t, err)
	require.GreaterOrEqual(t, length.Average, 1000.0)
	exact, err := RunLengthExact(w, 0.05, limit, nil)
	require.NoError(t, err)
	require.InEpsilon(t, exact.Average, length.Average, 0.03)
}

func TestMonitoringRefuses(t *testing.T) {
	_, err := RiskAdjustedWeights(0, 1, 2)
	requireReason(t, err, Invalid)
	_, err = RiskAdjustedWeights(0.1, 2, 2)
	requireReason(t, err, Invalid)
	_, err = LearningWeights(0.2, 0.1)
	requireReason(t, err, Invalid)
	_, err = CUSUM([]float64{1}, 0, false)
	requireReason(t, err, Invalid)
	_, err = RiskAdjustedCUSUM([]float64{0.1}, nil, 1, 2, 3, false)
	requireReason(t, err, Invalid)
	_, err = ObservedMinusExpected([]float64{1.5}, []bool{true})
	requireReason(t, err, Invalid)
	_, err = EWMA([]float64{1}, 0, 0, 1, 3)
	requireReason(t, err, Invalid)
	_, err = SequenceOf(0.2, 0.1, 0.1, 0.1)
	requireReason(t, err, Invalid)
	_, err = RunLengthByChain([]Move{{-1, 1}}, 3, 50, nil)
	requireReason(t, err, Constant)
	_, err = RunLengthExact(Weights{1, 1}, 0.1, 3, nil)
	requireReason(t, err, Invalid)
	_, err = Funnel(nil, nil, 0.1)
	requireReason(t, err, TooFew)
	_, err = Funnel([]int{5}, []int{4}, 0.1)
	requireReason(t, err, Invalid)
	_, err = FunnelAt(10, 0)
	requireReason(t, err, Invalid)
	_, err = EWMARunLength(0.1, 0, 0)
	requireReason(t, err, Invalid)
}

// The cumulative excess ends at the count seen minus the sum expected, and the chart never falls below 0 (algebra).
func TestChartsKeepTheirSums(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		risks := rapid.SliceOfN(rapid.Float64Range(0.001, 0.9), 1, 50).Draw(t, "risks")
		failed := rapid.SliceOfN(rapid.Bool(), len(risks), len(risks)).Draw(t, "failed")
		excess, err := ObservedMinusExpected(risks, failed)
		require.NoError(t, err)
		var seen float64
		for _, f := range failed {
			if f {
				seen++
			}
		}
		require.InDelta(t, seen-sum(risks), excess.Path[len(risks)-1], 1e-9)
		chart, err := RiskAdjustedCUSUM(risks, failed, 1, 2, 3, true)
		require.NoError(t, err)
		for _, s := range chart.Path {
			require.GreaterOrEqual(t, s, 0.0)
		}
	})
}
