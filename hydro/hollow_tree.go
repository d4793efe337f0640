package hydro

import (
	"slices"

	"wetfeet/terrain"
)

// A tree is the forest of nested hollows of a ground, before anything is
// measured. Nodes are numbered: 0 is the outside and the parent of every
// outermost hollow, the next ones are the hollows around single pits, one for
// each basin, and the rest are pairs of hollows that have become one. A node
// comes after its children.
type tree struct {
	nodes []node

	// drain is, by basin, the pit hollow its water ends in: itself, but for
	// pits that hold nothing, whose nodes mean nothing.
	drain []int32
}

// A node is a hollow, its levels given by their ranks.
type node struct {
	low       uint32 // of the floor
	spill     uint32 // of the spill level
	floor     int32  // cell
	spillCell int32
	spillsTo  int32 // the hollow the overflow runs to
	parent    int32
	children  [2]int32 // 0 and 0 for a single pit
}

// A merger joins hollows from the lowest saddle upwards, as rising water
// would:
//
//	Barnes, R., Callaghan, K.L., Wickert, A.D. (2020). Computing water flow
//	through complex landscapes – Part 2: Finding hierarchies in depressions
//	and morphological segmentations. Earth Surface Dynamics 8, 431–445.
//
// A pit that spills at its own level holds nothing and is no hollow: such are
// all but one of the pits into which the order of cells divides a flat.
type merger struct {
	tree
	pools

	// Of the saddles of one level: those of each pool, as lists of ends, an
	// end being twice the saddle and one more for its far side.
	first []int32 // by head of a pool, one more than its first end
	next  []int32 // by end, likewise
	queue []int32 // saddles whose near or far side has a way out
}

// Pools are sets of basins that water has joined.
type pools struct {
	up  []int32 // by basin: a basin nearer the head of its pool; at the head, −size
	top []int32 // by head: the node the pool is, or 0 once it has a way out
}

// head is the basin that stands for the pool of a basin.
func (p *pools) head(basin int32) int32 {
	for {
		up := p.up[basin]
		if up < 0 {
			return basin
		}
		if p.up[up] < 0 {
			return up
		}
		p.up[basin] = p.up[up]
		basin = p.up[up]
	}
}

// unite makes one pool of two, given their heads, and that pool a node.
func (p *pools) unite(a, b, node int32) {
	if p.up[a] > p.up[b] {
		a, b = b, a
	}
	p.up[a] += p.up[b]
	p.up[b] = a
	p.top[a] = node
}

// growTree joins the basins of the ground z into the forest of its hollows.
func growTree(z *terrain.Grid[float32], b *basins) *tree {
	n := len(b.pits)
	m := &merger{
		tree:  tree{nodes: make([]node, n, 2*n), drain: make([]int32, n)},
		pools: pools{up: make([]int32, n), top: make([]int32, n)},
		first: make([]int32, n),
	}
	for i := range n {
		m.drain[i], m.up[i], m.top[i] = int32(i), -1, int32(i)
	}
	for i := 1; i < n; i++ {
		m.nodes[i].floor = b.pits[i]
		m.nodes[i].low = rank(z.Cells[b.pits[i]])
	}
	order := b.spanning()
	var level []saddle
	for i := 0; i < len(order); {
		level = level[:0]
		for rank := order[i].rank; i < len(order) && order[i].rank == rank; i++ {
			level = append(level, b.saddles[order[i].at])
		}
		if len(level) > 1 {
			m.letOut(level)
		}
		for i := range level {
			m.join(&level[i])
		}
	}
	m.settle()
	return &m.tree
}

// spanning lists the saddles of the lowest ways, lowest first and equal ones
// by their cell. The others join what is joined already.
func (b *basins) spanning() []spot {
	numbered := slices.Clone(b.saddles)
	for i := range numbered {
		numbered[i].cell = int32(i)
	}
	way := lowestWays(len(b.pits), numbered).saddles
	slices.Sort(way)
	order := make([]spot, len(way))
	for k, i := range way {
		order[k] = spot{b.saddles[i].rank, uint32(i)}
	}
	sortSpots(order)
	return order
}

