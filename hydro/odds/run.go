package odds

import (
	"context"
	"runtime"
	"sync"

	"wetfeet/terrain"
)

// Run does what [Options] ask for.
//
// If ctx is done it finishes the draws that are under way, a second or two on
// a million cells, and returns the draws from the first to the last of those,
// without a gap, together with the cause; without any draw the Result is nil.
// It returns a [*MemoryError] if the limit does not allow as many draws, and
// an error that joins all that is wrong with the options. If the links of a
// draw cannot be had, or what is further done on it fails, that error is
// returned for the first such draw.
//
// The same options give the same bits at any number of workers.
func Run(ctx context.Context, o Options) (*Result, error) {
	o = o.filled()
	if err := o.check(); err != nil {
		return nil, err
	}
	if err := o.fit(); err != nil {
		return nil, err
	}
	r := &run{ctx: ctx, o: &o, result: newResult(&o)}
	made := []*worker{newWorker(r)}
	workers := o.workers(mostFound)
	if workers < o.all() { // but for the roughest ground; a first pair will tell
		made[0].pair()
		workers = o.workers(made[0].found)
	}
	for len(made) < workers {
		made = append(made, newWorker(r))
	}
	var wg sync.WaitGroup
	for _, w := range made {
		wg.Go(func() {
			for w.pair() {
			}
		})
	}
	wg.Wait()
	if r.failed != nil {
		return nil, r.failed
	}
	if r.done == 0 {
		return nil, context.Cause(ctx)
	}
	var counts [][]uint32
	var left []leftOut
	var void []bool
	for _, w := range made {
		counts, left = append(counts, w.ponded), append(left, w.left...)
		if w.void != nil {
			void = w.void
		}
	}
	r.result.finish(&o, r.done, void, counts, left)
	if r.done < o.Draws {
		return r.result, context.Cause(ctx)
	}
	return r.result, nil
}

// A run hands out pairs of draws in order. A pair that was handed out is
// finished, so those that are done never have a gap.
type run struct {
	ctx    context.Context
	o      *Options
	result *Result

	lock     sync.Mutex
	pair     int // the next one
	done     int // draws
	failed   error
	failedAt int // the first draw that did
}

// next is the number of a pair to do, and whether there is one.
func (r *run) next() (k int, ok bool) {
	r.lock.Lock()
	defer r.lock.Unlock()
	k = r.pair
	if 2*k >= r.o.Draws || r.failed != nil || r.ctx.Err() != nil {
		return 0, false
	}
	r.pair++
	return k, true
}

// tell takes note of a draw that is done, or failed.
func (r *run) tell(draw int, err error) {
	r.lock.Lock()
	defer r.lock.Unlock()
	if err != nil {
		if r.failed == nil || draw < r.failedAt {
			r.failed, r.failedAt = err, draw
		}
		return
	}
	r.done++
	if r.o.Progress != nil {
		r.o.Progress(r.done, r.o.Draws)
	}
}

// A worker does one draw after the other, always in the same memory.
type worker struct {
	run    *run
	source Source
	ground [2]*terrain.Grid[float32]
	ponded []uint32 // by cell: draws
	void   []bool   // by cell; nil before the first draw
	left   []leftOut
	match  matcher
	found  float64 // most hollows on any draw, by cell
}

func newWorker(r *run) *worker {
	f := r.o.Frame
	return &worker{
		run:    r,
		source: r.o.Source(),
		ground: [2]*terrain.Grid[float32]{terrain.NewGrid[float32](f), terrain.NewGrid[float32](f)},
		ponded: make([]uint32, f.Len()),
		match:  matcher{owner: make([]int32, f.Len())},
	}
}

// pair does the next pair of draws and reports whether there was one.
func (w *worker) pair() bool {
	k, ok := w.run.next()
	if !ok {
		return false
	}
	w.source.Pair(k, w.ground[0].Cells, w.ground[1].Cells)
	if w.void == nil {
		w.void = make([]bool, w.run.o.Frame.Len())
		for c, z := range w.ground[0].Cells {
			w.void[c] = terrain.IsVoid(z)
		}
	}
	for side, z := range w.ground {
		if draw := 2*k + side; draw < w.run.o.Draws {
			w.run.tell(draw, w.draw(draw, z))
		}
	}
	return true
}

// all is the number of workers that Options ask for.
func (o *Options) all() int {
	n := o.Workers
	if n == 0 {
		n = runtime.GOMAXPROCS(0)
	}
	return min(n, (o.Draws+1)/2)
}
