package hydro

// Ways are the lowest ways between basins: of all the saddles, so few that
// they just join every basin with the outside, and over which the highest
// point on the way out of each is as low as can be.
type ways struct {
	saddles []int32 // the saddles, by the cell they were given

	// A basin leads over a saddle of rank over to the basin next. That need
	// not lie across the saddle, but has the same level to spill over then.
	over []uint32
	next []int32

	order []int32 // the basins but for the outside, each before its next
}

// lowestWays finds the lowest ways between so many basins, one of them the
// outside, basin 0. It writes over saddles.
//
// Each basin first joins the neighbour over its lowest saddle, then each of
// the sets so made does the same, until all are one. Of equal saddles the
// first counts. Every time at least half the sets are gone, and the saddles
// within sets with them. Nothing is sorted, and basins that touch lie near
// each other in memory:
//
//	Borůvka, O. (1926). O jistém problému minimálním. Práce Moravské
//	přírodovědecké společnosti 3, 37–58.
//
//	Cordonnier, G., Bovy, B., Braun, J. (2019). A versatile, linear
//	complexity algorithm for flow routing in topographies with depressions.
//	Earth Surface Dynamics 7, 549–562.
func lowestWays(basins int, saddles []saddle) *ways {
	w := &ways{
		saddles: make([]int32, 0, basins),
		over:    make([]uint32, basins),
		next:    make([]int32, basins),
		order:   make([]int32, 0, basins),
	}
	// A set goes by one of its basins. Its place is one more than that of its
	// lowest saddle.
	type lowest struct {
		rank  uint32
		place int32
	}
	low := make([]lowest, basins)
	sets := make([]int32, basins)
	for i := range sets {
		sets[i], w.next[i] = int32(i), int32(i)
	}
	for len(saddles) > 0 {
		for i, e := range saddles {
			if l := &low[e.a]; l.place == 0 || e.rank < l.rank {
				*l = lowest{e.rank, int32(i + 1)}
			}
			if l := &low[e.b]; l.place == 0 || e.rank < l.rank {
				*l = lowest{e.rank, int32(i + 1)}
			}
		}
		low[0].place = 0 // the outside joins nobody
		joined := len(w.order)
		for _, set := range sets {
			if low[set].place == 0 {
				continue
			}
			e := &saddles[low[set].place-1]
			to := e.a ^ e.b ^ set
			if low[to].place == low[set].place && set < to {
				continue // the other one joins this one
			}
			w.over[set], w.next[set] = e.rank, to
			w.order = append(w.order, set)
			w.saddles = append(w.saddles, e.cell)
		}
		kept := sets[:0]
		for _, set := range sets {
			low[set].place = 0
			if w.next[set] == set {
				kept = append(kept, set)
			}
		}
		sets = kept
		// Towards the head of a chain the saddles get lower, so all of it may
		// lead there at once.
		for _, set := range w.order[joined:] {
			head := w.next[set]
			for w.next[head] != head {
				head = w.next[head]
			}
			for s := set; s != head; {
				s, w.next[s] = w.next[s], head
			}
		}
		between := saddles[:0]
		for _, e := range saddles {
			if e.a, e.b = w.next[e.a], w.next[e.b]; e.a != e.b {
				between = append(between, e)
			}
		}
		saddles = between
	}
	return w
}

// levels is the rank of the level at which each basin spills to the outside,
// 0 for the outside itself.
func (w *ways) levels() []uint32 {
	level := w.over
	for i := len(w.order) - 1; i >= 0; i-- {
		b := w.order[i]
		level[b] = max(level[b], level[w.next[b]])
	}
	return level
}
