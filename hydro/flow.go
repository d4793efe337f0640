package hydro

import (
	"fmt"
	"iter"
	"math"
	"math/bits"

	"wetfeet/terrain"
)

// A Flow says where the water of every cell goes.
//
// Water goes to lower neighbours. On ground as level as float32 can tell, it
// goes down the increments of [Flats]. A cell with neither is an end: a pit,
// where water stays, or an outlet at the rim or beside a void, where it
// leaves. So no path returns to where it was.
type Flow struct {
	terrain.Frame

	Routing  Routing
	Exponent float64 // of Multiple

	z *terrain.Grid[float32] // the ground routed on

	// receivers has bit k set for a cell that sends water to its neighbour k.
	receivers []uint8

	// scale is, in Multiple, the reciprocal of the sum of the weights of the
	// receivers.
	scale []float64

	// direct is, in Facet, the share of the receiver that is not diagonal.
	direct []float32

	power *power
}

// Route finds where the water of every cell of z goes. Hollows in z are kept:
// fill them first ([Fill]) for water to cross them. An exponent of 0 is 1.1;
// only Multiple uses it. It panics on an exponent that is not between 0 and
// MaxExponent.
//
// The flow holds on to z, which must not change while the flow is in use.
func Route(z *terrain.Grid[float32], routing Routing, exponent float64) *Flow {
	if exponent == 0 {
		exponent = FreemanExponent
	}
	if !(exponent > 0 && exponent <= MaxExponent) {
		panic(fmt.Sprintf("hydro: exponent %g of multiple flow is not between 0 and %d", exponent, MaxExponent))
	}
	f := &Flow{
		Frame:     z.Frame,
		Routing:   routing,
		Exponent:  exponent,
		z:         z,
		receivers: make([]uint8, z.Len()),
	}
	switch routing {
	case Single:
		f.routeSingle()
	case Multiple:
		f.routeMultiple()
	case Facet:
		f.routeFacet()
	default:
		panic(fmt.Sprintf("hydro: routing %d is none of multiple, single and facet", routing))
	}
	return f
}

// A neighbourhood is the elevations of the eight neighbours of a cell, +Inf
// where there is none or it is void: water does not go there.
type neighbourhood [8]float64

// survey calls visit for every known cell of z with its neighbourhood.
func survey(z *terrain.Grid[float32], visit func(i int, centre float64, around *neighbourhood)) {
	terrain.Bands(z.Rows, func(lo, hi int) {
		var around neighbourhood
		for r := lo; r < hi; r++ {
			for c, v := range z.Row(r) {
				if v != v {
					continue
				}
				i := z.Index(r, c)
				if r == 0 || c == 0 || r == z.Rows-1 || c == z.Cols-1 {
					around = lookAround(z, r, c)
				} else {
					north := z.Cells[i-z.Cols-1:][:3]
					mid := z.Cells[i-1:][:3]
					south := z.Cells[i+z.Cols-1:][:3]
					around = neighbourhood{
						float64(north[0]), float64(north[1]), float64(north[2]),
						float64(mid[0]), float64(mid[2]),
						float64(south[0]), float64(south[1]), float64(south[2]),
					}
					if s := north[0] + north[1] + north[2] + mid[0] + mid[2] + south[0] + south[1] + south[2]; s != s {
						around = lookAround(z, r, c)
					}
				}
				visit(i, float64(v), &around)
			}
		}
	})
}

// lookAround reads the neighbourhood of any cell.
func lookAround(z *terrain.Grid[float32], r, c int) (around neighbourhood) {
	for k := range around {
		around[k] = math.Inf(1)
		if y, x := r+rowStep[k], c+colStep[k]; z.Holds(y, x) {
			if v := z.At(y, x); v == v {
				around[k] = float64(v)
			}
		}
	}
	return around
}

// isOpen reports whether a cell lies at the rim of the grid or beside a void,
// where water can leave.
func isOpen(z *terrain.Grid[float32], i int) bool {
	r, c := z.Cell(i)
	if r == 0 || c == 0 || r == z.Rows-1 || c == z.Cols-1 {
		return true
	}
	for k := range rowStep {
		if terrain.IsVoid(z.At(r+rowStep[k], c+colStep[k])) {
			return true
		}
	}
	return false
}

// Next is the cell that gets the largest share of the water of cell i, and
// whether there is one; equal shares go to the lowest index.
func (f *Flow) Next(i int) (int, bool) {
	best, next := 0.0, -1
	d := offsets(f.Frame)
	for m := f.receivers[i]; m != 0; m &= m - 1 {
		k := bits.TrailingZeros8(m)
		if s := f.share(i, i+d[k], k); s > best {
			best, next = s, i+d[k]
		}
	}
	return next, next >= 0
}

// Downstream yields the cells that water from cell i runs through, i first,
// each the Next of the one before, until it ends in a pit or leaves.
func (f *Flow) Downstream(i int) iter.Seq[int] {
	return func(yield func(int) bool) {
		for ok := true; ok && yield(i); {
			i, ok = f.Next(i)
		}
	}
}

// share is the part of the water of cell i that goes to its neighbour k,
// cell j, which must be one of its receivers.
func (f *Flow) share(i, j, k int) float64 {
	switch f.Routing {
	case Multiple:
		return f.weight(i, j, k) * f.scale[i]
	case Facet:
		return f.facetShare(i, k)
	}
	return 1
}

// EdgeFed marks in dst the cells whose catchment may go on beyond the known
// ground, so that their upslope area is a lower bound.
//
// Water may come in at a cell that lacks a neighbour where the ground, run
// straight on through the cell from its opposite neighbour, rises outwards;
// and at one that lacks both of every two opposite neighbours. From there the
// mark goes wherever the flow goes, however small the share.
func (f *Flow) EdgeFed(dst *terrain.Grid[bool]) {
	if dst.Rows != f.Rows || dst.Cols != f.Cols {
		panic("hydro: EdgeFed into a grid of another size")
	}
	clear(dst.Cells)
	var todo []int
	d := offsets(f.Frame)
	mark := func(i int) {
		if !dst.Cells[i] {
			dst.Cells[i] = true
			todo = append(todo, i)
		}
	}
	for i, v := range f.z.Cells {
		if terrain.IsVoid(v) || !f.letsIn(i) {
			continue
		}
		for mark(i); len(todo) > 0; {
			j := todo[len(todo)-1]
			todo = todo[:len(todo)-1]
			for m := f.receivers[j]; m != 0; m &= m - 1 {
				mark(j + d[bits.TrailingZeros8(m)])
			}
		}
	}
}

// letsIn reports whether water from beyond the known ground may enter at a
// cell.
func (f *Flow) letsIn(i int) bool {
	if !isOpen(f.z, i) {
		return false
	}
	r, c := f.Cell(i)
	centre := float64(f.z.Cells[i])
	around := lookAround(f.z, r, c)
	blind := true
	for k, z := range around {
		beyond, opposite := math.IsInf(z, 1), around[7-k]
		if !math.IsInf(opposite, 1) {
			blind = false
			if beyond && opposite < centre {
				return true
			}
		}
	}
	return blind
}
