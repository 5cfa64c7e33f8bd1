package server

import (
	"context"

	"zonule/annotate"
	"zonule/timeline"
)

type readingPath struct {
	Reading string `path:"reading"`
}

type readingsOutput struct{ Body []annotate.Reading }

func (s *Server) readings(ctx context.Context, in *casePath) (*readingsOutput, error) {
	readings, err := s.service.Readings(ctx, actorOf(ctx), in.Case)
	return &readingsOutput{Body: readings}, err
}

type putReadingInput struct {
	Case    string `path:"case"`
	Reading string `path:"reading"`
	Body    struct {
		StepList annotate.StepListRef `json:"stepList"`
	}
}

type readingOutput struct{ Body annotate.Reading }

func (s *Server) putReading(ctx context.Context, in *putReadingInput) (*readingOutput, error) {
	reading, err := s.service.PutReading(ctx, actorOf(ctx),
		annotate.Reading{ID: in.Reading, CaseID: in.Case, StepList: in.Body.StepList})
	return &readingOutput{Body: reading}, err
}

type acceptReadingInput struct {
	Reading string `path:"reading"`
	Body    struct {
		Reason string `json:"reason" doc:"Why this reading counts."`
	}
}

func (s *Server) acceptReading(ctx context.Context, in *acceptReadingInput) (*nothing, error) {
	return &nothing{}, s.service.AcceptReading(ctx, actorOf(ctx), in.Reading, in.Body.Reason)
}

type readingStateOutput struct{ Body annotate.ReadingState }

func (s *Server) readingState(ctx context.Context, in *readingPath) (*readingStateOutput, error) {
	state, err := s.service.ReadingState(ctx, actorOf(ctx), in.Reading)
	return &readingStateOutput{Body: state}, err
}

type editsInput struct {
	Reading string `path:"reading"`
	After   int64  `query:"after" minimum:"0" doc:"Sequence number of the newest edit already known."`
}

type editsOutput struct {
	Body struct {
		Edits []annotate.Edit `json:"edits"`
	}
}

func (s *Server) edits(ctx context.Context, in *editsInput) (*editsOutput, error) {
	edits, err := s.service.Edits(ctx, actorOf(ctx), in.Reading, in.After)
	out := &editsOutput{}
	out.Body.Edits = edits
	return out, err
}

type addEditsInput struct {
	Reading string `path:"reading"`
	Body    struct {
		Edits []annotate.Edit `json:"edits" minItems:"1"`
	}
}

type addEditsOutput struct {
	Body struct {
		Answers []annotate.EditAnswer `json:"answers"`
		Seq     int64                 `json:"seq" doc:"Of the newest of these edits."`
	}
}

func (s *Server) addEdits(ctx context.Context, in *addEditsInput) (*addEditsOutput, error) {
	answers, err := s.service.AddEdits(ctx, actorOf(ctx), in.Reading, in.Body.Edits)
	out := &addEditsOutput{}
	out.Body.Answers = answers
	for _, a := range answers {
		out.Body.Seq = max(out.Body.Seq, a.Seq)
	}
	return out, err
}

type durationsOutput struct{ Body timeline.Result }

func (s *Server) durations(ctx context.Context, in *readingPath) (*durationsOutput, error) {
	result, err := s.service.Durations(ctx, actorOf(ctx), in.Reading)
	return &durationsOutput{Body: result}, err
}
