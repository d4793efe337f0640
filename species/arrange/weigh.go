package arrange

import (
	"context"
	"slices"
)

// mostStates is how many states weighAll may look at: 32 bytes each.
const mostStates = 2_000_000

// states is how many states there are for each choice of what has been
// planted: the last species and how far back the last emergent of the row is.
func (s *site) states() int { return (s.reach + 2) * len(s.count) }

// fewEnough says whether all arrangements can be weighed.
func (s *site) fewEnough() bool {
	all := s.states()
	for _, n := range s.count {
		if all > mostStates/(n+1) {
			return false
		}
		all *= n + 1
	}
	return true
}

// weighAll finds the best of all arrangements. After each place what matters
// for the rest is how many of each species have been planted, the last one,
// and how far back the last emergent is, if that is still within reach: k
// places, or reach+1 for farther. The number of places is the sum of what has
// been planted, so that one table holds the steps of all places.
func (s *site) weighAll(ctx context.Context) ([]int, error) {
	n := len(s.count)
	weight := make([]int, n) // of a species in the number of a choice
	all := 1
	for k, c := range s.count {
		weight[k] = all
		all *= c + 1
	}
	choices := make([][]int, len(s.order)+1) // by places planted
	planted := make([]int, n)
	for choice := range all {
		sum := 0
		for _, c := range planted {
			sum += c
		}
		choices[sum] = append(choices[sum], choice)
		for k := range planted {
			if planted[k]++; planted[k] <= s.count[k] {
				break
			}
			planted[k] = 0
		}
	}

	per, far := s.states(), s.reach+1
	type state struct {
		cost cost
		from int32 // the state before, within its choice; −1 at the start, −2 where nothing leads here
	}
	table := make([]state, all*per)
	for i := range table {
		table[i].from = -2
	}
	put := func(choice, back, k int, c cost, from int32) {
		if x := &table[choice*per+back*n+k]; x.from == -2 || c.less(x.cost) {
			*x = state{c, from}
		}
	}
	for i := range s.order {
		if err := context.Cause(ctx); err != nil {
			return nil, err
		}
		for _, choice := range choices[i] {
			from := table[choice*per:][:per]
			for b := range n {
				if choice/weight[b]%(s.count[b]+1) == s.count[b] || s.fixed[i] != None && s.fixed[i] != b {
					continue
				}
				c, to := s.at(i, b), choice+weight[b]
				if i == 0 {
					put(to, s.backOf(far, i, b), b, c, -1)
					continue
				}
				for at := range from {
					if from[at].from == -2 {
						continue
					}
					back, a := at/n, at%n
					sum := from[at].cost.plus(c)
					if s.left[i] == None {
						back = far
					} else {
						back = s.age(back, i)
						if s.emergent[b] && back != far {
							continue
						}
						if s.alternate && a == b && (s.fixed[i] == None || s.fixed[i-1] == None) {
							sum.rule++
						}
					}
					put(to, s.backOf(back, i, b), b, sum, int32(at))
				}
			}
		}
	}

	choice, best := all-1, -1
	for at := range per {
		if x := table[choice*per+at]; x.from != -2 && (best < 0 || x.cost.less(table[choice*per+best].cost)) {
			best = at
		}
	}
	plan := make([]int, 0, len(s.order))
	for at := best; at >= 0; {
		k := at % n
		plan = append(plan, k)
		at, choice = int(table[choice*per+at].from), choice-weight[k]
	}
	slices.Reverse(plan)
	return plan, nil
}

// age is how far back the last emergent is for place i, given how far it was
// for the place before: reach+1 where it no longer matters.
func (s *site) age(back, i int) int {
	if back++; back > s.reach+1 || i-back < s.low[i] {
		return s.reach + 1
	}
	return back
}

// backOf is how far back the last emergent is once species k is at place i.
func (s *site) backOf(back, i, k int) int {
	if s.emergent[k] {
		return 0
	}
	return back
}
