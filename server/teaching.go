package server

import (
	"context"
	"net/http"

	"zonule/annotate"
	"zonule/server/report"
)

type assessmentFormsOutput struct{ Body []annotate.AssessmentForm }

func (s *Server) assessmentForms(ctx context.Context, _ *struct{}) (*assessmentFormsOutput, error) {
	forms, err := s.service.AssessmentForms(ctx, actorOf(ctx))
	return &assessmentFormsOutput{Body: forms}, err
}

type putAssessmentFormInput struct {
	Form string `path:"form"`
	Body annotate.AssessmentForm
}

type assessmentFormOutput struct{ Body annotate.AssessmentForm }

func (s *Server) putAssessmentForm(ctx context.Context, in *putAssessmentFormInput) (*assessmentFormOutput, error) {
	if err := sameAs("id", in.Form, &in.Body.ID); err != nil {
		return nil, err
	}
	form, err := s.service.PutAssessmentForm(ctx, actorOf(ctx), in.Body)
	return &assessmentFormOutput{Body: form}, err
}

type assessmentsOutput struct{ Body []annotate.Assessment }

func (s *Server) assessments(ctx context.Context, in *casePath) (*assessmentsOutput, error) {
	list, err := s.service.Assessments(ctx, actorOf(ctx), in.Case)
	return &assessmentsOutput{Body: list}, err
}

type putAssessmentInput struct {
	Case       string `path:"case"`
	Assessment string `path:"assessment"`
	Body       annotate.Assessment
}

type assessmentOutput struct{ Body annotate.Assessment }

func (s *Server) putAssessment(ctx context.Context, in *putAssessmentInput) (*assessmentOutput, error) {
	if err := sameAs("id", in.Assessment, &in.Body.ID); err != nil {
		return nil, err
	}
	if err := sameAs("caseId", in.Case, &in.Body.CaseID); err != nil {
		return nil, err
	}
	put, err := s.service.PutAssessment(ctx, actorOf(ctx), in.Body)
	return &assessmentOutput{Body: put}, err
}

type followedOutput struct{ Body []annotate.Person }

func (s *Server) followed(ctx context.Context, _ *struct{}) (*followedOutput, error) {
	people, err := s.service.Followed(ctx, actorOf(ctx))
	return &followedOutput{Body: people}, err
}

type personPath struct {
	Person string `path:"person"`
}

type goalsOutput struct{ Body []annotate.Goal }

func (s *Server) goals(ctx context.Context, in *personPath) (*goalsOutput, error) {
	goals, err := s.service.Goals(ctx, actorOf(ctx), in.Person)
	return &goalsOutput{Body: goals}, err
}

type putGoalInput struct {
	Person string `path:"person"`
	Goal   string `path:"goal"`
	Body   annotate.Goal
}

type goalOutput struct{ Body annotate.Goal }

func (s *Server) putGoal(ctx context.Context, in *putGoalInput) (*goalOutput, error) {
	if err := sameAs("id", in.Goal, &in.Body.ID); err != nil {
		return nil, err
	}
	if err := sameAs("traineeId", in.Person, &in.Body.TraineeID); err != nil {
		return nil, err
	}
	goal, err := s.service.PutGoal(ctx, actorOf(ctx), in.Body)
	return &goalOutput{Body: goal}, err
}

type feedbackOutput struct{ Body []annotate.Feedback }

func (s *Server) feedback(ctx context.Context, _ *struct{}) (*feedbackOutput, error) {
	list, err := s.service.Feedback(ctx, actorOf(ctx))
	return &feedbackOutput{Body: list}, err
}

type seeCommentsInput struct {
	Reading string `path:"reading"`
	Body    struct {
		Comments []string `json:"comments" minItems:"1" maxItems:"500"`
	}
}

func (s *Server) seeComments(ctx context.Context, in *seeCommentsInput) (*nothing, error) {
	return &nothing{}, s.service.SeeComments(ctx, actorOf(ctx), in.Reading, in.Body.Comments)
}

type progressInput struct {
	Person string `path:"person"`
	From   string `query:"from" doc:"First day."`
	To     string `query:"to" doc:"Last day."`
}

type progressOutput struct{ Body annotate.Progress }

func (s *Server) progress(ctx context.Context, in *progressInput) (*progressOutput, error) {
	progress, err := s.service.Progress(ctx, actorOf(ctx), in.Person, in.From, in.To)
	return &progressOutput{Body: progress}, err
}

func (s *Server) progressFile(ctx context.Context, in *progressInput) (*fileOutput, error) {
	progress, err := s.service.Progress(ctx, actorOf(ctx), in.Person, in.From, in.To)
	if err != nil {
		return nil, err
	}
	unit, err := s.service.Unit(ctx)
	if err != nil {
		return nil, err
	}
	people, err := s.service.People(ctx, actorOf(ctx))
	if err != nil {
		return nil, err
	}
	names := map[string]string{}
	for _, person := range people {
		names[person.ID] = person.Name
	}
	content, err := report.ProgressPDF(progress, report.ProgressEdition{
		Unit: unit.Name, Invented: unit.Invented, Name: func(id string) string { return names[id] }, Made: s.now(),
	})
	if err != nil {
		return nil, err
	}
	return &fileOutput{
		Status: http.StatusOK, ContentType: formPDF.contentType, Disposition: formPDF.disposition("summary-" + slug(progress.Person.Name)),
		CacheControl: "no-store", Body: content,
	}, nil
}
