package annotate

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"zonule/timeline/cohort"
	"zonule/timeline/outcome"
)

// Themes is what meetings had in common, without anybody's identity: only closed meetings count, by quarters.
type Themes struct {
	// Quarters are those with enough cases, oldest first; Cases how many were discussed in each.
	Quarters []ThemeQuarter `json:"quarters"`
	Meetings int            `json:"meetings"`
	// Factors, Harm and Preventability come from the record of the items, Reasons and Steps from the cases.
	Factors        []Theme       `json:"factors"`
	Reasons        []Theme       `json:"reasons"`
	Steps          []Theme       `json:"steps"` // during which complications happened
	Harm           []Theme       `json:"harm"`
	Preventability []Theme       `json:"preventability"`
	Learning       []ThemePoint  `json:"learning"` // the latest first
	Actions        ActionsClosed `json:"actions"`
	Notes          []string      `json:"notes"`
}

// ThemeQuarter is a quarter of a year, such as "2026 Q2".
type ThemeQuarter struct {
	Quarter string `json:"quarter"`
	Cases   int    `json:"cases"`
}

// Theme counts cases, each once, in the quarters of the answer.
type Theme struct {
	Code   string `json:"code"`
	Name   string `json:"name"`
	Counts []int  `json:"counts"` // by quarter
	Total  int    `json:"total"`
}

// ThemePoint is a learning point as a meeting wrote it.
type ThemePoint struct {
	Quarter string `json:"quarter"`
	Text    string `json:"text"`
}

// ActionsClosed tells how far what the meetings agreed on has come.
type ActionsClosed struct {
	Agreed int `json:"agreed"`
	Closed int `json:"closed"`
}

// fewestThemed is how many cases a quarter must have before what they had in common is told. Quarters with fewer are left out of
// every sum, so that nothing can be worked out by subtraction. Source: our definition.
const fewestThemed = 3

// themedCase is one case that a closed meeting discussed.
type themedCase struct {
	quarter string
	reasons []TriggerKind
	steps   []string // names
	record  ItemRecord
}

// Themes tells what the closed meetings of the unit had in common. Whoever has a part in the care of patients may learn from
// it, member or not.
func (s *Service) Themes(ctx context.Context, actor Actor) (Themes, error) {
	if err := mayManage(actor, UnitSummary); err != nil {
		return Themes{}, err
	}
	var cases []themedCase
	var points []ThemePoint
	var actions ActionsClosed
	meetings := 0
	err := s.store.Read(ctx, func(tx Tx) error {
		all, err := tx.Meetings(ctx)
		if err != nil {
			return err
		}
		look, err := s.themeLook(ctx, tx)
		if err != nil {
			return err
		}
		for _, m := range all {
			if m.State != MeetingClosed {
				continue
			}
			meetings++
			items, err := tx.MeetingItems(ctx, m.ID)
			if err != nil {
				return err
			}
			for _, item := range items {
				for _, point := range item.Record.Learning {
					points = append(points, ThemePoint{Quarter: quarterOf(m.Date), Text: point.Text})
				}
				if item.CaseID == "" {
					continue
				}
				themed, err := look.themed(ctx, tx, m, item)
				if err != nil {
					return err
				}
				cases = append(cases, themed)
			}
			agreed, err := tx.ActionsOf(ctx, m.ID)
			if err != nil {
				return err
			}
			for _, a := range agreed {
				actions.Agreed++
				if a.State == ActionClosed {
					actions.Closed++
				}
			}
		}
		return nil
	})
	if err != nil {
		return Themes{}, err
	}
	answer := themesOf(cases)
	answer.Meetings, answer.Actions = meetings, actions
	slices.Reverse(points)
	answer.Learning = append(answer.Learning, points...)
	return answer, nil
}

// themeLook is where the facts of discussed cases are looked up.
type themeLook struct {
	rows  *cohort.Cohort
	names outcome.Names
}

func (s *Service) themeLook(ctx context.Context, tx Tx) (look themeLook, err error) {
	if look.rows, err = s.snapshot.cohort(ctx, tx); err != nil {
		return look, err
	}
	lists, err := tx.StepLists(ctx)
	look.names = wordsOf(lists)
	return look, err
}

