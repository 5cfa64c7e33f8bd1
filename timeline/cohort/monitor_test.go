package cohort

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// watchedUnit makes cases with invented chances of capsule rupture between 0.5 and 8 %; the true odds are ratio times the
// expected ones from case number change on.
func watchedUnit(seed uint64, n, operators, change int, ratio float64) []Row {
	chance := rand.New(rand.NewPCG(seed, 11))
	rows := make([]Row, n)
	day := time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)
	for i := range rows {
		p := 0.005 * (1 + 15*chance.Float64()*chance.Float64())
		truth := p
		if i >= change {
			truth = recalibrated(p, &ratio)
		}
		rows[i] = Row{
			CaseID: fmt.Sprintf("case-%06d", i), Date: day.AddDate(0, 0, i/8).Format("2006-01-02"),
			Operator: fmt.Sprintf("operator-%d", i%operators), Technique: "phaco",
			Before:         Before{ExpectedLow: 100 * p, ExpectedHigh: 100 * p},
			CapsuleRupture: chance.Float64() < truth,
		}
	}
	return rows
}

// TestFalseAlarmsAreAsStated simulates charts in control, and charts with the change that they look for, and compares how
// long they run with what the chart says of itself.
func TestFalseAlarmsAreAsStated(t *testing.T) {
	for _, oddsRatio := range []float64{2, 0.5} {
		t.Run(fmt.Sprint(oddsRatio), func(t *testing.T) {
			chance := rand.New(rand.NewPCG(20261125, 7))
			mix := make([]float64, 400)
			for i := range mix {
				mix[i] = 0.005 * (1 + 15*chance.Float64()*chance.Float64())
			}
			chart, err := control(mix, oddsRatio, 400)
			require.NoError(t, err)
			require.InEpsilon(t, 400, chart.FalseAlarmEvery, 0.02)
			const charts = 20_000
			run := func(truth float64) (average, within300 float64) {
				for range charts {
					r := newRunner("", oddsRatio, chart)
					n := 0
					for ; len(r.signals) == 0; n++ {
						p := mix[chance.IntN(len(mix))]
						r.step(n, watched{failed: chance.Float64() < recalibrated(p, &truth)}, p)
					}
					average += float64(n) / charts
					if n <= 300 {
						within300 += 1.0 / charts
					}
				}
				return average, within300
			}
			average, within := run(1)
			// A run length spreads about as much as its mean, so that 20,000 charts give it to about 0.7 %.
			require.InEpsilon(t, chart.FalseAlarmEvery, average, 0.04)
			require.InDelta(t, chart.FalseAlarms[1].Percent, 100*within, 1.2)
			found, _ := run(oddsRatio)
			require.InEpsilon(t, chart.FoundAfter, found, 0.04)
		})
	}
}

func TestMonitorFindsAPlantedChangeAndTheCasesBehindIt(t *testing.T) {
	c := New(watchedUnit(3, 4000, 5, 2000, 3))
	m := Monitor(c, MonitoringQuestion{Kind: CapsuleRupture, FalseAlarmEvery: 20_000})
	require.Empty(t, m.Why)
	require.Equal(t, 4000, m.N)
	require.NotEmpty(t, m.Signals)
	signal := m.Signals[0]
	require.Equal(t, "worse", signal.Direction)
	require.Greater(t, signal.Number, 2000)
	require.Less(t, signal.Number, 2000+3*int(m.Worse.FoundAfter))
	require.Len(t, signal.Behind, signal.Events)
	require.Greater(t, float64(signal.Events), signal.Expected)
	require.True(t, m.Thinned)
	require.Nil(t, m.Competence)

	reviewed := Monitor(c, MonitoringQuestion{Kind: CapsuleRupture, FalseAlarmEvery: 20_000, Restarts: []Restart{{Date: signal.Date, Reason: "all cases looked at in the meeting"}}})
	require.Less(t, reviewed.Signals[0].Number, 4000)
	for _, p := range reviewed.Points {
		if p.Restart != "" {
			require.Greater(t, p.Date, signal.Date)
			require.Less(t, p.Worse, 1.0, "the chart began again")
		}
	}
}

func TestRestartEndsASignal(t *testing.T) {
	rows := watchedUnit(5, 60, 1, 0, 1)
	for i := range rows {
		rows[i].CapsuleRupture = i%6 == 0
	}
	q := MonitoringQuestion{Kind: CapsuleRupture, Operator: "operator-0", FalseAlarmEvery: 500}
	first := Monitor(New(rows), q)
	require.NotEmpty(t, first.Signals)
	require.Empty(t, first.Signals[0].Reviewed)
	q.Restarts = []Restart{{Date: first.Signals[0].Date, Reason: "reviewed with the trainer"}}
	second := Monitor(New(rows), q)
	require.GreaterOrEqual(t, len(second.Signals), 1)
	require.Equal(t, "reviewed with the trainer", second.Signals[0].Reviewed)
	require.Contains(t, second.Signals[0].Text, "reviewed with the trainer")
	require.NotNil(t, second.Competence)
	require.Nil(t, second.Competence.Reached, "one failure in six is not adequate")
}

// TestLimitForRareEvents: the mean chance stands for a mix that is too rare for the chain.
func TestLimitForRareEvents(t *testing.T) {
	mix := []float64{0.001, 0.002, 0.003}
	chart, err := control(mix, 0.5, 5000)
	require.NoError(t, err)
	constant, err := control([]float64{0.002}, 0.5, 5000)
	require.NoError(t, err)
	require.InDelta(t, constant.Limit, chart.Limit, 1e-3)
	chance := rand.New(rand.NewPCG(2, 3))
	const charts = 2000
	average := 0.0
	for range charts {
		r := newRunner("", 0.5, chart)
		n := 0
		for ; len(r.signals) == 0; n++ {
			p := mix[chance.IntN(len(mix))]
			r.step(n, watched{failed: chance.Float64() < p}, p)
		}
		average += float64(n) / charts
	}
	require.InEpsilon(t, 5000, average, 0.08)
}

