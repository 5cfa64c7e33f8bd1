package cohort

import (
	"maps"
	"slices"
)

// Tally is what one person did in a period.
type Tally struct {
	Led        int `json:"led"`      // whole cases that they operated alone
	Shared     int `json:"shared"`   // cases of which they operated a part
	Assisted   int `json:"assisted"` // cases in which they are named and operated no step
	Supervised int `json:"supervised"`
	// Events and Complications count what happened in the cases that they operated, wholly or in part, by code.
	Events        []CodeCount `json:"events"`
	Complications []CodeCount `json:"complications"`
	CaseIDs       []string    `json:"caseIds"` // of cases that they operated, by date
}

// CodeCount is how often something happened, and in how many cases.
type CodeCount struct {
	Code  string `json:"code"`
	Name  string `json:"name"` // left for whoever knows the words
	Times int    `json:"times"`
	Cases int    `json:"cases"`
}

// TallyOf counts what a person did from one day to another, both included; "" does not restrict.
func (c *Cohort) TallyOf(person, from, to string) Tally {
	tally := Tally{CaseIDs: []string{}}
	events, mishaps := map[string]*CodeCount{}, map[string]*CodeCount{}
	first, last := c.days(from, to)
	for _, row := range c.rows[first:last] {
		if row.Supervisor == person {
			tally.Supervised++
		}
		people := peopleOf(row)
		switch {
		case !slices.Contains(people, person):
			if row.Operator == person || slices.Contains(row.Assistants, person) {
				tally.Assisted++
			}
			continue
		case len(people) == 1:
			tally.Led++
		default:
			tally.Shared++
		}
		tally.CaseIDs = append(tally.CaseIDs, row.CaseID)
		for kind, times := range row.Events {
			add(events, kind, times)
		}
		kinds := map[string]int{}
		for _, mishap := range row.Complications {
			kinds[mishap.Kind]++
		}
		for kind, times := range kinds {
			add(mishaps, kind, times)
		}
	}
	tally.Events, tally.Complications = byCode(events), byCode(mishaps)
	return tally
}

func add(counts map[string]*CodeCount, code string, times int) {
	if counts[code] == nil {
		counts[code] = &CodeCount{Code: code}
	}
	counts[code].Times += times
	counts[code].Cases++
}

func byCode(counts map[string]*CodeCount) []CodeCount {
	list := []CodeCount{}
	for _, code := range slices.Sorted(maps.Keys(counts)) {
		list = append(list, *counts[code])
	}
	return list
}
