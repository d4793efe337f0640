package storm

import (
	"runtime"
	"sync"
)

// eachHollow calls f for every index below n, on all processors. Hollows lie
// in order of size, so each worker takes every so-many-th of them.
func eachHollow(n int, f func(i int)) {
	workers := runtime.GOMAXPROCS(0)
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			for i := w; i < n; i += workers {
				f(i)
			}
		})
	}
	wg.Wait()
}

// Courses say where water goes on from a full hollow. Each leaf belongs to a
// set whose water ends in one sink: a hollow that still has room, or the
// outside. When the sink is full its set goes on with that of the neighbour it
// spills to or, if both are full, with the hollow the two become.
type courses struct {
	s    *Site
	up   []int32 // by leaf, and at the end for the outside: nearer the head of its set; at the head, −size
	sink []int32 // by head
	full []bool  // by hollow
	one  []bool  // by hollow: its water stands as one; a leaf's always does
}

func newCourses(s *Site) *courses {
	n := len(s.parent)
	c := &courses{s: s, up: make([]int32, n+1), sink: make([]int32, n+1), full: make([]bool, n), one: make([]bool, n)}
	for i := range c.up {
		c.up[i], c.sink[i] = -1, int32(i)
	}
	c.sink[n] = outside
	for i, k := range s.child {
		c.one[i] = k == outside
	}
	return c
}

// head is the one that stands for the set of a leaf or the outside.
func (c *courses) head(leaf int32) int32 {
	if leaf == outside {
		leaf = int32(len(c.up) - 1)
	}
	for c.up[leaf] >= 0 {
		if next := c.up[c.up[leaf]]; next >= 0 {
			c.up[leaf] = next
		}
		leaf = c.up[leaf]
	}
	return leaf
}

// fill marks the sink of a set full and returns the head of the set its water
// goes on with. If that is a hollow that two have become, it is returned too,
// else outside.
func (c *courses) fill(head int32) (onward, become int32) {
	d := c.sink[head]
	c.full[d] = true
	if p := c.s.parent[d]; p != outside && c.full[c.s.sibling[d]] {
		c.sink[head], c.one[p] = p, true
		return head, p
	}
	to := c.head(c.s.spillsTo[d])
	sink := c.sink[to]
	a, b := head, to
	if c.up[a] > c.up[b] {
		a, b = b, a
	}
	c.up[a] += c.up[b]
	c.up[b] = a
	c.sink[a] = sink
	return a, outside
}
