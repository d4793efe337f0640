package arrange

import "math"

// rows plans each row to the optimum at prices for the species, counts
// disregarded.
//
// What matters for the places to come is how far back the last emergent is and
// which species stands last. Of the last species only the two that have cost
// least so far can matter: whatever is planted next goes after the cheaper of
// them, or after the other if it is of the same species. Likewise only the
// three cheapest species of a place can be among those two, for each of the
// two kinds, emergents and others. So a place takes a few steps for each of the
// distances, however many species there are.
type rows struct {
	*site
	loss    [][]float64 // by place and species; those of the site unless set
	pair    float64     // price of two neighbours of one species
	species []int       // the plan

	now, aged []two // by how far back the last emergent is
	from      []step
	three     [2]three // of the others and of the emergents
}

// A two is the two last species that have cost least so far, the cheaper first.
type two struct {
	cost    [2]float64
	species [2]int32
	from    [2]int32 // the state before
}

var nothing = two{cost: [2]float64{math.Inf(1), math.Inf(1)}, species: [2]int32{None, None}}

// add puts in a species that is among the best two.
func (t *two) add(cost float64, species, from int32) {
	switch {
	case cost < t.cost[0]:
		if species != t.species[0] {
			t.cost[1], t.species[1], t.from[1] = t.cost[0], t.species[0], t.from[0]
		}
		t.cost[0], t.species[0], t.from[0] = cost, species, from
	case cost < t.cost[1] && species != t.species[0]:
		t.cost[1], t.species[1], t.from[1] = cost, species, from
	}
}

// A step is how a state came about: its species, and the state before.
type step struct{ species, from int32 }

// A three is the cheapest species of a place, as many as there are.
type three struct {
	n       int
	cost    [3]float64
	species [3]int32
}

func (t *three) add(cost float64, species int32) {
	k := min(t.n, 2)
	if t.n == 3 && !(cost < t.cost[2]) {
		return
	}
	for k > 0 && cost < t.cost[k-1] {
		t.cost[k], t.species[k] = t.cost[k-1], t.species[k-1]
		k--
	}
	t.cost[k], t.species[k] = cost, species
	t.n = min(t.n+1, 3)
}

func newRows(s *site) *rows {
	return &rows{site: s, loss: s.loss, species: make([]int, len(s.order)), now: make([]two, s.reach+2), aged: make([]two, s.reach+2)}
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
	far := r.reach + 1
	per := 2 * (far + 1)
	if len(r.from) < (hi-lo)*per {
		r.from = make([]step, (hi-lo)*per)
	}
	for i := range r.aged {
		r.aged[i] = nothing
	}
	r.aged[far] = two{cost: [2]float64{0, math.Inf(1)}, species: [2]int32{None, None}}
	for i := lo; i < hi; i++ {
		if i > lo {
			r.age(i)
		}
		r.cheapest(i, u)
		apart := r.alternate && i > lo && (r.fixed[i] == None || r.fixed[i-1] == None)
		r.now[0] = nothing
		for back := 1; back <= far; back++ {
			r.now[back] = nothing
			aged := &r.aged[back]
			if math.IsInf(aged.cost[0], 1) {
				continue
			}
			for kind := range 2 {
				if kind == 1 && back < far {
					break // too near to the last emergent
				}
				to := &r.now[back]
				if kind == 1 {
					to = &r.now[0]
				}
				for k := range r.three[kind].n {
					b, before, from := r.three[kind].species[k], aged.cost[0], aged.from[0]
					if apart && b == aged.species[0] {
						if before += r.pair; aged.cost[1] <= before {
							before, from = aged.cost[1], aged.from[1]
						}
					}
					to.add(before+r.three[kind].cost[k], b, from)
				}
			}
		}
		steps := r.from[(i-lo)*per:][:per]
		for back := range r.now {
			for k := range 2 {
				steps[2*back+k] = step{r.now[back].species[k], r.now[back].from[k]}
			}
		}
	}
	best := 0
	for back := range r.now {
		if r.now[back].cost[0] < r.now[best].cost[0] {
			best = back
		}
	}
	least := r.now[best].cost[0]
	if math.IsInf(least, 1) {
		return least
	}
	for i, at := hi-1, int32(2*best); i >= lo; i-- {
		s := r.from[(i-lo)*per+int(at)]
		r.species[i], at = int(s.species), s.from
	}
	return least
}

// age turns the states after the place before i to how far back emergents are
// from i; those that no longer matter come together.
func (r *rows) age(i int) {
	for back := range r.aged {
		r.aged[back] = nothing
	}
	for back := range r.now {
		to := &r.aged[r.site.age(back, i)]
		for k, cost := range r.now[back].cost {
			to.add(cost, r.now[back].species[k], int32(2*back+k))
		}
	}
}

// cheapest finds the cheapest species of a place at prices u.
func (r *rows) cheapest(i int, u []float64) {
	r.three = [2]three{}
	if f := r.fixed[i]; f != None {
		kind := 0
		if r.emergent[f] {
			kind = 1
		}
		r.three[kind].add(r.loss[i][f]-u[f], int32(f))
		return
	}
	for b, x := range r.loss[i] {
		kind := 0
		if r.emergent[b] {
			kind = 1
		}
		r.three[kind].add(x-u[b], int32(b))
	}
}
