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
	number int64          // of the newest row that was read
	index  *cohort.Cohort // of all rows, nil before the first use; it is replaced and never changed
	dates  map[string]string
	words  map[string]string
	groups groups
}

// rowsAtOnce bounds how many rows stand in memory as text while they are read.
const rowsAtOnce = 5000

// cohort gives the rows as the transaction sees them, or newer, indexed. It does not change.
func (s *snapshot) cohort(ctx context.Context, tx Tx) (*cohort.Cohort, error) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	if err := s.refresh(ctx, tx); err != nil {
		return nil, err
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
	except := s.row(exceptCase)
	if except != nil && except.Technique != string(technique) {
		except = nil
	}
	return s.groups.without(string(technique), except), nil
}

// row finds the row of a case; nil when there is none.
func (s *snapshot) row(caseID string) *cohort.Row {
	date, known := s.dates[caseID]
	if !known {
		return nil
	}
	return s.index.Row(date, caseID)
}

// refresh reads what was committed since. What was read before it fails is kept, and the next refresh goes on there.
func (s *snapshot) refresh(ctx context.Context, tx Tx) error {
	var rows []cohort.Row
	for {
		kept, err := tx.CaseRowsAfter(ctx, s.number, rowsAtOnce)
		for _, k := range kept {
			rows, s.number = append(rows, k.Row), k.Number
		}
		if err != nil || len(kept) < rowsAtOnce {
			s.take(rows)
			return err
		}
	}
}

// take puts rows of different cases into the snapshot.
func (s *snapshot) take(rows []cohort.Row) {
	if s.index == nil {
		s.index, s.dates, s.words, s.groups = cohort.New(nil), map[string]string{}, map[string]string{}, groups{}
	}
	if len(rows) == 0 {
		return
	}
	for i := range rows {
		row := &rows[i]
		s.share(row)
		if old := s.row(row.CaseID); old != nil {
			s.groups.remove(old)
		}
	}
	for i := range rows {
		s.dates[rows[i].CaseID] = rows[i].Date
	}
	s.groups.add(rows)
	if s.index.Len() == 0 {
		s.index = cohort.New(rows)
	} else {
		s.index = s.index.With(rows)
	}
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

func (g groups) add(rows []cohort.Row) {
	for i := range rows {
		row := &rows[i]
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
