package hydro

import "wetfeet/terrain"

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
	level := terrain.NewGrid[int32](z.Frame)
	f.number(level.Cells)
	return level
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

// descendFlats calls route for every cell of a flat that can drain within it,
// with the neighbours of its own level that have a lower increment.
func (f *Flow) descendFlats(route func(i int, lower uint8, increment []int32)) {
	increment := make([]int32, f.Len())
	if !f.number(increment) {
		return
	}
	z, d := f.z.Cells, offsets(f.Frame)
	terrain.Bands(f.Rows, func(lo, hi int) {
		for i := lo * f.Cols; i < hi*f.Cols; i++ {
			if increment[i] == 0 {
				continue
			}
			var lower uint8
			for k, o := range d {
				if z[i+o] == z[i] && increment[i+o] < increment[i] {
					lower |= 1 << k
				}
			}
			if lower != 0 {
				route(i, lower, increment)
			}
		}
	})
}

// number fills in the increments, which must be 0, and reports whether there
// are any. The receivers must be those of the slopes alone.
func (f *Flow) number(increment []int32) bool {
	var p patch
	found := false
	for i, m := range f.receivers {
		if m != 0 || increment[i] != 0 || terrain.IsVoid(f.z.Cells[i]) || isOpen(f.z, i) {
			continue
		}
		if p.gather(f, increment, i) {
			p.number(f, increment)
			found = true
		}
	}
	return found
}

// A patch is a flat while it is being numbered. Its cells all have eight
// neighbours, since those that lack one are outlets and not part of a flat.
type patch struct {
	cells []int
	queue []int
}

// unnumbered stands in the increments for a cell of the patch at hand that
// has not been reached yet. Distances d from higher ground are kept as
// unnumbered − d, so that a negative increment always means the patch at hand.
const unnumbered = -1

// gather finds the flat that holds cell i and reports whether it has more
// than that cell or a way out. A lone pit has no increments.
func (p *patch) gather(f *Flow, increment []int32, i int) bool {
	z, d := f.z.Cells, offsets(f.Frame)
	p.cells = append(p.cells[:0], i)
	increment[i] = unnumbered
	wayOut := false
	for n := 0; n < len(p.cells); n++ {
		c := p.cells[n]
		for _, o := range d {
			j := c + o
			if z[j] != z[c] || increment[j] < 0 {
				continue
			}
			if f.receivers[j] != 0 || isOpen(f.z, j) {
				wayOut = true
				continue
			}
			increment[j] = unnumbered
			p.cells = append(p.cells, j)
		}
	}
	if len(p.cells) == 1 && !wayOut {
		increment[i] = 0
		return false
	}
	return true
}

// number gives the cells of the patch their increments.
func (p *patch) number(f *Flow, increment []int32) {
	z, d := f.z.Cells, offsets(f.Frame)

	// Away from higher ground: how far each cell is from it.
	p.queue = p.queue[:0]
	for _, c := range p.cells {
		for _, o := range d {
			if z[c+o] > z[c] {
				increment[c] = unnumbered - 1
				p.queue = append(p.queue, c)
				break
			}
		}
	}
	for n := 0; n < len(p.queue); n++ {
		c := p.queue[n]
		for _, o := range d {
			if increment[c+o] == unnumbered {
				increment[c+o] = increment[c] - 1
				p.queue = append(p.queue, c+o)
			}
		}
	}
	var farthest int32 // unnumbered − the greatest distance
	for _, c := range p.cells {
		farthest = min(farthest, increment[c])
	}

	// Towards the way out, twice as steep: how far it is there.
	p.queue = p.queue[:0]
	for _, c := range p.cells {
		for _, o := range d {
			if z[c+o] == z[c] && increment[c+o] == 0 {
				p.queue = append(p.queue, c)
				break
			}
		}
	}
	if len(p.queue) == 0 { // the floor of a hollow
		for _, c := range p.cells {
			increment[c] += 1 - farthest
		}
		return
	}
	// A cell is numbered when it enters the queue, so the next one along can
	// not tell its distance from its increment: levels are counted instead.
	for _, c := range p.queue {
		increment[c] += 2 - farthest
	}
	for n, distance := 0, int32(1); n < len(p.queue); {
		distance++
		for end := len(p.queue); n < end; n++ {
			c := p.queue[n]
			for _, o := range d {
				if increment[c+o] < 0 {
					increment[c+o] += 2*distance - farthest
					p.queue = append(p.queue, c+o)
				}
			}
		}
	}
}
