package arrange

import (
	"cmp"
	"context"
	"slices"
)

// start is an arrangement that keeps emergents apart: they are put as close as
// they may be, the dearest of those places are given back, and the rest is
// planted to the optimum around them.
func (s *site) start(ctx context.Context) ([]int, error) {
	plan := slices.Clone(s.fixed)
	type place struct {
		at    int
		extra int64 // what the cheapest emergent costs more than the cheapest other
	}
	var places []place
	if s.reach > 0 {
		last := None
		for i, f := range s.fixed {
			if s.left[i] == None {
				last = None
			}
			if f != None && s.emergent[f] {
				last = i
			} else if f == None && (last == None || last < s.low[i]) && !s.fixedEmergentAhead(i) {
				places, last = append(places, place{i, s.extra(i)}), i
			}
		}
		slices.SortStableFunc(places, func(a, b place) int { return cmp.Compare(a.extra, b.extra) })
	}
	tall := make([]bool, len(s.order))
	wanted := 0
	for k, n := range s.free {
		if s.emergent[k] {
			wanted += n
		}
	}
	for _, p := range places[:min(wanted, len(places))] {
		tall[p.at] = true
	}
	everywhere := make([]int, len(s.order))
	for i := range everywhere {
		everywhere[i] = i
	}
	if _, err := s.replant(ctx, plan, everywhere, func(i, k int) int64 {
		if s.reach > 0 && tall[i] != s.emergent[k] {
			return barred
		}
		return 0
	}); err != nil {
		return nil, err
	}
	return plan, s.improve(ctx, plan)
}

func (s *site) extra(i int) int64 {
	var least [2]int64
	var seen [2]bool
	for k, c := range s.steps[i] {
		class := 0
		if s.emergent[k] {
			class = 1
		}
		if s.free[k] > 0 && (!seen[class] || c < least[class]) {
			least[class], seen[class] = c, true
		}
	}
	return least[1] - least[0]
}

// breaks is the rules that species k breaks at place i of a plan, in which
// places may be empty.
func (s *site) breaks(plan []int, i, k int) (rule int64) {
	if s.alternate {
		for _, j := range [2]int{s.left[i], s.right[i]} {
			if j != None && plan[j] == k && (s.fixed[i] == None || s.fixed[j] == None) {
				rule++
			}
		}
	}
	if s.reach == 0 || !s.emergent[k] {
		return rule
	}
	for j := s.left[i]; j != None && j >= s.low[i]; j = s.left[j] {
		if plan[j] != None && s.emergent[plan[j]] {
			rule += barred
		}
	}
	for j := s.right[i]; j != None && s.low[j] <= i; j = s.right[j] {
		if plan[j] != None && s.emergent[plan[j]] {
			rule += barred
		}
	}
	return rule
}

// mend brings a plan to the counts, in place, by the cheapest single changes,
// one after the other.
func (s *site) mend(plan []int) {
	over := make([]int, len(s.count)) // plants too many
	missing := 0
	for k, n := range s.count {
		over[k] -= n
	}
	for _, k := range plan {
		over[k]++
	}
	for _, n := range over {
		missing += max(0, -n)
	}
	// The best change of each place is kept, and found anew where a change has
	// come within reach of it or there are enough of what it would change to.
	type change struct {
		cost cost
		to   int
	}
	best := make([]change, len(plan))
	find := func(i int) {
		best[i].to = None
		if s.fixed[i] != None {
			return
		}
		leave := s.at(i, plan[i])
		leave.rule = s.breaks(plan, i, plan[i])
		for b, n := range over {
			if n >= 0 {
				continue
			}
			c := s.at(i, b)
			c.rule = s.breaks(plan, i, b)
			if c = c.minus(leave); best[i].to == None || c.less(best[i].cost) {
				best[i] = change{c, b}
			}
		}
	}
	for i, k := range plan {
		if over[k] > 0 {
			find(i)
		}
	}
	for range missing {
		at := None
		for i, a := range plan {
			if over[a] <= 0 || s.fixed[i] != None {
				continue
			}
			if over[best[i].to] >= 0 {
				find(i)
			}
			if at == None || best[i].cost.less(best[at].cost) {
				at = i
			}
		}
		over[plan[at]]--
		plan[at] = best[at].to
		over[plan[at]]++
		for i := max(0, at-s.reach-1); i <= min(len(plan)-1, at+s.reach+1); i++ {
			if over[plan[i]] > 0 && i != at {
				find(i)
			}
		}
	}
}

// improve plants sets of places anew, in place, each set to the optimum around
// the rest, until no set gains. Places of a set do not concern each other:
// either they keep their kind, emergent or not, and are no neighbours, or they
// lie beyond each other's reach.
func (s *site) improve(ctx context.Context, plan []int) error {
	sets := s.sets()
	whole := s.whole(plan)
	for idle := 0; idle < len(sets); {
		for _, set := range sets {
			if err := context.Cause(ctx); err != nil {
				return err
			}
			before := slices.Clone(plan)
			s.exchange(plan, set.places, func(i, k int) int64 {
				if set.kinds {
					rule := int64(0)
					if s.emergent[k] != s.emergent[before[i]] {
						rule = barred
					}
					if s.alternate {
						for _, j := range [2]int{s.left[i], s.right[i]} {
							if j != None && before[j] == k {
								rule++
							}
						}
					}
					return rule
				}
				return s.breaks(before, i, k)
			})
			now := s.whole(plan)
			if idle++; now.less(whole) {
				whole, idle = now, 0
			} else {
				copy(plan, before)
			}
			if idle >= len(sets) {
				break
			}
		}
	}
	return nil
}

// A set is places that may be planted anew together.
type set struct {
	places []int
	kinds  bool // each keeps its kind
}

func (s *site) sets() []set {
	var all []set
	apart := 1
	if s.alternate {
		apart = 2
	}
	for first := range apart {
		all = append(all, set{s.every(first, func(last, i int) bool { return i >= last+apart }), s.reach > 0})
	}
	if s.reach > 0 {
		for first := range max(s.reach+1, apart) {
			all = append(all, set{s.every(first, func(last, i int) bool { return i >= last+apart && last < s.low[i] }), false})
		}
	}
	return all
}

// every lists the places of each row from the first on that are free of the
// one before.
func (s *site) every(first int, free func(last, i int) bool) (places []int) {
	last, start := None, 0
	for i := range s.order {
		if s.left[i] == None {
			last, start = None, i
		}
		if i >= start+first && (last == None || free(last, i)) {
			places, last = append(places, i), i
		}
	}
	return places
}
