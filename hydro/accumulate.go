package hydro

import (
	"encoding/binary"
	"math/bits"
	"runtime"
	"sync"

	"wetfeet/terrain"
)

// Accumulate writes into dst what runs through every cell: its own load and
// what its neighbours send it. A nil load is the area of a cell, m², which
// makes dst the upslope area. Voids come out as NaN, and their load is lost
// on nobody: it is not counted.
//
// The balance, in the units of the load, says how much went in, how much
// stays in pits (Ponded) and how much left at the rim and beside voids.
//
// It takes time in proportion to the cells. A cell is reckoned once all of
// those that send it water are, and adds them up in the order of their index;
// so the result is the same to the last bit at any number of threads. It
// panics on grids of another size.
func (f *Flow) Accumulate(dst *terrain.Grid[float64], load *terrain.Grid[float32]) Balance {
	if dst.Rows != f.Rows || dst.Cols != f.Cols || load != nil && (load.Rows != f.Rows || load.Cols != f.Cols) {
		panic("hydro: Accumulate on grids of different sizes")
	}
	a := accumulation{Flow: f, sum: dst.Cells, own: f.CellArea(), step: offsets(f.Frame)}
	if load != nil {
		a.load = load.Cells
	}
	a.donors = f.donors()
	a.pending = append([]uint8(nil), a.donors...)
	a.run()
	return a.balance()
}

// donors has bit k set for a cell that gets water from its neighbour k.
func (f *Flow) donors() []uint8 {
	donors := make([]uint8, f.Len())
	terrain.Bands(f.Rows, func(lo, hi int) {
		for r := lo; r < hi; r++ {
			for k := range rowStep {
				if from := r + rowStep[k]; from >= 0 && from < f.Rows {
					donorsFrom(donors[r*f.Cols:][:f.Cols], f.receivers[from*f.Cols:][:f.Cols], k)
				}
			}
		}
	})
	return donors
}

// donorsFrom sets bit k of a row of donors wherever the cell at their
// neighbour k, in the row given, sends its water back along that way. Eight
// cells are done at once, each in a byte of a word.
func donorsFrom(donors, from []uint8, k int) {
	back := 7 - k
	if colStep[k] > 0 {
		donors, from = donors[:len(donors)-1], from[1:]
	} else if colStep[k] < 0 {
		donors, from = donors[1:], from[:len(from)-1]
	}
	const one = 0x0101010101010101
	i := 0
	for ; i+8 <= len(from); i += 8 {
		got := binary.LittleEndian.Uint64(from[i:]) >> back & one
		binary.LittleEndian.PutUint64(donors[i:], binary.LittleEndian.Uint64(donors[i:])|got<<k)
	}
	for ; i < len(from); i++ {
		donors[i] |= from[i] >> back & 1 << k
	}
}

// An accumulation is one run of Accumulate.
type accumulation struct {
	*Flow
	sum     []float64
	load    []float32
	own     float64 // load of a cell when load is nil
	donors  []uint8
	pending []uint8 // the donors that have not been reckoned yet
	step    [8]int
}

// A reach is the rows that one thread reckons. Water that leaves them is put
// down in over, for the reach above or below to take up in the next round.
type reach struct {
	lo, hi int // cells
	ready  []int
	over   [2][]arrival // to the reach above, to the reach below
}

// An arrival says that a donor of a cell has been reckoned.
type arrival struct {
	cell  int
	donor uint8 // its bit in pending
}

