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
// below it. Rough ground has three such edges for ten cells, where the pairs
// of cells that touch across basins are two for every cell.
type saddle struct {
	rank uint32 // of the cell
	cell int32
	a, b int32 // basin of the cell and basin across
}

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
	lo, hi    int // rows
	pits      []int32
	crossings [][]crossing // in blocks, so that a long list is never copied to grow
}

// A crossing is a saddle before it is known which basins it joins: water that
// stands at the cell can cross to the cell to, or leave where to is outward.
type crossing struct {
	rank     uint32
	cell, to int32
}

const outward = -1

func (s *strip) cross(rank uint32, cell, to int32) {
	last := len(s.crossings) - 1
	if last < 0 || len(s.crossings[last]) == cap(s.crossings[last]) {
		s.crossings = append(s.crossings, make([]crossing, 0, 4096))
		last++
	}
	s.crossings[last] = append(s.crossings[last], crossing{rank, cell, to})
}

// A descent chooses among the lower neighbours of a cell.
type descent int

const (
	steepestWay descent = iota // for what drains where
	anyWay                     // for levels only, which any way down gives alike
)

func findBasins(z *terrain.Grid[float32], way descent) *basins {
	b := &basins{label: make([]int32, z.Len())}
	var strips []*strip
	var lock sync.Mutex
	terrain.Bands(z.Rows, func(lo, hi int) {
		s := &strip{lo: lo, hi: hi}
		s.descend(z, b.label, way)
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
	each(strips, func(_ int, s *strip) { b.follow(int32(s.lo*cols), int32(s.hi*cols)) })
	for _, s := range strips[:max(len(strips)-1, 0)] {
		for i := (s.hi - 1) * cols; i < (s.hi+1)*cols; i++ {
			for label[i] >= 0 {
				label[i] = label[label[i]]
			}
		}
	}
	// Labels across the border must not change while they are looked up, so
	// they are turned right afterwards.
	each(strips, func(_ int, s *strip) {
		own := label[s.lo*cols : s.hi*cols]
		for i, to := range own {
			if to >= 0 {
				own[i] = label[to]
			}
		}
	})
	each(strips, func(_ int, s *strip) {
		own := label[s.lo*cols : s.hi*cols]
		for i, to := range own {
			own[i] = ^to
		}
	})
}

// join turns crossings into saddles, in the order of their cells, leaving out
// those that lead a basin back to itself.
func (b *basins) join(strips []*strip) {
	across := func(c crossing) (from, to int32) {
		if c.to == outward {
			return b.label[c.cell], 0
		}
		return b.label[c.cell], b.label[c.to]
	}
	count := make([]int, len(strips)+1)
	each(strips, func(k int, s *strip) {
		for _, block := range s.crossings {
			for _, c := range block {
				if from, to := across(c); from != to {
					count[k+1]++
				}
			}
		}
	})
	for k := range strips {
		count[k+1] += count[k]
	}
	b.saddles = make([]saddle, count[len(strips)])
	each(strips, func(k int, s *strip) {
		saddles := b.saddles[count[k]:count[k]:count[k+1]]
		for _, block := range s.crossings {
			for _, c := range block {
				if from, to := across(c); from != to {
					saddles = append(saddles, saddle{c.rank, c.cell, from, to})
				}
			}
		}
	})
}

// each calls f for all strips at once and waits.
func each(strips []*strip, f func(k int, s *strip)) {
	var wg sync.WaitGroup
	for k, s := range strips {
		wg.Go(func() { f(k, s) })
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
func (s *strip) descend(z *terrain.Grid[float32], label []int32, way descent) {
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
			nw, nn, ne := n[c-1], n[c], n[c+1]
			ww, ee := m[c-1], m[c+1]
			sw, ss, se := o[c-1], o[c], o[c+1]
			// Equal neighbours are lower if their index is.
			after, before := k, k+8
			lower := uint(uint64(nw-before)>>63 | uint64(nn-before)>>63<<1 |
				uint64(ne-before)>>63<<2 | uint64(ww-before)>>63<<3 |
				uint64(ee-after)>>63<<4 | uint64(sw-after)>>63<<5 |
				uint64(ss-after)>>63<<6 | uint64(se-after)>>63<<7)
			straight := min(nn|1, ww|3, ee|4, ss|6)
			diagonal := min(nw, ne|2, sw|5, se|7)
			lowest := min(straight, diagonal)
			out := un[c]|um[c]|uo[c] != 0
			rest := lower
			switch {
			case k == voidKey:
				label[i] = ^0
				continue
			case out && lowest>>3 >= k>>3:
				label[i] = ^0
			case lower == 0:
				s.pits = append(s.pits, i)
				continue
			default:
				d := int(lowest & 7)
				if way == steepestWay {
					d = steepestFall(k, lower, straight, diagonal)
				}
				label[i] = i + int32(offset[d])
				rest &^= uint(arcOf[lower][d])
				if out {
					s.cross(uint32(k>>3), i, outward)
				}
			}
			for rest != 0 {
				d := bits.TrailingZeros(rest)
				arc := uint(arcOf[lower][d])
				if way == steepestWay {
					d = steepestOf(k, arc, [8]int64{nw, nn | 1, ne | 2, ww | 3, ee | 4, sw | 5, ss | 6, se | 7})
				}
				s.cross(uint32(k>>3), i, i+int32(offset[d]))
				rest &^= arc
			}
		}
		up, mid, down = mid, down, up
	}
}

// steepestOf is the neighbour of the steepest fall in a set of neighbours
// that are all lower.
func steepestOf(k int64, set uint, near [8]int64) int {
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

// steepestFall is the neighbour of the steepest fall, given the lowest
// straight and the lowest diagonal one and the set of those that are lower.
//
// Falls are floats above 0, which order as their bits do, so that the last
// three bits can carry the neighbour and the greater is had without a branch.
func steepestFall(k int64, lower uint, straight, diagonal int64) int {
	z := levelOf(k)
	fall := z - levelOf(straight)
	slant := (z - levelOf(diagonal)) * (math.Sqrt2 / 2)
	best := max(int64(math.Float64bits(fall))&^7|(7-straight&7), int64(math.Float64bits(slant))&^7|(7-diagonal&7))
	if best <= 7 {
		return bits.TrailingZeros(lower)
	}
	return int(7 - best&7)
}

// voidKey is above the key of every elevation.
const voidKey = 1 << 32 << 3

// levelOf is the elevation of a key, +Inf for a void.
func levelOf(key int64) float64 {
	const endless = 0xff800000 // the rank of +Inf
	return float64(level(uint32(min(key>>3, endless))))
}

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
