package arrange

import (
	"context"
	"math"
	"slices"
)

// How long relax tries: on 12 species over 2,000 positions what remains of the
// gap then is a few hundredths of the loss at worst, and a thousandth of the
// gain over the plan.
const (
	relaxRounds = 300
	mendEvery   = 10    // rounds from one plan that is mended to the next
	patience    = 12    // rounds without a better bound before steps are halved
	leastStep   = 0.003 // of the first: below it the bound hardly moves
)

// relax finds a good arrangement that keeps the rules and a bound for it.
// Prices u turn the counts into costs: rows then do not concern each other,
// and each is planned to the optimum. What all of them lose less the prices,
// and the counts at the prices, is a bound. Prices go up where too few are
// planted and down where too many.
func (s *site) relax(ctx context.Context, bound float64, prices []float64) (*arrangement, error) {
	species, err := s.start(ctx)
	if err != nil {
		return nil, err
	}
	best := &arrangement{species: species, bound: bound}
	upper := s.whole(best.species)
	u := slices.Clone(prices)
	r := newRows(s)
	pair := s.spread() // the price of two neighbours together, where some must be
	step, idle, last := 1.0, 0, math.Inf(-1)
	for round := range relaxRounds {
		if err := context.Cause(ctx); err != nil {
			return nil, err
		}
		r.pair = pair
		if upper.rule == 0 {
			r.pair = math.Inf(1)
		}
		low := r.plan(u)
		over := 0
		for i, j := range s.left {
			if j != None && s.alternate && s.together(j, i, r.species) {
				over++
			}
		}
		for k, n := range s.count {
			low += float64(n) * u[k]
		}
		if upper.rule > 0 {
			low -= pair * float64(upper.rule)
		}
		if math.IsInf(low, 1) {
			break // no plan of the rows keeps neighbours apart
		}
		best.bound = max(best.bound, low)
		slope, norm := slices.Clone(s.count), 0.0
		for _, k := range r.species {
			slope[k]--
		}
		for _, g := range slope {
			norm += float64(g) * float64(g)
		}
		rise := 0.0
		if upper.rule > 0 {
			if rise = float64(over) - float64(upper.rule); pair > 0 || rise > 0 {
				norm += rise * rise
			}
		}

		if norm == 0 || round%mendEvery == 0 {
			plan := slices.Clone(r.species)
			s.mend(plan)
			if err := s.improve(ctx, plan); err != nil {
				return nil, err
			}
			if c := s.whole(plan); c.less(upper) {
				best.species, upper = plan, c
			}
		}
		gap := float64(upper.loss)*s.step - low
		if norm == 0 || float64(upper.loss)*s.step-best.bound <= s.close() {
			break
		}
		if idle++; low > last+1e-6*gap {
			last, idle = max(last, low), 0
		} else if idle >= patience {
			step, idle = step/2, 0
			if step < leastStep {
				break
			}
		}
		t := step * gap / norm
		for k, g := range slope {
			u[k] += t * float64(g)
		}
		pair = max(0, pair+t*rise)
	}
	return best, nil
}

// close is how near a bound is to a loss that it meets.
func (s *site) close() float64 { return s.step * 64 * float64(len(s.order)) }

// spread is the most that a place can gain by another species.
func (s *site) spread() float64 {
	most := 0.0
	for _, row := range s.loss {
		most = max(most, slices.Max(row)-slices.Min(row))
	}
	return most
}
