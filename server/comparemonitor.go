package server

import (
	"context"

	"zonule/annotate"
	"zonule/timeline/cohort"
)

// WatchAsked chooses a complication and the cases over which it is charted; exported as CasesAsked is.
type WatchAsked struct {
	Kind      string `query:"kind" required:"true" doc:"Code of a complication, or capsule-rupture for what the audit definition counts."`
	Technique string `query:"technique" enum:"phaco,msics,ecce" doc:"Performed."`
	From      string `query:"from" doc:"Date, inclusive."`
	To        string `query:"to" doc:"Date, inclusive."`
}

type monitoringInput struct {
	WatchAsked
	Operator string `query:"operator" doc:"me, the id of somebody whom one supervised in training, or nothing for the unit."`
}

type monitoringOutput struct{ Body cohort.Monitoring }

func (s *Server) monitoring(ctx context.Context, in *monitoringInput) (*monitoringOutput, error) {
	chart, err := s.service.Monitoring(ctx, actorOf(ctx), cohort.MonitoringQuestion{
		Kind: in.Kind, Operator: in.Operator, Technique: in.Technique, From: in.From, To: in.To,
	})
	return &monitoringOutput{Body: chart}, err
}

type funnelInput struct {
	WatchAsked
	Against string `query:"against" enum:"unit,published" doc:"The unit's own rate in these cases, or the published chances; unit without it."`
}

type funnelOutput struct{ Body cohort.Funnel }

func (s *Server) funnel(ctx context.Context, in *funnelInput) (*funnelOutput, error) {
	funnel, err := s.service.Funnel(ctx, actorOf(ctx), cohort.FunnelQuestion{
		Kind: in.Kind, Technique: in.Technique, From: in.From, To: in.To, Against: in.Against,
	})
	return &funnelOutput{Body: funnel}, err
}

type addReviewInput struct {
	Review string `path:"review"`
	Body   annotate.MonitoringReview
}

type addReviewOutput struct{ Body annotate.MonitoringReview }

func (s *Server) addMonitoringReview(ctx context.Context, in *addReviewInput) (*addReviewOutput, error) {
	if err := sameAs("id", in.Review, &in.Body.ID); err != nil {
		return nil, err
	}
	review, err := s.service.AddMonitoringReview(ctx, actorOf(ctx), in.Body)
	return &addReviewOutput{Body: review}, err
}
