package server

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"reflect"
	"time"

	"github.com/danielgtaylor/huma/v2"

	"zonule/annotate"
	"zonule/server/report"
	"zonule/timeline/outcome"
)

// studyRoutes is the part of the table for studies of what came of the eyes.
func (s *Server) studyRoutes() []route {
	use := may(annotate.StudyUse)
	return []route{
		{"GET", "/outcomes/choices", use, "get-study-choices", answer(s.studyChoices)},
		{"POST", "/outcomes/answers", use, "answer-study", answer(s.answerStudy, slow, s.lines(reflect.TypeFor[studyLine]()))},

		{"GET", "/studies", use, "list-studies", answer(s.studies)},
		{"GET", "/studies/{study}", use, "get-study", answer(s.study)},
		{"PUT", "/studies/{study}", use, "put-study", answer(s.putStudy)},
		{"DELETE", "/studies/{study}", use, "remove-study", answer(s.removeStudy)},
		{"GET", "/studies/{study}/report.html", use, "get-study-html", answer(s.studyFile(formHTML), slow, gives("text/html"))},
		{"GET", "/studies/{study}/report.pdf", use, "get-study-pdf", answer(s.studyFile(formPDF), slow, gives("application/pdf"))},
		{"GET", "/studies/{study}/table.csv", use, "get-study-csv", answer(s.studyFile(formCSV), slow, gives("text/csv"))},
		{"GET", "/studies/{study}/table.xlsx", use, "get-study-xlsx", answer(s.studyFile(formXLSX), slow, gives(xlsxType))},
		{"POST", "/studies/{study}/frozen", use, "freeze-study", answer(s.freezeStudy, slow)},

		{"GET", "/frozen-studies", use, "list-frozen-studies", answer(s.frozenStudies)},
		{"GET", "/frozen-studies/{frozen}", use, "get-frozen-study", answer(s.frozenStudy)},
		{"GET", "/frozen-studies/{frozen}/content.html", use, "get-frozen-html", answer(s.frozenFile(formHTML), gives("text/html"))},
		{"GET", "/frozen-studies/{frozen}/content.pdf", use, "get-frozen-pdf", answer(s.frozenFile(formPDF), gives("application/pdf"))},
		{"GET", "/frozen-studies/{frozen}/content.json", use, "get-frozen-json", answer(s.frozenFile(formJSON), gives("application/json"))},
		{"GET", "/frozen-studies/{frozen}/content.csv", use, "get-frozen-csv", answer(s.frozenFile(formCSV), gives("text/csv"))},
		{"GET", "/frozen-studies/{frozen}/content.xlsx", use, "get-frozen-xlsx", answer(s.frozenFile(formXLSX), gives(xlsxType))},
	}
}

type studyChoicesOutput struct{ Body annotate.StudyChoices }

func (s *Server) studyChoices(ctx context.Context, _ *struct{}) (*studyChoicesOutput, error) {
	choices, err := s.service.StudyChoices(ctx, actorOf(ctx))
	return &studyChoicesOutput{Body: choices}, err
}

type studiesOutput struct{ Body []annotate.StudyEntry }

func (s *Server) studies(ctx context.Context, _ *struct{}) (*studiesOutput, error) {
	studies, err := s.service.Studies(ctx, actorOf(ctx))
	return &studiesOutput{Body: studies}, err
}

type studyPath struct {
	Study string `path:"study"`
}

type studyOutput struct{ Body annotate.StudyFile }

func (s *Server) study(ctx context.Context, in *studyPath) (*studyOutput, error) {
	study, err := s.service.Study(ctx, actorOf(ctx), in.Study)
	return &studyOutput{Body: study}, err
}

type putStudyInput struct {
	Study string `path:"study"`
	Body  annotate.Study
}

type putStudyOutput struct{ Body annotate.Study }

func (s *Server) putStudy(ctx context.Context, in *putStudyInput) (*putStudyOutput, error) {
	in.Body.ID = in.Study
	study, err := s.service.PutStudy(ctx, actorOf(ctx), in.Body)
	return &putStudyOutput{Body: study}, err
}

type removeStudyInput struct {
	Study    string `path:"study"`
	Revision int64  `query:"revision" required:"true" doc:"Of the version that is to go."`
}

func (s *Server) removeStudy(ctx context.Context, in *removeStudyInput) (*nothing, error) {
	return &nothing{}, s.service.RemoveStudy(ctx, actorOf(ctx), in.Study, in.Revision)
}

