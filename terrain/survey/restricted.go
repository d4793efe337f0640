package survey

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/optimize"
)

// leastVariance is the smallest total variance told apart from none, m²: a
// tenth of a millimetre, squared. Heights are not written finer.
const leastVariance = 1e-8

// A likelihood is the restricted likelihood of a covariance, given blocks of
// samples that are independent of each other but for one trend. One block of
// all samples is the likelihood itself.
type likelihood struct {
	kernel  Kernel
	blocks  []*samples
	buffers [][]float64
}

// A guess is the numbers of a covariance on the way to the best, in scaled
// coordinates.
type guess struct {
	reach  float64 // range
	sill   float64 // m²; 0 lets it follow from the others
	nugget float64 // m², or relative to the sill where that follows

	stretch [2]float64 // see stretch
}

func newLikelihood(kernel Kernel, blocks []*samples) *likelihood {
	l := &likelihood{kernel: kernel, blocks: blocks}
	for _, b := range blocks {
		l.buffers = append(l.buffers, make([]float64, b.len()*b.len()))
	}
	return l
}

// at is minus twice the log of the restricted likelihood, but for a constant,
// and the sill that goes with it; +Inf where it cannot be computed.
func (l *likelihood) at(g guess) (value, sill float64) {
	systems := make([]*system, len(l.blocks))
	unit := g.sill
	if unit == 0 {
		unit = 1
	}
	var wg sync.WaitGroup
	for i, b := range l.blocks {
		wg.Go(func() {
			if g.stretch != [2]float64{} {
				b = b.drawn(stretch(g.stretch[0], g.stretch[1]))
			}
			systems[i], _ = newSystem(b, l.kernel, 1/g.reach, b.diagonal(unit, g.nugget, jitter), l.buffers[i])
		})
	}
	wg.Wait()
	if slices.Contains(systems, nil) {
		return math.Inf(1), 0
	}
	d, ok := newDrift(systems)
	if !ok {
		return math.Inf(1), 0
	}
	free := float64(d.samples - len(d.beta))
	sill = g.sill
	if sill == 0 {
		sill = max(d.quad/free, leastVariance)
	}
	value = free*math.Log(sill) + d.logDet + d.quad/sill
	for _, sys := range systems {
		value += sys.logDet
	}
	return value, sill
}

// A limit bounds the logarithm of a number that is sought.
type limit struct{ low, high float64 }

// A plan says which numbers of a guess are sought: between what limits, from
// what starts, and how to make a guess of them.
type plan struct {
	limits []limit
	starts [][]float64
	decode func(x []float64) guess
	encode func(g guess) []float64 // the way back, where it is gone
	brief  bool                    // one search, ended at a likelihood within a hundredth
}

// search looks for the guess of greatest likelihood: a coarse net of starts,
// then the simplex of Nelder and Mead (1965, Computer Journal 7, 308–313)
// from the two best. It uses no chance, so that the same shots always give
// the same surface.
func (l *likelihood) search(p plan) guess {
	inside := func(x []float64) []float64 {
		in := slices.Clone(x)
		for i, b := range p.limits {
			in[i] = min(max(x[i], b.low), b.high)
		}
		return in
	}
	objective := func(x []float64) float64 {
		in := inside(x)
		v, _ := l.at(p.decode(in))
		for i := range x { // a wall that leads back inside
			v += 100 * (x[i] - in[i]) * (x[i] - in[i])
		}
		return v
	}
	type trial struct {
		x []float64
		v float64
	}
	var net []trial
	for _, x := range p.starts {
		net = append(net, trial{x, objective(x)})
	}
	slices.SortStableFunc(net, func(a, b trial) int { return cmp.Compare(a.v, b.v) })
	best := net[0]
	searches, iterations, within := 2, 150, 1e-6
	if p.brief {
		searches, iterations, within = 1, 80, 0.01
	}
	for _, s := range net[:min(searches, len(net))] {
		r, err := optimize.Minimize(optimize.Problem{Func: objective}, s.x, &optimize.Settings{
			MajorIterations: iterations,
			Converger:       &optimize.FunctionConverge{Absolute: within, Iterations: 12},
		}, &optimize.NelderMead{SimplexSize: 0.4})
		if err == nil && r.F < best.v {
			best = trial{r.X, r.F}
		}
	}
	return p.decode(inside(best.x))
}
