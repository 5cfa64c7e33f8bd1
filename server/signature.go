package server

import (
	"context"
	"encoding/json"
	"net/http"

	"zonule/annotate"
	"zonule/server/report"
)

type signReportInput struct {
	Case string `path:"case"`
	Body struct {
		Hash   string `json:"hash" doc:"Of the draft that the signer read."`
		Change int64  `json:"change"`
	}
}

type signedReportOutput struct{ Body annotate.SignedReport }

// sign makes the report anew and signs it only if it is the one that the signer read.
func (s *Server) sign(ctx context.Context, in *signReportInput) (*signedReportOutput, error) {
	reports, err := s.service.SignedReports(ctx, actorOf(ctx), in.Case)
	if err != nil {
		return nil, err
	}
	for _, done := range reports {
		if done.Hash == in.Body.Hash && done.CaseChange == in.Body.Change && done.SignedBy == actorOf(ctx).ID {
			return &signedReportOutput{Body: done}, nil // sent twice: the answer to the first was lost
		}
	}
	d, err := s.draftOf(ctx, in.Case)
	if err != nil {
		return nil, err
	}
	if d.hash != in.Body.Hash || d.CaseChange != in.Body.Change {
		refusal := annotate.Refuse(annotate.CodeStale, "The report has changed since you read it; nothing was signed. Read it again, then sign.")
		refusal.Yours = map[string]any{"hash": in.Body.Hash, "change": in.Body.Change}
		refusal.Theirs = map[string]any{"hash": d.hash, "change": d.CaseChange}
		return nil, refusal
	}
	signature := &report.Signature{Number: len(reports) + 1, Name: actorOf(ctx).Name, At: s.now().UnixMilli()}
	edition := s.edition(ctx, signature)
	edition.Stills = s.stills(ctx, d.Report, d.parts)
	content, err := d.all(edition)
	if err != nil {
		return nil, err
	}
	signed, err := s.service.SignReport(ctx, actorOf(ctx), in.Case, in.Body.Change, in.Body.Hash, content)
	return &signedReportOutput{Body: signed}, err
}

type signedReportsOutput struct{ Body []annotate.SignedReport }

func (s *Server) signedReports(ctx context.Context, in *casePath) (*signedReportsOutput, error) {
	reports, err := s.service.SignedReports(ctx, actorOf(ctx), in.Case)
	return &signedReportsOutput{Body: reports}, err
}

type reportPath struct {
	Report string `path:"report"`
}

func (s *Server) signedReport(ctx context.Context, in *reportPath) (*signedReportOutput, error) {
	signed, _, err := s.service.SignedContent(ctx, actorOf(ctx), in.Report)
	return &signedReportOutput{Body: signed}, err
}

type signedFileInput struct {
	Report string `path:"report"`
	Known  string `header:"If-None-Match"`
}

// signedFile gives what was signed, byte for byte. An older program may have written it, so its style is let through
// without a hash; no script runs in it.
func (s *Server) signedFile(form reportForm) func(context.Context, *signedFileInput) (*fileOutput, error) {
	return func(ctx context.Context, in *signedFileInput) (*fileOutput, error) {
		signed, content, err := s.service.SignedContent(ctx, actorOf(ctx), in.Report)
		if err != nil {
			return nil, err
		}
		name, err := nameOf(content.JSON)
		if err != nil {
			return nil, err
		}
		out := &fileOutput{
			Status: http.StatusOK, ContentType: form.contentType, Disposition: form.disposition(name),
			Policy: reportPolicy + "'unsafe-inline'", CacheControl: "private, no-cache", ETag: `"` + signed.Hash + `"`,
			Body: map[reportForm][]byte{formHTML: content.HTML, formPDF: content.PDF, formCSV: content.CSV, formJSON: content.JSON}[form],
		}
		if in.Known == out.ETag {
			out.Status, out.ContentType, out.Body = http.StatusNotModified, "", nil
		}
		return out, nil
	}
}

// nameOf reads no more of a signed report than its name needs, so that one of an older format opens too.
func nameOf(content []byte) (string, error) {
	var read struct {
		Case struct {
			Pseudonym string `json:"pseudonym"`
			Date      string `json:"date"`
		} `json:"case"`
	}
	err := json.Unmarshal(content, &read)
	return fileName(read.Case.Pseudonym, read.Case.Date), err
}

type addAddendumInput struct {
	Report   string `path:"report"`
	Addendum string `path:"addendum"`
	Body     struct {
		Text string `json:"text"`
	}
}

type addendumOutput struct{ Body annotate.Addendum }

func (s *Server) addAddendum(ctx context.Context, in *addAddendumInput) (*addendumOutput, error) {
	addendum, err := s.service.AddAddendum(ctx, actorOf(ctx), in.Report, in.Addendum, in.Body.Text)
	return &addendumOutput{Body: addendum}, err
}
