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
	sets []set  // by hollow, and at the end for the outside
	full []bool // by hollow
	one  []bool // by hollow: its water stands as one; a leaf's always does
}

// A set is known by one of its leaves, its head. Hollows that are no leaves
// belong to none; their place serves for their water only, which is kept here
// because it is asked for together with the rest.
type set struct {
	up    int32   // a leaf nearer the head; at the head, −size
	sink  int32   // at the head
	water float64 // in the hollow of this index, m³
}

func newCourses(s *Site) *courses {
	n := len(s.hollow)
	c := &courses{s: s, sets: make([]set, n+1), full: make([]bool, n), one: make([]bool, n)}
	for i := range c.sets {
		c.sets[i] = set{up: -1, sink: int32(i)}
	}
	c.sets[n].sink = outside
	for i := range s.hollow {
		c.one[i] = s.hollow[i].child == outside
	}
	return c
}

// head is the one that stands for the set of a leaf or the outside.
func (c *courses) head(leaf int32) int32 {
	if leaf == outside {
		leaf = int32(len(c.sets) - 1)
	}
	for c.sets[leaf].up >= 0 {
		if next := c.sets[c.sets[leaf].up].up; next >= 0 {
			c.sets[leaf].up = next
		}
		leaf = c.sets[leaf].up
	}
	return leaf
}

// fill marks the sink of a set full and returns the head of the set its water
// goes on with. If that is a hollow that two have become, it is returned too,
// else outside.
func (c *courses) fill(head int32) (onward, become int32) {
	d := c.sets[head].sink
	c.full[d] = true
	if p := c.s.hollow[d].parent; p != outside && c.full[c.s.hollow[d].sibling] {
		c.sets[head].sink, c.one[p] = p, true
		return head, p
	}
	to := c.head(c.s.hollow[d].spillsTo)
	sink := c.sets[to].sink
	a, b := head, to
	if c.sets[a].up > c.sets[b].up {
		a, b = b, a
	}
	c.sets[a].up += c.sets[b].up
	c.sets[b].up = a
	c.sets[a].sink = sink
	return a, outside
}
