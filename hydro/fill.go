package hydro

import (
	"encoding/binary"
	"math/bits"

	"wetfeet/terrain"
)

// Fill writes into dst the ground z with every hollow filled level to its
// lowest brim: the lowest surface, nowhere below z, from which each cell has
// a way to the rim or to a void that never climbs. Cells have eight
// neighbours. The rim of the grid and every cell beside a void let water out
// at their own level.
//
// No cell is lowered, voids stay voids, and filling twice is the same as
// filling once. −0 comes out as 0. Both grids must have the same frame, or
// Fill panics; dst may be z. It takes time in proportion to the cells and one
// processor, and needs less than 4 bytes a cell beside the grids on noisy
// ground.
//
// The flood comes in from the rim, lowest cell first:
//
//	Barnes, R., Lehman, C., Mulla, D. (2014). Priority-flood: An optimal
//	depression-filling and watershed-labeling algorithm for digital
//	elevation models. Computers & Geosciences 62, 117–127.
func Fill(dst, z *terrain.Grid[float32]) {
	if dst.Frame != z.Frame {
		panic("hydro: Fill between grids of different frames")
	}
	if dst != z {
		copy(dst.Cells, z.Cells)
	}
	f := flood{z: dst.Cells, rows: z.Rows, cols: z.Cols, reached: newBitset(z.Len())}
	f.seed()
	f.run()
}

// A flood rises over ground z, which it fills as it goes.
type flood struct {
	z          []float32
	rows, cols int
	reached    bitset // cells that are in the frontier or have left it, and voids
	frontier   frontier
}

// onRim marks a spot whose eight neighbours are not all on the grid.
const onRim = 1 << 31

// seed puts every cell that lets water out into the frontier.
func (f *flood) seed() {
	for r := range f.rows {
		row := f.z[r*f.cols : (r+1)*f.cols]
		for c, v := range row {
			i := r*f.cols + c
			rim := r == 0 || c == 0 || r == f.rows-1 || c == f.cols-1
			switch {
			case terrain.IsVoid(v):
				f.reached.set(i)
				f.around(r, c, f.seedCell)
			case rim:
				f.seedCell(r, c)
			}
		}
	}
}

// around calls visit for the neighbours of a cell that are on the grid.
func (f *flood) around(row, col int, visit func(row, col int)) {
	for r := max(row-1, 0); r <= min(row+1, f.rows-1); r++ {
		for c := max(col-1, 0); c <= min(col+1, f.cols-1); c++ {
			if r != row || c != col {
				visit(r, c)
			}
		}
	}
}

func (f *flood) seedCell(r, c int) {
	i := r*f.cols + c
	if f.reached.has(i) || terrain.IsVoid(f.z[i]) {
		return
	}
	f.reached.set(i)
	s := spot{rank(f.z[i]), uint32(i)}
	f.z[i] += 0
	if r == 0 || c == 0 || r == f.rows-1 || c == f.cols-1 {
		s.cell |= onRim
	}
	f.frontier.put(s)
}

// run floods inward until every cell is reached.
//
// Of the eight neighbours of a cell only one, on average, is not reached yet.
// So the bits of all eight are read and set at once, and only the open ones
// are looked at.
func (f *flood) run() {
	offset := [9]int{-f.cols - 1, -f.cols, -f.cols + 1, -1, 0, 1, f.cols - 1, f.cols, f.cols + 1}
	for {
		s, ok := f.frontier.take()
		if !ok {
			return
		}
		if s.cell&onRim != 0 {
			i := int(s.cell &^ onRim)
			f.around(i/f.cols, i%f.cols, func(r, c int) {
				if n := r*f.cols + c; !f.reached.has(n) {
					f.reached.set(n)
					f.enter(n, s.rank)
				}
			})
			continue
		}
		i := int(s.cell)
		open := f.reached.claim(i-f.cols-1) | f.reached.claim(i-1)<<3 | f.reached.claim(i+f.cols-1)<<6
		for ; open != 0; open &= open - 1 {
			f.enter(i+offset[bits.TrailingZeros32(open)], s.rank)
		}
	}
}

// enter raises a cell to the level of the water and puts it in the frontier.
func (f *flood) enter(i int, water uint32) {
	k := max(rank(f.z[i]), water)
	f.z[i] = level(k)
	f.frontier.put(spot{k, uint32(i)})
}

// A bitset holds one bit for every cell.
type bitset []byte

// newBitset leaves room to read four bytes from any bit.
func newBitset(n int) bitset { return make(bitset, n/8+5) }

func (b bitset) has(i int) bool { return b[i/8]>>(i%8)&1 != 0 }
func (b bitset) set(i int)      { b[i/8] |= 1 << (i % 8) }

// claim sets bits i, i+1 and i+2 and returns which of them were not set.
func (b bitset) claim(i int) uint32 {
	p := b[i>>3:]
	w := binary.LittleEndian.Uint16(p)
	m := uint16(7) << (i & 7)
	binary.LittleEndian.PutUint16(p, w|m)
	return uint32(^w&m) >> (i & 7)
}
