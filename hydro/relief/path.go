package relief

import (
	"context"
	"math"

	"wetfeet/hydro"
	"wetfeet/terrain"
	"wetfeet/terrain/earthwork"
)

// scrape is what a metre of cut costs where there is nothing to dig, m³: it
// has to be cleared, and of two ways the shorter counts. Common practice, no
// source.
const scrape = 0.01

// A finder looks for the way out that takes the least digging. It may be used
// again and again, so that a large grid is asked for once.
type finder struct {
	h *hydro.Hollows
	z *terrain.Grid[float32]

	round int32
	seen  []int32 // by cell: the round in which the rest means something
	done  []bool
	cost  []float64
	far   []float64 // along the way, m
	from  []int32
	queue frontier
}

func newFinder(h *hydro.Hollows) *finder {
	n := h.Len()
	return &finder{h: h, z: h.Ground(), seen: make([]int32, n), done: make([]bool, n),
		cost: make([]float64, n), far: make([]float64, n), from: make([]int32, n)}
}

// way is the cells of a cut from the water of a hollow, standing at the level
// of the cut, to lower ground, and the leaf that this drains to. Inside says
// of a leaf whether it is part of the hollow.
func (f *finder) way(ctx context.Context, floor int, c earthwork.Channel, level float64, inside func(leaf int) bool) ([]int, int, error) {
	f.round++
	f.queue = f.queue[:0]
	f.offer(floor, 0, 0, -1)
	for n := 0; len(f.queue) > 0; n++ {
		if n%(1<<14) == 0 {
			if err := context.Cause(ctx); err != nil {
				return nil, 0, err
			}
		}
		at := f.queue.pop()
		i := int(at.cell)
		if f.done[i] {
			continue
		}
		f.done[i] = true
		ground := float64(f.z.Cells[i])
		bottom := level - float64(c.Fall*f.far[i])
		leaf := int(f.h.Inner[i]) - 1
		low := ground <= bottom && !inside(leaf) && (leaf == hydro.Outside || f.h.All[leaf].Floor < level)
		row, col := f.z.Cell(i)
		rim := false
		for r := row - 1; r <= row+1; r++ {
			for q := col - 1; q <= col+1; q++ {
				if !f.z.Holds(r, q) || terrain.IsVoid(f.z.At(r, q)) {
					rim = true
				}
			}
		}
		if low || rim {
			if rim && !low {
				leaf = hydro.Outside
			}
			return f.back(i), leaf, nil
		}
		still := f.far[i] == 0 && ground < level // in the water, where the cut has not begun
		for r := row - 1; r <= row+1; r++ {
			for q := col - 1; q <= col+1; q++ {
				j := f.z.Index(r, q)
				if j == i || f.seen[j] == f.round && f.done[j] {
					continue
				}
				next := float64(f.z.Cells[j])
				if still && next < level {
					f.offer(j, 0, 0, int32(i))
					continue
				}
				apart := f.z.CellSize
				if r != row && q != col {
					apart *= math.Sqrt2
				}
				dig := c.Between(ground-bottom, next-bottom+float64(c.Fall*apart), apart)
				f.offer(j, at.cost+dig+float64(scrape*apart), f.far[i]+apart, int32(i))
			}
		}
	}
	return nil, 0, nil // only where nothing is known around, and then the first cell is a rim
}

// offer takes a way to a cell if it is the first or costs less.
func (f *finder) offer(cell int, cost, far float64, from int32) {
	if f.seen[cell] == f.round && f.cost[cell] <= cost {
		return
	}
	f.seen[cell], f.done[cell] = f.round, false
	f.cost[cell], f.far[cell], f.from[cell] = cost, far, from
	f.queue.push(spot{cost, int32(cell)})
}

// back is the way to a cell, from the last one that is under water.
func (f *finder) back(end int) []int {
	var path []int
	for i := int32(end); i >= 0; i = f.from[i] {
		path = append(path, int(i))
		if f.far[i] == 0 {
			break
		}
	}
	for a, b := 0, len(path)-1; a < b; a, b = a+1, b-1 {
		path[a], path[b] = path[b], path[a]
	}
	return path
}

// A frontier is a binary heap of cells, the cheapest first and equal ones by
// index.
type frontier []spot

type spot struct {
	cost float64
	cell int32
}

func (a spot) before(b spot) bool { return a.cost < b.cost || a.cost == b.cost && a.cell < b.cell }

func (q *frontier) push(s spot) {
	h := append(*q, s)
	i := len(h) - 1
	for i > 0 && s.before(h[(i-1)/2]) {
		h[i] = h[(i-1)/2]
		i = (i - 1) / 2
	}
	h[i] = s
	*q = h
}

func (q *frontier) pop() spot {
	h := *q
	first, s := h[0], h[len(h)-1]
	h = h[:len(h)-1]
	for i := 0; len(h) > 0; {
		k := 2*i + 1
		if k+1 < len(h) && h[k+1].before(h[k]) {
			k++
		}
		if k >= len(h) || !h[k].before(s) {
			h[i] = s
			break
		}
		h[i] = h[k]
		i = k
	}
	*q = h
	return first
}
