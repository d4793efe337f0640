package arrange

import "math"

// rows plans each row to the optimum at prices for the species, counts
// disregarded.
type rows struct {
	*site
	pair    float64 // price of two neighbours of one species
	species []int   // the plan

	// By how far back the last emergent is and last species: the least cost so
	// far, and where it comes from.
	cost, aged []float64
	origin     []int32
	from       []int32 // by place of the row, too
}

func newRows(s *site) *rows {
	n := s.states()
	return &rows{site: s, species: make([]int, len(s.order)),
		cost: make([]float64, n), aged: make([]float64, n), origin: make([]int32, n)}
}

// plan finds what is lost less the prices u, all rows together.
func (r *rows) plan(u []float64) (sum float64) {
	for lo := 0; lo < len(r.order); {
		hi := lo + 1
		for hi < len(r.order) && r.left[hi] != None {
			hi++
		}
		sum += r.row(lo, hi, u)
		lo = hi
	}
	return sum
}

func (r *rows) row(lo, hi int, u []float64) float64 {
	n, per, far := len(r.count), r.states(), r.reach+1
	if len(r.from) < (hi-lo)*per {
		r.from = make([]int32, (hi-lo)*per)
	}
	for i := lo; i < hi; i++ {
		from := r.from[(i-lo)*per:][:per]
		if i > lo {
			r.age(i)
		}
		for at := range r.cost {
			r.cost[at], from[at] = math.Inf(1), -1
		}
		for back := 0; back <= far; back++ {
			if i == lo && back < far {
				continue
			}
			aged := r.aged[back*n:][:n]
			first, second := None, None // of least cost
			if i > lo {
				for k, c := range aged {
					switch {
					case first == None || c < aged[first]:
						first, second = k, first
					case second == None || c < aged[second]:
						second = k
					}
				}
			}
			for b := range n {
				if f := r.fixed[i]; f != None && f != b || r.emergent[b] && back < far {
					continue
				}
				c, to, a := r.loss[i][b]-u[b], back*n+b, first
				if r.emergent[b] {
					to = b
				}
				if i == lo {
					r.cost[to] = c
					continue
				}
				more := aged[first]
				if first == b && r.alternate && (r.fixed[i] == None || r.fixed[i-1] == None) {
					more += r.pair
					if second != None && aged[second] <= more {
						more, a = aged[second], second
					}
				}
				if c += more; c < r.cost[to] {
					r.cost[to], from[to] = c, r.origin[back*n+a]
				}
			}
		}
	}
	best := 0
	for at, c := range r.cost {
		if c < r.cost[best] {
			best = at
		}
	}
	least := r.cost[best]
	for i, at := hi-1, int32(best); i >= lo; i-- {
		r.species[i] = int(at) % n
		at = max(r.from[(i-lo)*per+int(at)], 0)
	}
	return least
}

// age turns the costs after the place before i to how far back emergents are
// from i; those that no longer matter come together.
func (r *rows) age(i int) {
	n := len(r.count)
	for at := range r.aged {
		r.aged[at] = math.Inf(1)
	}
	for at, c := range r.cost {
		if to := r.site.age(at/n, i)*n + at%n; c < r.aged[to] {
			r.aged[to], r.origin[to] = c, int32(at)
		}
	}
}