// studyLine is one line of the answer to a study: how far the work is, or, last, what it found or why it was given up.
type studyLine struct {
	Done     int             `json:"done,omitempty" doc:"Exposures that are done."`
	Of       int             `json:"of,omitempty"`
	Answer   *outcome.Result `json:"answer,omitempty"`
	Hash     string          `json:"hash,omitempty" doc:"With the answer: SHA-256 of its canonical JSON without ids of cases, in hex."`
	DataHash string          `json:"dataHash,omitempty" doc:"With the answer: SHA-256 of the table of cases as CSV, in hex."`
	Problem  *Problem        `json:"problem,omitempty"`
}

// linesType is JSON, one value for each line.
const linesType = "application/x-ndjson"

// lines describes an answer that comes line by line.
func (s *Server) lines(line reflect.Type) option {
	schema := s.api.OpenAPI().Components.Schemas.Schema(line, true, "")
	return func(o *huma.Operation, _ *time.Duration) {
		o.Responses = map[string]*huma.Response{"200": {
			Description: "One value in each line, as it becomes known.", Content: map[string]*huma.MediaType{linesType: {Schema: schema}},
		}}
	}
}

type answerStudyInput struct{ Body outcome.Definition }

// answerStudy refuses what cannot be asked as any other route does. Then it answers line by line; a caller who leaves ends
// the work.
func (s *Server) answerStudy(ctx context.Context, in *answerStudyInput) (*huma.StreamResponse, error) {
	inquiry, err := s.service.Inquire(ctx, actorOf(ctx), in.Body)
	if err != nil {
		return nil, err
	}
	return &huma.StreamResponse{Body: func(out huma.Context) {
		w := &lineWriter{out: out, began: time.Now()}
		found, err := answered(ctx, inquiry, w.progress)
		if err != nil {
			w.problem(err)
			return
		}
		w.write(studyLine{Answer: &found.Result, Hash: found.hash, DataHash: found.dataHash})
	}}, nil
}

// quiet is how long an answer may take before it tells how far it is.
const quiet = 300 * time.Millisecond

// lineWriter writes the lines of one answer.
type lineWriter struct {
	out   huma.Context
	began time.Time
	begun bool
}

// write sends a line at once. A caller who has left is noticed by the context of the work, not here.
func (w *lineWriter) write(line studyLine) {
	if !w.begun {
		w.begun = true
		w.out.SetHeader("Content-Type", linesType)
		w.out.SetHeader("Cache-Control", "no-store")
		w.out.SetStatus(http.StatusOK)
	}
	body := w.out.BodyWriter()
	if err := json.NewEncoder(body).Encode(line); err != nil {
		exchangeOf(w.out.Context()).cause = err
	}
	if flusher, ok := body.(http.Flusher); ok {
		flusher.Flush()
	}
}

func (w *lineWriter) progress(done, of int) {
	if time.Since(w.began) >= quiet {
		w.write(studyLine{Done: done, Of: of})
	}
}

// problem ends the answer with why it was given up; what happened is logged as for any other refusal.
func (w *lineWriter) problem(err error) {
	ctx := w.out.Context()
	problem := problemOf(ctx, err)
	exchange := exchangeOf(ctx)
	problem.RequestID, exchange.code, exchange.cause = exchange.requestID, problem.Code, err
	if errors.Is(ctx.Err(), context.Canceled) { // nobody is there to read it
		if !w.begun {
			w.out.SetStatus(statusLeft)
		}
		return
	}
	w.write(studyLine{Problem: problem})
}

// found is the answer to a study in the forms whose hashes name it.
type found struct {
	annotate.StudyAnswer
	content        annotate.FrozenContent // JSON and CSV
	hash, dataHash string
}

func answered(ctx context.Context, inquiry *annotate.Inquiry, progress func(done, of int)) (found, error) {
	var f found
	var err error
	if f.StudyAnswer, err = inquiry.Answer(ctx, progress); err != nil {
		return found{}, err
	}
	if f.content.JSON, err = report.StudyJSON(f.Result); err != nil {
		return found{}, err
	}
	if f.content.CSV, err = report.StudyCSV(f.Table); err != nil {
		return found{}, err
	}
	f.hash, f.dataHash = report.Hash(f.content.JSON), report.Hash(f.content.CSV)
	return f, nil
}
