package cohort

import "slices"

// choice is which cases answer a question.
type choice struct {
	picked  []bool // by case
	cases   int
	leftOut []LeftOut
}

// choose applies everything but the item. Cases of another list, technique or day are outside the question; those inside
// that cannot answer are left out with a reason.
func (c *Cohort) choose(q Question) choice {
	ch := choice{picked: make([]bool, len(c.rows))}
	first, last := c.days(q.From, q.To)
	var untagged, ungraded int
	for i := first; i < last; i++ {
		row := c.rows[i]
		if q.Technique != "" && row.Technique != q.Technique {
			continue
		}
		if grade := row.Before.NuclearGrade; q.GradeFrom > 0 || q.GradeTo > 0 {
			if grade == nil {
				ungraded++
				continue
			}
			if *grade < q.GradeFrom || (q.GradeTo > 0 && *grade > q.GradeTo) {
				continue
			}
		}
		if !row.Tagged {
			untagged++
			continue
		}
		if q.List != "" && row.StepList != q.List {
			continue
		}
		if (q.Part == WholeCases && c.cases.several[i]) || (q.Part == PartCases && !c.cases.several[i]) {
			continue
		}
		ch.picked[i] = true
		ch.cases++
	}
	ch.leftOut = counted([]LeftOut{
		{"the nuclear grade is not known", ungraded}, {"the steps are not all marked yet", untagged},
	})
	return ch
}

// days gives the range of rows of a period, both ends included.
func (c *Cohort) days(from, to string) (first, last int) {
	first, _ = slices.BinarySearchFunc(c.rows, from, func(r *Row, day string) int {
		if r.Date < day {
			return -1
		}
		return 1
	})
	last = len(c.rows)
	if to != "" {
		last, _ = slices.BinarySearchFunc(c.rows, to, func(r *Row, day string) int {
			if r.Date <= day {
				return -1
			}
			return 1
		})
	}
	return first, last
}

// counted drops what counts no case.
func counted(all []LeftOut) []LeftOut {
	some := []LeftOut{}
	for _, one := range all {
		if one.Cases > 0 {
			some = append(some, one)
		}
	}
	return some
}

// lostOf counts the chosen cases whose item gives no time, by reason.
func (col *column) lostOf(ch choice) []LeftOut {
	var count [lossReasons]int
	for _, l := range col.lost {
		if ch.picked[l.at] {
			count[l.reason]++
		}
	}
	all := make([]LeftOut, 0, len(count))
	for reason, cases := range count {
		all = append(all, LeftOut{lossReason(reason).String(), cases})
	}
	return counted(all)
}
