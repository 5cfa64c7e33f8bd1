package annotate

import (
	"fmt"
	"slices"
)

// WindowPlan says when the visit of a window is due and when it is overdue, in days after the operation.
type WindowPlan struct {
	Window   Window `json:"window"`
	DueDays  int    `json:"dueDays"`
	LateDays int    `json:"lateDays"` // after this day it is overdue
	// Required: a case owes this visit.
	Required bool `json:"required"`
}

// UsualWindows is the plan of a unit that made none. Source: common practice; local policy decides.
var UsualWindows = []WindowPlan{
	{WindowDay1, 1, 7, true},
	{WindowWeek1, 7, 14, false},
	{WindowMonth1, 28, 56, true},
	{WindowMonth3, 84, 140, false},
	{WindowYear1, 365, 450, false},
}

// validateWindows checks the plan of a unit: each window once, in the order of the visits.
func validateWindows(p *problems, plans []WindowPlan) {
	place, due := -1, 0
	for i, plan := range plans {
		field := fmt.Sprintf("windows[%d].", i)
		at := slices.Index(Windows, plan.Window)
		switch {
		case at < 0 || plan.Window == WindowOther:
			p.add(field+"window", "is not a window that can be planned")
		case at <= place:
			p.add(field+"window", "is out of order or named twice")
		}
		place = max(place, at)
		p.number(field+"dueDays", "unit.windows.dueDays", float64(plan.DueDays))
		p.number(field+"lateDays", "unit.windows.lateDays", float64(plan.LateDays))
		if plan.LateDays < plan.DueDays {
			p.add(field+"lateDays", "lies before the day on which the visit is due")
		}
		if plan.DueDays < due {
			p.add(field+"dueDays", "lies before the visit that comes first")
		}
		due = max(due, plan.DueDays)
	}
}

// lastRequired is the window at which the repeat count is wanted; "" when no visit is required.
func lastRequired(plans []WindowPlan) Window {
	var last Window
	for _, plan := range plans {
		if plan.Required {
			last = plan.Window
		}
	}
	return last
}

// nextVisit gives the first required visit that is still wanted, with the date from which it is due and the date after
// which it is overdue; "" when follow-up is complete or declared lost. If there was an endothelial count before the
// operation, the last required visit is wanted until there is a count at it or at a later one.
func nextVisit(plans []WindowPlan, c Case, visits []Visit) (window Window, dueOn, lateOn string) {
	if c.LostToFollowUp != nil {
		return "", "", ""
	}
	last := lastRequired(plans)
	for _, plan := range plans {
		if !plan.Required {
			continue
		}
		seen := slices.ContainsFunc(visits, func(v Visit) bool { return v.Window == plan.Window })
		counted := plan.Window != last || c.Before.Exam == nil || slices.ContainsFunc(visits, func(v Visit) bool {
			return v.Exam != nil && slices.Index(Windows, v.Window) >= slices.Index(Windows, last)
		})
		if !seen || !counted {
			return plan.Window, addDays(c.Date, plan.DueDays), addDays(c.Date, plan.LateDays)
		}
	}
	return "", "", ""
}

func (l *LostToFollowUp) validate(p *problems, operated, today string) {
	if l == nil {
		return
	}
	if p.date("lostToFollowUp.on", l.On, true) {
		if l.On < operated {
			p.add("lostToFollowUp.on", "lies before the operation")
		}
		if l.On > today {
			p.add("lostToFollowUp.on", "lies in the future")
		}
	}
	p.text("lostToFollowUp.reason", l.Reason, 1, 500)
}
