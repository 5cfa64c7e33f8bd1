package stat

import (
	"math"
	"runtime"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

type wantLogistic struct {
	Estimate, SE, Z, P []float64
	WaldLower          []float64  `json:"wald_lower"`
	WaldUpper          []float64  `json:"wald_upper"`
	ProfileLower       []*float64 `json:"profile_lower"`
	ProfileUpper       []*float64 `json:"profile_upper"`
	ProfileP           []float64  `json:"profile_p"`
	Deviance           float64
	LogLik             float64  `json:"log_likelihood"`
	PenalisedLogLik    *float64 `json:"penalised_log_likelihood"`
	AIC                *float64
	NullDeviance       *float64  `json:"null_deviance"`
	ClusterSE          []float64 `json:"cluster_robust_se"`
}

// Source: R 4.2.2 glm, MASS, brglm2 0.9, sandwich 3.0-2, to the tolerance in the file.
func TestLogisticAgainstR(t *testing.T) {
	eachVector(t, "logistic_regression.json", func(t *testing.T, v vector, _ string) {
		var in struct {
			Y          []float64
			Predictors []predictor
			Cluster    []string
			Intercept  *bool
		}
		var want struct {
			Terms     []string
			N, Events int
			Separated bool `json:"ml_separated"`
			ML        *wantLogistic
			Firth     wantLogistic
		}
		v.read(t, &in, &want)
		d := designOf(t, len(in.Y), in.Predictors, in.Intercept)
		require.Equal(t, want.Terms, d.Terms)
		plain, err := Logistic(d, in.Y, LogisticOptions{Level: 0.95, Clusters: in.Cluster})
		if want.Separated {
			requireReason(t, err, Separated)
		} else {
			require.NoError(t, err)
			checkLogistic(t, v, *want.ML, plain)
		}
		firth, err := Logistic(d, in.Y, LogisticOptions{Level: 0.95, Penalised: true})
		require.NoError(t, err)
		require.Equal(t, want.N, firth.N)
		require.Equal(t, want.Events, firth.Events)
		checkLogistic(t, v, want.Firth, firth)
	})
}

func checkLogistic(t *testing.T, v vector, want wantLogistic, got *LogisticModel) {
	t.Helper()
	for j, c := range got.Coefficients {
		v.near(t, want.Estimate[j], c.Estimate, c.Term)
		v.near(t, want.SE[j], c.SE, c.Term+" se")
		v.near(t, want.Z[j], c.Statistic, c.Term+" z")
		v.near(t, want.P[j], c.P, c.Term+" p")
		v.near(t, want.WaldLower[j], c.Interval.Lower, c.Term+" Wald lower")
		v.near(t, want.WaldUpper[j], c.Interval.Upper, c.Term+" Wald upper")
		v.nearOptional(t, want.ProfileLower[j], got.Profile[j].Lower, c.Term+" profile lower")
		v.nearOptional(t, want.ProfileUpper[j], got.Profile[j].Upper, c.Term+" profile upper")
		if want.ProfileP != nil {
			v.near(t, want.ProfileP[j], *got.Profile[j].P, c.Term+" profile p")
		}
		if want.ClusterSE != nil {
			v.near(t, want.ClusterSE[j], *c.RobustSE, c.Term+" clustered se")
		}
	}
	v.near(t, want.Deviance, got.Deviance, "deviance")
	v.near(t, want.LogLik, got.LogLik, "log likelihood")
	v.nearOptional(t, want.PenalisedLogLik, got.PenalisedLogLik, "penalised log likelihood")
	if want.AIC != nil {
		v.near(t, *want.AIC, got.AIC, "aic")
		v.near(t, *want.NullDeviance, got.NullDeviance, "null deviance")
	}
}

func TestLogisticRefuses(t *testing.T) {
	d := NewDesign(4)
	require.NoError(t, d.Add("x", []float64{1, 2, 3, 5}))
	options := LogisticOptions{Level: 0.95, Penalised: true}
	_, err := Logistic(d, []float64{0, 0, 0, 0}, options)
	requireReason(t, err, Constant)
	_, err = Logistic(d, []float64{0, 0.5, 0, 1}, options)
	requireReason(t, err, Invalid)
	require.NoError(t, d.Add("x again", []float64{2, 4, 6, 10}))
	_, err = Logistic(d, []float64{0, 1, 0, 1}, options)
	requireReason(t, err, RankDeficient)
	require.NoError(t, d.Add("z", []float64{1, 0, 0, 0}))
	_, err = Logistic(d, []float64{0, 1, 0, 1}, options)
	requireReason(t, err, TooFew)
}

// With a saturated design Firth's estimate is that of counts with half an event added to each cell (algebra; Firth 1993).
func TestFirthAddsHalfAnEvent(t *testing.T) {
	d, y := NewDesign(30), make([]float64, 30)
	group := make([]float64, 30)
	for i := range group {
		if i >= 12 {
			group[i] = 1
		}
	}
	for _, i := range []int{0, 1, 2, 20, 21} {
		y[i] = 1
	}
	require.NoError(t, d.Add("group", group))
	got, err := Logistic(d, y, LogisticOptions{Level: 0.95, Penalised: true})
	require.NoError(t, err)
	first, second := logOdds(3.5/13), logOdds(2.5/19)
	require.InDelta(t, first, got.Coefficients[0].Estimate, 1e-10)
	require.InDelta(t, second-first, got.Coefficients[1].Estimate, 1e-10)
	require.NotEmpty(t, got.Notes)
}

// The same digits on one core and on several.
func TestLogisticIsTheSameOnAnyNumberOfCores(t *testing.T) {
	d, _, events := syntheticRegression(5000)
	options := LogisticOptions{Level: 0.95, Penalised: true}
	before := runtime.GOMAXPROCS(1)
	defer runtime.GOMAXPROCS(before)
	one, err := Logistic(d, events, options)
	require.NoError(t, err)
	for _, cores := range []int{2, 3, 4} {
		runtime.GOMAXPROCS(cores)
		several, err := Logistic(d, events, options)
		require.NoError(t, err)
		require.Equal(t, one, several)
	}
}

// TestProfilesNeedNoMemoryOfTheirOwn: all 13 intervals look at the 20,000 cases some 80 times, and may not keep a number for
// each case (160 kB) even half as often.
func TestProfilesNeedNoMemoryOfTheirOwn(t *testing.T) {
	d, _, events := syntheticRegression(20_000)
	allocated := func(profiled []int) uint64 {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err := Logistic(d, events, LogisticOptions{Level: 0.95, Penalised: true, Profiled: profiled})
		require.NoError(t, err)
		runtime.ReadMemStats(&after)
		return after.TotalAlloc - before.TotalAlloc
	}
	without, with := allocated([]int{}), allocated(nil)
	t.Logf("%.1f MB without profiles, %.1f MB with", float64(without)/1e6, float64(with)/1e6)
	require.Less(t, with-without, uint64(40*20_000*8))
}

// The bound found at once is that found step by step, in data with few events as well as with many.
func TestBothWaysToABoundMeet(t *testing.T) {
	d, y, _ := syntheticRegression(800)
	z := twoSidedZ(0.95)
	sorted := slices.Sorted(slices.Values(y))
	for _, total := range []int{400, 200, 40, 12} {
		events := make([]float64, len(y))
		for i, v := range y {
			if v >= sorted[len(y)-total] {
				events[i] = 1
			}
		}
		l := newLogisticData(t.Context(), d, events, true)
		top, err := l.fit()
		require.NoError(t, err)
		straight := 0
		for j := range l.columns {
			for _, side := range []float64{-1, 1} {
				se := math.Sqrt(top.inverse.At(j, j)) / l.scale[j]
				slow, _, settled := l.search(top, j, side, z)
				require.True(t, settled)
				if quick, _, ok := l.straight(top, j, side, z); ok {
					straight++
					require.InDelta(t, *slow, quick, 1e-8*se, "%s with %d events", d.Terms[j], total)
				}
			}
		}
		t.Logf("%d events: %d of %d bounds found at once", total, straight, 2*len(l.columns))
		if total > 100 {
			require.Equal(t, 2*len(l.columns), straight)
		}
	}
}

func logOdds(p float64) float64 { return math.Log(p / (1 - p)) }

func BenchmarkFirth100000x12(b *testing.B) {
	d, _, events := syntheticRegression(100_000)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Logistic(d, events, LogisticOptions{Level: 0.95, Penalised: true}); err != nil {
			b.Fatal(err)
		}
	}
}

