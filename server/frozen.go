package server

import (
	"context"
	"net/http"
	"strconv"

	"zonule/annotate"
	"zonule/server/report"
)

var formXLSX = reportForm{"xlsx", xlsxType, true}

// askAgain answers a saved study from today's data.
func (s *Server) askAgain(ctx context.Context, studyID string) (annotate.StudyFile, *annotate.Inquiry, found, error) {
	file, err := s.service.Study(ctx, actorOf(ctx), studyID)
	if err != nil {
		return annotate.StudyFile{}, nil, found{}, err
	}
	inquiry, err := s.service.Inquire(ctx, actorOf(ctx), file.Study.Definition)
	if err != nil {
		return annotate.StudyFile{}, nil, found{}, err
	}
	f, err := answered(ctx, inquiry, nil)
	return file, inquiry, f, err
}

// studyEdition is what stands around the answer; frozen is nil for today's.
func (s *Server) studyEdition(ctx context.Context, study annotate.Study, inquiry *annotate.Inquiry, f found, frozen *annotate.FrozenStudy) (report.StudyEdition, error) {
	unit, err := s.service.Unit(ctx)
	return report.StudyEdition{
		Name: study.Name, Question: study.Question, Unit: unit.Name, Invented: unit.Invented, Frozen: frozen, DataHash: f.dataHash,
		Names: inquiry.Names(), Made: s.now(),
	}, err
}

// studyFile writes a saved study as it is answered today.
func (s *Server) studyFile(form reportForm) func(context.Context, *studyPath) (*fileOutput, error) {
	return func(ctx context.Context, in *studyPath) (*fileOutput, error) {
		file, inquiry, f, err := s.askAgain(ctx, in.Study)
		if err != nil {
			return nil, err
		}
		if f.Withheld && (form == formCSV || form == formXLSX) {
			return nil, annotate.Refuse(annotate.CodeForbidden, "%s", f.Result.Why)
		}
		edition, err := s.studyEdition(ctx, file.Study.Study, inquiry, f, nil)
		if err != nil {
			return nil, err
		}
		content, err := f.written(form, edition)
		if err != nil {
			return nil, err
		}
		return &fileOutput{
			Status: http.StatusOK, ContentType: form.contentType,
			Disposition: form.disposition(slug("study " + file.Study.Name + " " + s.now().Format("2006-01-02"))),
			Policy:      reportPolicy + report.StyleSource(), CacheControl: "no-store", Body: content,
		}, s.service.NoteStudyView(ctx, actorOf(ctx), in.Study)
	}
}

// written gives one form of an answer.
func (f found) written(form reportForm, edition report.StudyEdition) ([]byte, error) {
	switch form {
	case formHTML:
		return report.StudyHTML(f.Result, edition)
	case formPDF:
		return report.StudyPDF(f.Result, edition)
	case formXLSX:
		return report.StudyXLSX(f.Table)
	case formCSV:
		return f.content.CSV, nil
	}
	return f.content.JSON, nil
}

type freezeStudyInput struct {
	Study string `path:"study"`
	Body  struct {
		Hash     string `json:"hash" doc:"Of the answer that was read."`
		DataHash string `json:"dataHash"`
	}
}

type frozenStudyOutput struct{ Body annotate.FrozenStudy }

// freezeStudy answers the study anew and keeps the answer only if it is the one that was read.
func (s *Server) freezeStudy(ctx context.Context, in *freezeStudyInput) (*frozenStudyOutput, error) {
	file, inquiry, f, err := s.askAgain(ctx, in.Study)
	if err != nil {
		return nil, err
	}
	if f.hash != in.Body.Hash || f.dataHash != in.Body.DataHash {
		refusal := annotate.Refuse(annotate.CodeStale, "Today's data give another answer than the one that you read; nothing was frozen. Read it again, then freeze it.")
		refusal.Yours = map[string]string{"hash": in.Body.Hash, "dataHash": in.Body.DataHash}
		refusal.Theirs = map[string]string{"hash": f.hash, "dataHash": f.dataHash}
		return nil, refusal
	}
	if file.Study.Shared {
		if all, open := inquiry.ForAll(); open {
			told, err := answered(ctx, all, nil)
			if err != nil {
				return nil, err
			}
			if !told.Withheld { // else those alone may read it to whom everything is told
				inquiry, f = all, told
			}
		}
	}
	draft, done, err := s.service.DraftFrozen(ctx, actorOf(ctx), file.Study.Study, f.StudyAnswer, f.hash, f.dataHash)
	if err != nil || done {
		return &frozenStudyOutput{Body: draft}, err
	}
	edition, err := s.studyEdition(ctx, file.Study.Study, inquiry, f, &draft)
	if err != nil {
		return nil, err
	}
	content := f.content
	for form, to := range map[reportForm]*[]byte{formHTML: &content.HTML, formPDF: &content.PDF, formXLSX: &content.XLSX} {
		if *to, err = f.written(form, edition); err != nil {
			return nil, err
		}
	}
	return &frozenStudyOutput{Body: draft}, s.service.FreezeStudy(ctx, actorOf(ctx), draft, content)
}

type frozenStudiesOutput struct{ Body []annotate.FrozenStudy }

func (s *Server) frozenStudies(ctx context.Context, _ *struct{}) (*frozenStudiesOutput, error) {
	frozen, err := s.service.FrozenStudies(ctx, actorOf(ctx))
	return &frozenStudiesOutput{Body: frozen}, err
}

type frozenPath struct {
	Frozen string `path:"frozen"`
}

func (s *Server) frozenStudy(ctx context.Context, in *frozenPath) (*frozenStudyOutput, error) {
	frozen, err := s.service.FrozenStudy(ctx, actorOf(ctx), in.Frozen)
	return &frozenStudyOutput{Body: frozen}, err
}

type frozenFileInput struct {
	Frozen string `path:"frozen"`
	Known  string `header:"If-None-Match"`
}

// frozenFile gives what was frozen, byte for byte, with the policy of a signed report (see signedFile).
func (s *Server) frozenFile(form reportForm) func(context.Context, *frozenFileInput) (*fileOutput, error) {
	return func(ctx context.Context, in *frozenFileInput) (*fileOutput, error) {
		frozen, content, err := s.service.FrozenContent(ctx, actorOf(ctx), in.Frozen)
		if err != nil {
			return nil, err
		}
		out := &fileOutput{
			Status: http.StatusOK, ContentType: form.contentType,
			Disposition: form.disposition(slug("study " + frozen.Name + " " + strconv.Itoa(frozen.Number))),
			Policy:      reportPolicy + "'unsafe-inline'", CacheControl: "private, no-cache", ETag: `"` + frozen.ID + `"`,
			Body: map[reportForm][]byte{
				formHTML: content.HTML, formPDF: content.PDF, formJSON: content.JSON, formCSV: content.CSV, formXLSX: content.XLSX,
			}[form],
		}
		if in.Known == out.ETag {
			out.Status, out.ContentType, out.Body = http.StatusNotModified, "", nil
		}
		return out, nil
	}
}
