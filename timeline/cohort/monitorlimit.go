package cohort

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"zonule/timeline/stat"
)

const (
	defaultWorse, defaultBetter = 2.0, 0.5
	defaultFalseAlarmEvery      = 5000
	// The rates of the chart of competence. Source: found, Vedana G and others, Int J Ophthalmol 2017;10:1088-93 (capsule
	// rupture in phaco: under 5 % acceptable, over 10 % not).
	defaultAdequate, defaultInadequate = 5.0, 10.0
	// mixBins is how many groups stand for the mix of risks behind a limit.
	mixBins = 12
)

// horizons are the numbers of cases for which the chance of a false alarm is told.
var horizons = []int{100, 300, 1000}

// filled puts the defaults where nothing is asked for.
func (q MonitoringQuestion) filled() MonitoringQuestion {
	q.Worse, q.Better = orDefault(q.Worse, defaultWorse), orDefault(q.Better, defaultBetter)
	q.Adequate, q.Inadequate = orDefault(q.Adequate, defaultAdequate), orDefault(q.Inadequate, defaultInadequate)
	if q.FalseAlarmEvery == 0 {
		q.FalseAlarmEvery = defaultFalseAlarmEvery
	}
	q.Restarts = append([]Restart{}, q.Restarts...)
	slices.SortStableFunc(q.Restarts, func(a, b Restart) int { return compareDates(a.Date, b.Date) })
	return q
}

func orDefault(value, fallback float64) float64 {
	if value == 0 {
		return fallback
	}
	return value
}

// refusal is why the question cannot be answered, "" when it can.
func (q MonitoringQuestion) refusal() string {
	switch {
	case !(q.Worse > 1 && q.Worse <= 20):
		return "The odds ratio for worse results must be above 1 and at most 20."
	case !(q.Better > 0 && q.Better < 1):
		return "The odds ratio for better results must lie between 0 and 1."
	case q.FalseAlarmEvery < 50 || q.FalseAlarmEvery > 1_000_000:
		return "The average number of cases between false alarms must lie between 50 and 1,000,000."
	case !(0 < q.Adequate && q.Adequate < q.Inadequate && q.Inadequate < 100):
		return "The adequate failure rate must be above 0 and below the inadequate one, and that below 100 %."
	}
	return ""
}

// riskMix stands for many chances by a few with their shares: groups of equal size of the sorted chances, each at its mean,
// so that the number of events expected stays.
func riskMix(chances []float64) (risks, shares []float64) {
	sorted := slices.Sorted(slices.Values(chances))
	if sorted[0] == sorted[len(sorted)-1] {
		return sorted[:1], []float64{1}
	}
	bins := min(mixBins, len(sorted))
	for b := range bins {
		part := sorted[b*len(sorted)/bins : (b+1)*len(sorted)/bins]
		var sum float64
		for _, p := range part {
			sum += p
		}
		risks, shares = append(risks, sum/float64(len(part))), append(shares, float64(len(part)))
	}
	return risks, shares
}

// control finds the limit of one chart and says what it means. Where events are so rare that the chain would need too many
// states, the mean chance stands for the mix: the limit then differs by a hundredth or two.
func control(chances []float64, oddsRatio float64, every int) (*ControlChart, error) {
	risks, shares := riskMix(chances)
	chart, err := controlOf(risks, shares, oddsRatio, every)
	var tooFine *stat.Degenerate
	if len(risks) == 1 || !errors.As(err, &tooFine) || tooFine.Reason != stat.Invalid {
		return chart, err
	}
	var mean float64
	for _, p := range chances {
		mean += p / float64(len(chances))
	}
	return controlOf([]float64{mean}, []float64{1}, oddsRatio, every)
}

func controlOf(risks, shares []float64, oddsRatio float64, every int) (*ControlChart, error) {
	expected, err := stat.MixedMoves(risks, shares, 1, oddsRatio, 1)
	if err != nil {
		return nil, err
	}
	chart := &ControlChart{OddsRatio: oddsRatio}
	if chart.Limit, _, err = stat.LimitForRunLength(expected, float64(every)); err != nil {
		return nil, err
	}
	alarms, err := stat.RunLengthAt(expected, chart.Limit, horizons)
	if err != nil {
		return nil, err
	}
	changed, err := stat.MixedMoves(risks, shares, 1, oddsRatio, oddsRatio)
	if err != nil {
		return nil, err
	}
	found, err := stat.RunLengthAt(changed, chart.Limit, nil)
	if err != nil {
		return nil, err
	}
	chart.FalseAlarmEvery, chart.FalseAlarms, chart.FoundAfter = alarms.Average, chancesWithin(horizons, alarms.Within), found.Average
	change := "had really grown to"
	if oddsRatio < 1 {
		change = "had really fallen to"
	}
	chart.Text = fmt.Sprintf(
		"With results exactly as expected this chart would still reach its limit about once in %s cases, by chance alone; within the first %d cases the chance of that is %s %%. If the odds %s %s times the expected ones, it would tell after %s cases on average.",
		whole(chart.FalseAlarmEvery), horizons[1], figure(chart.FalseAlarms[1].Percent), change, figure(oddsRatio), whole(chart.FoundAfter))
	return chart, nil
}

func chancesWithin(cases []int, within []float64) []Chance {
	chances := make([]Chance, len(cases))
	for i, n := range cases {
		chances[i] = Chance{Cases: n, Percent: 100 * within[i]}
	}
	return chances
}

// wrongDeclaration is the chance in which somebody with the inadequate rate may be declared adequate within wrongCases.
// Source: our choice; published uses set it between 5 and 10 %, from memory.
const (
	wrongDeclaration = 0.05
	wrongCases       = 100
)

// competenceHorizons are told beside.
var competenceHorizons = []int{50, wrongCases, 300}

// learningLimit finds the limit of the chart of competence: with the inadequate rate it is reached within 100 cases with a
// chance of at most 5 %.
func learningLimit(adequate, inadequate float64) (w stat.Weights, limit float64, wrong, right stat.RunLength, err error) {
	if w, err = stat.LearningWeights(adequate, inadequate); err != nil {
		return w, 0, wrong, right, err
	}
	chance := func(limit float64) (float64, error) {
		length, err := stat.RunLengthExact(w, inadequate, limit, []int{wrongCases})
		if err != nil {
			return 0, err
		}
		return length.Within[0], nil
	}
	low, high := 0.0, 8.0
	for high-low > 1e-3 {
		middle := (low + high) / 2
		at, err := chance(middle)
		if err != nil {
			return w, 0, wrong, right, err
		}
		if at <= wrongDeclaration {
			high = middle
		} else {
			low = middle
		}
	}
	if wrong, err = stat.RunLengthExact(w, inadequate, high, competenceHorizons); err != nil {
		return w, 0, wrong, right, err
	}
	right, err = stat.RunLengthExact(w, adequate, high, nil)
	return w, high, wrong, right, err
}

// figure writes a number with about three digits.
func figure(value float64) string {
	size := math.Abs(value)
	switch {
	case value == 0:
		return "0"
	case size < 0.01:
		return fmt.Sprintf("%.2g", value)
	case size < 10:
		return trimmed(fmt.Sprintf("%.2f", value))
	case size < 100:
		return trimmed(fmt.Sprintf("%.1f", value))
	}
	return whole(value)
}
