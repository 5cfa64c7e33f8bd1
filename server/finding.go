package server

import (
	"context"

	"zonule/annotate"
)

// findingRoutes is the part of the table for what the review report says in free words, and whose picture may be shown.
func (s *Server) findingRoutes() []route {
	return []route{
		{"PUT", "/cases/{case}/parts/{part}/cleared", may(annotate.RecordingEdit), "clear-part", answer(s.clearPart)},
		{"GET", "/cases/{case}/findings", may(annotate.ReportView), "list-findings", answer(s.findings)},
		{"PUT", "/cases/{case}/findings/{finding}", may(annotate.FindingEdit), "put-finding", answer(s.putFinding)},
		{"DELETE", "/cases/{case}/findings/{finding}", may(annotate.FindingEdit), "remove-finding", answer(s.removeFinding)},

		{"GET", "/cases/{case}/blinded.html", may(annotate.ReportView), "get-blinded-html", answer(s.blindedDraft(formHTML), slow, gives("text/html"))},
		{"GET", "/cases/{case}/blinded.pdf", may(annotate.ReportView), "get-blinded-pdf", answer(s.blindedDraft(formPDF), slow, gives("application/pdf"))},
		{"GET", "/cases/{case}/blinded.json", may(annotate.ReportView), "get-blinded-json", answer(s.blindedDraft(formJSON), slow, gives("application/json"))},
		{"GET", "/reports/{report}/blinded.html", may(annotate.ReportView), "get-report-blinded-html", answer(s.blindedSigned(formHTML), slow, gives("text/html"))},
		{"GET", "/reports/{report}/blinded.pdf", may(annotate.ReportView), "get-report-blinded-pdf", answer(s.blindedSigned(formPDF), slow, gives("application/pdf"))},
		{"GET", "/reports/{report}/blinded.json", may(annotate.ReportView), "get-report-blinded-json", answer(s.blindedSigned(formJSON), slow, gives("application/json"))},
	}
}

type findingsOutput struct{ Body []annotate.Finding }

func (s *Server) findings(ctx context.Context, in *casePath) (*findingsOutput, error) {
	list, err := s.service.Findings(ctx, actorOf(ctx), in.Case)
	return &findingsOutput{Body: list}, err
}

type putFindingInput struct {
	Case    string `path:"case"`
	Finding string `path:"finding"`
	Body    annotate.Finding
}

type findingOutput struct{ Body annotate.Finding }

func (s *Server) putFinding(ctx context.Context, in *putFindingInput) (*findingOutput, error) {
	if err := sameAs("id", in.Finding, &in.Body.ID); err != nil {
		return nil, err
	}
	if err := sameAs("caseId", in.Case, &in.Body.CaseID); err != nil {
		return nil, err
	}
	put, err := s.service.PutFinding(ctx, actorOf(ctx), in.Body)
	return &findingOutput{Body: put}, err
}

type removeFindingInput struct {
	Case     string `path:"case"`
	Finding  string `path:"finding"`
	Revision int64  `query:"revision" required:"true" doc:"Of the version that is to go."`
}

func (s *Server) removeFinding(ctx context.Context, in *removeFindingInput) (*nothing, error) {
	return &nothing{}, s.service.RemoveFinding(ctx, actorOf(ctx), in.Case, in.Finding, in.Revision)
}
