package arrange

import (
	"container/heap"
	"context"
)

// A transport gives places to species, so many to each, at least cost.
//
// It starts with every place at its cheapest species, which prices of 0 prove
// best for the counts that come of it. Then, one unit at a time, a species
// with too many sends one along the cheapest chain of moves to a species with
// too few. The costs of chains are kept from falling below 0 by prices, so that
// each chain is found by Dijkstra's method over the species alone: the arc from
// a to b is the place of a that is cheapest to give to b.
type transport struct {
	cost  [][]cost // by place and species
	count []int    // by species; together as many as places

	plan  []int
	have  []int
	price []cost     // reduced costs cost(i,k) − price(k) are least at plan[i]
	moves [][]*moves // by species from and to
}

// solve finds the plan and the prices. Of equal costs it takes the first place
// and then the first species.
func (t *transport) solve(ctx context.Context) error {
	n := len(t.count)
	t.plan, t.have, t.price = make([]int, len(t.cost)), make([]int, n), make([]cost, n)
	for i, row := range t.cost {
		best := 0
		for k := range row {
			if row[k].less(row[best]) {
				best = k
			}
		}
		t.plan[i] = best
		t.have[best]++
	}
	t.moves = make([][]*moves, n)
	for a := range n {
		t.moves[a] = make([]*moves, n)
		for b := range n {
			t.moves[a][b] = &moves{}
		}
	}
	for i, a := range t.plan {
		for b := range n {
			if b != a {
				m := t.moves[a][b]
				m.all = append(m.all, move{t.cost[i][b].minus(t.cost[i][a]), i})
			}
		}
	}
	for a := range n {
		for b := range n {
			heap.Init(t.moves[a][b])
		}
	}
	for unit := 0; ; unit++ {
		if unit%64 == 0 {
			if err := context.Cause(ctx); err != nil {
				return err
			}
		}
		if !t.send() {
			return nil
		}
	}
}

// cheapest is the move from a to b that costs least, past those of places that
// have left a since.
func (t *transport) cheapest(a, b int) (move, bool) {
	m := t.moves[a][b]
	for len(m.all) > 0 && t.plan[m.all[0].place] != a {
		heap.Pop(m)
	}
	if len(m.all) == 0 {
		return move{}, false
	}
	return m.all[0], true
}

// send moves one unit from a species with too many to one with too few and
// reports whether there was one.
func (t *transport) send() bool {
	n := len(t.count)
	far := make([]cost, n)
	reached, done, from := make([]bool, n), make([]bool, n), make([]int, n)
	via := make([]move, n)
	for k := range n {
		from[k] = None
		reached[k] = t.have[k] > t.count[k]
	}
	end := None
	for end == None {
		next := None
		for k := range n {
			if reached[k] && !done[k] && (next == None || far[k].less(far[next])) {
				next = k
			}
		}
		if next == None {
			return false // nothing is over
		}
		done[next] = true
		if t.have[next] < t.count[next] {
			end = next
			break
		}
		for b := range n {
			if done[b] {
				continue
			}
			m, ok := t.cheapest(next, b)
			if !ok {
				continue
			}
			d := far[next].plus(m.cost).plus(t.price[next]).minus(t.price[b])
			if !reached[b] || d.less(far[b]) {
				reached[b], far[b], from[b], via[b] = true, d, next, m
			}
		}
	}
	// Prices fall by the distance, no further than that of the end, and so no
	// move gets a reduced cost below 0.
	for k := range n {
		d := far[end]
		if done[k] {
			d = far[k]
		}
		t.price[k] = t.price[k].plus(d)
	}
	for k := end; from[k] != None; k = from[k] {
		i := via[k].place
		t.plan[i] = k
		for b := range n {
			if b != k {
				heap.Push(t.moves[k][b], move{t.cost[i][b].minus(t.cost[i][k]), i})
			}
		}
		t.have[k]++
		t.have[from[k]]--
	}
	return true
}

// A move gives one place to another species.
type move struct {
	cost  cost
	place int
}

// moves is a heap of moves between two species, cheapest first.
type moves struct{ all []move }

func (m *moves) Len() int { return len(m.all) }

func (m *moves) Less(i, j int) bool {
	a, b := &m.all[i], &m.all[j]
	if a.cost != b.cost {
		return a.cost.less(b.cost)
	}
	return a.place < b.place
}

func (m *moves) Swap(i, j int) { m.all[i], m.all[j] = m.all[j], m.all[i] }

func (m *moves) Push(x any) { m.all = append(m.all, x.(move)) }

func (m *moves) Pop() any {
	last := m.all[len(m.all)-1]
	m.all = m.all[:len(m.all)-1]
	return last
}
