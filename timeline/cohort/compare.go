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
	mostLanePoints = 400
	// confidence is that of all intervals.
	confidence = 0.95
)

// Compare answers a question. The lanes are shown by name, in their order; everybody else is part of the group only.
func Compare(c *Cohort, q Question, lanes []Lane) Comparison {
	ch := c.choose(q)
	answer := Comparison{
		Question: q, N: Counted{LeftOut: ch.leftOut}, Rows: make([]ComparisonRow, len(q.Items)), Methods: compareMethods,
	}
	views := make([]*rowView, len(q.Items))
	work := make(chan int)
	var workers sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), max(1, len(q.Items))) {
		workers.Go(func() {
			for i := range work {
				views[i] = c.view(columnKey{q.Items[i].Kind, q.Items[i].Code}, ch)
				answer.Rows[i] = c.compareRow(q.Items[i], views[i], lanes)
			}
		})
	}
	for i := range q.Items {
		work <- i
	}
	close(work)
	workers.Wait()
	answer.N.Cases, answer.N.Operators = c.answering(views)
	return answer
}

// rowView is one item over the chosen cases.
type rowView struct {
	entries []entry // by date
	totals  []int64 // the same times, ascending
	size    []int   // cases per operator
	present []int32 // operators with cases, ascending
	lost    []LeftOut
}

func (c *Cohort) view(key columnKey, ch choice) *rowView {
	v := &rowView{size: make([]int, len(c.operators)), lost: []LeftOut{}}
	col := c.columns[key]
	if col == nil {
		return v
	}
	v.entries = make([]entry, 0, min(len(col.entries), ch.cases))
	for _, e := range col.entries {
		if ch.picked[e.at] {
			v.entries = append(v.entries, e)
			v.size[e.operator]++
		}
	}
	v.totals = make([]int64, 0, len(v.entries))
	for _, t := range col.ordered {
		if ch.picked[t.at] {
			v.totals = append(v.totals, t.total)
		}
	}
	for operator, size := range v.size {
		if size > 0 {
			v.present = append(v.present, int32(operator))
		}
	}
	v.lost = col.lostOf(ch)
	return v
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
func (c *Cohort) answering(views []*rowView) (cases, operators int) {
	counts, acts := make([]bool, len(c.rows)), make([]bool, len(c.operators))
	for _, v := range views {
		for _, e := range v.entries {
			if !counts[e.at] {
				counts[e.at] = true
				cases++
			}
		}
		for _, operator := range v.present {
			if !acts[operator] {
				acts[operator] = true
				operators++
			}
		}
	}
	return cases, operators
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
	for _, e := range own[max(0, len(own)-mostLanePoints):] {
		l.Points = append(l.Points, c.pointOf(item, e))
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

func (c *Cohort) pointOf(item Item, e entry) Point {
	row := &c.rows[e.at]
	p := Point{CaseID: row.CaseID, Date: row.Date, Total: e.total, Grade: row.Before.NuclearGrade, Part: c.cases.several[e.at]}
	parts := row.Steps
	if item.Kind == OfStage {
		parts = row.Stages
	}
	if item.Kind != OfOperation {
		for i := range parts {
			if parts[i].Code == item.Code {
				p.At = parts[i].At
			}
		}
	}
	return p
}
