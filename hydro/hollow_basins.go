package hydro

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
	"sync"

	"wetfeet/terrain"
)

// Basins parts a ground among its pits: every cell belongs to the pit that
// water on it reaches by the steepest way down, or to the outside.
//
// Cells are ordered by (level, index), so no two are level and a flat drains
// towards one of its cells. Of the lower neighbours the one with the steepest
// fall is taken, the one of lowest index among equals. A cell that lets water
// out and has no neighbour truly below it drains outside.
type basins struct {
	label   []int32 // by cell: its basin; basin 0 is the outside, voids included
	pits    []int32 // by basin: its pit; pits[0] means nothing
	saddles []saddle
}

// A saddle is a cell where water of one basin can cross to another: its
// lower neighbours form more than one arc, or it lets water out.
//
// Lower neighbours of one arc touch each other below the cell, so an edge
// from the cell to each further arc is all that it adds to what is connected
// below it. Rough ground has one such edge for three cells, where the pairs
// of cells that touch across basins are two for every cell.
type saddle struct {
	rank uint32 // of the cell
	cell int32
	a, b int32 // basin of the cell and basin across
}

// The eight neighbours in the order of their index.
const (
	northWest = iota
	north
	northEast
	west
	east
	southWest
	south
	southEast
)

// arcOf[m][d] is the arc neighbour d belongs to among the neighbours in
// the set m: those joined to it by steps between neighbours of the set.
var arcOf = arcs()

func arcs() (arc [256][8]uint8) {
	for m := range 256 {
		for d := range 8 {
			if m>>d&1 == 0 {
				continue
			}
			set := 1 << d
			for range 8 {
				for a := range 8 {
					for b := range 8 {
						if set>>a&1 != 0 && m>>b&1 != 0 && beside(a, b) {
							set |= 1 << b
						}
					}
				}
			}
			arc[m][d] = uint8(set)
		}
	}
	return arc
}

// beside reports whether two neighbours of a cell are neighbours themselves.
func beside(a, b int) bool {
	r, c := rowStep[a]-rowStep[b], colStep[a]-colStep[b]
	return -1 <= r && r <= 1 && -1 <= c && c <= 1
}

// A strip is what one run of rows contributes.
type strip struct {
	lo, hi  int // rows
	pits    []int32
	saddles []saddle
}

func findBasins(z *terrain.Grid[float32]) *basins {
	b := &basins{label: make([]int32, z.Len())}
	var strips []*strip
	var lock sync.Mutex
	terrain.Bands(z.Rows, func(lo, hi int) {
		s := &strip{lo: lo, hi: hi}
		s.descend(z, b.label)
		lock.Lock()
		strips = append(strips, s)
		lock.Unlock()
	})
	slices.SortFunc(strips, func(a, b *strip) int { return cmp.Compare(a.lo, b.lo) })
	b.number(strips)
	b.resolve(z.Cols, strips)
	b.join(strips)
	return b
}

// number gives the basins numbers in the order of their pits, whatever the
// strips were.
func (b *basins) number(strips []*strip) {
	pits := 1
	for _, s := range strips {
		pits += len(s.pits)
	}
	b.pits = make([]int32, 1, pits)
	for _, s := range strips {
		for _, pit := range s.pits {
			b.label[pit] = ^int32(len(b.pits))
			b.pits = append(b.pits, pit)
		}
	}
}

// resolve follows the way down from every cell to its pit. While it runs a
// label is the next cell down, or, once known, ^basin.
//
// Each strip follows ways inside itself first. Those that leave it stop at
// the first cell across, which lies in the border rows; these few are
// followed one after the other, and then the strips look the rest up.
func (b *basins) resolve(cols int, strips []*strip) {
	label := b.label
	each(strips, func(s *strip) { b.follow(int32(s.lo*cols), int32(s.hi*cols)) })
	for _, s := range strips[:max(len(strips)-1, 0)] {
		for i := (s.hi - 1) * cols; i < (s.hi+1)*cols; i++ {
			for label[i] >= 0 {
				label[i] = label[label[i]]
			}
		}
	}
	// Labels across the border must not change while they are looked up, so
	// they are turned right afterwards.
	each(strips, func(s *strip) {
		own := label[s.lo*cols : s.hi*cols]
		for i, to := range own {
			if to >= 0 {
				own[i] = label[to]
			}
		}
	})
	each(strips, func(s *strip) {
		own := label[s.lo*cols : s.hi*cols]
		for i, to := range own {
			own[i] = ^to
		}
	})
}

// join gathers the saddles of the strips in the order of their cells, and
// drops those that join a basin to itself.
func (b *basins) join(strips []*strip) {
	each(strips, func(s *strip) {
		kept := s.saddles[:0]
		for _, e := range s.saddles {
			e.a = b.label[e.cell]
			if e.b != outward {
				e.b = b.label[e.b]
			} else {
				e.b = 0
			}
			if e.a != e.b {
				kept = append(kept, e)
			}
		}
		s.saddles = kept
	})
	n := 0
	for _, s := range strips {
		n += len(s.saddles)
	}
	b.saddles = make([]saddle, 0, n)
	for _, s := range strips {
		b.saddles = append(b.saddles, s.saddles...)
	}
}

// each calls f for all strips at once and waits.
func each(strips []*strip, f func(s *strip)) {
	var wg sync.WaitGroup
	for _, s := range strips {
		wg.Go(func() { f(s) })
	}
	wg.Wait()
}

