package server

import (
	"context"

	"zonule/annotate"
)

// inboxRoutes is the part of the table for what waits for a meeting.
func (s *Server) inboxRoutes() []route {
	return []route{
		{"GET", "/inbox", may(annotate.InboxView), "get-inbox", answer(s.inbox, slow)},
		{"PUT", "/inbox/{entry}", may(annotate.InboxEdit), "decide-inbox", answer(s.decideInbox)},
		{"GET", "/cases/{case}/discuss", may(annotate.CaseDiscuss), "list-reasons", answer(s.caseReasons)},
		{"POST", "/cases/{case}/discuss", may(annotate.CaseDiscuss), "ask-to-discuss", answer(s.askToDiscuss)},
	}
}

type inboxOutput struct{ Body annotate.Inbox }

func (s *Server) inbox(ctx context.Context, _ *nothing) (*inboxOutput, error) {
	inbox, err := s.service.Inbox(ctx, actorOf(ctx))
	return &inboxOutput{Body: inbox}, err
}

type decideInboxInput struct {
	Entry string `path:"entry"`
	Body  annotate.InboxDecision
}

type inboxEntryOutput struct{ Body annotate.InboxEntry }

func (s *Server) decideInbox(ctx context.Context, in *decideInboxInput) (*inboxEntryOutput, error) {
	entry, err := s.service.DecideInbox(ctx, actorOf(ctx), in.Entry, in.Body)
	return &inboxEntryOutput{Body: entry}, err
}

type reasonsOutput struct{ Body []annotate.InboxEntry }

func (s *Server) caseReasons(ctx context.Context, in *casePath) (*reasonsOutput, error) {
	entries, err := s.service.CaseReasons(ctx, actorOf(ctx), in.Case)
	return &reasonsOutput{Body: entries}, err
}

type askToDiscussInput struct {
	Case string `path:"case"`
	Body struct {
		Words string `json:"words" doc:"Why, naming nobody and no date."`
	}
}

func (s *Server) askToDiscuss(ctx context.Context, in *askToDiscussInput) (*inboxEntryOutput, error) {
	entry, err := s.service.AskToDiscuss(ctx, actorOf(ctx), in.Case, in.Body.Words)
	return &inboxEntryOutput{Body: entry}, err
}
