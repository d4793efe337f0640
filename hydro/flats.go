package hydro

import (
	"iter"
	"math"
	"slices"
	"sync"

	"wetfeet/terrain"
)

// Flats numbers the cells of level ground so that water can cross it: among
// the cells of one flat, it goes from higher to lower increments.
//
// A flat is a patch of cells at one level, none of which has a lower
// neighbour. Its increments fall away from higher ground and, twice as
// steeply, towards the cells of its own level that drain or lie at the rim or
// beside a void, so that water gathers in the middle of the flat and makes
// for the way out:
//
//	Garbrecht, J., Martz, L.W. (1997). The assignment of drainage direction
//	over flat surfaces in raster digital elevation models. Journal of
//	Hydrology 193, 204–213.
//	Barnes, R., Lehman, C., Mulla, D. (2014). An efficient assignment of
//	drainage direction over flat surfaces in raster digital elevation models.
//	Computers & Geosciences 62, 128–135.
//
// In a flat without a way out, the floor of a hollow, they fall away from
// higher ground alone, and water ends in its middle. All other cells have
// increment 0. Elevations are never changed: a thousandth of a metre added to
// each of a thousand cells would be a hill.
//
// The increments are whole numbers, so the size of a flat costs no accuracy.
// It takes time in proportion to the cells.
func Flats(z *terrain.Grid[float32]) *terrain.Grid[int32] {
	f := &Flow{Frame: z.Frame, z: z, receivers: make([]uint8, z.Len())}
	f.routeSlopes()
	increment := terrain.NewGrid[int32](z.Frame)
	f.descendFlats(increment.Cells, nil)
	return increment
}

// routeSlopes lets every cell drain to all of its lower neighbours.
func (f *Flow) routeSlopes() {
	survey(f.z, func(i int, centre, z0, z1, z2, z3, z4, z5, z6, z7 float64) {
		// No branch for each, which on rough ground would often be guessed
		// wrong.
		f.receivers[i] = less(z0, centre) | less(z1, centre)<<1 | less(z2, centre)<<2 |
			less(z3, centre)<<3 | less(z4, centre)<<4 |
			less(z5, centre)<<5 | less(z6, centre)<<6 | less(z7, centre)<<7
	})
}

// less is 1 where a is less than b, in one instruction.
func less(a, b float64) uint8 {
	if a < b {
		return 1
	}
	return 0
}

// descendFlats numbers the flats in increment, which must be 0, and calls
// route for every cell of a flat that can drain within it, with the neighbours
// of its own level that have a lower increment. Route may be nil; it is called
// from several threads, each for its own cells. Until then the receivers must
// be those of the slopes alone.
func (f *Flow) descendFlats(increment []int32, route func(i int, lower uint8)) {
	step := offsets(f.Frame)
	outlets := openCells(f.z)
	outlets = slices.DeleteFunc(outlets, func(i int) bool { return f.receivers[i] != 0 })
	for _, i := range outlets {
		increment[i] = outlet
	}

	// Every thread numbers the flats that lie inside its own rows. Those that
	// touch the first or the last of them may go on beyond and are left for
	// afterwards.
	var mu sync.Mutex
	var left []int
	work := func(lo, hi, above, below int, seeds iter.Seq[int]) {
		p := patch{
			z: f.z.Cells, receivers: f.receivers, increment: increment, step: step,
			lo: lo * f.Cols, hi: hi * f.Cols, above: above * f.Cols, below: below * f.Cols,
		}
		for i := range seeds {
			switch p.gather(i) {
			case whole:
				p.number()
			case cut:
				mu.Lock()
				left = append(left, i)
				mu.Unlock()
			}
		}
	}
	terrain.Bands(f.Rows, func(lo, hi int) {
		work(lo, hi, lo+1, hi-1, func(yield func(int) bool) {
			for i := lo * f.Cols; i < hi*f.Cols; i++ {
				if f.receivers[i] == 0 && increment[i] == 0 && !terrain.IsVoid(f.z.Cells[i]) {
					yield(i)
				}
			}
		})
	})
	work(0, f.Rows, 0, f.Rows, func(yield func(int) bool) {
		for _, i := range left {
			if increment[i] == unfinished {
				yield(i)
			}
		}
	})

	for _, i := range outlets {
		increment[i] = 0
	}
	if route == nil {
		return
	}
	terrain.Bands(f.Rows, func(lo, hi int) {
		for i := lo * f.Cols; i < hi*f.Cols; i++ {
			if increment[i] == 0 {
				continue
			}
			z := f.z.Cells[i]
			var lower uint8
			for k, o := range step {
				if f.z.Cells[i+o] == z && increment[i+o] < increment[i] {
					lower |= 1 << k
				}
			}
			if lower != 0 {
				route(i, lower)
			}
		}
	})
}

