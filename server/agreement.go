package server

import (
	"context"

	"zonule/annotate"
	"zonule/timeline/cohort"
)

type besideInput struct {
	Case   string `path:"case"`
	First  string `query:"first" required:"true" doc:"Id of a reading."`
	Second string `query:"second" required:"true" doc:"Id of another reading."`
}

type besideOutput struct{ Body annotate.ReadingsBeside }

func (s *Server) readingsBeside(ctx context.Context, in *besideInput) (*besideOutput, error) {
	beside, err := s.service.ReadingsBeside(ctx, actorOf(ctx), in.Case, in.First, in.Second)
	return &besideOutput{Body: beside}, err
}

type readersOutput struct{ Body []annotate.Readers }

func (s *Server) readers(ctx context.Context, _ *struct{}) (*readersOutput, error) {
	readers, err := s.service.Readers(ctx, actorOf(ctx))
	return &readersOutput{Body: readers}, err
}

type agreementInput struct {
	First  string `query:"first" required:"true" doc:"Id of a person."`
	Second string `query:"second" required:"true" doc:"Id of another person, or the same for two readings of one person."`
}

type agreementOutput struct{ Body cohort.Agreement }

func (s *Server) agreement(ctx context.Context, in *agreementInput) (*agreementOutput, error) {
	agreement, err := s.service.Agreement(ctx, actorOf(ctx), in.First, in.Second)
	return &agreementOutput{Body: agreement}, err
}
