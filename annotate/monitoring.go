package annotate

import (
	"context"
	"errors"

	"zonule/timeline/cohort"
)

// MonitoringReview is a review of the cases behind a chart, after which the chart begins again. Reviews never change.
type MonitoringReview struct {
	ID       string `json:"id"`
	Operator string `json:"operator"` // id of the person whose chart it is, "" for that of the unit
	Kind     string `json:"kind"`     // of complication, or "capsule-rupture" for what the audit definition counts
	Date     string `json:"date"`
	Reason   string `json:"reason"`
	AuthorID string `json:"authorId"`
	MadeAt   int64  `json:"madeAt"` // Unix ms
}

// MonitoringTx keeps the reviews.
type MonitoringTx interface {
	MonitoringReview(ctx context.Context, id string) (MonitoringReview, error)
	// MonitoringReviews gives those of one chart, by date and id.
	MonitoringReviews(ctx context.Context, operator, kind string) ([]MonitoringReview, error)
	AllMonitoringReviews(ctx context.Context) ([]MonitoringReview, error) // by id
	InsertMonitoringReview(ctx context.Context, review MonitoringReview) error
}

// Monitoring charts a complication over the cases of one person ("me", or somebody whom the actor supervised in
// training) or, without one, of the unit, which is for those who answer for it.
func (s *Service) Monitoring(ctx context.Context, actor Actor, q cohort.MonitoringQuestion) (cohort.Monitoring, error) {
	if err := mayManage(actor, CompareUse); err != nil {
		return cohort.Monitoring{}, err
	}
	if err := validateWatch(q.Kind, q.Technique, q.From, q.To); err != nil {
		return cohort.Monitoring{}, err
	}
	var all *cohort.Cohort
	var cases sight
	err := s.store.Read(ctx, func(tx Tx) (err error) {
		if q.Operator, err = charted(ctx, tx, actor, q.Operator); err != nil {
			return err
		}
		if all, err = s.snapshot.cohort(ctx, tx); err != nil {
			return err
		}
		if cases, err = sightOf(ctx, tx, actor, CaseView); err != nil {
			return err
		}
		if q.OddsMultiplier, err = multiplierOf(ctx, tx); err != nil {
			return err
		}
		reviews, err := tx.MonitoringReviews(ctx, q.Operator, q.Kind)
		for _, review := range reviews {
			q.Restarts = append(q.Restarts, cohort.Restart{Date: review.Date, Reason: review.Reason})
		}
		return err
	})
	if err != nil {
		return cohort.Monitoring{}, err
	}
	answer := cohort.Monitor(all, q)
	for i := range answer.Points {
		cases.hide(&answer.Points[i].CaseID)
	}
	for i := range answer.Signals {
		cases.hide(&answer.Signals[i].CaseID)
		for n := range answer.Signals[i].Behind {
			cases.hide(&answer.Signals[i].Behind[n])
		}
	}
	return answer, nil
}

// Funnel places every operator of the unit, unnamed, beside what chance explains; the actor's own point is marked.
func (s *Service) Funnel(ctx context.Context, actor Actor, q cohort.FunnelQuestion) (cohort.Funnel, error) {
	if err := mayManage(actor, CompareUse); err != nil {
		return cohort.Funnel{}, err
	}
	if err := validateWatch(q.Kind, q.Technique, q.From, q.To); err != nil {
		return cohort.Funnel{}, err
	}
	var all *cohort.Cohort
	err := s.store.Read(ctx, func(tx Tx) (err error) {
		if q.OddsMultiplier, err = multiplierOf(ctx, tx); err != nil {
			return err
		}
		all, err = s.snapshot.cohort(ctx, tx)
		return err
	})
	if err != nil {
		return cohort.Funnel{}, err
	}
	q.Own = actor.ID
	return cohort.FunnelOf(all, q), nil
}

// AddMonitoringReview records a review of a chart that the actor sees. The same one sent again is answered as it is kept.
func (s *Service) AddMonitoringReview(ctx context.Context, actor Actor, review MonitoringReview) (MonitoringReview, error) {
	if err := mayManage(actor, MonitoringReviewAdd); err != nil {
		return MonitoringReview{}, err
	}
	if err := review.validate(s.today()); err != nil {
		return MonitoringReview{}, err
	}
	review.AuthorID, review.MadeAt = actor.ID, s.nowMs()
	err := s.store.Write(ctx, func(tx Tx) (err error) {
		if review.Operator, err = charted(ctx, tx, actor, review.Operator); err != nil {
			return err
		}
		stored, err := tx.MonitoringReview(ctx, review.ID)
		switch {
		case err == nil && stored.AuthorID == actor.ID && stored.same(review):
			review = stored
			return nil
		case err == nil:
			return Refuse(CodeTaken, "The id of the review is in use; make another.")
		case !errors.Is(err, ErrNoRow):
			return err
		}
		if err := tx.InsertMonitoringReview(ctx, review); err != nil {
			return err
		}
		return s.record(ctx, tx, actor, AuditEntry{Action: "monitoring.review", ThingID: review.ID, Detail: detail(Differences(nil, review))})
	})
	if err != nil {
		return MonitoringReview{}, err
	}
	return review, nil
}

func (r MonitoringReview) same(other MonitoringReview) bool {
	other.MadeAt = r.MadeAt
	return r == other
}

func (r MonitoringReview) validate(today string) error {
	var p problems
	p.id("id", r.ID)
	p.watched(r.Kind)
	if p.date("date", r.Date, true) && r.Date > today {
		p.add("date", "lies in the future")
	}
	p.text("reason", r.Reason, 1, 1000)
	return p.err("The review")
}

func validateWatch(kind, technique, from, to string) error {
	var p problems
	p.watched(kind)
	oneOf(&p, "technique", Technique(technique), false, Techniques...)
	p.period(from, to)
	return p.asked("The chart")
}

// watched checks a kind of complication that can be charted.
func (p *problems) watched(kind string) {
	if _, known := kindNamed(kind); !known && kind != cohort.CapsuleRupture {
		p.add("kind", "is not a known complication")
	}
}

// charted gives the id of the person whose chart is asked for, "" for the unit, if the actor may see it.
func charted(ctx context.Context, tx Tx, actor Actor, operator string) (string, error) {
	if operator == "" {
		if !Can(actor, UnitSums, RelationNone) {
			return "", forbidden(UnitSums)
		}
		return "", nil
	}
	lanes, err := lanesOf(ctx, tx, actor)
	if err != nil {
		return "", err
	}
	lane, err := laneOf(lanes, operator)
	return lane.Operator, err
}

// multiplierOf is that of the unit's recalibration, nil while it is off.
func multiplierOf(ctx context.Context, tx Tx) (*float64, error) {
	unit, err := unitOf(ctx, tx)
	if err != nil || unit.Recalibration == nil || !unit.Recalibration.On {
		return nil, err
	}
	return unit.Recalibration.OddsMultiplier, nil
}
