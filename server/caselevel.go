package server

import (
	"context"

	"zonule/annotate"
)

// caseLevelRoutes is the part of the table for one case beside the unit's others.
func (s *Server) caseLevelRoutes() []route {
	return []route{
		{"GET", "/cases/{case}/level", may(annotate.ReadingView), "get-case-level", answer(s.caseLevel, slow)},
	}
}

type caseLevelOutput struct {
	Body annotate.CaseLevel
}

func (s *Server) caseLevel(ctx context.Context, in *casePath) (*caseLevelOutput, error) {
	level, err := s.service.CaseLevel(ctx, actorOf(ctx), in.Case)
	return &caseLevelOutput{Body: level}, err
}
