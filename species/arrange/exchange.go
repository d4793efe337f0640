package arrange

// exchange plants the given places anew at least cost, in place, with the
// plants that stand on them now, fixed ones apart; rule is what a species
// breaks at a place. As long as there is a round of moves that gains, each of
// which hands a place from one species to the next, the best place of each is
// moved: once there is none the plan is optimal (Klein, M. (1967), A primal
// method for minimal cost flows, Management Science 14, 205–220, from memory).
// Of a plan that is good already that takes a few rounds.
func (s *site) exchange(plan, places []int, rule func(i, k int) int64) {
	n := len(s.count)
	t := &trade{n: n, best: make([]move, n*n), far: make([]cost, n), from: make([]int, n)}
	for _, i := range places {
		if s.fixed[i] == None {
			t.open = append(t.open, i)
		}
	}
	t.cost, t.plan = make([]cost, len(t.open)*n), make([]int, len(t.open))
	for at, i := range t.open {
		t.plan[at] = plan[i]
		for k := range n {
			c := s.at(i, k)
			c.rule = rule(i, k)
			t.cost[at*n+k] = c
		}
	}
	touched := make([]bool, n)
	for k := range touched {
		touched[k] = true
	}
	for {
		t.find(touched)
		round := t.round()
		if round == nil {
			break
		}
		clear(touched)
		for at, a := range round { // from a to the next of them
			b := round[(at+1)%len(round)]
			t.plan[t.best[a*n+b].place] = b
			touched[a] = true
		}
	}
	for at, i := range t.open {
		plan[i] = t.plan[at]
	}
}

// A trade is the places of an exchange.
type trade struct {
	n    int
	open []int
	cost []cost // by place and species
	plan []int  // by place
	best []move // by species from and to: the cheapest; at place None where there is none
	far  []cost
	from []int
}

// find looks for the cheapest moves from some species anew.
func (t *trade) find(from []bool) {
	n := t.n
	for a, yes := range from {
		if yes {
			for b := range n {
				t.best[a*n+b].place = None
			}
		}
	}
	for at, a := range t.plan {
		if !from[a] {
			continue
		}
		costs := t.cost[at*n:][:n]
		best := t.best[a*n:][:n]
		stays := costs[a]
		for b := range n {
			if c := costs[b].minus(stays); best[b].place == None || c.less(best[b].cost) {
				best[b] = move{c, at}
			}
		}
	}
}

// round is a round of species whose moves gain together, nil if there is none:
// Bellman and Ford's method from all species at once.
func (t *trade) round() []int {
	n := t.n
	for k := range n {
		t.far[k], t.from[k] = cost{}, None
	}
	last := None
	for range n {
		last = None
		for a := range n {
			for b := range n {
				m := &t.best[a*n+b]
				if a == b || m.place == None {
					continue
				}
				if c := t.far[a].plus(m.cost); c.less(t.far[b]) {
					t.far[b], t.from[b], last = c, a, b
				}
			}
		}
		if last == None {
			return nil
		}
	}
	for range n { // back into the round
		last = t.from[last]
	}
	round := []int{last}
	for k := t.from[last]; k != last; k = t.from[k] {
		round = append(round, k)
	}
	for a, b := 0, len(round)-1; a < b; a, b = a+1, b-1 {
		round[a], round[b] = round[b], round[a]
	}
	return round
}