// TestCompetence holds the chart of competence to the chance of error that it states.
func TestCompetence(t *testing.T) {
	w, limit, wrong, right, err := learningLimit(0.05, 0.10)
	require.NoError(t, err)
	// Check value 53: weights of 0.05 against 0.10, found (Biau).
	require.InDelta(t, 0.0541, w.Success, 0.0005)
	require.InDelta(t, -0.6931, w.Failure, 0.0005)
	require.LessOrEqual(t, wrong.Within[1], 0.05)
	chance := rand.New(rand.NewPCG(8, 8))
	const people = 20_000
	declared, average := 0.0, 0.0
	for range people {
		value, n := 0.0, 0
		for value < limit && n < wrongCases {
			value, n = max(0, value+w.Of(chance.Float64() < 0.10)), n+1
		}
		if value >= limit {
			declared += 1.0 / people
		}
		value, n = 0, 0
		for value < limit {
			value, n = max(0, value+w.Of(chance.Float64() < 0.05)), n+1
		}
		average += float64(n) / people
	}
	require.InDelta(t, wrong.Within[1], declared, 0.005)
	require.InEpsilon(t, right.Average, average, 0.03)
}

// TestWeightsOfThePublication runs the check values 49 and 50 through the runner: p = 0.0192, odds ratio 2, outcomes 0, 0,
// 1, 0, 1. Source: arithmetic of Steiner's formula.
func TestWeightsOfThePublication(t *testing.T) {
	r := newRunner("worse", 2, nil)
	var path []float64
	for i, failed := range []bool{false, false, true, false, true} {
		r.step(i, watched{failed: failed}, 0.0192)
		path = append(path, r.value)
	}
	require.InDeltaSlice(t, []float64{0, 0, 0.6741, 0.6551, 1.3292}, path, 0.0001)
}

func TestUnknownRiskFactors(t *testing.T) {
	rows := watchedUnit(9, 300, 3, 0, 1)
	for i := range rows {
		rows[i].Before.ExpectedHigh = 6 * rows[i].Before.ExpectedLow
	}
	m := Monitor(New(rows), MonitoringQuestion{Kind: CapsuleRupture})
	require.Less(t, m.Sensitivity[0].Expected, m.Expected)
	require.Greater(t, m.Sensitivity[2].Expected, m.Expected)
	require.Equal(t, m.Expected, m.Sensitivity[1].Expected)
	require.Contains(t, m.Notes[0], "300 of 300 cases")
	// Halfway on the scale of log odds: odds 1/99 and 1/9 have the middle 1/sqrt(891). Source: arithmetic.
	require.InDelta(t, 0.0324157, middleChance(0.01, 0.1), 1e-6)
}

func TestMonitorSaysWhatIsMissing(t *testing.T) {
	rows := watchedUnit(1, 50, 2, 0, 1)
	c := New(rows)
	tooHigh := 140.0
	for name, one := range map[string]struct {
		q    MonitoringQuestion
		says string
	}{
		"no such case":     {MonitoringQuestion{Kind: CapsuleRupture, From: "2031-01-01"}, "no case in this period"},
		"no such operator": {MonitoringQuestion{Kind: CapsuleRupture, Operator: "nobody"}, "no case of this operator"},
		"never happened":   {MonitoringQuestion{Kind: "endophthalmitis"}, "no rate to compare with"},
		"wrong direction":  {MonitoringQuestion{Kind: CapsuleRupture, Worse: 0.5}, "above 1"},
		"impossible rate":  {MonitoringQuestion{Kind: CapsuleRupture, Baseline: &tooHigh}, "between 0 and 100"},
		"competence":       {MonitoringQuestion{Kind: CapsuleRupture, Adequate: 12}, "adequate failure rate"},
	} {
		t.Run(name, func(t *testing.T) {
			m := Monitor(c, one.q)
			require.Contains(t, m.Why, one.says)
			require.Nil(t, m.Worse)
			require.Empty(t, m.Points)
		})
	}
	rows[0].Date = ""
	rows[1].Before = Before{}
	m := Monitor(New(rows), MonitoringQuestion{Kind: CapsuleRupture})
	require.Len(t, m.LeftOut, 2)
	require.Equal(t, 48, m.N)
}

func TestOtherComplicationsAreHeldAgainstTheUnit(t *testing.T) {
	rows := watchedUnit(2, 1000, 4, 0, 1)
	for i := range rows {
		if i%25 == 0 {
			rows[i].Complications = []Mishap{{Kind: "corneal-oedema"}}
		}
	}
	m := Monitor(New(rows), MonitoringQuestion{Kind: "corneal-oedema"})
	require.Equal(t, 40, m.Events)
	require.InDelta(t, 40, m.Expected, 1e-9)
	require.InDelta(t, 0, m.Points[len(m.Points)-1].Excess, 1e-9)
	require.Empty(t, m.Signals)
	require.InEpsilon(t, 5000, m.Worse.FalseAlarmEvery, 0.2)
}

func BenchmarkMonitor(b *testing.B) {
	c := New(watchedUnit(3, 100_000, 20, 100_000, 1))
	for b.Loop() {
		Monitor(c, MonitoringQuestion{Kind: CapsuleRupture})
	}
}
