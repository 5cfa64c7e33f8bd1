package cohort

import (
	"fmt"
	"math"

	"zonule/timeline/stat"
)

// mostWatched is the number of cases up to which every point is sent.
const mostWatched = 2000

// Monitor runs two risk-adjusted CUSUM charts over the cases in their order, one for worse and one for better results than
// expected, beside the cumulative number of events above expectation; for one operator also the chart of competence. A
// chart begins again from 0 after a restart and signals once until the next.
func Monitor(c *Cohort, q MonitoringQuestion) Monitoring {
	q = q.filled()
	m := Monitoring{Question: q, LeftOut: []LeftOut{}, Points: []MonitoringPoint{}, Signals: []Signal{}, Sensitivity: []Sensitivity{}, Text: []string{}, Notes: []string{}, Methods: monitoringMethods}
	if m.Why = q.refusal(); m.Why != "" {
		return m
	}
	s := c.series(watch{kind: q.Kind, technique: q.Technique, from: q.From, to: q.To, baseline: q.Baseline, multiplier: q.OddsMultiplier})
	if q.Operator != "" {
		s.of(q.Operator)
	}
	m.N, m.Events, m.Basis, m.Why = len(s.cases), s.events, s.basis, s.why
	m.LeftOut, m.Notes = append(m.LeftOut, s.leftOut...), append(m.Notes, s.notes...)
	if m.Why != "" {
		return m
	}
	middle := s.chances(middleOf)
	for _, p := range middle {
		m.Expected += p
	}
	m.Worse = m.limit(middle, q.Worse)
	m.Better = m.limit(middle, q.Better)
	m.run(&s)
	if q.Operator != "" {
		m.Competence = m.competence(&s)
	}
	m.sensitivity(&s)
	m.tell()
	m.Points, m.Thinned = thinnedPoints(m.Points)
	if m.Thinned && m.Competence != nil {
		m.Competence.Path = []float64{}
	}
	return m
}

// limit gives one chart; without a limit its path is drawn all the same and nothing can signal.
func (m *Monitoring) limit(chances []float64, oddsRatio float64) *ControlChart {
	chart, err := control(chances, oddsRatio, m.Question.FalseAlarmEvery)
	if err != nil {
		m.Notes = append(m.Notes, fmt.Sprintf("No limit could be set for an odds ratio of %s: %s", figure(oddsRatio), err))
		return nil
	}
	return chart
}

// restartsAt gives, for each case that is the first after a review, the reason.
func restartsAt(cases []watched, restarts []Restart) map[int]string {
	first := map[int]string{}
	at := 0
	for _, restart := range restarts {
		for at < len(cases) && cases[at].row.Date <= restart.Date {
			at++
		}
		if at == len(cases) {
			break
		}
		first[at] = restart.Reason
	}
	return first
}

// run fills the points and the signals.
func (m *Monitoring) run(s *series) {
	restarts := restartsAt(s.cases, m.Question.Restarts)
	excess, err := stat.ObservedMinusExpected(s.chances(middleOf), s.outcomes())
	if err != nil {
		m.Notes = append(m.Notes, err.Error())
		return
	}
	worse := newRunner("worse", m.Question.Worse, m.Worse)
	better := newRunner("better", m.Question.Better, m.Better)
	for i, one := range s.cases {
		reason, restarted := restarts[i]
		point := MonitoringPoint{
			Number: i + 1, CaseID: one.row.CaseID, Date: one.row.Date, Expected: 100 * one.middle, Event: one.failed,
			Excess: excess.Path[i], ExcessSD: excess.SD[i], Restart: reason,
		}
		for _, r := range []*runner{&worse, &better} {
			if restarted {
				r.restart(reason)
			}
			r.step(i, one, one.middle)
		}
		point.Worse, point.Better = worse.value, better.value
		m.Points = append(m.Points, point)
	}
	for _, r := range []*runner{&worse, &better} {
		for _, found := range r.signals {
			m.Signals = append(m.Signals, found.signal(r.direction, s))
		}
	}
}

// runner is one chart on its way through the cases.
type runner struct {
	direction string
	oddsRatio float64
	limit     float64
	value     float64
	since     int // first case since the chart last stood at 0
	signalled bool
	signals   []crossing
}

// crossing is a signal at a case, with the start of the stretch and the review that followed.
type crossing struct {
	since, at int
	reviewed  string
}

func newRunner(direction string, oddsRatio float64, chart *ControlChart) runner {
	limit := math.Inf(1)
	if chart != nil {
		limit = chart.Limit
	}
	return runner{direction: direction, oddsRatio: oddsRatio, limit: limit}
}

func (r *runner) restart(reason string) {
	if r.signalled && reason != "" {
		r.signals[len(r.signals)-1].reviewed = reason
	}
	r.value, r.signalled = 0, false
}

func (r *runner) step(i int, one watched, chance float64) {
	if r.value == 0 {
		r.since = i
	}
	w, err := stat.RiskAdjustedWeights(chance, 1, r.oddsRatio)
	if err != nil {
		return // chances are checked when the series is made
	}
	r.value = max(0, r.value+w.Of(one.failed))
	if r.value >= r.limit && !r.signalled {
		r.signalled = true
		r.signals = append(r.signals, crossing{since: r.since, at: i})
	}
}

// sensitivity repeats the charts, with the same limits, with every unknown factor at either end of its range.
func (m *Monitoring) sensitivity(s *series) {
	for _, end := range []struct {
		name string
		pick func(watched) float64
	}{{"lowest", lowChance}, {"middle", middleOf}, {"highest", highChance}} {
		row := Sensitivity{Risks: end.name}
		restarts := restartsAt(s.cases, m.Question.Restarts)
		worse, better := newRunner("worse", m.Question.Worse, m.Worse), newRunner("better", m.Question.Better, m.Better)
		for i, one := range s.cases {
			row.Expected += end.pick(one)
			for _, r := range []*runner{&worse, &better} {
				if reason, restarted := restarts[i]; restarted {
					r.restart(reason)
				}
				r.step(i, one, end.pick(one))
			}
		}
		row.Worse, row.Better = len(worse.signals) > 0, len(better.signals) > 0
		m.Sensitivity = append(m.Sensitivity, row)
	}
}

// thinnedPoints keeps the points that shape the curves: the ends, events and the case before each, restarts, and every so many
// between. Between events the curves are close to straight.
func thinnedPoints(points []MonitoringPoint) ([]MonitoringPoint, bool) {
	if len(points) <= mostWatched {
		return points, false
	}
	every := (len(points) + mostWatched/2 - 1) / (mostWatched / 2)
	kept := make([]MonitoringPoint, 0, mostWatched)
	for i, p := range points {
		last := i == len(points)-1
		if last || p.Event || p.Restart != "" || points[i+1].Event || points[i+1].Restart != "" || i%every == 0 {
			kept = append(kept, p)
		}
	}
	return kept, true
}
