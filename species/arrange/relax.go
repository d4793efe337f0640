package arrange

import (
	"context"
	"math"
	"slices"
)

// How long relax tries. On 12 species over 2,000 positions the bound is found
// in some 80 rounds, a plan in a few.
const (
	boundRounds = 200 // of prices, for the bound
	planRounds  = 80  // of prices, for a plan
	mostIdle    = 10  // plans tried without a better one
	fewWrong    = 3   // plants of a plan that are of another species than the counts want, for it to be tried although others were as near

	// ripple is how much losses are rippled for a plan, in parts of the most
	// that a place can gain.
	ripple = 1e-5
)

// relax finds a good arrangement that keeps the rules and a bound for it.
// Prices u turn the counts into costs: rows then do not concern each other,
// and each is planned to the optimum. What all of them lose less the prices,
// and the counts at the prices, is a bound.
//
// Where many places are alike, the plans of the rows at the best prices are
// far from the counts, since nothing tells which of the species that are as
// good as each other there goes where. So prices are then raised once more for
// losses that are rippled by a little, which does, and what the rows plan at
// those is mended and improved.
func (s *site) relax(ctx context.Context, bound float64, prices []float64) (*arrangement, error) {
	species, err := s.start(ctx)
	if err != nil {
		return nil, err
	}
	best := &arrangement{species: species, bound: bound}
	// The last price is that of two neighbours together, where some must be.
	u := append(slices.Clone(prices), s.spread())
	for range 3 {
		before := s.whole(best.species).rule
		d := s.newDual(newRows(s), u, best.species)
		for round := 0; round < boundRounds && !d.ended && !s.met(best.species, d.best); round++ {
			if err := context.Cause(ctx); err != nil {
				return nil, err
			}
			d.raise()
		}
		if math.IsInf(d.best, 1) {
			break // no plan of the rows keeps neighbours apart
		}
		best.bound, u = max(best.bound, d.best), d.at
		if s.met(best.species, best.bound) {
			break
		}
		if err := s.settle(ctx, best, u); err != nil {
			return nil, err
		}
		if s.whole(best.species).rule == before {
			break
		} // fewer pairs are together now, so the bound may be higher
	}
	return best, nil
}

// settle looks for a better plan around some prices, until it meets the bound
// or nothing is gained any more.
func (s *site) settle(ctx context.Context, best *arrangement, u []float64) error {
	r := newRows(s)
	r.loss = s.rippled()
	d := s.newDual(r, u, best.species)
	upper := s.whole(best.species)
	var tried [][]int
	nearest, idle := math.MaxInt, 0
	for round := 0; round < planRounds && idle < mostIdle && !d.ended && !s.met(best.species, best.bound); round++ {
		if err := context.Cause(ctx); err != nil {
			return err
		}
		d.raise()
		for _, plan := range [2][]int{d.mixed(), slices.Clone(r.species)} {
			wrong := s.wrong(plan)
			if wrong > nearest || wrong == nearest && wrong > fewWrong ||
				slices.ContainsFunc(tried, func(other []int) bool { return slices.Equal(other, plan) }) {
				continue
			}
			nearest, tried = wrong, append(tried, slices.Clone(plan))
			s.mend(plan)
			if err := s.improve(ctx, plan); err != nil {
				return err
			}
			if idle++; s.whole(plan).less(upper) {
				best.species, upper, idle = plan, s.whole(plan), 0
			}
		}
	}
	return nil
}

// met says whether a bound meets the loss of a plan.
func (s *site) met(plan []int, bound float64) bool {
	return float64(s.whole(plan).loss)*s.step-bound <= s.close(plan)
}

// close is how near a bound is to the loss of a plan that it meets: rounding
// may leave it a hair off.
func (s *site) close(plan []int) float64 {
	scale := 0.0
	for i, k := range plan {
		scale += math.Abs(s.loss[i][k])
	}
	return 1e-9 * max(scale, s.step*math.Ldexp(1, 40))
}

// spread is the most that a place can gain by another species.
func (s *site) spread() float64 {
	most := 0.0
	for _, row := range s.loss {
		most = max(most, slices.Max(row)-slices.Min(row))
	}
	return most
}