// A patch is a flat while it is being numbered. Its cells all have eight
// neighbours, since those that lack one let water out and are not part of a
// flat.
type patch struct {
	z         []float32
	receivers []uint8
	increment []int32
	step      [8]int

	// lo and hi bound the cells that may be looked at. A patch with a cell
	// before above or from below on may go on beyond them.
	lo, hi, above, below int

	cells []int
	high  []int // those beside higher ground
	low   []int // those beside the way out
	queue []int
}

// What stands in the increments until they are known.
const (
	// unnumbered is a cell of the patch at hand. Once its distance d from
	// higher ground is known it holds unnumbered − d, so that a negative
	// increment always means the patch at hand.
	unnumbered = -1

	// outlet is a cell that lets water out of the known ground.
	outlet = math.MaxInt32

	// unfinished is a cell of a patch that may be larger than could be seen.
	unfinished = outlet - 1
)

// What gather has found.
type found int

const (
	lone  found = iota // a pit of one cell, which has no increment
	whole              // a flat
	cut                // part of a flat, or one that cannot be told from a part
)

// gather finds the flat that holds cell i.
func (p *patch) gather(i int) found {
	p.cells, p.high, p.low = append(p.cells[:0], i), p.high[:0], p.low[:0]
	p.increment[i] = unnumbered
	isCut := false
	for n := 0; n < len(p.cells); n++ {
		c := p.cells[n]
		z := p.z[c]
		atEdge := c < p.above || c >= p.below
		isCut = isCut || atEdge
		high, low := false, false
		for _, o := range p.step {
			j := c + o
			if atEdge && (j < p.lo || j >= p.hi) {
				continue
			}
			switch {
			case p.z[j] != z:
				high = true // a flat has no lower neighbour
			case p.increment[j] == unnumbered:
			case p.receivers[j] != 0 || p.increment[j] == outlet:
				low = true
			default:
				p.increment[j] = unnumbered
				p.cells = append(p.cells, j)
			}
		}
		if high {
			p.high = append(p.high, c)
		}
		if low {
			p.low = append(p.low, c)
		}
	}
	switch {
	case isCut:
		for _, c := range p.cells {
			p.increment[c] = unfinished
		}
		return cut
	case len(p.cells) == 1 && len(p.low) == 0:
		p.increment[i] = 0
		return lone
	}
	return whole
}

// number gives the cells of the patch their increments.
func (p *patch) number() {
	// Away from higher ground: how far each cell is from it.
	p.queue = append(p.queue[:0], p.high...)
	for _, c := range p.queue {
		p.increment[c] = unnumbered - 1
	}
	farthest := int32(unnumbered) // less the greatest distance
	for n := 0; n < len(p.queue); n++ {
		c := p.queue[n]
		farthest = p.increment[c] // no nearer than the one before
		for _, o := range p.step {
			if p.increment[c+o] == unnumbered {
				p.increment[c+o] = farthest - 1
				p.queue = append(p.queue, c+o)
			}
		}
	}

	if len(p.low) == 0 { // the floor of a hollow
		for _, c := range p.cells {
			p.increment[c] += 1 - farthest
		}
		return
	}

	// Towards the way out, twice as steep: how far it is there. One round of
	// the queue for each step.
	p.queue = append(p.queue[:0], p.low...)
	for _, c := range p.queue {
		p.increment[c] += 2 - farthest
	}
	for n, distance := 0, int32(1); n < len(p.queue); {
		distance++
		for end := len(p.queue); n < end; n++ {
			c := p.queue[n]
			for _, o := range p.step {
				if p.increment[c+o] < 0 {
					p.increment[c+o] += 2*distance - farthest
					p.queue = append(p.queue, c+o)
				}
			}
		}
	}
}
