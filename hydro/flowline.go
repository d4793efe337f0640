package hydro

import (
	"cmp"
	"math"
	"math/bits"
	"slices"

	"github.com/paulmach/orb"

	"wetfeet/terrain"
)

const (
	// flowLineShare is the part of a site that has to drain through a cell
	// for a flow line to begin there, unless the caller says otherwise: a
	// hundredth keeps a map of any site to some dozens of lines (common
	// practice, no source).
	flowLineShare = 0.01

	// mostFlowLineCatchment bounds that, m²: on till, streams begin at 1 to
	// 2 ha (Ågren, A.M., Lidberg, W., Strömgren, M., Ogilvie, J., Arp, P.A.
	// (2014), Evaluating digital terrain indices for soil wetness mapping,
	// Hydrology and Earth System Sciences 18, 3623–3634).
	mostFlowLineCatchment = 10_000

	// leastFlowLineCells bounds it from below: fewer cells make a line of
	// nearly every furrow.
	leastFlowLineCells = 100

	// flowLineDiagonals bounds it from below too: on an even slope single
	// flow runs down in parallel files one cell wide, each with a catchment
	// of its own length, and none of them is a line of water. A file as long
	// as the diagonal of the grid, and a half more for the ones it swallows,
	// stays below the bound.
	flowLineDiagonals = 1.5
)

// FlowLineCatchment is the least catchment of a flow line, m², that suits the
// known ground of z: a hundredth of it, at most a hectare, and no less than
// 100 cells or one and a half diagonals of the grid, one cell wide.
func FlowLineCatchment(z *terrain.Grid[float32]) float64 {
	site := float64(terrain.Known(z)) * z.CellArea()
	file := flowLineDiagonals * math.Hypot(float64(z.Rows), float64(z.Cols))
	return max(max(leastFlowLineCells, file)*z.CellArea(), min(flowLineShare*site, mostFlowLineCatchment))
}

// FlowLines traces where water runs together: all cells of a single flow with
// an upslope area, m², of at least the catchment given.
//
// Every line begins at a head, where the area first reaches the catchment,
// and runs down to where it meets a line with a larger one, whose cell is its
// last, or to the end of the flow. Equal ones go on by the lower index. Its
// order is that of its lower end, by
//
//	Strahler, A.N. (1957). Quantitative analysis of watershed geomorphology.
//	Transactions of the American Geophysical Union 38(6), 913–920.
//
// Lines come largest catchment first, equal ones by the index of their head.
// It panics unless the flow is Single.
func FlowLines(f *Flow, area *terrain.Grid[float64], catchment float64) []FlowLine {
	if f.Routing != Single {
		panic("hydro: flow lines of " + f.Routing.String() + " flow; they need single flow")
	}
	var cells []int
	for i, a := range area.Cells {
		if a >= catchment {
			cells = append(cells, i)
		}
	}
	// The area grows downstream, so this puts donors before receivers.
	slices.SortFunc(cells, func(i, j int) int {
		return cmp.Or(cmp.Compare(area.Cells[i], area.Cells[j]), cmp.Compare(i, j))
	})

	// Of the channels that meet in a cell, the largest goes on through it.
	type channel struct {
		head   int // cell where the line through this cell begins
		order  int
		donors int // of this order
		area   float64
		stem   int // the donor whose line goes on
	}
	channels := make(map[int]*channel, len(cells))
	d := offsets(f.Frame)
	store := make([]channel, len(cells))
	for n, i := range cells {
		c := &store[n]
		channels[i] = c
		c.head, c.order, c.stem = i, 1, -1
		for k := range d {
			r, col := f.Cell(i)
			if !f.Holds(r+rowStep[k], col+colStep[k]) || f.receivers[i+d[k]]>>(7-k)&1 == 0 {
				continue
			}
			up := channels[i+d[k]]
			if up == nil {
				continue
			}
			switch {
			case c.donors == 0 || up.order > c.order:
				c.order, c.donors = up.order, 1
			case up.order == c.order:
				c.donors++
			}
			if a := area.Cells[i+d[k]]; a > c.area {
				c.area, c.stem, c.head = a, i+d[k], up.head
			}
		}
		if c.donors > 1 {
			c.order++
		}
	}

	// A line ends below a cell whose receiver goes on with another.
	var lines []FlowLine
	var heads []int
	for _, i := range cells {
		c := channels[i]
		next, ok := i, false
		if f.receivers[i] != 0 {
			next, ok = i+d[bits.TrailingZeros8(f.receivers[i])], true
		}
		if ok && channels[next].stem == i {
			continue
		}
		var path []int
		if ok {
			path = append(path, next)
		}
		for j := i; j >= 0; j = channels[j].stem {
			path = append(path, j)
		}
		if len(path) < 2 { // a lone cell at the rim has no direction
			continue
		}
		slices.Reverse(path)
		line := make(orb.LineString, len(path))
		for k, j := range path {
			line[k] = f.Centre(f.Cell(j))
		}
		lines = append(lines, FlowLine{Line: line, Catchment: area.Cells[i], Order: c.order})
		heads = append(heads, c.head)
	}
	order := make([]int, len(lines))
	for k := range order {
		order[k] = k
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(lines[b].Catchment, lines[a].Catchment), cmp.Compare(heads[a], heads[b]))
	})
	sorted := make([]FlowLine, len(lines))
	for k, n := range order {
		sorted[k] = lines[n]
	}
	return sorted
}

// Course is the line without the stairs from cell to cell, to be drawn: the
// middles of its segments, with its ends, lie straight where it runs at an angle
// to the grid. It is not changed.
func (f FlowLine) Course() orb.LineString {
	l := f.Line
	for range 3 {
		if len(l) < 3 {
			return l
		}
		out := make(orb.LineString, 0, len(l)+1)
		out = append(out, l[0])
		for i := 1; i < len(l); i++ {
			out = append(out, orb.Point{(l[i-1][0] + l[i][0]) / 2, (l[i-1][1] + l[i][1]) / 2})
		}
		l = append(out, l[len(l)-1])
	}
	return l
}
