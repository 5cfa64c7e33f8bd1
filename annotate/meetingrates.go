package annotate

import (
	"context"
	"fmt"

	"zonule/timeline/cohort"
)

// MeetingDenominators is what stands beside the cases of a meeting: how many operations were done in the period, how often
// something went wrong in them, and whether that is more than was to be expected. It names no case, nobody and no date of
// an operation.
type MeetingDenominators struct {
	From       string `json:"from"`
	To         string `json:"to"`
	Operations int    `json:"operations"`
	// Rupture is the rate under the audit definition; Complications those that happened, in the order of the unit's list.
	// All are nil or empty where the period has too few operations to stay unnamed.
	RuptureEvents int        `json:"ruptureEvents"`
	Rupture       Rate       `json:"rupture"`
	Complications []KindRate `json:"complications"`
	// Chart follows capsule rupture over the operations of the period, in their order; nil when it cannot be drawn.
	Chart *MeetingChart `json:"chart"`
	Notes []string      `json:"notes"`
}

// MeetingChart is a control chart without anything that tells which operation a point is.
type MeetingChart struct {
	Operations int                 `json:"operations"`
	Events     int                 `json:"events"`
	Expected   float64             `json:"expected"` // events
	Basis      string              `json:"basis"`
	Limit      float64             `json:"limit"`           // of Worse
	FalseAlarm float64             `json:"falseAlarmEvery"` // operations, on average
	Points     []MeetingChartPoint `json:"points"`
	// SignalledAt are the numbers of the operations at which the chart reached its limit.
	SignalledAt []int  `json:"signalledAt"`
	Text        string `json:"text"`
}

// MeetingChartPoint is one operation on the chart.
type MeetingChartPoint struct {
	Number int     `json:"number"` // from 1, in the period
	Event  bool    `json:"event"`
	Worse  float64 `json:"worse"`
	Excess float64 `json:"excess"` // events so far minus those expected
}

// MeetingDenominators counts the operations of the meeting's period for its members.
func (s *Service) MeetingDenominators(ctx context.Context, actor Actor, meetingID string) (MeetingDenominators, error) {
	answer := MeetingDenominators{Complications: []KindRate{}, Notes: []string{}}
	err := s.onMeeting(ctx, actor, meetingID, func(tx Tx, m KeptMeeting) error {
		answer.From, answer.To = m.From, min(m.To, s.today())
		t, err := s.tallyOf(ctx, tx, CaseQuery{CaseFilter: CaseFilter{From: answer.From, To: answer.To}, Viewer: actor.ID, All: true})
		if err != nil {
			return err
		}
		answer.Operations = len(t.rows)
		if len(t.rows) < fewestUnnamed {
			answer.Notes = append(answer.Notes, fmt.Sprintf(
				"Fewer than %d operations are recorded in the period: rates would tell of single cases. Choose a longer period.", fewestUnnamed))
			return nil
		}
		rupture := t.rupture()
		answer.RuptureEvents, answer.Rupture, answer.Complications = rupture.Events, rupture.Rate, t.complications()
		answer.Notes = append(answer.Notes,
			"Complications after the operation are counted among the operations that were seen again.",
			"Crude rates of the whole unit: they are not adjusted for case mix and do not compare people.")
		answer.Chart, err = s.meetingChart(ctx, tx, answer.From, answer.To)
		return err
	})
	return answer, err
}

// meetingChart leaves of the unit's chart what tells of no single operation.
func (s *Service) meetingChart(ctx context.Context, tx Tx, from, to string) (*MeetingChart, error) {
	all, err := s.snapshot.cohort(ctx, tx)
	if err != nil {
		return nil, err
	}
	question := cohort.MonitoringQuestion{Kind: cohort.CapsuleRupture, From: from, To: to}
	if question.OddsMultiplier, err = multiplierOf(ctx, tx); err != nil {
		return nil, err
	}
	reviews, err := tx.MonitoringReviews(ctx, "", question.Kind)
	if err != nil {
		return nil, err
	}
	for _, review := range reviews {
		question.Restarts = append(question.Restarts, cohort.Restart{Date: review.Date, Reason: review.Reason})
	}
	charted := cohort.Monitor(all, question)
	if charted.Worse == nil {
		return nil, nil
	}
	chart := &MeetingChart{
		Operations: charted.N, Events: charted.Events, Expected: charted.Expected, Basis: charted.Basis,
		Limit: charted.Worse.Limit, FalseAlarm: charted.Worse.FalseAlarmEvery, Points: []MeetingChartPoint{}, SignalledAt: []int{},
	}
	for _, p := range charted.Points {
		chart.Points = append(chart.Points, MeetingChartPoint{p.Number, p.Event, p.Worse, p.Excess})
	}
	for _, signal := range charted.Signals {
		if signal.Direction == "worse" {
			chart.SignalledAt = append(chart.SignalledAt, signal.Number)
		}
	}
	chart.Text = fmt.Sprintf("Capsule rupture in %d of %d operations; %s were to be expected.", chart.Events, chart.Operations, rounded(chart.Expected))
	if len(chart.SignalledAt) > 0 {
		chart.Text += fmt.Sprintf(" The chart reached its limit at operation %d: look at the cases behind it.", chart.SignalledAt[0])
	} else {
		chart.Text += " The chart stayed below its limit."
	}
	return chart, nil
}
