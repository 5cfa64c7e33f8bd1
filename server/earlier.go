package server

import (
	"context"

	"zonule/annotate"
)

// earlierRoutes is the part of the table for a case beside earlier operations on the same patient.
func (s *Server) earlierRoutes() []route {
	return []route{{"GET", "/cases/{case}/earlier", may(annotate.ReportView), "list-earlier", answer(s.earlier)}}
}

type earlierOutput struct{ Body annotate.EarlierCases }

func (s *Server) earlier(ctx context.Context, in *casePath) (*earlierOutput, error) {
	earlier, err := s.service.Earlier(ctx, actorOf(ctx), in.Case)
	return &earlierOutput{Body: earlier}, err
}