func (l themeLook) themed(ctx context.Context, tx Tx, m KeptMeeting, item KeptItem) (themedCase, error) {
	themed := themedCase{quarter: quarterOf(m.Date), record: item.Record}
	for _, id := range item.InboxIDs {
		entry, err := tx.InboxEntry(ctx, id)
		if err != nil {
			return themed, err
		}
		themed.reasons = append(themed.reasons, entry.Kind)
	}
	c, err := tx.Case(ctx, item.CaseID)
	if err != nil {
		return themed, err
	}
	if row := l.rows.Row(c.Date, c.ID); row != nil {
		for _, mishap := range row.Complications {
			if mishap.Step != "" {
				themed.steps = append(themed.steps, cmp.Or(l.names(outcome.StepName, mishap.Step), mishap.Step))
			}
		}
	}
	return themed, nil
}

// quarterOf gives the quarter of a date YYYY-MM-DD.
func quarterOf(date string) string {
	month := int(date[5]-'0')*10 + int(date[6]-'0')
	return fmt.Sprintf("%s Q%d", date[:4], (month+2)/3)
}

// themesOf counts. Each case counts once for each theme that it has.
func themesOf(cases []themedCase) Themes {
	answer := Themes{
		Quarters: []ThemeQuarter{}, Factors: []Theme{}, Reasons: []Theme{}, Steps: []Theme{}, Harm: []Theme{}, Preventability: []Theme{},
		Learning: []ThemePoint{}, Notes: []string{},
	}
	inQuarter := map[string]int{}
	for _, c := range cases {
		inQuarter[c.quarter]++
	}
	left := 0
	for quarter, n := range inQuarter {
		if n < fewestThemed {
			left += n
			continue
		}
		answer.Quarters = append(answer.Quarters, ThemeQuarter{quarter, n})
	}
	slices.SortFunc(answer.Quarters, func(a, b ThemeQuarter) int { return cmp.Compare(a.Quarter, b.Quarter) })
	if left > 0 {
		answer.Notes = append(answer.Notes, fmt.Sprintf(
			"%d of the cases discussed belong to quarters with fewer than %d cases and are counted nowhere, so that nobody can be recognised.", left, fewestThemed))
	}
	answer.Notes = append(answer.Notes,
		"Cases come to a meeting because something stood out: these counts say what was discussed, not how often it happens. Rates stand in the record of the unit.")
	count := func(code, name string, has func(themedCase) bool) (Theme, bool) {
		theme := Theme{Code: code, Name: name, Counts: make([]int, len(answer.Quarters))}
		for _, c := range cases {
			at := slices.IndexFunc(answer.Quarters, func(q ThemeQuarter) bool { return q.Quarter == c.quarter })
			if at >= 0 && has(c) {
				theme.Counts[at]++
				theme.Total++
			}
		}
		return theme, theme.Total > 0
	}
	add := func(list *[]Theme, code, name string, has func(themedCase) bool) {
		if theme, some := count(code, name, has); some {
			*list = append(*list, theme)
		}
	}
	for _, family := range FactorFamilies {
		add(&answer.Factors, string(family), familyNames[family], func(c themedCase) bool {
			return slices.ContainsFunc(c.record.Factors, func(f Factor) bool { return f.Family == family })
		})
	}
	for _, choice := range TriggerChoices {
		add(&answer.Reasons, string(choice.Kind), choice.Name, func(c themedCase) bool { return slices.Contains(c.reasons, choice.Kind) })
	}
	for _, harm := range Harms {
		add(&answer.Harm, string(harm), string(harm), func(c themedCase) bool { return c.record.Harm == harm })
	}
	for _, p := range Preventabilities {
		add(&answer.Preventability, string(p), preventabilityNames[p], func(c themedCase) bool { return c.record.Preventability == p })
	}
	var steps []string
	for _, c := range cases {
		steps = append(steps, c.steps...)
	}
	slices.Sort(steps)
	for _, step := range slices.Compact(steps) {
		add(&answer.Steps, step, step, func(c themedCase) bool { return slices.Contains(c.steps, step) })
	}
	return answer
}

var (
	familyNames = map[FactorFamily]string{
		"patient": "Patient", "task": "Task and technology", "individual": "Individual staff", "team": "Team", "environment": "Work environment",
		"organisation": "Organisation and management", "institution": "Institutional context",
	}
	preventabilityNames = map[Preventability]string{
		"not": "not preventable", "probably-not": "probably not preventable", "probably": "probably preventable", "clearly": "clearly preventable",
	}
)