// run shares the rows out among threads, which work each as far as they can
// get and then exchange what crossed from one to the next. Water that winds
// to and fro across a border takes a round for each crossing, but there are
// few borders, and a round without work costs a microsecond or so.
func (a *accumulation) run() {
	const leastRows = 64 // fewer are not worth a thread
	n := max(1, min(runtime.GOMAXPROCS(0), a.Rows/leastRows))
	reaches := make([]reach, n)
	var wg sync.WaitGroup
	for k := range reaches {
		r := &reaches[k]
		r.lo, r.hi = k*a.Rows/n*a.Cols, (k+1)*a.Rows/n*a.Cols
		wg.Go(func() { a.start(r) })
	}
	wg.Wait()
	for {
		crossed := false
		in := make([][2][]arrival, n)
		for k := range reaches {
			r := &reaches[k]
			if k > 0 {
				in[k-1][0] = r.over[0]
			}
			if k+1 < n {
				in[k+1][1] = r.over[1]
			}
			crossed = crossed || len(r.over[0])+len(r.over[1]) > 0
			r.over = [2][]arrival{}
		}
		if !crossed {
			return
		}
		for k := range reaches {
			if len(in[k][0])+len(in[k][1]) > 0 {
				wg.Go(func() { a.resume(&reaches[k], in[k]) })
			}
		}
		wg.Wait()
	}
}

// start reckons from the heads of the flow.
func (a *accumulation) start(r *reach) {
	for i := r.lo; i < r.hi; i++ {
		switch {
		case terrain.IsVoid(a.z.Cells[i]):
			a.sum[i] = float64(terrain.Void())
		case a.donors[i] == 0:
			a.reckon(r, i)
		}
	}
}

// resume takes up what came from the neighbouring reaches.
func (a *accumulation) resume(r *reach, in [2][]arrival) {
	for _, from := range in {
		for _, v := range from {
			if a.pending[v.cell] &^= v.donor; a.pending[v.cell] == 0 {
				a.reckon(r, v.cell)
			}
		}
	}
}

// reckon adds up cell i, whose donors are all done, and every cell of the
// reach that thereby has its own donors done.
func (a *accumulation) reckon(r *reach, i int) {
	for {
		a.sum[i] = a.inflow(i)
		for m := a.receivers[i]; m != 0; m &= m - 1 {
			k := bits.TrailingZeros8(m)
			j, bit := i+a.step[k], uint8(1)<<(7-k)
			switch {
			case j < r.lo:
				r.over[0] = append(r.over[0], arrival{j, bit})
			case j >= r.hi:
				r.over[1] = append(r.over[1], arrival{j, bit})
			default:
				if a.pending[j] &^= bit; a.pending[j] == 0 {
					r.ready = append(r.ready, j)
				}
			}
		}
		if len(r.ready) == 0 {
			return
		}
		i = r.ready[len(r.ready)-1]
		r.ready = r.ready[:len(r.ready)-1]
	}
}

// inflow is the load of a cell and what its donors send it.
func (a *accumulation) inflow(i int) float64 {
	sum := a.own
	if a.load != nil {
		sum = float64(a.load[i])
	}
	m := a.donors[i]
	switch a.Routing {
	case Single:
		for ; m != 0; m &= m - 1 {
			sum += a.sum[i+a.step[bits.TrailingZeros8(m)]]
		}
	case Multiple:
		for ; m != 0; m &= m - 1 {
			k := bits.TrailingZeros8(m)
			j := i + a.step[k]
			sum += float64(a.weight(j, i, 7-k) * a.scale[j] * a.sum[j])
		}
	case Facet:
		for ; m != 0; m &= m - 1 {
			k := bits.TrailingZeros8(m)
			j := i + a.step[k]
			sum += float64(a.facetShare(j, 7-k) * a.sum[j])
		}
	}
	return sum
}

// balance adds up what went in and where it ended.
func (a *accumulation) balance() Balance {
	var b Balance
	for i, z := range a.z.Cells {
		if terrain.IsVoid(z) {
			continue
		}
		if a.load == nil {
			b.In += a.own
		} else {
			b.In += float64(a.load[i])
		}
		if a.receivers[i] != 0 {
			continue
		}
		if isOpen(a.z, i) {
			b.Left += a.sum[i]
		} else {
			b.Ponded += a.sum[i]
		}
	}
	b.Error = b.In - b.Ponded - b.Left
	return b
}
