package cohort

import (
	"cmp"
	"math"
	"runtime"
	"slices"
	"sync"

	"zonule/timeline"
)

// Cohort holds the facts of all cases, by date and then id, indexed so that a comparison touches only what it asks for.
// It does not change; several goroutines may read it.
type Cohort struct {
	rows      []*Row
	operators []string // ids, ascending
	cases     caseColumns
	columns   map[columnKey]*column
	flat      struct {
		once sync.Once
		rows []Row
	}
}

// columnKey is an item without its name.
type columnKey struct {
	kind Kind
	code string
}

// caseColumns are the facts by which cases are chosen and adjusted, one entry for a case.
type caseColumns struct {
	alone   []int32    // operator who did the whole case; nobody if several did or nobody is known
	several []bool     // more than one person operated
	mix     []float64  // len(mixTerms) terms of each case, 0 where unknown
	set     []int32    // which of sets a case has
	sets    []features // each once
}

// nobody is the operator of what is nobody's alone.
const nobody = int32(-1)

// column is one item over all cases.
type column struct {
	entries []entry // with a measured time and one operator, by case
	ordered []timed // the same by time
	lost    []loss  // by case
}

// entry is the time of one case.
type entry struct {
	at       int32 // index of the case
	operator int32
	total    int64 // ms, above 0
	log      float64
}

// timed is the time of one case, ms.
type timed struct {
	total int64
	at    int32
}

// loss is a case whose item gives no time, with the reason.
type loss struct {
	at     int32
	reason lossReason
}

// New indexes a copy of the rows; what they point to must not change later.
func New(rows []Row) *Cohort {
	c := &Cohort{rows: make([]*Row, len(rows)), columns: map[columnKey]*column{}}
	copied := slices.Clone(rows)
	for i := range copied {
		c.rows[i] = &copied[i]
	}
	slices.SortFunc(c.rows, byDateAndCase)
	place := c.placeOperators(operatorsOf(c.rows))
	c.cases = newCaseColumns(len(c.rows))
	sets := map[features]int32{}
	for i := range c.rows {
		c.fill(i, place, sets)
	}
	c.order()
	return c
}

func byDateAndCase(a, b *Row) int {
	return cmp.Or(cmp.Compare(a.Date, b.Date), cmp.Compare(a.CaseID, b.CaseID))
}

func newCaseColumns(cases int) caseColumns {
	return caseColumns{
		alone: make([]int32, cases), several: make([]bool, cases), mix: make([]float64, cases*len(mixTerms)), set: make([]int32, cases),
	}
}

// fill takes a row over into the columns.
func (c *Cohort) fill(i int, place map[string]int32, sets map[features]int32) {
	row := c.rows[i]
	people := peopleOf(row)
	c.cases.several[i] = len(people) > 1
	c.cases.alone[i] = nobody
	if len(people) == 1 && people[0] != "" {
		c.cases.alone[i] = place[people[0]]
	}
	f := fillMix(row, c.cases.mix[i*len(mixTerms):(i+1)*len(mixTerms)])
	if _, known := sets[f]; !known {
		sets[f] = int32(len(c.cases.sets))
		c.cases.sets = append(c.cases.sets, f)
	}
	c.cases.set[i] = sets[f]
	c.index(int32(i), place)
}

// order sorts every column by time, on all cores.
func (c *Cohort) order() {
	work := make(chan *column)
	var workers sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		workers.Go(func() {
			for col := range work {
				col.ordered = make([]timed, len(col.entries))
				for i, e := range col.entries {
					col.ordered[i] = timed{e.total, e.at}
				}
				slices.SortFunc(col.ordered, byTime)
			}
		})
	}
	for _, col := range c.columns {
		work <- col
	}
	close(work)
	workers.Wait()
}

func byTime(a, b timed) int { return cmp.Compare(a.total, b.total) }

// Len is the number of cases.
func (c *Cohort) Len() int { return len(c.rows) }

// Rows gives all rows, by date and then id. They are copied side by side once, at the first use, and must not be changed.
func (c *Cohort) Rows() []Row {
	c.flat.once.Do(func() {
		c.flat.rows = make([]Row, len(c.rows))
		for i, row := range c.rows {
			c.flat.rows[i] = *row
		}
	})
	return c.flat.rows
}

// Of gives the rows of a technique, by date and then id. They must not be changed.
func (c *Cohort) Of(technique string) []*Row {
	var rows []*Row
	for _, row := range c.rows {
		if row.Technique == technique {
			rows = append(rows, row)
		}
	}
	return rows
}

// operatorsOf gives the ids of everybody who operated.
func operatorsOf(rows []*Row) map[string]int32 {
	place := map[string]int32{}
	last := "" // operators repeat from step to step
	name := func(id string) {
		if id != last {
			place[id], last = 0, id
		}
	}
	for _, row := range rows {
		name(row.Operator)
		for _, parts := range [][]Part{row.Steps, row.Stages} {
			for i := range parts {
				for j := range parts[i].ByOperator {
					name(parts[i].ByOperator[j].Operator)
				}
			}
		}
	}
	delete(place, "")
	return place
}

// placeOperators puts the ids into order and tells the place of each.
func (c *Cohort) placeOperators(place map[string]int32) map[string]int32 {
	for id := range place {
		c.operators = append(c.operators, id)
	}
	slices.Sort(c.operators)
	for at, id := range c.operators {
		place[id] = int32(at)
	}
	return place
}

// operatorAt gives the index of an operator, nobody for one without cases.
func (c *Cohort) operatorAt(id string) int32 {
	if at, known := slices.BinarySearch(c.operators, id); known {
		return int32(at)
	}
	return nobody
}

// peopleOf gives who operated any step; where the marks do not tell, who led.
func peopleOf(row *Row) []string {
	var people []string
	for _, step := range row.Steps {
		for _, share := range step.ByOperator {
			if id := orLead(row, share.Operator); share.Episodes > 0 && !slices.Contains(people, id) {
				people = append(people, id)
			}
		}
	}
	if people == nil {
		return []string{row.Operator}
	}
	return people
}

func orLead(row *Row, id string) string {
	if id == "" {
		return row.Operator
	}
	return id
}

func (c *Cohort) index(at int32, place map[string]int32) {
	row := c.rows[at]
	for i := range row.Steps {
		c.add(columnKey{OfStep, row.Steps[i].Code}, at, place, &row.Steps[i])
	}
	for i := range row.Stages {
		c.add(columnKey{OfStage, row.Stages[i].Code}, at, place, &row.Stages[i])
	}
	if row.Tagged {
		whole := Part{Total: row.Time, Episodes: 1, Quality: timeline.Measured}
		if !row.Measured {
			whole.Quality = timeline.LowerBound
		}
		c.add(columnKey{OfOperation, ""}, at, place, &whole)
	}
}

func (c *Cohort) add(key columnKey, at int32, place map[string]int32, part *Part) {
	col := c.columns[key]
	if col == nil {
		col = &column{}
		c.columns[key] = col
	}
	operator, total, reason := c.timeOf(at, place, part)
	if reason != notLost {
		col.lost = append(col.lost, loss{at, reason})
		return
	}
	col.entries = append(col.entries, entry{at: at, operator: operator, total: total, log: math.Log(float64(total))})
}
