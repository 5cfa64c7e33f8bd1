package annotate

import (
	"context"
	"slices"
	"sync"

	"zonule/timeline"
	"zonule/timeline/cohort"
)

// snapshot holds the flat rows of all cases in memory. Every use first reads the rows that were committed since the last
// one, by this server or another. The zero value is ready; it is safe for use by several goroutines.
type snapshot struct {
	mutex  sync.Mutex
	number int64 // of the newest row that was read
	rows   []cohort.Row
	place  map[string]int // of a case among the rows
	words  map[string]string
	groups groups
	// index is made of the rows; nil when one has changed since.
	index *cohort.Cohort
}

// rowsAtOnce bounds what stands in memory twice while rows are read.
const rowsAtOnce = 10_000

// cohort gives the rows as the transaction sees them, or newer, indexed. It does not change.
func (s *snapshot) cohort(ctx context.Context, tx Tx) (*cohort.Cohort, error) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	if err := s.refresh(ctx, tx); err != nil {
		return nil, err
	}
	if s.index == nil {
		s.index = cohort.New(s.rows)
	}
	return s.index, nil
}

// group gives the measured times of the other cases with the performed technique, by code; "" is the operation and
// "stage:<code>" a stage. Each list ascends.
func (s *snapshot) group(ctx context.Context, tx Tx, technique Technique, exceptCase string) (map[string][]int64, error) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	if err := s.refresh(ctx, tx); err != nil {
		return nil, err
	}
	var except *cohort.Row
	if at, known := s.place[exceptCase]; known && s.rows[at].Technique == string(technique) {
		except = &s.rows[at]
	}
	return s.groups.without(string(technique), except), nil
}

// refresh reads what was committed since. Nothing is lost when it fails midway: it goes on there.
func (s *snapshot) refresh(ctx context.Context, tx Tx) error {
	for {
		kept, err := tx.CaseRowsAfter(ctx, s.number, rowsAtOnce)
		if err != nil {
			return err
		}
		s.take(kept)
		if len(kept) < rowsAtOnce {
			return nil
		}
	}
}

func (s *snapshot) take(kept []KeptRow) {
	if len(kept) == 0 {
		return
	}
	if s.place == nil {
		s.place, s.words, s.groups = map[string]int{}, map[string]string{}, groups{}
	}
	s.index = nil
	s.rows = slices.Grow(s.rows, len(kept))
	var added []*cohort.Row
	for _, k := range kept {
		s.share(&k.Row)
		if at, known := s.place[k.CaseID]; known {
			s.groups.remove(&s.rows[at])
			s.rows[at] = k.Row
			added = append(added, &s.rows[at])
		} else {
			s.place[k.CaseID] = len(s.rows)
			s.rows = append(s.rows, k.Row)
			added = append(added, &s.rows[len(s.rows)-1])
		}
	}
	s.groups.add(added)
	s.number = kept[len(kept)-1].Number
}

// groups holds the measured times, ascending, by technique and code.
type groups map[string]map[string][]int64

// timesIn calls fn for each measured time of a row.
func timesIn(row *cohort.Row, fn func(code string, total int64)) {
	if row.Measured && row.Time != nil {
		fn("", *row.Time)
	}
	for _, part := range row.Stages {
		if part.Quality == timeline.Measured && part.Total != nil {
			fn("stage:"+part.Code, *part.Total)
		}
	}
	for _, part := range row.Steps {
		if part.Quality == timeline.Measured && part.Total != nil {
			fn(part.Code, *part.Total)
		}
	}
}

// fewAdded rows are put into their places one by one; for more it is quicker to sort.
const fewAdded = 50

func (g groups) add(rows []*cohort.Row) {
	for _, row := range rows {
		of := g[row.Technique]
		if of == nil {
			of = map[string][]int64{}
			g[row.Technique] = of
		}
		timesIn(row, func(code string, total int64) {
			at := len(of[code])
			if len(rows) <= fewAdded {
				at, _ = slices.BinarySearch(of[code], total)
			}
			of[code] = slices.Insert(of[code], at, total)
		})
	}
	if len(rows) <= fewAdded {
		return
	}
	for _, of := range g {
		for _, totals := range of {
			slices.Sort(totals)
		}
	}
}

func (g groups) remove(row *cohort.Row) {
	of := g[row.Technique]
	timesIn(row, func(code string, total int64) { of[code] = without(of[code], total) })
}

// without takes one of the values, which is there, out of an ascending list.
func without(totals []int64, total int64) []int64 {
	at, _ := slices.BinarySearch(totals, total)
	return slices.Delete(totals, at, at+1)
}

// without gives a copy of the times of a technique that leaves out those of a row, which may be nil.
func (g groups) without(technique string, row *cohort.Row) map[string][]int64 {
	copied := map[string][]int64{}
	for code, totals := range g[technique] {
		copied[code] = slices.Clone(totals)
	}
	if row != nil {
		timesIn(row, func(code string, total int64) { copied[code] = without(copied[code], total) })
	}
	for code, totals := range copied {
		if len(totals) == 0 {
			delete(copied, code)
		}
	}
	return copied
}
