package hydro

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"wetfeet/terrain"
)

// A ladder leads from a hollow up through the hollows it is part of. Jump
// skips some rungs, so that the way is logarithmic in their number even where
// a great pond swallows a thousand puddles one after the other:
//
//	Myers, E.W. (1983). An applicative random-access stack. Information
//	Processing Letters 17(5), 241–248.
type ladder []rung

type rung struct {
	spill              uint32
	parent, jump, root int32
}

func newLadder(nodes []node) ladder {
	l := make(ladder, len(nodes))
	depth := make([]int32, len(nodes))
	for i := int32(len(nodes)) - 1; i > 0; i-- {
		n := &nodes[i]
		r := rung{n.spill, n.parent, i, i}
		if p := n.parent; p != 0 {
			j := l[p].jump
			r.root, r.jump = l[p].root, p
			if depth[p]-depth[j] == depth[j]-depth[l[j].jump] {
				r.jump = l[j].jump
			}
			depth[i] = depth[p] + 1
		}
		l[i] = r
	}
	return l
}

// holding is the innermost hollow, i or one that i is part of, that wets a
// cell of the given rank when full, or 0.
func (l ladder) holding(i int32, rank uint32) int32 {
	if l[l[i].root].spill <= rank {
		return 0
	}
	for l[i].spill <= rank {
		if j := l[i].jump; l[j].spill <= rank {
			i = j
		} else {
			i = l[i].parent
		}
	}
	return i
}

// A tally counts the cells of each node in one run of rows.
type tally struct {
	lo, hi int     // cells
	drains []int32 // by node: cells whose water runs to it first
	wets   []int32 // by node: cells it wets and its children do not; later, where they go
}

// measure makes the Hollows of the ground z out of nodes. Cells are labelled
// with numbers, and the two lists turn a number into the node the water of
// the cell runs to and the innermost node that may wet the cell, or 0. It
// writes over label.
func measure(z *terrain.Grid[float32], nodes []node, label, runsTo, wetBy []int32) *Hollows {
	h := &Hollows{Frame: z.Frame, ground: z, Inner: label, Outer: make([]int32, z.Len())}
	up := newLadder(nodes)

	var tallies []*tally
	var lock sync.Mutex
	terrain.Bands(z.Rows, func(lo, hi int) {
		t := &tally{lo * z.Cols, hi * z.Cols, make([]int32, len(nodes)), make([]int32, len(nodes))}
		for i := t.lo; i < t.hi; i++ {
			from := label[i]
			if label[i] = runsTo[from]; label[i] != 0 {
				t.drains[label[i]]++
			}
			if wetBy[from] != 0 {
				holder := up.holding(wetBy[from], rank(z.Cells[i]))
				h.Outer[i] = holder
				t.wets[holder]++
			}
		}
		lock.Lock()
		tallies = append(tallies, t)
		lock.Unlock()
	})
	slices.SortFunc(tallies, func(a, b *tally) int { return cmp.Compare(a.lo, b.lo) })

	m := measures{nodes: nodes, sizes: make([]size, len(nodes))}
	m.count(tallies)
	first := m.lay(tallies)
	h.wetted = make([]int32, m.wet)
	var wg sync.WaitGroup
	for _, t := range tallies {
		wg.Go(func() {
			for i := t.lo; i < t.hi; i++ {
				if holder := h.Outer[i]; holder != 0 {
					h.wetted[t.wets[holder]] = int32(i)
					t.wets[holder]++
				}
			}
		})
	}
	wg.Wait()
	m.fill(z, h.wetted, first)

	index := h.list(z, &m, first)
	terrain.Bands(z.Rows, func(lo, hi int) {
		for i := lo * z.Cols; i < hi*z.Cols; i++ {
			h.Inner[i] = index[h.Inner[i]] + 1
			h.Outer[i] = index[up[h.Outer[i]].root] + 1
		}
	})
	return h
}

// Measures are the sizes of nodes.
type measures struct {
	nodes []node
	sizes []size
	wet   int // cells below the spill level of any node
}

type size struct {
	own    int32   // cells its children do not wet
	cells  int32   // below the spill level
	drains int32   // cells of the catchment
	volume float64 // in cells times metres
}

// exists reports whether a node is a hollow: a pit that holds nothing has no
// spill level.
func (m *measures) exists(i int32) bool { return i > 0 && m.nodes[i].spill > 0 }

