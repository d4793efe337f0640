package survey

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"wetfeet/terrain"

	"github.com/paulmach/orb"
	"gonum.org/v1/gonum/floats"
)

// A Target is a place the height of which matters, such as a planned tree.
type Target struct {
	Point  orb.Point
	Name   string  // for reasons
	Weight float64 // how much its loss counts; 0 is 1
}

// A Loss is what it costs not to know the height of a target better than as
// normally distributed with this mean and standard deviation, m. It must be 0
// or more, and is best 0 where the deviation is.
type Loss func(target int, z, sd float64) float64

// Variance is the loss of someone who wants to know the ground as such: the
// square of the deviation.
func Variance(_ int, _, sd float64) float64 { return sd * sd }

// Misjudged is the loss of someone who must say of each target whether the
// ground is below a level of its own, m, such as that of standing water: the
// odds of saying it wrongly when saying what is likelier.
func Misjudged(level []float64) Loss {
	return func(i int, z, sd float64) float64 {
		d := math.Abs(level[i] - z)
		if sd == 0 || math.IsNaN(d) {
			return 0
		}
		return math.Erfc(d/sd/math.Sqrt2) / 2
	}
}

// A Place is where to hold the staff next.
type Place struct {
	Point  orb.Point
	Index  int     // among the candidates
	SD     float64 // standard deviation of the ground there before the reading, m
	After  float64 // and after it, m
	Near   float64 // distance to the nearest shot or place chosen before, m
	Before float64 // expected loss of all targets before the reading
	Gain   float64 // by how much the reading is expected to lessen it
	Helps  []int   // targets that gain most, at most three, the most first
	Reason string
}

const (
	mostCandidates = 1000
	negligiblePart = 1e-3 // of a target's variance that a reading would take
	helpsShown     = 3
)

// outcomes are what a reading may say, in standard deviations from what is
// expected, with the odds of each: the trapezoidal rule on the bell curve, a
// quarter of a deviation apart. On such a curve it converges faster than any
// power of the step (Trefethen, L.N.C., Weideman, J.A.C. (2014). The
// exponentially convergent trapezoidal rule. SIAM Review 56(3), 385–458), and
// it is fine enough for the kink of a decision, which Gauss–Hermite nodes
// straddle: with 15 of them the worth of a reading came out 6 % too high.
var outcomes = func() (o [33][2]float64) {
	sum := 0.0
	for i := range o {
		t := float64(i-16) / 4
		o[i] = [2]float64{t, math.Exp(-t * t / 2)}
		sum += o[i][1]
	}
	for i := range o {
		o[i][1] /= sum
	}
	return o
}()

// Next chooses where to hold the staff next: of the candidates, the place
// where a reading is expected to lessen the loss of the targets most, then
// the best other one given that reading, and so on, n in all. No candidates are the
// targets themselves; no loss is [Variance].
//
// A reading at c with error variance ν moves the mean at a target t by a
// normal amount with variance κ² = C(t, c)² / (C(c, c) + ν) and lessens its
// variance by as much, C being the covariance given all shots so far. What
// the reading will say is not known, what it does to the covariance is: so
// the loss to be expected is that with the lesser variance, over all means it
// may leave. After each choice C is brought up
// to date. The error of a reading is the nugget's, or [AssumedError] where
// there is none.
//
// It ends early when no reading is worth anything. Above 3,000 shots the
// 3,000 nearest to the targets speak for all.
func (m *Model) Next(targets []Target, candidates []orb.Point, loss Loss, n int) ([]Place, error) {
	switch {
	case len(targets) == 0:
		return nil, errors.New("no targets; at least one place whose height matters is needed")
	case n < 1:
		return nil, fmt.Errorf("%d readings asked for; at least 1 is needed", n)
	case m.unsure:
		return nil, faultf("%d shots fix the trend and nothing more: where the error is largest is not known", len(m.shots))
	}
	if loss == nil {
		loss = Variance
	}
	if candidates == nil {
		for _, t := range targets {
			candidates = append(candidates, t.Point)
		}
	}
	if len(candidates) == 0 {
		return nil, errors.New("no candidates; at least one place to hold the staff is needed")
	}
	p, err := m.newPlanner(targets, candidates, loss)
	if err != nil {
		return nil, err
	}
	var places []Place
	for range n {
		place, ok := p.choose()
		if !ok {
			break
		}
		places = append(places, place)
	}
	return places, nil
}

