package cohort

import (
	"cmp"
	"slices"
)

// Row gives the row of a case by its date and id, nil when there is none. It must not be changed.
func (c *Cohort) Row(date, caseID string) *Row {
	at, found := slices.BinarySearchFunc(c.rows, &Row{Date: date, CaseID: caseID}, byDateAndCase)
	if !found {
		return nil
	}
	return c.rows[at]
}

// With gives a cohort in which the changed rows stand in place of those of the same cases, or beside them where a case is
// new. It answers as New would of all rows, in time linear in their number: only the changes are read and sorted. The
// rows must be of different cases.
func (c *Cohort) With(changed []Row) *Cohort {
	changed = slices.Clone(changed)
	rows := make([]*Row, len(changed))
	for i := range changed {
		rows[i] = &changed[i]
	}
	slices.SortFunc(rows, byDateAndCase)
	next := &Cohort{columns: make(map[columnKey]*column, len(c.columns))}
	moved, fresh := next.mergeRows(c.rows, rows)
	operators := operatorsOf(rows)
	for _, id := range c.operators { // who is in no row any more stays, without a case
		operators[id] = 0
	}
	place := next.placeOperators(operators)
	person := make([]int32, len(c.operators))
	for i, id := range c.operators {
		person[i] = place[id]
	}
	sets := next.mergeCases(c.cases, moved, person)
	for _, at := range fresh {
		next.fill(at, place, sets)
	}
	next.order()
	for key, old := range c.columns {
		if next.columns[key] == nil {
			next.columns[key] = &column{}
		}
		next.columns[key].merge(old, moved, person)
	}
	return next
}

// mergeRows tells where each of the old rows went, nowhere for one that was replaced, and where the changed ones stand.
func (c *Cohort) mergeRows(old, changed []*Row) (moved []int32, fresh []int) {
	replaced := make(map[string]bool, len(changed))
	for _, row := range changed {
		replaced[row.CaseID] = true
	}
	c.rows, moved = make([]*Row, 0, len(old)+len(changed)), make([]int32, len(old))
	next := 0
	takeBefore := func(row *Row) {
		for next < len(changed) && (row == nil || byDateAndCase(changed[next], row) < 0) {
			fresh = append(fresh, len(c.rows))
			c.rows = append(c.rows, changed[next])
			next++
		}
	}
	for i, row := range old {
		if moved[i] = nowhere; replaced[row.CaseID] {
			continue
		}
		takeBefore(row)
		moved[i] = int32(len(c.rows))
		c.rows = append(c.rows, row)
	}
	takeBefore(nil)
	return moved, fresh
}

// nowhere is the new place of a row that was replaced.
const nowhere = int32(-1)

// mergeCases copies what is known of the cases that did not change. It gives the places of the sets.
func (c *Cohort) mergeCases(old caseColumns, moved, person []int32) map[features]int32 {
	to := newCaseColumns(len(c.rows))
	to.sets = slices.Clone(old.sets)
	for from, at := range moved {
		if at == nowhere {
			continue
		}
		to.several[at], to.set[at], to.alone[at] = old.several[from], old.set[from], old.alone[from]
		if to.alone[at] != nobody {
			to.alone[at] = person[to.alone[at]]
		}
		copy(to.mix[int(at)*len(mixTerms):(int(at)+1)*len(mixTerms)], old.mix[from*len(mixTerms):(from+1)*len(mixTerms)])
	}
	c.cases = to
	sets := make(map[features]int32, len(to.sets))
	for at, f := range to.sets {
		sets[f] = int32(at)
	}
	return sets
}

// merge brings the entries of an old column among those of the changes. Cases and people keep their order, so that what
// was in order stays so.
func (col *column) merge(old *column, moved, person []int32) {
	col.entries = merged(old.entries, col.entries, func(e *entry) bool {
		e.at, e.operator = moved[e.at], person[e.operator]
		return e.at != nowhere
	}, func(a, b entry) int { return cmp.Compare(a.at, b.at) })
	col.ordered = merged(old.ordered, col.ordered, func(t *timed) bool {
		t.at = moved[t.at]
		return t.at != nowhere
	}, byTime)
	col.lost = merged(old.lost, col.lost, func(l *loss) bool {
		l.at = moved[l.at]
		return l.at != nowhere
	}, func(a, b loss) int { return cmp.Compare(a.at, b.at) })
}

// merged joins two ordered lists; move brings an old element to its new place and tells whether it stays.
func merged[T any](old, added []T, move func(*T) bool, compare func(a, b T) int) []T {
	all := make([]T, 0, len(old)+len(added))
	next := 0
	for _, one := range old {
		if !move(&one) {
			continue
		}
		for next < len(added) && compare(added[next], one) < 0 {
			all = append(all, added[next])
			next++
		}
		all = append(all, one)
	}
	return append(all, added[next:]...)
}
