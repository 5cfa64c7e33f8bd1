package cohort

import (
	"fmt"
	"slices"

	"zonule/timeline"
)

const (
	// fewestOperators and fewestCases are how many must stand behind an unnamed group, so that nobody in it is known by his
	// times; fewestHidden of them must not be shown by name. Source: our definition.
	fewestOperators, fewestCases, fewestHidden = 3, 10, 2
	// mostSpread is the number of times of a group that are given.
	mostSpread = 200
)

// tooFew says why a group cannot be shown, "" when it can. Hidden counts its operators that are not shown by name.
func tooFew(operators, hidden, cases int) string {
	switch {
	case cases == 0:
		return "No case gives this time."
	case operators < fewestOperators:
		return fmt.Sprintf("%s: too few to stay unnamed (at least %d).", people(operators), fewestOperators)
	case cases < fewestCases:
		return fmt.Sprintf("%s: too few to stay unnamed (at least %d).", plural(cases, "case"), fewestCases)
	case hidden > 0 && hidden < fewestHidden:
		return "One person alone would stand behind the group and not stay unnamed."
	}
	return ""
}

// groupOf describes times in ascending order.
func groupOf(sorted []int64, operators int) *Group {
	g := &Group{
		N: len(sorted), Operators: operators, Median: timeline.Quantile(sorted, 0.5),
		Q1: timeline.Quantile(sorted, 0.25), Q3: timeline.Quantile(sorted, 0.75), Spread: thinned(sorted),
	}
	if len(sorted) >= timeline.SmallestGroup {
		low, high := timeline.Quantile(sorted, 0.05), timeline.Quantile(sorted, 0.95)
		g.P5, g.P95 = &low, &high
	}
	return g
}

// thinned keeps the first, the last and evenly spaced times between.
func thinned(sorted []int64) []int64 {
	if len(sorted) <= mostSpread {
		return slices.Clone(sorted)
	}
	some := make([]int64, mostSpread)
	for i := range some {
		some[i] = sorted[i*(len(sorted)-1)/(mostSpread-1)]
	}
	return some
}

func plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return count(n) + " " + noun + "s"
}

func people(n int) string {
	if n == 1 {
		return "1 person"
	}
	return count(n) + " people"
}
