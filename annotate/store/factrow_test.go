package store_test

import (
	"fmt"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
	"zonule/timeline/cohort"
)

// TestRowNumbersRiseInTheOrderOfCommits holds one writer between its number and its commit: another must not get a later
// number and commit first, or whoever reads in between would never see the row of the first.
func TestRowNumbersRiseInTheOrderOfCommits(t *testing.T) {
	address := annotatetest.PostgresAddress(t)
	u := annotatetest.NewUnit(t, address)
	second := annotatetest.Open(t, address)
	slow, quick := u.AddCase(t), u.AddCase(t)
	last := rowsAfter(t, u, 0)
	require.Len(t, last, 2)
	after := last[1].Number
	numbered, release := make(chan struct{}), make(chan struct{})
	var writers sync.WaitGroup
	var slowErr, quickErr error
	writers.Go(func() {
		slowErr = u.Store.Write(t.Context(), func(tx annotate.Tx) error {
			err := tx.PutCaseRows(t.Context(), 1, cohort.Row{CaseID: slow.ID})
			close(numbered)
			<-release
			return err
		})
	})
	<-numbered
	committed := make(chan struct{})
	writers.Go(func() {
		defer close(committed)
		quickErr = second.Write(t.Context(), func(tx annotate.Tx) error {
			return tx.PutCaseRows(t.Context(), 1, cohort.Row{CaseID: quick.ID})
		})
	})
	select {
	case <-committed:
		t.Error("the second writer did not wait for the first")
	case <-time.After(300 * time.Millisecond):
	}
	require.Empty(t, rowsAfter(t, u, after))
	close(release)
	writers.Wait()
	require.NoError(t, slowErr)
	require.NoError(t, quickErr)
	now := rowsAfter(t, u, after)
	require.Len(t, now, 2)
	require.Equal(t, []string{slow.ID, quick.ID}, []string{now[0].CaseID, now[1].CaseID})
	require.Greater(t, now[1].Number, now[0].Number)
}

// TestAReaderMissesNoRow reads what is new again and again while several writers over two pools change rows.
func TestAReaderMissesNoRow(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		second := annotatetest.Open(t, address)
		var ids []string
		for range 6 {
			ids = append(ids, u.AddCase(t).ID)
		}
		var writers sync.WaitGroup
		faults := make([]error, 4)
		for w := range faults {
			pool := u.Store
			if w%2 == 1 {
				pool = second
			}
			writers.Go(func() {
				for i := range 40 {
					faults[w] = pool.Write(t.Context(), func(tx annotate.Tx) error {
						return tx.PutCaseRows(t.Context(), 1, cohort.Row{CaseID: ids[(w+i)%len(ids)], Date: fmt.Sprintf("%d-%d", w, i)})
					})
					if faults[w] != nil {
						return
					}
				}
			})
		}
		done := make(chan struct{})
		go func() { writers.Wait(); close(done) }()
		known := map[string]cohort.Row{}
		var number int64
		for finished := false; !finished; {
			select {
			case <-done:
				finished = true
			default:
			}
			for _, row := range rowsAfter(t, u, number) {
				require.Greater(t, row.Number, number)
				known[row.CaseID], number = row.Row, row.Number
			}
		}
		for _, err := range faults {
			require.NoError(t, err)
		}
		for _, row := range rowsAfter(t, u, 0) {
			require.Equal(t, row.Row, known[row.CaseID])
		}
		require.Len(t, known, len(ids))
	})
}

func rowsAfter(t *testing.T, u *annotatetest.Unit, number int64) []annotate.KeptRow {
	t.Helper()
	var rows []annotate.KeptRow
	require.NoError(t, u.Store.Read(t.Context(), func(tx annotate.Tx) (err error) {
		rows, err = tx.CaseRowsAfter(t.Context(), number, 100)
		return err
	}))
	return rows
}