// follow gives every cell from lo to before hi the end of its way within
// them, writing the whole way once the end is known.
func (b *basins) follow(lo, hi int32) {
	label := b.label
	for i := lo; i < hi; i++ {
		end := label[i]
		if end < 0 {
			continue
		}
		for end >= lo && end < hi {
			end = label[end]
		}
		for j := i; j >= lo && j < hi; {
			next := label[j]
			label[j] = end
			j = next
		}
	}
}

// descend finds for every cell of the strip its next cell down, and notes
// pits and saddles.
//
// It works on the ranks of elevations, shifted to make room for the number
// of a neighbour: the least of several is then the lowest of them and, among
// equals, the one of lowest index, and nothing has to be guessed by the
// branch predictor, which rough ground defeats.
func (s *strip) descend(z *terrain.Grid[float32], label []int32) {
	cols := z.Cols
	offset := offsets(z.Frame)
	up, mid, down := newRankRow(cols), newRankRow(cols), newRankRow(cols)
	up.read(z, s.lo-1)
	mid.read(z, s.lo)
	for r := s.lo; r < s.hi; r++ {
		down.read(z, r+1)
		n, m, o := up.key, mid.key[:len(up.key)], down.key[:len(up.key)]
		un, um, uo := up.void[:len(n)], mid.void[:len(n)], down.void[:len(n)]
		for c := 1; c < len(n)-1; c++ {
			k := m[c]
			i := int32(r*cols + c - 1)
			near := [8]int64{n[c-1], n[c] | north, n[c+1] | northEast, m[c-1] | west,
				m[c+1] | east, o[c-1] | southWest, o[c] | south, o[c+1] | southEast}
			// Equal neighbours are lower if their index is.
			lower := uint(uint64(near[0]-k-8)>>63 | uint64(near[1]-k-8)>>63<<1 |
				uint64(near[2]-k-8)>>63<<2 | uint64(near[3]-k-8)>>63<<3 |
				uint64(near[4]-k)>>63<<4 | uint64(near[5]-k)>>63<<5 |
				uint64(near[6]-k)>>63<<6 | uint64(near[7]-k)>>63<<7)
			out := un[c]|um[c]|uo[c] != 0
			rest := lower
			switch {
			case k == voidKey:
				label[i] = ^0
				continue
			case out && min(near[0], near[1], near[2], near[3], near[4], near[5], near[6], near[7])>>3 >= k>>3:
				label[i] = ^0
			case lower == 0:
				s.pits = append(s.pits, i)
				continue
			default:
				d := steepestFall(k, lower,
					min(near[north], near[west], near[east], near[south]),
					min(near[northWest], near[northEast], near[southWest], near[southEast]))
				label[i] = i + int32(offset[d])
				rest &^= uint(arcOf[lower][d])
				if out {
					s.saddles = append(s.saddles, saddle{rank: uint32(k >> 3), cell: i, b: outward})
				}
			}
			for rest != 0 {
				arc := uint(arcOf[lower][bits.TrailingZeros(rest)])
				rest &^= arc
				d := steepestOf(k, arc, &near)
				s.saddles = append(s.saddles, saddle{rank: uint32(k >> 3), cell: i, b: i + int32(offset[d])})
			}
		}
		up, mid, down = mid, down, up
	}
}

// steepestOf is the neighbour of the steepest fall in a set of neighbours
// that are all lower.
func steepestOf(k int64, set uint, near *[8]int64) int {
	straight, diagonal := int64(voidKey), int64(voidKey)
	for rest := set; rest != 0; rest &= rest - 1 {
		d := bits.TrailingZeros(rest)
		if isDiagonal(d) {
			diagonal = min(diagonal, near[d])
		} else {
			straight = min(straight, near[d])
		}
	}
	return steepestFall(k, set, straight, diagonal)
}

// steepestFall is the neighbour of the steepest fall, given the lowest straight
// and the lowest diagonal one and the set of those that are lower.
func steepestFall(k int64, lower uint, straight, diagonal int64) int {
	z := float64(level(uint32(k >> 3)))
	fall := z - float64(level(uint32(straight>>3))) // NaN if that is a void
	slant := (z - float64(level(uint32(diagonal>>3)))) * (math.Sqrt2 / 2)
	d := straight & 7
	if !(fall >= slant) && diagonal < voidKey {
		fall, d = slant, diagonal&7
	}
	if !(fall > 0) {
		return bits.TrailingZeros(lower)
	}
	return int(d)
}

// outward is, in a strip, where the water of a saddle goes that lets it out.
// Elsewhere in a strip b is the cell across.
const outward = -1

// voidKey is above the key of every elevation.
const voidKey = 1 << 32 << 3

// A rankRow is a row of ground made ready for descend, with one place more at
// either end that is void, as is every place beyond the grid.
type rankRow struct {
	key  []int64 // rank<<3, or voidKey
	void []uint8 // 1 where the place or the one to either side is void
}

func newRankRow(cols int) *rankRow {
	return &rankRow{make([]int64, cols+2), make([]uint8, cols+2)}
}

func (w *rankRow) read(z *terrain.Grid[float32], row int) {
	last := len(w.key) - 1
	w.key[0], w.key[last] = voidKey, voidKey
	clear(w.void)
	w.void[1], w.void[last-1] = 1, 1
	if row < 0 || row >= z.Rows {
		for c := range w.key {
			w.key[c], w.void[c] = voidKey, 1
		}
		return
	}
	key := w.key[1:last]
	for c, v := range z.Row(row) {
		key[c] = int64(rank(v)) << 3
		if v != v {
			key[c] = voidKey
			w.void[c], w.void[c+1], w.void[c+2] = 1, 1, 1
		}
	}
}
