package learn

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
)

// A Model turns parameters into outcomes: for each draw one row, the outcome of
// every reading first, in their order, and then any others that are of
// interest. Draws are numbered from first on, without a gap over the calls:
// whatever the model draws by itself must hang on that number alone, and not on
// the parameters, so that it is the same whoever asks. A NaN among the outcomes
// is one that cannot have been seen.
type Model func(ctx context.Context, first int, params [][]float64) (outcomes [][]float64, err error)

// Options adjusts Update. The zero value is the common case.
type Options struct {
	// Draws is how many are made at a time; 0 is 200.
	Draws int

	// Effective is how many draws' worth of weight is wanted; 0 is a third of
	// Draws.
	Effective float64

	// Rounds is how often is drawn at most; 0 is 8.
	Rounds int

	// Seed of the draws.
	Seed uint64
}

func (o Options) filled() Options {
	if o.Draws == 0 {
		o.Draws = 200
	}
	if o.Effective == 0 {
		o.Effective = float64(o.Draws) / 3
	}
	if o.Rounds == 0 {
		o.Rounds = 8
	}
	return o
}

// A Posterior is what is thought after the readings: draws with weights.
type Posterior struct {
	Params   [][]float64 // by draw
	Outcomes [][]float64 // by draw
	Weights  []float64   // by draw; they come to 1
	Prior    int         // so many draws, the first, were made before anything was seen

	// Effective is how many equally likely draws say as much as these.
	Effective float64
	Rounds    int

	// Misfit is, by reading, how far the nearest of the draws that were made
	// before anything was seen is from it, in standard errors of the reading.
	// More than about three, and the model did not think it possible.
	Misfit []float64
}

// A ContradictionError says that no draw at all could have led to what was
// seen.
type ContradictionError struct {
	Readings []int // those which no draw can have led to; empty if only all together
}

func (e *ContradictionError) Error() string {
	if len(e.Readings) == 0 {
		return "no draw agrees with all that was seen"
	}
	return fmt.Sprintf("no draw agrees with what was seen (readings %v)", e.Readings)
}

// Update weights draws of so many parameters by what was read, and draws anew
// where too few agree with it. The same arguments give the same answer to the
// last bit. It panics on a model that returns rows of the wrong length.
func Update(ctx context.Context, params int, readings []Reading, model Model, o Options) (*Posterior, error) {
	o = o.filled()
	s := &sample{params: params, readings: readings, posterior: &Posterior{Prior: o.Draws}}
	from := standard(params)
	for round := range o.Rounds {
		if err := s.draw(ctx, from, model, o, round); err != nil {
			return nil, err
		}
		s.weigh(1)
		if s.posterior.Effective >= o.Effective {
			break
		}
		if round+1 < o.Rounds {
			from = s.propose(o)
		}
	}
	s.weigh(1)
	if s.posterior.Effective == 0 {
		return nil, s.contradiction()
	}
	s.misfit()
	return s.posterior, nil
}

// A sample is all draws made so far.
type sample struct {
	params    int
	readings  []Reading
	proposals []*normal
	draws     []int // by proposal
	like      []float64
	prior     []float64 // logarithm of prior over mixture, by draw
	byProp    [][]float64
	posterior *Posterior
}

// draw makes one round of draws.
func (s *sample) draw(ctx context.Context, from *normal, model Model, o Options, round int) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	p := s.posterior
	first := len(p.Params)
	rng := rand.New(rand.NewPCG(o.Seed, uint64(round)+0x5EED))
	rows := make([][]float64, o.Draws)
	for i := range rows {
		rows[i] = from.sample(rng)
	}
	out, err := model(ctx, first, rows)
	if err != nil {
		return err
	}
	if len(out) != len(rows) {
		panic(fmt.Sprintf("learn: a model returned %d rows for %d draws", len(out), len(rows)))
	}
	for _, row := range out {
		if len(row) < len(s.readings) {
			panic(fmt.Sprintf("learn: a model returned %d outcomes for %d readings", len(row), len(s.readings)))
		}
		sum := 0.0
		for j, r := range s.readings {
			sum += r.LogLikelihood(row[j])
		}
		s.like = append(s.like, sum)
	}
	p.Params, p.Outcomes = append(p.Params, rows...), append(p.Outcomes, out...)
	p.Rounds = round + 1
	s.proposals, s.draws = append(s.proposals, from), append(s.draws, o.Draws)
	s.mix()
	return nil
}

