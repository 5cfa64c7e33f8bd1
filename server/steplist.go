package server

import (
	"context"

	"zonule/annotate"
)

type stepListsOutput struct{ Body []annotate.StepList }

func (s *Server) stepLists(ctx context.Context, _ *nothing) (*stepListsOutput, error) {
	lists, err := s.service.StepLists(ctx, actorOf(ctx))
	return &stepListsOutput{Body: lists}, err
}

type stepListPath struct {
	List    string `path:"list"`
	Version int    `path:"version" minimum:"1"`
}

type stepListOutput struct{ Body annotate.StepList }

func (s *Server) stepList(ctx context.Context, in *stepListPath) (*stepListOutput, error) {
	list, err := s.service.StepList(ctx, actorOf(ctx), annotate.StepListRef{ID: in.List, Version: in.Version})
	return &stepListOutput{Body: list}, err
}

type putStepListInput struct {
	List string `path:"list"`
	Body annotate.StepList
}

func (s *Server) putStepList(ctx context.Context, in *putStepListInput) (*stepListOutput, error) {
	if err := sameAs("id", in.List, &in.Body.ID); err != nil {
		return nil, err
	}
	list, err := s.service.PutStepList(ctx, actorOf(ctx), in.Body)
	return &stepListOutput{Body: list}, err
}
