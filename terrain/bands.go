package terrain

import (
	"runtime"
	"sync"
)

// Bands calls f once for each of several runs of rows that together cover a
// grid of that many rows, as many at once as there are processors.
//
// The runs do not overlap, so f may write its own rows without a lock. What
// f writes must not depend on where a run begins: then the result is the
// same at any number of threads.
func Bands(rows int, f func(lo, hi int)) {
	n := min(runtime.GOMAXPROCS(0), rows)
	if n <= 1 {
		if rows > 0 {
			f(0, rows)
		}
		return
	}
	var wg sync.WaitGroup
	for i := range n {
		lo, hi := i*rows/n, (i+1)*rows/n
		wg.Go(func() { f(lo, hi) })
	}
	wg.Wait()
}