// count sums the tallies, children into parents.
func (m *measures) count(tallies []*tally) {
	for i := range m.sizes {
		s := &m.sizes[i]
		for _, t := range tallies {
			s.own += t.wets[i]
			s.drains += t.drains[i]
		}
		if i == 0 {
			continue
		}
		s.cells += s.own
		if p := m.nodes[i].parent; p != 0 {
			m.sizes[p].cells += s.cells
			m.sizes[p].drains += s.drains
		}
	}
}

// lay finds where the cells of each node begin, a parent before its children
// and the children next to each other, and turns the tallies into the places
// where each run of rows writes its part.
func (m *measures) lay(tallies []*tally) []int32 {
	first := make([]int32, len(m.nodes))
	free := make([]int32, len(m.nodes)) // by node: where its next child goes
	for i := len(m.nodes) - 1; i > 0; i-- {
		p := m.nodes[i].parent
		first[i] = free[p]
		free[p] += m.sizes[i].cells
		at := first[i]
		for _, t := range tallies {
			t.wets[i], at = at, at+t.wets[i]
		}
		free[i] = at
	}
	m.wet = int(free[0])
	return first
}

// fill finds the volumes: of the cells each node alone wets, taken in the
// order of their index, and then of its children brought up to its level.
func (m *measures) fill(z *terrain.Grid[float32], wetted, first []int32) {
	terrain.Bands(len(m.nodes), func(lo, hi int) {
		for i := lo; i < hi; i++ {
			s, brim := &m.sizes[i], float64(level(m.nodes[i].spill))
			if i > 0 {
				for _, cell := range wetted[first[i]:][:s.own] {
					s.volume += brim - float64(z.Cells[cell])
				}
			}
		}
	})
	for i := 1; i < len(m.nodes); i++ {
		if p := m.nodes[i].parent; p != 0 {
			rise := float64(level(m.nodes[p].spill)) - float64(level(m.nodes[i].spill))
			m.sizes[p].volume += m.sizes[i].volume + float64(float64(m.sizes[i].cells)*rise)
		}
	}
}

// list writes the hollows in order and returns the index of each node, −1
// for those that are no hollows.
func (h *Hollows) list(z *terrain.Grid[float32], m *measures, first []int32) []int32 {
	order := m.byVolume()
	index := make([]int32, len(m.nodes))
	for i := range index {
		index[i] = Outside
	}
	for i, node := range order {
		index[node] = int32(i)
	}
	h.All = make([]Hollow, len(order))
	h.first = make([]int32, len(order))
	area := z.CellArea()
	terrain.Bands(len(order), func(lo, hi int) {
		for i := lo; i < hi; i++ {
			id := order[i]
			n, s := &m.nodes[id], &m.sizes[id]
			h.first[i] = first[id]
			h.All[i] = Hollow{
				ID:        i + 1,
				Floor:     float64(level(n.low)),
				FloorCell: int(n.floor),
				Spill:     float64(level(n.spill)),
				SpillCell: int(n.spillCell),
				SpillsTo:  int(index[n.spillsTo]),
				Parent:    int(index[n.parent]),
				Children:  [2]int{int(index[n.children[0]]), int(index[n.children[1]])},
				Cells:     int(s.cells),
				Area:      float64(s.cells) * area,
				Volume:    s.volume * area,
				Catchment: float64(s.drains) * area,
			}
		}
	})
	return index
}

// byVolume lists the hollows, larger volumes first, equal ones by the floor
// cell and then the outer one first.
func (m *measures) byVolume() []int32 {
	spots := make([]spot, 0, len(m.nodes))
	for i := range int32(len(m.nodes)) {
		if m.exists(i) {
			spots = append(spots, spot{at: uint32(i)})
		}
	}
	bits := func(id uint32) uint64 { return ^math.Float64bits(m.sizes[id].volume) }
	for i := range spots {
		spots[i].rank = uint32(bits(spots[i].at))
	}
	sortSpots(spots)
	for i := range spots {
		spots[i].rank = uint32(bits(spots[i].at) >> 32)
	}
	sortSpots(spots)
	order := make([]int32, len(spots))
	for i, s := range spots {
		order[i] = int32(s.at)
	}
	for lo, hi := 0, 0; lo < len(order); lo = hi {
		for hi = lo + 1; hi < len(order) && m.sizes[order[hi]].volume == m.sizes[order[lo]].volume; hi++ {
		}
		if hi-lo > 1 {
			slices.SortFunc(order[lo:hi], func(a, b int32) int {
				return cmp.Or(cmp.Compare(m.nodes[a].floor, m.nodes[b].floor), cmp.Compare(b, a))
			})
		}
	}
	return order
}
