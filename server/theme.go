package server

import (
	"context"
	"strconv"

	"zonule/annotate"
)

// themeRoutes is the part of the table for what meetings had in common.
func (s *Server) themeRoutes() []route {
	return []route{
		{"GET", "/themes", may(annotate.UnitSummary), "get-themes", answer(s.themes)},
		{"GET", "/themes.csv", may(annotate.UnitSummary), "get-themes-csv", answer(s.themesFile, gives("text/csv"))},
	}
}

type themesOutput struct{ Body annotate.Themes }

func (s *Server) themes(ctx context.Context, _ *nothing) (*themesOutput, error) {
	themes, err := s.service.Themes(ctx, actorOf(ctx))
	return &themesOutput{Body: themes}, err
}

func (s *Server) themesFile(ctx context.Context, _ *nothing) (*fileOutput, error) {
	themes, err := s.service.Themes(ctx, actorOf(ctx))
	if err != nil {
		return nil, err
	}
	return csvFile("themes", themesTable(themes))
}

// themesTable writes a row for each theme and quarter, then the learning points.
func themesTable(t annotate.Themes) [][]string {
	rows := [][]string{{"section", "code", "name", "quarter", "cases", "of", "text"}}
	for _, section := range []struct {
		name   string
		themes []annotate.Theme
	}{{"factor", t.Factors}, {"reason", t.Reasons}, {"step", t.Steps}, {"harm", t.Harm}, {"preventability", t.Preventability}} {
		for _, theme := range section.themes {
			for i, n := range theme.Counts {
				q := t.Quarters[i]
				rows = append(rows, []string{section.name, theme.Code, theme.Name, q.Quarter, strconv.Itoa(n), strconv.Itoa(q.Cases), ""})
			}
		}
	}
	for _, point := range t.Learning {
		rows = append(rows, []string{"learning", "", "", point.Quarter, "", "", point.Text})
	}
	for _, note := range t.Notes {
		rows = append(rows, []string{"note", "", "", "", "", "", note})
	}
	return rows
}
