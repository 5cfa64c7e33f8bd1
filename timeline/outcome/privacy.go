package outcome

import (
	"fmt"

	"zonule/timeline/cohort"
)

// Untold says in words why nothing may be told of a group of cases to somebody who led some of them themself, so that nobody's
// own figures can be worked out; "" where it may. Fewest people must be known to have led cases (0 tells of every group), and
// at least five cases must be led by others than the two who led most: whoever of the two subtracts their own is not left with
// those of the other. Source: our choice; the second is the rule of statistical offices against dominance, from memory.
func Untold(rows []*cohort.Row, fewest int, which string) string {
	if fewest == 0 {
		return ""
	}
	led := map[string]int{}
	known, most, second := 0, 0, 0
	for _, row := range rows {
		if row.Operator != "" {
			led[row.Operator]++
			known++
		}
	}
	for _, n := range led {
		switch {
		case n > most:
			most, second = n, most
		case n > second:
			second = n
		}
	}
	switch {
	case len(led) < fewest:
		return fmt.Sprintf("%s led %s. Under %d nothing is told, so that nobody's own figures can be worked out.", capital(people(len(led))), which, fewest)
	case known-most-second < fewestShare:
		return fmt.Sprintf("Two people led nearly all of %s. Where the others led under %d nothing is told, so that nobody's own figures can be worked out.", which, fewestShare)
	}
	return ""
}

// withheld is Untold of the cases of the table.
func (t *table) withheld(which string) string { return Untold(t.rows, t.fewest, which) }