// letOut gives a way out to every pool that has one over the saddles of one
// level, whether at once or through others. So hollows that touch each other
// and the outside at the same level stay apart: no water is held by both.
func (m *merger) letOut(level []saddle) {
	m.queue = m.queue[:0]
	for i := range level {
		e := &level[i]
		if (m.top[m.head(e.a)] == 0) != (m.top[m.head(e.b)] == 0) {
			m.queue = append(m.queue, int32(i))
		}
	}
	if len(m.queue) == 0 {
		return
	}
	m.next = m.next[:0]
	for i := range level {
		for _, basin := range [2]int32{level[i].a, level[i].b} {
			h := m.head(basin)
			m.next = append(m.next, m.first[h])
			m.first[h] = int32(len(m.next))
		}
	}
	for i := 0; i < len(m.queue); i++ {
		e := &level[m.queue[i]]
		a, b := m.head(e.a), m.head(e.b)
		switch {
		case m.top[a] != 0:
			m.overflow(a, e, e.b)
		case m.top[b] != 0:
			m.overflow(b, e, e.a)
			a = b
		default:
			continue
		}
		for end := m.first[a]; end != 0; end = m.next[end-1] {
			m.queue = append(m.queue, (end-1)/2)
		}
	}
	for i := range level {
		m.first[m.head(level[i].a)] = 0
		m.first[m.head(level[i].b)] = 0
	}
}

// overflow lets the pool with the given head out over a saddle.
func (m *merger) overflow(head int32, e *saddle, to int32) {
	m.spill(m.top[head], e, to)
	m.top[head] = 0
}

// spill ends a hollow at a saddle over which it runs to a basin.
func (m *merger) spill(id int32, e *saddle, to int32) {
	h := &m.nodes[id]
	if h.low == e.rank {
		m.drain[id] = to // only a single pit can be as low as its saddle
		return
	}
	h.spill, h.spillCell, h.spillsTo = e.rank, e.cell, to
}

// join lets the pools on both sides of a saddle become one.
func (m *merger) join(e *saddle) {
	a, b := m.head(e.a), m.head(e.b)
	x, y := m.top[a], m.top[b]
	switch {
	case a == b || x == 0 && y == 0:
	case x == 0:
		m.overflow(b, e, e.a)
	case y == 0:
		m.overflow(a, e, e.b)
	default:
		flatX, flatY := m.nodes[x].low == e.rank, m.nodes[y].low == e.rank
		switch {
		case flatX && (!flatY || y < x):
			m.spill(x, e, e.b)
			m.unite(a, b, y)
		case flatY:
			m.spill(y, e, e.a)
			m.unite(a, b, x)
		default:
			m.spill(x, e, e.b)
			m.spill(y, e, e.a)
			m.unite(a, b, m.pair(x, y))
		}
	}
}

// pair is a new hollow made of two that are full.
func (m *merger) pair(x, y int32) int32 {
	id := int32(len(m.nodes))
	low, other := &m.nodes[x], &m.nodes[y]
	if other.low < low.low || other.low == low.low && other.floor < low.floor {
		low = other
	}
	m.nodes[x].parent, m.nodes[y].parent = id, id
	m.nodes = append(m.nodes, node{low: low.low, floor: low.floor, children: [2]int32{x, y}})
	return id
}

// settle finds where the water of pits that hold nothing ends, and lets
// hollows spill there.
func (m *merger) settle() {
	for i := range m.drain {
		end := m.drain[i]
		for m.drain[end] != end {
			end = m.drain[end]
		}
		for j := int32(i); m.drain[j] != end; {
			j, m.drain[j] = m.drain[j], end
		}
	}
	for i := range m.nodes {
		m.nodes[i].spillsTo = m.drain[m.nodes[i].spillsTo]
	}
}
