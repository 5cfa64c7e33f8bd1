package server

import (
	"context"

	"zonule/annotate"
)

type casePath struct {
	Case string `path:"case"`
}

type casesInput struct {
	Query        string `query:"q" doc:"Matched against pseudonym and operator names."`
	Eye          string `query:"eye" enum:"OD,OS"`
	Technique    string `query:"technique" enum:"phaco,msics,ecce"`
	Operator     string `query:"operator" doc:"User id."`
	From         string `query:"from" doc:"Date, inclusive."`
	To           string `query:"to" doc:"Date, inclusive."`
	Complication string `query:"complication" doc:"Code, or any."`
	State        string `query:"state" enum:"to-record,to-tag,follow-up-due,to-sign,signed"`
	Sort         string `query:"sort" enum:"date,pseudonym,grade,duration"`
	Descending   bool   `query:"descending"`
	Cursor       string `query:"cursor" doc:"From next of the page before."`
	Limit        int    `query:"limit" minimum:"0" maximum:"200" doc:"0 means 50."`
}

func (in casesInput) filter() annotate.CaseFilter {
	return annotate.CaseFilter{
		Query: in.Query, Eye: annotate.Eye(in.Eye), Technique: annotate.Technique(in.Technique), Operator: in.Operator,
		From: in.From, To: in.To, Complication: in.Complication, State: in.State, Sort: in.Sort,
		Descending: in.Descending, Cursor: in.Cursor, Limit: in.Limit,
	}
}

type casesOutput struct{ Body annotate.CasePage }

func (s *Server) cases(ctx context.Context, in *casesInput) (*casesOutput, error) {
	page, err := s.service.Cases(ctx, actorOf(ctx), in.filter())
	return &casesOutput{Body: page}, err
}

type caseOutput struct{ Body annotate.Case }

func (s *Server) oneCase(ctx context.Context, in *casePath) (*caseOutput, error) {
	found, err := s.service.Case(ctx, actorOf(ctx), in.Case)
	return &caseOutput{Body: found}, err
}

type putCaseInput struct {
	Case string `path:"case"`
	Body annotate.Case
}

func (s *Server) putCase(ctx context.Context, in *putCaseInput) (*caseOutput, error) {
	if err := sameAs("id", in.Case, &in.Body.ID); err != nil {
		return nil, err
	}
	put, err := s.service.PutCase(ctx, actorOf(ctx), in.Body)
	return &caseOutput{Body: put}, err
}

type permissionsOutput struct{ Body map[annotate.Action]bool }

func (s *Server) permissions(ctx context.Context, in *casePath) (*permissionsOutput, error) {
	permissions, err := s.service.Permissions(ctx, actorOf(ctx), in.Case)
	return &permissionsOutput{Body: permissions}, err
}

type recordOutput struct{ Body annotate.Record }

func (s *Server) clinicalRecord(ctx context.Context, in *casePath) (*recordOutput, error) {
	record, err := s.service.Record(ctx, actorOf(ctx), in.Case)
	return &recordOutput{Body: record}, err
}

type historyOutput struct{ Body []annotate.AuditEntry }

func (s *Server) history(ctx context.Context, in *casePath) (*historyOutput, error) {
	history, err := s.service.CaseHistory(ctx, actorOf(ctx), in.Case)
	return &historyOutput{Body: history}, err
}
