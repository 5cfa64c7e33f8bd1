package server

import (
	"context"
	"net/http"

	"zonule/annotate"
	"zonule/server/report"
)

// blindedDraft gives the report as it stands for people who should not know whose case it is.
func (s *Server) blindedDraft(form reportForm) func(context.Context, *casePath) (*fileOutput, error) {
	return func(ctx context.Context, in *casePath) (*fileOutput, error) {
		d, err := s.draftOf(ctx, in.Case)
		if err != nil {
			return nil, err
		}
		return s.blinded(ctx, form, d.Report, in.Case, d.parts)
	}
}

// blindedSigned gives a signed report so. It is not what was signed, and carries neither its signature nor its hash.
func (s *Server) blindedSigned(form reportForm) func(context.Context, *reportPath) (*fileOutput, error) {
	return func(ctx context.Context, in *reportPath) (*fileOutput, error) {
		signed, content, err := s.service.SignedContent(ctx, actorOf(ctx), in.Report)
		if err != nil {
			return nil, err
		}
		full, err := report.Read(content.JSON)
		if err != nil {
			return nil, annotate.Refuse(annotate.CodeInvalid, "Another version of the program signed this report; no blinded edition can be made of it. Make one of the draft.").Because(err)
		}
		parts, err := s.service.Parts(ctx, actorOf(ctx), signed.CaseID)
		if err != nil {
			return nil, err
		}
		return s.blinded(ctx, form, full, signed.CaseID, parts)
	}
}

func (s *Server) blinded(ctx context.Context, form reportForm, full report.Report, caseID string, parts []annotate.Part) (*fileOutput, error) {
	blind, err := report.Blind(full)
	if err != nil {
		return nil, err
	}
	d := draft{Report: blind}
	if d.content, err = report.JSON(blind); err != nil {
		return nil, err
	}
	edition := report.Edition{}
	if form.pictured() {
		if edition.Stills, err = s.clearedStills(ctx, full, blind, caseID, parts); err != nil {
			return nil, err
		}
	}
	content, err := d.written(form, edition)
	if err != nil {
		return nil, err
	}
	return &fileOutput{
		Status: http.StatusOK, ContentType: form.contentType, Disposition: form.disposition("review-blinded"),
		Policy: reportPolicy + report.StyleSource(), CacheControl: "no-store", Body: content,
	}, nil
}

// clearedStills takes the pictures of a blinded edition: only of parts in whose picture nothing is burned in, as somebody
// said, and none when the patient does not agree that the recording is shown.
func (s *Server) clearedStills(ctx context.Context, full, blind report.Report, caseID string, parts []annotate.Part) (map[report.StillAt][]byte, error) {
	c, err := s.service.Case(ctx, actorOf(ctx), caseID)
	if err != nil || !c.Showable() {
		return nil, err
	}
	var cleared []annotate.Part
	for _, part := range parts {
		for i, known := range full.Recording {
			if known.ID == part.ID && known.Fingerprint == part.Facts.Fingerprint && part.ClearedAt > 0 {
				part.ID = blind.Recording[i].ID
				cleared = append(cleared, part)
				break
			}
		}
	}
	return s.stills(ctx, blind, cleared), nil
}
