package arrange

import (
	"context"
	"math"
	"slices"
)

// An arrangement is a plan in the order of rows and what is known of it.
type arrangement struct {
	species []int
	bound   float64
	exact   bool // all arrangements were weighed
}

func (s *site) arrange(ctx context.Context) (*arrangement, error) {
	plan, prices, err := s.unruled(ctx)
	if err != nil {
		return nil, err
	}
	best := &arrangement{species: plan, bound: s.bound(prices)}
	if !s.ruled() || s.whole(plan).rule == 0 {
		return best, nil
	}
	if s.fewEnough() {
		if best.species, err = s.weighAll(ctx); err != nil {
			return nil, err
		}
		best.exact = true
		return best, nil
	}
	return s.relax(ctx, best.bound, prices)
}

// unruled is the best plan were there no rules, and the prices that prove it.
func (s *site) unruled(ctx context.Context) ([]int, []float64, error) {
	everywhere := make([]int, len(s.order))
	for i := range everywhere {
		everywhere[i] = i
	}
	plan := slices.Clone(s.fixed)
	t, err := s.replant(ctx, plan, everywhere, func(int, int) int64 { return 0 })
	if err != nil {
		return nil, nil, err
	}
	prices := make([]float64, len(s.count))
	for k, c := range t.price {
		prices[k] = float64(c.loss) * s.step
	}
	return plan, prices, nil
}

// replant plants the given places anew at least cost, fixed ones apart, with
// the plants that the rest of the plan leaves over; rule is what a species
// breaks at a place.
func (s *site) replant(ctx context.Context, plan, places []int, rule func(i, k int) int64) (*transport, error) {
	t := &transport{count: slices.Clone(s.count)}
	open := make([]int, 0, len(places))
	for _, i := range places {
		if s.fixed[i] == None {
			open = append(open, i)
			plan[i] = None
		}
	}
	for _, k := range plan {
		if k != None {
			t.count[k]--
		}
	}
	cells := make([]cost, len(open)*len(s.count))
	t.cost = make([][]cost, len(open))
	for at, i := range open {
		t.cost[at] = cells[at*len(s.count):][:len(s.count)]
		for k := range s.count {
			t.cost[at][k] = s.at(i, k)
			t.cost[at][k].rule = rule(i, k)
		}
	}
	if err := t.solve(ctx); err != nil {
		return nil, err
	}
	for at, i := range open {
		plan[i] = t.plan[at]
	}
	return t, nil
}

// bound is the dual bound of prices were there no rules. Fixed trees lose what
// they lose.
func (s *site) bound(prices []float64) float64 {
	sum := 0.0
	for k, n := range s.free {
		sum += float64(n) * prices[k]
	}
	for i, row := range s.loss {
		if f := s.fixed[i]; f != None {
			sum += row[f]
			continue
		}
		least := math.Inf(1)
		for k, x := range row {
			least = min(least, x-prices[k])
		}
		sum += least
	}
	return sum
}
