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

// The limit found for a false-alarm rate keeps it: for one weight up and one down the exact run length at the limit reaches
// the target and just below it does not; for a mix, the chain of one risk given twice comes near the exact value.
func TestLimitKeepsItsFalseAlarmRate(t *testing.T) {
	for _, ratio := range []float64{2, 0.5} {
		w, err := BernoulliWeights(0.05, ratio)
		require.NoError(t, err)
		limit, length, err := LimitForRunLength(ConstantMoves(w, 0.05), 1000)
		require.NoError(t, err)
		require.GreaterOrEqual(t, length.Average, 1000.0)
		below, err := RunLengthExact(w, 0.05, limit*0.998, nil)
		require.NoError(t, err)
		require.Less(t, below.Average, 1000.0)

		twice, err := MixedMoves([]float64{0.05, 0.05}, []float64{1, 3}, 1, ratio, 1)
		require.NoError(t, err)
		_, chained, err := LimitForRunLength(twice, 1000)
		require.NoError(t, err)
		byChain, err := RunLengthByChain(twice, limit, 500, nil)
		require.NoError(t, err)
		require.InEpsilon(t, length.Average, byChain.Average, 0.03)
		require.GreaterOrEqual(t, chained.Average, 1000.0)
	}
}

// A chain whose states are wider than the largest weight could never signal: it is refused.
func TestChainTooCoarse(t *testing.T) {
	w, err := BernoulliWeights(0.02, 0.5)
	require.NoError(t, err)
	_, err = RunLengthByChain(ConstantMoves(w, 0.02), 4, 300, nil)
	requireReason(t, err, Invalid)
	fine, err := RunLengthByChain(ConstantMoves(w, 0.02), 4, 1200, nil)
	require.NoError(t, err)
	exact, err := RunLengthExact(w, 0.02, 4, nil)
	require.NoError(t, err)
	require.InEpsilon(t, exact.Average, fine.Average, 0.02)
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
