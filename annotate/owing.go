package annotate

import (
	"context"
	"slices"
)

// FollowUpFilter narrows the list of cases that owe a visit. Zero values do not narrow.
type FollowUpFilter struct {
	Query    string // as in CaseFilter
	Operator string // user id
	Window   Window
	Overdue  bool
	Cursor   string
	Limit    int // 1 to 200; 0 means 50
}

// FollowUpItem is a case with the visit that it owes next.
type FollowUpItem struct {
	Case    CaseSummary `json:"case"`
	Window  Window      `json:"window"`
	DueOn   string      `json:"dueOn"`
	LateOn  string      `json:"lateOn"` // after this date it is overdue
	Overdue bool        `json:"overdue"`
}

// FollowUpPage is one page of the list. Next is "" on the last page.
type FollowUpPage struct {
	Items []FollowUpItem `json:"items"`
	Next  string         `json:"next"`
	Total int            `json:"total"` // of the whole filtered list
}

// plannedWindows are the windows that a case can owe.
var plannedWindows = slices.DeleteFunc(slices.Clone(Windows), func(w Window) bool { return w == WindowOther })

// FollowUp gives one page of the cases that the actor may see and that owe a visit, the longest overdue first.
func (s *Service) FollowUp(ctx context.Context, actor Actor, filter FollowUpFilter) (FollowUpPage, error) {
	if err := present(actor); err != nil {
		return FollowUpPage{}, err
	}
	query, err := s.owing(actor, filter)
	if err != nil {
		return FollowUpPage{}, err
	}
	var page FollowUpPage
	err = s.store.Read(ctx, func(tx Tx) (err error) {
		page, err = s.followUpPage(ctx, tx, actor, query)
		return err
	})
	return page, err
}

// AllFollowUp gives the whole filtered list as it is at one moment, and notes in the audit log that it was taken.
func (s *Service) AllFollowUp(ctx context.Context, actor Actor, filter FollowUpFilter) ([]FollowUpItem, error) {
	if err := present(actor); err != nil {
		return nil, err
	}
	filter.Limit, filter.Cursor = mostListed, ""
	query, err := s.owing(actor, filter)
	if err != nil {
		return nil, err
	}
	items := []FollowUpItem{}
	err = s.store.Read(ctx, func(tx Tx) error {
		for {
			page, err := s.followUpPage(ctx, tx, actor, query)
			items = append(items, page.Items...)
			if err != nil || page.Next == "" {
				return err
			}
			query.Cursor = page.Next
		}
	})
	if err != nil {
		return nil, err
	}
	return items, s.noteView(ctx, actor, "follow-up.export", "", "")
}

// mostListed is the length of the longest page.
const mostListed = 200

func (s *Service) owing(actor Actor, filter FollowUpFilter) (CaseQuery, error) {
	var p problems
	oneOf(&p, "window", filter.Window, false, plannedWindows...)
	if len(p.fields) > 0 {
		return CaseQuery{}, listRefused(p)
	}
	narrowed := CaseFilter{Query: filter.Query, Operator: filter.Operator, Cursor: filter.Cursor, Limit: filter.Limit}
	if err := narrowed.validate(); err != nil {
		return CaseQuery{}, err
	}
	query := s.query(actor, narrowed)
	query.Owing, query.Window, query.Overdue, query.Due = true, filter.Window, filter.Overdue, true
	return query, nil
}

func (s *Service) followUpPage(ctx context.Context, tx Tx, actor Actor, query CaseQuery) (FollowUpPage, error) {
	rows, err := tx.CasePage(ctx, query)
	if err != nil {
		return FollowUpPage{}, err
	}
	page := FollowUpPage{Items: []FollowUpItem{}, Next: rows.Next, Total: rows.Total}
	for _, row := range rows.Rows {
		page.Items = append(page.Items, FollowUpItem{
			Case: s.summary(actor, row), Window: row.Due, DueOn: row.DueOn, LateOn: row.LateOn, Overdue: s.today() > row.LateOn,
		})
	}
	return page, nil
}
