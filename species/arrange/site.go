package arrange

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
)

// A site is a problem with its positions in the order of rows and its losses
// in whole steps.
type site struct {
	order       []int // by place in the order of rows: the caller's position
	left, right []int // neighbours in the row, or None
	low         []int // first of the row that is nearer than the spacing; i itself where emergents stand anywhere
	reach       int   // most of i - low[i]
	along       []float64
	fixed       []int
	planned     []int

	count     []int // by species
	free      []int // count less those fixed
	emergent  []bool
	alternate bool

	loss  [][]float64 // by place and species
	steps [][]int64   // the same in whole steps
	step  float64
}

func newSite(p *Problem) (*site, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	species, positions := len(p.Loss), len(p.Loss[0])
	s := &site{
		order: make([]int, positions), left: make([]int, positions), right: make([]int, positions),
		low: make([]int, positions), along: make([]float64, positions), fixed: make([]int, positions),
		count: p.Count, free: slices.Clone(p.Count), alternate: p.Alternate,
		emergent: p.Emergent,
	}
	if s.emergent == nil {
		s.emergent = make([]bool, species)
	}
	row := func(i int) int {
		if p.Row == nil {
			return 0
		}
		return p.Row[i]
	}
	along := func(i int) float64 {
		if p.Along == nil {
			return float64(i)
		}
		return p.Along[i]
	}
	for i := range s.order {
		s.order[i] = i
	}
	slices.SortStableFunc(s.order, func(a, b int) int {
		return cmp.Or(cmp.Compare(row(a), row(b)), cmp.Compare(along(a), along(b)))
	})
	for i, at := range s.order {
		s.along[i] = along(at)
		s.left[i], s.right[i], s.low[i], s.fixed[i] = None, None, i, None
		if p.Fixed != nil {
			s.fixed[i] = p.Fixed[at]
		}
		if f := s.fixed[i]; f != None {
			s.free[f]--
		}
		if i == 0 || row(s.order[i-1]) != row(at) {
			continue
		}
		s.left[i], s.right[i-1] = i-1, i
		if p.EmergentSpacing > 0 {
			s.low[i] = s.low[i-1]
			for s.along[i]-s.along[s.low[i]] >= p.EmergentSpacing-hair {
				s.low[i]++
			}
			s.reach = max(s.reach, i-s.low[i])
		}
	}
	s.takeLosses(p)
	if p.EmergentSpacing > 0 {
		if err := s.checkSpacing(p); err != nil {
			return nil, err
		}
	}
	s.planned = s.inRowOrder()
	for i, at := range s.order {
		if p.Planned != nil {
			s.planned[i] = p.Planned[at]
		}
	}
	return s, nil
}

// takeLosses counts losses in steps so small that the sum over all positions,
// twice, still fits.
func (s *site) takeLosses(p *Problem) {
	greatest := 0.0
	for _, row := range p.Loss {
		for _, x := range row {
			greatest = max(greatest, math.Abs(x))
		}
	}
	if greatest == 0 {
		greatest = 1
	}
	_, exponent := math.Frexp(greatest) // greatest < 2^exponent
	s.step = math.Ldexp(1, exponent-(60-bits.Len(uint(len(s.order)))))
	s.loss, s.steps = make([][]float64, len(s.order)), make([][]int64, len(s.order))
	for i, at := range s.order {
		s.loss[i], s.steps[i] = make([]float64, len(p.Loss)), make([]int64, len(p.Loss))
		for k, row := range p.Loss {
			s.loss[i][k], s.steps[i][k] = row[at], int64(math.RoundToEven(row[at]/s.step))
		}
	}
}

// A cost is ordered by what breaks the rules, then what is lost, then how many
// plants are moved.
type cost struct {
	rule, loss, moved int64
}

func (a cost) plus(b cost) cost { return cost{a.rule + b.rule, a.loss + b.loss, a.moved + b.moved} }

func (a cost) minus(b cost) cost { return cost{a.rule - b.rule, a.loss - b.loss, a.moved - b.moved} }

func (a cost) less(b cost) bool {
	if a.rule != b.rule {
		return a.rule < b.rule
	}
	if a.loss != b.loss {
		return a.loss < b.loss
	}
	return a.moved < b.moved
}

// barred is the rule of what must not be: an emergent too near to another, a
// plant put where a fixed tree stands.
const barred = 1 << 32

// at is what a species costs at a place, neighbours apart.
func (s *site) at(i, k int) cost {
	c := cost{loss: s.steps[i][k]}
	if s.planned[i] != k {
		c.moved = 1
	}
	return c
}

// ruled says whether any rule can matter.
func (s *site) ruled() bool { return s.reach > 0 || s.alternate }

// together says whether a pair of neighbours counts as of one species: pairs
// of fixed trees do not, since nothing parts them.
func (s *site) together(i, j int, plan []int) bool {
	return plan[i] == plan[j] && (s.fixed[i] == None || s.fixed[j] == None)
}

// whole is what a plan costs.
func (s *site) whole(plan []int) (sum cost) {
	last := None
	for i, k := range plan {
		sum = sum.plus(s.at(i, k))
		j := s.left[i]
		if j == None {
			last = None
		} else if s.alternate && s.together(j, i, plan) {
			sum.rule++
		}
		if s.emergent[k] {
			if last != None && last >= s.low[i] {
				sum.rule += barred
			}
			last = i
		}
	}
	return sum
}

// plan is an arrangement as the caller numbers positions.
func (s *site) plan(p *Problem, found *arrangement) *Plan {
	out := &Plan{Species: make([]int, len(s.order)), Bound: found.bound}
	for i, at := range s.order {
		k := found.species[i]
		out.Species[at] = k
		out.Loss += s.loss[i][k]
		out.Before += s.loss[i][s.planned[i]]
		if k != s.planned[i] {
			out.Moved++
		}
		if j := s.left[i]; j != None && s.alternate && s.together(j, i, found.species) {
			out.Together++
		}
	}
	out.Proven = found.exact || out.Loss-out.Bound <= s.close(found.species)
	if found.exact || out.Bound > out.Loss {
		out.Bound = out.Loss
	}
	return out
}