// A planner keeps what is known of targets and candidates from choice to
// choice. Variances and covariances are m².
type planner struct {
	*Model
	targets    []Target
	candidates []orb.Point
	loss       Loss
	noise      float64

	z, first []float64 // of the targets: mean and variance given the shots
	told     []float64 // how much of that variance the readings chosen take
	now      []float64 // expected weighted loss, given those
	cross    []float64 // covariance of target i with candidate c: [c*len(targets)+i]
	variance []float64 // of the candidates
	between  *posterior
	chosen   []bool
	readings [][]float64 // by choice: covariance of each candidate with it, over the deviation of the reading
	near     []float64   // distance of each candidate to the nearest shot or choice, m
}

func (m *Model) newPlanner(targets []Target, candidates []orb.Point, loss Loss) (*planner, error) {
	p := &planner{Model: m, targets: targets, candidates: candidates, loss: loss, noise: m.Covariance.Nugget}
	if p.noise == 0 {
		p.noise = AssumedError * AssumedError
	}
	for i, t := range targets {
		if !(t.Weight >= 0) || math.IsInf(t.Weight, 0) || !(math.Abs(t.Point[0])+math.Abs(t.Point[1]) <= 2*longestDistance) {
			return nil, fmt.Errorf("target %d at %v with weight %v; a place in metres and a weight of 0 or more are needed", i, t.Point, t.Weight)
		}
	}
	for i, c := range candidates {
		if !(math.Abs(c[0])+math.Abs(c[1]) <= 2*longestDistance) {
			return nil, fmt.Errorf("candidate %d at %v; a place in metres is needed", i, c)
		}
	}
	wanted := make([]orb.Point, len(targets))
	for i, t := range targets {
		wanted[i] = t.Point
	}
	post := m.posterior(wanted)
	at, of := post.whiten(m.at(wanted...)), post.whiten(m.at(candidates...))
	n := len(targets)
	p.z, p.first, p.told, p.now = at.mean, at.variance, make([]float64, n), make([]float64, n)
	for i := range targets {
		p.now[i] = p.expected(i, 0)
	}
	p.variance = of.variance
	p.cross = make([]float64, n*len(candidates))
	terrain.Bands(len(candidates), func(lo, hi int) {
		for c := lo; c < hi; c++ {
			post.covariance(of, c, at, p.cross[c*n:(c+1)*n])
		}
	})
	t := newTree(places(m.shots), 16)
	p.near, p.chosen = make([]float64, len(candidates)), make([]bool, len(candidates))
	for c, q := range candidates {
		p.near[c] = t.nearest(orb.Bound{Min: q, Max: q}, 1, m.spacing)[0].distance
	}
	p.between = &posterior{post.sys, post.drift, m, of}
	return p, nil
}

// weight of a target's loss.
func (p *planner) weight(i int) float64 {
	if w := p.targets[i].Weight; w != 0 {
		return w
	}
	return 1
}

// expected is the weighted loss of a target once readings have taken so much
// of its variance, over what they may say.
func (p *planner) expected(i int, told float64) float64 {
	sd := math.Sqrt(max(p.first[i]-told, 0))
	if told <= 0 {
		return p.weight(i) * p.loss(i, p.z[i], sd)
	}
	step, sum := math.Sqrt(told), 0.0
	for _, o := range outcomes {
		sum += o[1] * p.loss(i, p.z[i]+step*o[0], sd)
	}
	return p.weight(i) * sum
}

