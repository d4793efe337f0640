package learn

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// A Candidate is an observation that could be made next: one outcome, read with
// a normal error.
type Candidate struct {
	Name    string
	Outcome int
	Error   float64 // one standard deviation, 0 or more
}

// A Worth is what making an observation may be expected to do.
type Worth struct {
	Candidate
	Before float64 // loss as things stand
	After  float64 // loss expected once it has been made
}

// A Loss is what is lost by not knowing better, given weights of the draws
// that come to 1.
type Loss func(weights []float64) float64

// Spread is the loss of not knowing outcomes: the mean, over the outcomes, of
// their variance as a share of what it is now. It is 1 as things stand.
// Outcomes that are certain are left out.
func (p *Posterior) Spread(outcomes ...int) Loss {
	var all [][]float64
	var now []float64
	for _, k := range outcomes {
		v := column(p.Outcomes, k)
		if _, variance := moments(v, p.Weights); variance > 0 && !math.IsInf(variance, 0) {
			all, now = append(all, v), append(now, variance)
		}
	}
	return func(weights []float64) float64 {
		if len(all) == 0 {
			return 0
		}
		sum := 0.0
		for k, v := range all {
			_, variance := moments(v, weights)
			sum += variance / now[k]
		}
		return sum / float64(len(all))
	}
}

// Decision is the loss of having to decide: that of the decision which loses
// least in the mean. Losses are by draw and decision.
func Decision(losses [][]float64) Loss {
	return func(weights []float64) float64 {
		sums := make([]float64, len(losses[0]))
		for i, row := range losses {
			for k, l := range row {
				sums[k] += float64(weights[i] * l)
			}
		}
		return slices.Min(sums)
	}
}

// imagined is how many results of each observation are played through.
const imagined = 200

// Next is what each candidate is worth, the one that leaves least loss first
// and those equal in the order given. Every result that the draws foresee is
// played through: the draws are weighted by it as Update would, but for the one
// that foresaw it, since nobody sees a result that a draw knew beforehand to
// the last digit. For the same reason no error is taken to be smaller than the
// draws can tell apart.
func (p *Posterior) Next(candidates []Candidate, loss Loss) []Worth {
	before := loss(p.Weights)
	var out []Worth
	for _, c := range candidates {
		out = append(out, Worth{c, before, p.expected(c, loss, before)})
	}
	slices.SortStableFunc(out, func(a, b Worth) int { return cmp.Compare(a.After, b.After) })
	return out
}

// expected is the mean loss after an observation.
func (p *Posterior) expected(c Candidate, loss Loss, before float64) float64 {
	v := column(p.Outcomes, c.Outcome)
	for i := range v {
		if math.IsNaN(v[i]) || math.IsInf(v[i], 0) {
			v[i] = math.NaN()
		}
	}
	finite := make([]float64, len(v))
	share := 0.0
	for i, w := range p.Weights {
		if !math.IsNaN(v[i]) {
			finite[i] = w
			share += w
		}
	}
	if share < 0.5 { // mostly it cannot be read at all
		return before
	}
	_, variance := moments(v, finite)
	apart := math.Sqrt(variance) * math.Pow(effective(p.Weights), -1.0/3)
	kernel := math.Hypot(c.Error, apart)
	if kernel == 0 {
		return before // all draws foresee the same
	}
	seeing := Measured{Error: kernel}
	logs, sum := make([]float64, len(v)), 0.0
	for n, i := range p.foreseen() {
		if math.IsNaN(v[i]) {
			sum += before
			continue
		}
		seeing.Value = v[i] + c.Error*distuv.UnitNormal.Quantile(halton(n))
		for k := range logs {
			logs[k] = math.Inf(-1)
			if k != i && !math.IsNaN(v[k]) && p.Weights[k] > 0 {
				logs[k] = math.Log(p.Weights[k]) + seeing.LogLikelihood(v[k])
			}
		}
		after := normalised(logs)
		if effective(after) == 0 {
			sum += before
			continue
		}
		sum += loss(after)
	}
	return sum / imagined
}

// foreseen are draws as often as their weight says, evenly spaced over all, in
// an order of chance that is always the same.
func (p *Posterior) foreseen() []int {
	var out []int
	below, k := 0.0, 0
	for n := range imagined {
		at := (float64(n) + 0.5) / imagined
		for k < len(p.Weights)-1 && below+p.Weights[k] < at {
			below += p.Weights[k]
			k++
		}
		out = append(out, k)
	}
	rng := rand.New(rand.NewPCG(1, 0xF0E5EE))
	rng.Shuffle(len(out), func(a, b int) { out[a], out[b] = out[b], out[a] })
	return out
}

// halton spreads n over (0, 1) evenly: van der Corput's sequence in base 2.
func halton(n int) float64 {
	x, digit := 0.0, 0.5
	for n++; n > 0; n >>= 1 {
		if n&1 != 0 {
			x += digit
		}
		digit /= 2
	}
	return x
}
