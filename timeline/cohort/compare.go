package cohort

import (
	"fmt"
	"runtime"
	"slices"
	"sync"

	"zonule/timeline"
	"zonule/timeline/stat"
)

const (
	// fewestSummary is the number of cases from which a lane has a summary and ratios. Source: our definition.
	fewestSummary = 5
	// mostLanePoints is the number of points of a lane that are given, the latest.
	mostLanePoints = 200
	// confidence is that of all intervals.
	confidence = 0.95
)

// Compare answers a question. The lanes are shown by name, in their order; everybody else is part of the group only.
func Compare(c *Cohort, q Question, lanes []Lane) Comparison {
	ch := c.choose(q)
	answer := Comparison{
		Question: q, N: Counted{LeftOut: ch.leftOut}, Rows: make([]ComparisonRow, len(q.Items)), Methods: compareMethods,
	}
	work := make(chan int)
	seen := make([]*rowView, min(runtime.GOMAXPROCS(0), max(1, len(q.Items)))) // one for each worker
	var workers sync.WaitGroup
	for w := range seen {
		seen[w] = c.newView()
		workers.Go(func() {
			for i := range work {
				seen[w].fill(c.columns[columnKey{q.Items[i].Kind, q.Items[i].Code}], ch)
				answer.Rows[i] = c.compareRow(q.Items[i], seen[w], lanes)
			}
		})
	}
	for i := range q.Items {
		work <- i
	}
	close(work)
	workers.Wait()
	answer.N.Cases, answer.N.Operators = answering(seen)
	return answer
}

// rowView is one item over the chosen cases. It is filled again and again, since its space is what a comparison uses most
// of; it remembers which cases and operators any item had.
type rowView struct {
	entries []entry // by date
	totals  []int64 // the same times, ascending
	size    []int   // cases per operator
	present []int32 // operators with cases, ascending
	lost    []LeftOut

	cases, operators []bool // seen so far
}

func (c *Cohort) newView() *rowView {
	return &rowView{size: make([]int, len(c.operators)), cases: make([]bool, len(c.rows)), operators: make([]bool, len(c.operators))}
}

// fill takes the chosen cases of a column, which is nil when no case has the item.
func (v *rowView) fill(col *column, ch choice) {
	v.entries, v.totals, v.present, v.lost = v.entries[:0], v.totals[:0], v.present[:0], []LeftOut{}
	clear(v.size)
	if col == nil {
		return
	}
	v.entries, v.totals = slices.Grow(v.entries, len(col.entries)), slices.Grow(v.totals, len(col.entries))
	for _, e := range col.entries {
		if ch.picked[e.at] {
			v.entries = append(v.entries, e)
			v.size[e.operator]++
			v.cases[e.at] = true
		}
	}
	for _, t := range col.ordered {
		if ch.picked[t.at] {
			v.totals = append(v.totals, t.total)
		}
	}
	for operator, size := range v.size {
		if size > 0 {
			v.present = append(v.present, int32(operator))
			v.operators[operator] = true
		}
	}
	v.lost = col.lostOf(ch)
}

// of gives the times of some operators, each by date; nobody has none.
func (v *rowView) of(operators []int32) [][]entry {
	lane := make([]int32, len(v.size))
	own := make([][]entry, len(operators))
	for i, operator := range operators {
		if operator != nobody {
			lane[operator] = int32(i) + 1
			own[i] = make([]entry, 0, v.size[operator])
		}
	}
	for _, e := range v.entries {
		if i := lane[e.operator]; i > 0 {
			own[i-1] = append(own[i-1], e)
		}
	}
	return own
}

// answering counts the cases and operators that give any item a time.
func answering(seen []*rowView) (cases, operators int) {
	first := seen[0]
	for _, v := range seen[1:] {
		for at, is := range v.cases {
			first.cases[at] = first.cases[at] || is
		}
		for at, is := range v.operators {
			first.operators[at] = first.operators[at] || is
		}
	}
	count := func(all []bool) (n int) {
		for _, is := range all {
			if is {
				n++
			}
		}
		return n
	}
	return count(first.cases), count(first.operators)
}

func (c *Cohort) compareRow(item Item, v *rowView, lanes []Lane) ComparisonRow {
	row := ComparisonRow{
		Item: item, LeftOut: v.lost, Lanes: make([]LaneResult, len(lanes)),
		AdjustedFor: []string{}, Dropped: []string{}, FellOut: []LeftOut{}, Notes: []string{},
	}
	named := 0
	for _, operator := range v.present {
		if slices.ContainsFunc(lanes, func(l Lane) bool { return l.Operator == c.operators[operator] }) {
			named++
		}
	}
	if row.Why = tooFew(len(v.present), len(v.present)-named, len(v.entries)); row.Why == "" {
		row.Group = groupOf(v.totals, len(v.present))
	}
	operators := make([]int32, len(lanes))
	for i, lane := range lanes {
		operators[i] = c.operatorAt(lane.Operator)
	}
	for i, own := range v.of(operators) {
		row.Lanes[i] = c.laneOf(item, own, lanes[i])
	}
	if row.Group == nil {
		row.WhyNot = row.Why
		return row
	}
	c.adjust(&row, v)
	return row
}

// laneOf is a lane without its ratios.
func (c *Cohort) laneOf(item Item, own []entry, lane Lane) LaneResult {
	l := LaneResult{Lane: lane, N: len(own), Points: make([]Point, 0, min(len(own), mostLanePoints))}
	hint := 0
	for _, e := range own[max(0, len(own)-mostLanePoints):] {
		l.Points = append(l.Points, c.pointOf(item, e, &hint))
	}
	if len(own) < fewestSummary {
		l.Why = "No case yet."
		if len(own) > 0 {
			l.Why = fmt.Sprintf("%s: too few for a summary (at least %d).", plural(len(own), "case"), fewestSummary)
		}
		return l
	}
	totals := make([]int64, len(own))
	for i, e := range own {
		totals[i] = e.total
	}
	slices.Sort(totals)
	median, err := stat.MedianInterval(totals, confidence)
	l.Median = &median.Value
	q1, q3 := timeline.Quantile(totals, 0.25), timeline.Quantile(totals, 0.75)
	l.Q1, l.Q3 = &q1, &q3
	if err != nil {
		l.Why = "The interval of the median needs 6 cases."
		return l
	}
	l.MedianLow, l.MedianHigh = &median.Interval.Lower, &median.Interval.Upper
	return l
}

// pointOf gives the point of a time; hint is where its part stood in the case before, and is brought up to date.
func (c *Cohort) pointOf(item Item, e entry, hint *int) Point {
	row := c.rows[e.at]
	p := Point{CaseID: row.CaseID, Date: row.Date, Total: e.total, Grade: row.Before.NuclearGrade, Part: c.cases.several[e.at]}
	if part := partOf(row, item, hint); part != nil {
		p.At = part.At
	}
	return p
}

// partOf finds the part of an item in a case, first where the hint says; nil for the operation as a whole.
func partOf(row *Row, item Item, hint *int) *Part {
	parts := row.Steps
	switch item.Kind {
	case OfStage:
		parts = row.Stages
	case OfOperation:
		return nil
	}
	if *hint >= len(parts) || parts[*hint].Code != item.Code {
		*hint = slices.IndexFunc(parts, func(p Part) bool { return p.Code == item.Code })
	}
	if *hint < 0 {
		*hint = 0
		return nil
	}
	return &parts[*hint]
}
