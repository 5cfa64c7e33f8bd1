package server

import (
	"context"
	"net/http"
	"strings"

	"zonule/annotate"
	"zonule/server/table"
	"zonule/timeline/cohort"
)

// compareRoutes is the part of the table for comparisons across cases.
func (s *Server) compareRoutes() []route {
	use := may(annotate.CompareUse)
	return []route{
		{"GET", "/compare", use, "compare", answer(s.compare)},
		{"GET", "/compare.csv", use, "get-comparison-csv", answer(s.compareCSV, gives("text/csv"))},
		{"GET", "/compare.xlsx", use, "get-comparison-xlsx", answer(s.compareXLSX, gives(xlsxType))},
		{"GET", "/compare/learning", use, "get-learning-curve", answer(s.learning)},
		{"GET", "/compare/monitoring", use, "get-monitoring", answer(s.monitoring)},
		{"PUT", "/compare/monitoring/reviews/{review}", may(annotate.MonitoringReviewAdd), "put-monitoring-review", answer(s.addMonitoringReview)},
		{"GET", "/compare/funnel", use, "get-funnel", answer(s.funnel)},
	}
}

const xlsxType = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"

// CasesAsked chooses the cases of a comparison. It is exported because the library reads no others within an input.
type CasesAsked struct {
	List      string `query:"list" doc:"Id of the step list."`
	Technique string `query:"technique" enum:"phaco,msics,ecce" doc:"Performed."`
	From      string `query:"from" doc:"Date, inclusive."`
	To        string `query:"to" doc:"Date, inclusive."`
	GradeFrom int    `query:"gradeFrom" minimum:"0" maximum:"5" doc:"Nuclear grade; 0 does not restrict."`
	GradeTo   int    `query:"gradeTo" minimum:"0" maximum:"5" doc:"Nuclear grade; 0 does not restrict."`
	Part      string `query:"part" enum:"all,whole,part" doc:"Whole cases, those that several people operated, or both."`
}

func (in CasesAsked) question() cohort.Question {
	return cohort.Question{
		List: in.List, Technique: in.Technique, From: in.From, To: in.To, GradeFrom: in.GradeFrom, GradeTo: in.GradeTo,
		Part: cohort.Wholeness(in.Part),
	}
}

type compareInput struct {
	CasesAsked
	Items string `query:"items" doc:"Such as operation,stage:nucleus,step:capsulorhexis; all without it."`
}

func (in compareInput) question() annotate.CompareQuestion {
	q := annotate.CompareQuestion{Question: in.CasesAsked.question()}
	if in.Items != "" {
		q.Items = strings.Split(in.Items, ",")
	}
	return q
}

type compareOutput struct{ Body cohort.Comparison }

func (s *Server) compare(ctx context.Context, in *compareInput) (*compareOutput, error) {
	comparison, err := s.service.Comparison(ctx, actorOf(ctx), in.question())
	return &compareOutput{Body: comparison}, err
}

func (s *Server) compareCSV(ctx context.Context, in *compareInput) (*fileOutput, error) {
	comparison, err := s.service.Comparison(ctx, actorOf(ctx), in.question())
	if err != nil {
		return nil, err
	}
	rows := [][]string{compareHeader}
	for _, sheet := range compareSheets(comparison) {
		rows = append(rows, sheet.Rows[1:]...)
	}
	content, err := table.CSV(rows)
	return download(content, "text/csv; charset=utf-8", "comparison.csv"), err
}

func (s *Server) compareXLSX(ctx context.Context, in *compareInput) (*fileOutput, error) {
	comparison, err := s.service.Comparison(ctx, actorOf(ctx), in.question())
	if err != nil {
		return nil, err
	}
	content, err := table.XLSX(compareSheets(comparison))
	return download(content, xlsxType, "comparison.xlsx"), err
}

// download is a file that the browser keeps.
func download(content []byte, contentType, name string) *fileOutput {
	return &fileOutput{
		Status: http.StatusOK, ContentType: contentType, Disposition: `attachment; filename="` + name + `"`,
		CacheControl: "no-store", Body: content,
	}
}

type learningInput struct {
	CasesAsked
	Kind     string `query:"kind" enum:"step,stage,operation" doc:"Of the item; step without it."`
	Step     string `query:"step" doc:"Code of the step or stage."`
	Operator string `query:"operator" doc:"me, or the id of somebody whom one supervised in training; me without it."`
	Grade    bool   `query:"grade" doc:"Adjusted for the nuclear grade."`
}

type learningOutput struct{ Body cohort.Learning }

func (s *Server) learning(ctx context.Context, in *learningInput) (*learningOutput, error) {
	q := annotate.LearningQuestion{Question: in.question(), Operator: in.Operator, Grade: in.Grade}
	if q.Operator == "" {
		q.Operator = annotate.Myself
	}
	switch cohort.Kind(in.Kind) {
	case cohort.OfOperation:
		q.Item = in.Kind
	case cohort.OfStage:
		q.Item = in.Kind + ":" + in.Step
	default:
		q.Item = string(cohort.OfStep) + ":" + in.Step
	}
	curve, err := s.service.Learning(ctx, actorOf(ctx), q)
	return &learningOutput{Body: curve}, err
}
