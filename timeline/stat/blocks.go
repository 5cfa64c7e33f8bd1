package stat

import (
	"runtime"
	"sync"
)

// blockRows is the number of rows that are worked on together: with a dozen columns they stay in the fast cache. Of 128 to
// 512 tried, 256 was the quickest.
const blockRows = 256

// scratch is room for what is needed of one block only.
type scratch struct{ first, second [blockRows]float64 }

// inBlocks runs work over rows 0..n in blocks of fixed size, on all cores, each with room of its own. Each block writes only
// what belongs to it, and the caller adds up the blocks in order, so the result does not depend on the number of cores.
func inBlocks(n int, work func(block, from, to int, room *scratch)) {
	blocks := (n + blockRows - 1) / blockRows
	workers := max(1, min(runtime.GOMAXPROCS(0), blocks))
	some := func(w int) {
		var room scratch
		for b := w; b < blocks; b += workers {
			work(b, b*blockRows, min(n, (b+1)*blockRows), &room)
		}
	}
	var group sync.WaitGroup
	for w := range workers - 1 {
		group.Go(func() { some(1 + w) })
	}
	some(0)
	group.Wait()
}