// mix brings the density of the mixture of all proposals at all draws up to
// date. The first proposal is the prior.
func (s *sample) mix() {
	p := s.posterior
	n := len(p.Params)
	for k, q := range s.proposals {
		if k == len(s.byProp) {
			s.byProp = append(s.byProp, nil)
		}
		for i := len(s.byProp[k]); i < n; i++ {
			s.byProp[k] = append(s.byProp[k], q.logDensity(p.Params[i]))
		}
	}
	s.prior = s.prior[:0]
	terms := make([]float64, len(s.proposals))
	for i := range n {
		for k := range terms {
			terms[k] = s.byProp[k][i] + math.Log(float64(s.draws[k])/float64(n))
		}
		s.prior = append(s.prior, s.byProp[0][i]-logSum(terms))
	}
}

// weigh gives every draw its weight, with the likelihood raised to a power, 1
// for the posterior.
func (s *sample) weigh(power float64) {
	p := s.posterior
	logs := make([]float64, len(s.like))
	for i, l := range s.like {
		logs[i] = s.prior[i] + power*l
		if power == 0 {
			logs[i] = s.prior[i] // 0 × -Inf
		}
	}
	p.Weights = normalised(logs)
	p.Effective = effective(p.Weights)
}

// propose fits a normal distribution to the draws so far. Where hardly any
// carries the weight, the likelihood counts for only so much that enough do;
// the next round then comes nearer. Where none does at all, the next one looks
// further afield.
func (s *sample) propose(o Options) *normal {
	enough := min(float64(o.Draws)/2, max(20, 4*float64(s.params+1)))
	s.weigh(1)
	if s.posterior.Effective < enough {
		if s.posterior.Effective == 0 {
			return afield(s.params, 1+float64(s.posterior.Rounds)/2)
		}
		low, high := 0.0, 1.0
		for range 40 {
			middle := (low + high) / 2
			if s.weigh(middle); s.posterior.Effective >= enough {
				low = middle
			} else {
				high = middle
			}
		}
		s.weigh(max(low, 1e-12))
	}
	return fit(s.posterior.Params, s.posterior.Weights, s.posterior.Effective)
}

// contradiction says which readings no draw can have led to.
func (s *sample) contradiction() error {
	e := &ContradictionError{}
	for j, r := range s.readings {
		possible := false
		for _, row := range s.posterior.Outcomes {
			possible = possible || !math.IsInf(r.LogLikelihood(row[j]), -1)
		}
		if !possible {
			e.Readings = append(e.Readings, j)
		}
	}
	return e
}

// misfit measures how far each reading is from what was thought before.
func (s *sample) misfit() {
	p := s.posterior
	for j, r := range s.readings {
		near := math.Inf(1)
		for _, row := range p.Outcomes[:p.Prior] {
			near = min(near, r.Best()-r.LogLikelihood(row[j]))
		}
		p.Misfit = append(p.Misfit, math.Sqrt(2*max(0, near)))
	}
}

// logSum is the logarithm of the sum of what the logarithms stand for.
func logSum(logs []float64) float64 {
	top := math.Inf(-1)
	for _, l := range logs {
		top = max(top, l)
	}
	if math.IsInf(top, -1) {
		return top
	}
	sum := 0.0
	for _, l := range logs {
		sum += math.Exp(l - top)
	}
	return top + math.Log(sum)
}

// normalised are the weights whose logarithms are given; all 0 where none is
// possible.
func normalised(logs []float64) []float64 {
	total := logSum(logs)
	w := make([]float64, len(logs))
	if math.IsInf(total, -1) {
		return w
	}
	for i, l := range logs {
		w[i] = math.Exp(l - total)
	}
	return w
}

// effective is how many equal draws say as much as weighted ones that come to
// 1: Kong, Liu and Wong (1994).
func effective(w []float64) float64 {
	sum := 0.0
	for _, v := range w {
		sum += v * v
	}
	if sum == 0 {
		return 0
	}
	return 1 / sum
}
