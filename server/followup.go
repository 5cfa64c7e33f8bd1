package server

import (
	"context"
	"strings"

	"zonule/annotate"
)

type followUpInput struct {
	Query    string `query:"q" doc:"Matched against pseudonym and operator names."`
	Operator string `query:"operator" doc:"User id."`
	Window   string `query:"window" enum:"day-1,week-1,month-1,month-3,year-1"`
	Overdue  bool   `query:"overdue" doc:"Only what is overdue."`
	Cursor   string `query:"cursor" doc:"From next of the page before."`
	Limit    int    `query:"limit" minimum:"0" maximum:"200" doc:"0 means 50."`
}

func (in followUpInput) filter() annotate.FollowUpFilter {
	return annotate.FollowUpFilter{
		Query: in.Query, Operator: in.Operator, Window: annotate.Window(in.Window), Overdue: in.Overdue, Cursor: in.Cursor, Limit: in.Limit,
	}
}

type followUpOutput struct{ Body annotate.FollowUpPage }

func (s *Server) followUp(ctx context.Context, in *followUpInput) (*followUpOutput, error) {
	page, err := s.service.FollowUp(ctx, actorOf(ctx), in.filter())
	return &followUpOutput{Body: page}, err
}

type followUpFileInput struct {
	Query    string `query:"q" doc:"Matched against pseudonym and operator names."`
	Operator string `query:"operator" doc:"User id."`
	Window   string `query:"window" enum:"day-1,week-1,month-1,month-3,year-1"`
	Overdue  bool   `query:"overdue" doc:"Only what is overdue."`
}

func (s *Server) followUpFile(ctx context.Context, in *followUpFileInput) (*fileOutput, error) {
	filter := followUpInput{Query: in.Query, Operator: in.Operator, Window: in.Window, Overdue: in.Overdue}.filter()
	items, err := s.service.AllFollowUp(ctx, actorOf(ctx), filter)
	if err != nil {
		return nil, err
	}
	people, err := s.service.People(ctx, actorOf(ctx))
	if err != nil {
		return nil, err
	}
	return csvFile("follow-up-due", followUpTable(items, people))
}

// followUpTable writes the list as a table.
func followUpTable(items []annotate.FollowUpItem, people []annotate.Person) [][]string {
	names := map[string]string{}
	for _, person := range people {
		names[person.ID] = person.Name
	}
	rows := [][]string{{"case", "eye", "operated_on", "operators", "visit", "due_on", "overdue_after", "overdue"}}
	for _, item := range items {
		var operators []string
		for _, o := range item.Case.Operators {
			operators = append(operators, names[o.UserID])
		}
		rows = append(rows, []string{
			item.Case.Pseudonym, string(item.Case.Eye), item.Case.Date, strings.Join(operators, "; "),
			string(item.Window), item.DueOn, item.LateOn, map[bool]string{true: "yes", false: "no"}[item.Overdue],
		})
	}
	return rows
}