// TestLogisticPredicts holds a prediction to the model's own terms: one group's log odds are the intercept, whose interval
// is known; the chance between moves with the linear predictor.
func TestLogisticPredicts(t *testing.T) {
	d := NewDesign(20)
	x, y := make([]float64, 20), make([]float64, 20)
	for i := range x {
		x[i] = float64(i % 2)
		y[i] = float64(i % 4 / 3)
	}
	require.NoError(t, d.Add("x", x))
	m, err := Logistic(d, y, LogisticOptions{Level: 0.95, Penalised: true})
	require.NoError(t, err)
	at, err := m.Predict([]float64{1, 0})
	require.NoError(t, err)
	logit := func(p float64) float64 { return math.Log(p / (1 - p)) }
	require.InDelta(t, m.Coefficients[0].Estimate, logit(at.Value), 1e-9)
	require.InDelta(t, m.Coefficients[0].Interval.Lower, logit(at.Interval.Lower), 1e-9)
	both, err := m.Predict([]float64{1, 1})
	require.NoError(t, err)
	require.InDelta(t, m.Coefficients[0].Estimate+m.Coefficients[1].Estimate, logit(both.Value), 1e-9)
	// With x = 1 the group is 10 cases with 5 events: the chance is one half and its information 10 p (1 - p).
	require.InDelta(t, 0.5, both.Value, 1e-9)
	require.InDelta(t, 1.959964/math.Sqrt(10*0.25), logit(both.Interval.Upper), 1e-5)
	_, err = m.Predict([]float64{1})
	requireReason(t, err, Invalid)
}
