package hydro

import (
	"fmt"
	"iter"
	"math"
	"math/bits"
	"slices"

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

	power *power // in Multiple

	// direct is, in Facet, the share of the receiver that is not diagonal.
	direct []float32
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

// survey calls visit for every known cell of z with its elevation and those
// of its eight neighbours in order, +Inf where there is none or it is void:
// water does not go there. They are handed over one by one because Go passes
// numbers in registers and arrays through memory, at twice the time.
func survey(z *terrain.Grid[float32], visit func(i int, centre, z0, z1, z2, z3, z4, z5, z6, z7 float64)) {
	terrain.Bands(z.Rows, func(lo, hi int) {
		for r := lo; r < hi; r++ {
			if r == 0 || r == z.Rows-1 {
				for c := range z.Cols {
					surveyAtRim(z, r, c, visit)
				}
				continue
			}
			surveyAtRim(z, r, 0, visit)
			north, mid, south := z.Row(r-1), z.Row(r), z.Row(r+1)
			north, south = north[:len(mid)], south[:len(mid)]
			for c := 1; c < len(mid)-1; c++ {
				z0, z1, z2 := north[c-1], north[c], north[c+1]
				z3, v, z4 := mid[c-1], mid[c], mid[c+1]
				z5, z6, z7 := south[c-1], south[c], south[c+1]
				// A void among them makes the sum NaN.
				if s := ((z0 + z1) + (z2 + z3)) + ((z4 + z5) + (z6 + z7)) + v; s != s {
					surveyAtRim(z, r, c, visit)
					continue
				}
				visit(r*len(mid)+c, float64(v),
					float64(z0), float64(z1), float64(z2), float64(z3),
					float64(z4), float64(z5), float64(z6), float64(z7))
			}
			if z.Cols > 1 {
				surveyAtRim(z, r, z.Cols-1, visit)
			}
		}
	})
}

// surveyAtRim is survey for any one cell.
func surveyAtRim(z *terrain.Grid[float32], r, c int, visit func(i int, centre, z0, z1, z2, z3, z4, z5, z6, z7 float64)) {
	if v := z.At(r, c); v == v {
		a := lookAround(z, r, c)
		visit(z.Index(r, c), float64(v), a[0], a[1], a[2], a[3], a[4], a[5], a[6], a[7])
	}
}

// lookAround is the elevations of the neighbours of any cell, +Inf where
// there is none or it is void.
func lookAround(z *terrain.Grid[float32], r, c int) (around [8]float64) {
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

// openCells lists the known cells of z that are open.
func openCells(z *terrain.Grid[float32]) (open []int) {
	known := func(r int) bool { return !slices.ContainsFunc(z.Row(r), terrain.IsVoid) }
	above, here := false, z.Rows > 0 && known(0)
	for r := range z.Rows {
		below := r+1 < z.Rows && known(r+1)
		inner := above && here && below // only the ends of the row are open
		above, here = here, below
		for c := 0; c < z.Cols; c++ {
			if i := z.Index(r, c); !terrain.IsVoid(z.Cells[i]) && isOpen(z, i) {
				open = append(open, i)
			}
			if inner && c == 0 {
				c = max(c, z.Cols-2)
			}
		}
	}
	return open
}

// Next is the cell that gets the largest share of the water of cell i, and
// whether there is one; equal shares go to the lowest index.
func (f *Flow) Next(i int) (int, bool) {
	best, next := 0.0, -1
	shares, d := f.shares(i), offsets(f.Frame)
	for k, s := range shares {
		if s > best {
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

// shares are the parts of the water of cell i that go to its neighbours. They
// add up to 1 unless the cell is an end.
func (f *Flow) shares(i int) (shares [8]float64) {
	m := f.receivers[i]
	if m == 0 {
		return shares
	}
	k := bits.TrailingZeros8(m)
	switch f.Routing {
	case Multiple:
		step := offsets(f.Frame)
		f.weigh(i, &step, &shares)
	case Single:
		shares[k] = 1
	case Facet:
		shares[k] = 1
		if rest := m & (m - 1); rest != 0 {
			other := bits.TrailingZeros8(rest)
			shares[k], shares[other] = f.facetShares(i, k)
		}
	}
	return shares
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
	for _, i := range openCells(f.z) {
		if !f.letsIn(i) {
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

// letsIn reports whether water from beyond the known ground may enter at an
// open cell.
func (f *Flow) letsIn(i int) bool {
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
