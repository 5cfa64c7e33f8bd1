package server

import (
	"context"

	"zonule/annotate"
)

type unitOutput struct{ Body annotate.Unit }

func (s *Server) unit(ctx context.Context, _ *nothing) (*unitOutput, error) {
	unit, err := s.service.Unit(ctx)
	return &unitOutput{Body: unit}, err
}

type unitInput struct{ Body annotate.Unit }

func (s *Server) putUnit(ctx context.Context, in *unitInput) (*unitOutput, error) {
	unit, err := s.service.PutUnit(ctx, actorOf(ctx), in.Body)
	return &unitOutput{Body: unit}, err
}

type catalogueOutput struct{ Body annotate.Catalogue }

func (s *Server) catalogue(ctx context.Context, _ *nothing) (*catalogueOutput, error) {
	return &catalogueOutput{Body: s.service.Catalogue(ctx)}, nil
}

type todayOutput struct{ Body annotate.Today }

func (s *Server) today(ctx context.Context, _ *nothing) (*todayOutput, error) {
	today, err := s.service.Today(ctx, actorOf(ctx))
	return &todayOutput{Body: today}, err
}