// choose finds the best candidate and takes its reading as done.
func (p *planner) choose() (Place, bool) {
	n := len(p.targets)
	gains := make([]float64, len(p.candidates))
	terrain.Bands(len(gains), func(lo, hi int) {
		for c := lo; c < hi; c++ {
			if p.chosen[c] {
				continue
			}
			for i, v := range p.cross[c*n : (c+1)*n] {
				if more := v * v / (p.variance[c] + p.noise); more > negligiblePart*p.first[i] {
					gains[c] += p.now[i] - p.expected(i, p.told[i]+more)
				}
			}
		}
	})
	best := 0
	for c, g := range gains {
		if g > gains[best] {
			best = c
		}
	}
	total := floats.Sum(p.now)
	if !(gains[best] > 1e-9*total) {
		return Place{}, false
	}
	v := p.variance[best]
	place := Place{
		Point: p.candidates[best], Index: best, Before: total, Gain: gains[best],
		SD: math.Sqrt(v), After: math.Sqrt(v * p.noise / (v + p.noise)), Near: p.near[best],
	}
	p.chosen[best] = true
	helped := p.take(best)
	place.Gain = total - floats.Sum(p.now)
	place.Helps, place.Reason = helped, p.reason(place, helped)
	for c, q := range p.candidates {
		p.near[c] = min(p.near[c], math.Hypot(q[0]-place.Point[0], q[1]-place.Point[1]))
	}
	return place, true
}

// take brings the covariances up to date for a reading at a candidate, and
// lists the targets that gain most.
func (p *planner) take(best int) []int {
	n := len(p.targets)
	spread := math.Sqrt(p.variance[best] + p.noise)
	with := make([]float64, len(p.candidates)) // covariance of each candidate with the reading
	p.between.covariance(p.between.of, best, p.between.of, with)
	for _, r := range p.readings {
		floats.AddScaled(with, -r[best], r)
	}
	floats.Scale(1/spread, with)
	p.readings = append(p.readings, with)

	at := slices.Clone(p.cross[best*n : (best+1)*n])
	floats.Scale(1/spread, at)
	gain := make([]float64, n)
	for i, v := range at {
		p.told[i] += v * v
		after := p.expected(i, p.told[i])
		gain[i], p.now[i] = p.now[i]-after, after
	}
	terrain.Bands(len(p.candidates), func(lo, hi int) {
		for c := lo; c < hi; c++ {
			floats.AddScaled(p.cross[c*n:(c+1)*n], -with[c], at)
			p.variance[c] = max(p.variance[c]-with[c]*with[c], 0)
		}
	})
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Or(cmp.Compare(gain[b], gain[a]), cmp.Compare(a, b)) })
	helped := order[:min(helpsShown, n)]
	for k, i := range helped {
		if gain[i] < 0.05*gain[helped[0]] || gain[i] <= 0 {
			return helped[:k]
		}
	}
	return helped
}

func (p *planner) reason(place Place, helped []int) string {
	text := fmt.Sprintf("known to %s now, to %s with a reading; %s from the nearest shot; lessens the loss by %.2g %%",
		length(place.SD), length(place.After), length(place.Near), 100*place.Gain/place.Before)
	var names []string
	for _, i := range helped {
		if name := p.targets[i].Name; name != "" {
			names = append(names, name)
		}
	}
	if len(names) > 0 {
		text += ", most at " + strings.Join(names, ", ")
	}
	return text
}

// Candidates are places to hold the staff: the middles of cells of a frame
// that the surface covers, at most a thousand of them, evenly over the frame.
func (m *Model) Candidates(f terrain.Frame) []orb.Point {
	step := 1
	for {
		var all []orb.Point
		for row := step / 2; row < f.Rows; row += step {
			for col := step / 2; col < f.Cols; col += step {
				if p := f.Centre(row, col); m.Covers(p) {
					all = append(all, p)
				}
			}
			if len(all) > mostCandidates {
				break
			}
		}
		if len(all) <= mostCandidates {
			return all
		}
		step++
	}
}
