package server

import (
	"context"
	"strconv"
	"strings"

	"zonule/annotate"
)

type unitRecordInput struct {
	From      string `query:"from" doc:"Date of operation, inclusive."`
	To        string `query:"to" doc:"Date of operation, inclusive."`
	Technique string `query:"technique" enum:"phaco,msics,ecce"`
	Operator  string `query:"operator" doc:"User id. Narrows to the operations that the viewer may see."`
}

func (in unitRecordInput) filter() annotate.UnitFilter {
	return annotate.UnitFilter{From: in.From, To: in.To, Technique: annotate.Technique(in.Technique), Operator: in.Operator}
}

// unitRoutes is the part of the table for the record of the unit.
func (s *Server) unitRoutes() []route {
	return []route{
		{"GET", "/unit/record", may(annotate.UnitSummary), "get-unit-record", answer(s.unitRecord, slow)},
		{"GET", "/unit/record.csv", may(annotate.UnitSummary), "get-unit-record-csv", answer(s.unitRecordFile, slow, gives("text/csv"))},
	}
}

type unitRecordOutput struct{ Body annotate.UnitRecord }

func (s *Server) unitRecord(ctx context.Context, in *unitRecordInput) (*unitRecordOutput, error) {
	record, err := s.service.UnitRecord(ctx, actorOf(ctx), in.filter())
	return &unitRecordOutput{Body: record}, err
}

func (s *Server) unitRecordFile(ctx context.Context, in *unitRecordInput) (*fileOutput, error) {
	record, err := s.service.UnitRecord(ctx, actorOf(ctx), in.filter())
	if err != nil {
		return nil, err
	}
	return csvFile("unit-record", unitRecordTable(record))
}

// unitRecordTable writes the record as one table, a row for each figure. Shares are in percent with
// Wilson's 95 % interval.
func unitRecordTable(r annotate.UnitRecord) [][]string {
	rows := [][]string{{"section", "code", "name", "count", "of", "percent", "low", "high", "text"}}
	add := func(section, code, name string, count, of int, rate annotate.Rate, text string) {
		rows = append(rows, []string{
			section, code, name, strconv.Itoa(count), strconv.Itoa(of), figure(rate.Percent), figure(rate.Low), figure(rate.High), text,
		})
	}
	period := strings.Join([]string{r.From, r.To, string(r.Technique), string(r.Scope)}, "; ")
	add("unit", "operations", "Operations", r.Operations, r.Operations, annotate.Rate{}, period)
	add("unit", "signed", "With a signed report", r.Signed, r.Operations, annotate.Rate{}, "")
	add("unit", "lost-to-follow-up", "Lost to follow-up", r.LostToFollowUp, r.Operations, annotate.Rate{}, "")
	add("unit", "owing", "Owing a visit", r.Owing, r.Operations, annotate.Rate{}, "")
	add("unit", "overdue", "Overdue", r.Overdue, r.Operations, annotate.Rate{}, "")
	rupture := r.Rupture
	add("rupture", "observed", "Capsule rupture in audit", rupture.Events, rupture.Operations, rupture.Rate, rupture.Definition+" "+rupture.Source)
	add("rupture", "expected", "Expected as published, every factor known", rupture.ObservedOf, rupture.ExpectedOf, annotate.Rate{Percent: rupture.ExpectedPercent}, "count: observed among these")
	add("rupture", "expected-range", "Expected as published, range over all", rupture.Events, rupture.Operations,
		annotate.Rate{Low: rupture.ExpectedLowPercent, High: rupture.ExpectedHighPercent}, "")
	for _, k := range r.Complications {
		add("complication", k.Kind, k.Name, k.Count, k.Of, k.Rate, k.Phase)
	}
	for _, item := range r.Completeness.Items {
		add("completeness", item.Field, item.Item, item.Have, item.Of, annotate.Rate{}, strings.Join(item.Sets, ", "))
	}
	for _, set := range r.Completeness.Sets {
		add("minimum-set", set.Code, set.Citation, set.Have, set.Of, annotate.Rate{}, set.Status+" Left out: "+set.LeftOut)
	}
	for i, note := range r.Notes {
		rows = append(rows, []string{"note", strconv.Itoa(i + 1), "", "", "", "", "", "", note})
	}
	return rows
}

// figure writes a number with every digit; "" where there is none.
func figure(value *float64) string {
	if value == nil {
		return ""
	}
	return strconv.FormatFloat(*value, 'f', -1, 64)
}
