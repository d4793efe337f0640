package hydro

import (
	"encoding/binary"
	"math/bits"

	"wetfeet/terrain"
)

// Accumulate writes into dst what runs through every cell: its own load and
// what its neighbours send it. A nil load is the area of a cell, m², which
// makes dst the upslope area. Voids come out as NaN, and their load does not
// count.
//
// The balance, in the units of the load, says how much went in, how much
// stays in pits (Ponded) and how much left at the rim and beside voids.
//
// It takes time in proportion to the cells. The order in which a cell gets its
// water from its donors, and so the last bit of the sum, depends on the ground
// and the size of the grid but not on the number of threads. It panics on
// grids of another size.
func (f *Flow) Accumulate(dst *terrain.Grid[float64], load *terrain.Grid[float32]) Balance {
	if dst.Rows != f.Rows || dst.Cols != f.Cols || load != nil && (load.Rows != f.Rows || load.Cols != f.Cols) {
		panic("hydro: Accumulate on grids of different sizes")
	}
	a := accumulation{Flow: f, sum: dst.Cells, own: f.CellArea(), step: offsets(f.Frame)}
	if load != nil {
		a.load = load.Cells
	}
	a.pending = f.donors()
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
	pending []uint8 // the donors that have not been reckoned yet, or done
	step    [8]int
}

// done stands in pending for a cell that has been reckoned: anything but 0,
// which says that it is time to.
const done = 0xff

// A reach is a run of rows that is reckoned on its own. Water that leaves it
// is put down in over, for the reach above or below to take up in the next
// round.
type reach struct {
	lo, hi int // cells
	ready  []int
	over   [2][]arrival // to the reach above, to the reach below
}

// An arrival is water that comes to a cell from another reach.
type arrival struct {
	cell   int
	donor  uint8 // its bit in pending
	amount float64
}

// run shares the rows out among reaches, which get worked each as far as they
// can and then exchange what crossed from one to the next. Water that winds
// to and fro across a border takes a round for each crossing, but there are
// few borders and a round without much work takes microseconds.
//
// How many reaches there are must not depend on the number of threads, or it
// would show in the order of the sums.
func (a *accumulation) run() {
	const leastRows, mostReaches = 64, 16
	reaches := make([]reach, max(1, min(a.Rows/leastRows, mostReaches)))
	n := len(reaches)
	terrain.Bands(n, func(lo, hi int) {
		for k := lo; k < hi; k++ {
			r := &reaches[k]
			r.lo, r.hi = k*a.Rows/n*a.Cols, (k+1)*a.Rows/n*a.Cols
			a.start(r)
		}
	})
	for {
		crossed := false
		in := make([][2][]arrival, n)
		for k := range reaches {
			r := &reaches[k]
			if k > 0 {
				in[k-1][1] = r.over[0]
			}
			if k+1 < n {
				in[k+1][0] = r.over[1]
			}
			crossed = crossed || len(r.over[0])+len(r.over[1]) > 0
			r.over = [2][]arrival{}
		}
		if !crossed {
			return
		}
		terrain.Bands(n, func(lo, hi int) {
			for k := lo; k < hi; k++ {
				for _, arrivals := range in[k] {
					a.resume(&reaches[k], arrivals)
				}
			}
		})
	}
}

// start reckons from the heads of the flow.
func (a *accumulation) start(r *reach) {
	z := a.z.Cells
	for i := r.lo; i < r.hi; i++ {
		switch {
		case terrain.IsVoid(z[i]):
			a.sum[i] = float64(terrain.Void())
		case a.load == nil:
			a.sum[i] = a.own
		default:
			a.sum[i] = float64(a.load[i])
		}
	}
	for i := r.lo; i < r.hi; i++ {
		if a.pending[i] == 0 {
			a.reckon(r, i)
		}
	}
}

// resume takes up what came from a neighbouring reach.
func (a *accumulation) resume(r *reach, arrivals []arrival) {
	for _, v := range arrivals {
		a.sum[v.cell] += v.amount
		if a.pending[v.cell] &^= v.donor; a.pending[v.cell] == 0 {
			a.reckon(r, v.cell)
		}
	}
}

// reckon hands on the water of cell i, whose donors are all done, and that of
// every cell of the reach whose donors are then done too.
func (a *accumulation) reckon(r *reach, i int) {
	sum, pending, receivers := a.sum, a.pending, a.receivers
	var shares [8]float64
	ready := append(r.ready[:0], i)
	for len(ready) > 0 {
		i = ready[len(ready)-1]
		ready = ready[:len(ready)-1]
		pending[i] = done
		m := receivers[i]
		switch {
		case m&(m-1) == 0: // one or none
			shares[bits.TrailingZeros8(m)&7] = 1
		case a.Routing == Multiple:
			a.weigh(i, &a.step, &shares)
		default:
			shares = a.shares(i)
		}
		for ; m != 0; m &= m - 1 {
			k := bits.TrailingZeros8(m) & 7
			amount := float64(sum[i] * shares[k])
			j, bit := i+a.step[k], uint8(0x80)>>k // the way back is 7 − k
			switch {
			case j < r.lo:
				r.over[0] = append(r.over[0], arrival{j, bit, amount})
			case j >= r.hi:
				r.over[1] = append(r.over[1], arrival{j, bit, amount})
			default:
				sum[j] += amount
				if pending[j] &^= bit; pending[j] == 0 {
					ready = append(ready, j)
				}
			}
		}
	}
	r.ready = ready
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
