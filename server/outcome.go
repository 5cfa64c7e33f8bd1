package server

import (
	"context"

	"zonule/annotate"
)

type complicationsOutput struct{ Body []annotate.Complication }

func (s *Server) complications(ctx context.Context, in *casePath) (*complicationsOutput, error) {
	found, err := s.service.Complications(ctx, actorOf(ctx), in.Case)
	return &complicationsOutput{Body: found}, err
}

type putComplicationInput struct {
	Case         string `path:"case"`
	Complication string `path:"complication"`
	Body         annotate.Complication
}

type complicationOutput struct{ Body annotate.Complication }

func (s *Server) putComplication(ctx context.Context, in *putComplicationInput) (*complicationOutput, error) {
	if err := sameAs("id", in.Complication, &in.Body.ID); err != nil {
		return nil, err
	}
	if err := sameAs("caseId", in.Case, &in.Body.CaseID); err != nil {
		return nil, err
	}
	put, err := s.service.PutComplication(ctx, actorOf(ctx), in.Body)
	return &complicationOutput{Body: put}, err
}

type removeComplicationInput struct {
	Case         string `path:"case"`
	Complication string `path:"complication"`
	Revision     int64  `query:"revision" required:"true" doc:"Of the version that is to go."`
}

func (s *Server) removeComplication(ctx context.Context, in *removeComplicationInput) (*nothing, error) {
	return &nothing{}, s.service.RemoveComplication(ctx, actorOf(ctx), in.Case, in.Complication, in.Revision)
}

type visitsOutput struct{ Body []annotate.Visit }

func (s *Server) visits(ctx context.Context, in *casePath) (*visitsOutput, error) {
	found, err := s.service.Visits(ctx, actorOf(ctx), in.Case)
	return &visitsOutput{Body: found}, err
}

type putVisitInput struct {
	Case  string `path:"case"`
	Visit string `path:"visit"`
	Body  annotate.Visit
}

type visitOutput struct{ Body annotate.Visit }

func (s *Server) putVisit(ctx context.Context, in *putVisitInput) (*visitOutput, error) {
	if err := sameAs("id", in.Visit, &in.Body.ID); err != nil {
		return nil, err
	}
	if err := sameAs("caseId", in.Case, &in.Body.CaseID); err != nil {
		return nil, err
	}
	put, err := s.service.PutVisit(ctx, actorOf(ctx), in.Body)
	return &visitOutput{Body: put}, err
}

type removeVisitInput struct {
	Case     string `path:"case"`
	Visit    string `path:"visit"`
	Revision int64  `query:"revision" required:"true" doc:"Of the version that is to go."`
}

func (s *Server) removeVisit(ctx context.Context, in *removeVisitInput) (*nothing, error) {
	return &nothing{}, s.service.RemoveVisit(ctx, actorOf(ctx), in.Case, in.Visit, in.Revision)
}
