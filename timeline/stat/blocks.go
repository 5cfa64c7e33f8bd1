package stat

import (
	"runtime"
	"sync"
)

// blockRows is the number of rows that are worked on together: small enough for the fast cache.
const blockRows = 512

// inBlocks runs work over rows 0..n in blocks of fixed size, on all cores. Each block writes only what belongs to it, and
// the caller adds up the blocks in order, so the result does not depend on the number of cores.
func inBlocks(n int, work func(block, from, to int)) (blocks int) {
	blocks = (n + blockRows - 1) / blockRows
	workers := min(runtime.GOMAXPROCS(0), blocks)
	if workers <= 1 {
		for b := range blocks {
			work(b, b*blockRows, min(n, (b+1)*blockRows))
		}
		return blocks
	}
	var group sync.WaitGroup
	for w := range workers {
		group.Go(func() {
			for b := w; b < blocks; b += workers {
				work(b, b*blockRows, min(n, (b+1)*blockRows))
			}
		})
	}
	group.Wait()
	return blocks
}
