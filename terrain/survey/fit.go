package survey

import (
	"errors"
	"fmt"
	"math"
	"sync"

	"wetfeet/terrain"

	"github.com/paulmach/orb"
)

// How many shots are handled in which way; see the package comment.
const (
	mostWhole       = 3000 // solved at once
	mostLikelihood  = 300  // in one likelihood
	blockShots      = 192  // in a block of the likelihood of more
	mostBlocks      = 16
	fewestForRange  = 12    // fitted range
	straightness    = 1e-3  // hull narrower than this part of its diagonal is a line
	longestDistance = 1e8   // between shots, m
	leastRelative   = 1e-8  // nugget over sill
	mostRelative    = 1e4   // nugget over sill
	negligible      = 1e-5  // nugget over sill taken for none
	leastSill       = 1e-10 // m²
)

// sizes are the limits a test lowers to try the way of many shots on few.
type sizes struct{ whole, likelihood, deviation int }

// Fit makes a surface of shots in metres.
//
// The shots must be at least three, not in a line, and in a projected or
// local system. What is wrong with them is ErrInput. Where shots state how
// sure their place is, the surface is made twice: the second time with what
// that does to their heights on the slopes of the first.
func Fit(shots []Shot, o Options) (*Model, error) {
	most := sizes{mostWhole, mostLikelihood, mostDeviation}
	m, err := fit(shots, o, most)
	if err != nil {
		return nil, err
	}
	if _, some := steadied(shots, func(int) float64 { return 0 }); !some {
		return m, nil
	}
	steady, _ := steadied(shots, m.slopes())
	return fit(steady, o, most)
}

func fit(shots []Shot, o Options, most sizes) (*Model, error) {
	m := &Model{Trend: o.Trend, Margin: o.Margin, shots: shots, lines: o.Lines, options: o, rings: [2][]orb.Ring{o.Outline, o.Holes}, warp: unwarped}
	if len(shots) < 3 {
		return nil, tooFew(len(shots))
	}
	if err := errors.Join(CheckLines(o.Lines), near(shots, o.Lines)); err != nil {
		return nil, err
	}
	if err := m.survey(o); err != nil {
		return nil, err
	}
	m.spacing = Spacing(shots)
	if o.Margin == 0 {
		m.Margin = m.spacing
	}
	if err := m.learn(o, most); err != nil {
		return nil, err
	}
	m.lay()
	if len(m.lines) > 0 {
		m.hold(o)
	}
	return m, m.solve(most)
}

// survey checks the shots and brings them into scaled coordinates.
func (m *Model) survey(o Options) error {
	for i, s := range m.shots {
		for _, v := range []float64{s.Point[0], s.Point[1], s.Z, s.Error} {
			if math.IsNaN(v) || math.Abs(v) > longestDistance {
				return faultf("%s: x, y, z and error are %v, %v, %v, %v; numbers of metres are needed", s.called(i), s.Point[0], s.Point[1], s.Z, s.Error)
			}
		}
	}
	points := places(m.shots)
	for _, l := range m.lines {
		if l.Z != nil {
			points = append(points, l.Line...)
		}
	}
	m.hull = newOutline(points)
	diagonal := extentOf(points)
	if len(m.hull) < 2 {
		return faultf("all %d shots are at one place; at least 3 places that are not in a line are needed", len(m.shots))
	}
	if w := m.hull.width(); w < straightness*diagonal && m.Trend != Constant {
		return faultf("all %d shots lie in a line, within %.3g m over %.3g m; a few to its sides are needed", len(m.shots), w, diagonal)
	}
	n := float64(len(m.shots))
	for _, s := range m.shots {
		m.level += s.Z / n
		m.centre[0] += s.Point[0] / n
		m.centre[1] += s.Point[1] / n
	}
	// The size is that of an evenly surveyed square's half diagonal, found in
	// a way that does not change when the site is turned.
	for _, s := range m.shots {
		x, y := s.Point[0]-m.centre[0], s.Point[1]-m.centre[1]
		m.size += 3 * (x*x + y*y) / n
	}
	m.size = math.Sqrt(m.size)
	m.samples = &samples{terms: len(m.trendAt(nil, 0, 0))}
	for _, s := range m.shots {
		p := m.scaled(s.Point)
		m.place(m.samples, p[0], p[1], p)
		m.samples.z = append(m.samples.z, s.Z-m.level)
		noise := math.NaN()
		if e := s.errorOr(o.Error); e > 0 {
			noise = e * e
		}
		m.samples.noise = append(m.samples.noise, noise)
	}
	return nil
}

// called names a shot for a message.
func (s Shot) called(i int) string {
	switch {
	case s.Line > 0:
		return fmt.Sprintf("line %d", s.Line)
	case s.Name != "":
		return "shot " + quote(s.Name)
	}
	return fmt.Sprintf("shot %d", i+1)
}

// learn finds the covariance.
func (m *Model) learn(o Options, most sizes) error {
	if o.Covariance != nil {
		m.Covariance = *o.Covariance
		if c := m.Covariance; !(c.Sill >= leastSill && c.Range > 0 && c.Nugget >= 0) || math.IsInf(c.Sill+c.Range+c.Nugget, 0) {
			return fmt.Errorf("covariance with sill %v m², range %v m, nugget %v m²; needed are a sill of at least 1e-10, a range above 0 and a nugget of 0 or more", c.Sill, c.Range, c.Nugget)
		}
		m.Anisotropy = o.Anisotropy
		if m.Anisotropy.Ratio == 0 {
			m.Anisotropy.Ratio = 1
		}
		if r := m.Anisotropy.Ratio; !(r > 0 && r <= 1) || math.IsNaN(o.Anisotropy.Bearing) || math.IsInf(o.Anisotropy.Bearing, 0) {
			return fmt.Errorf("anisotropy of ratio %v toward %v degrees; a ratio above 0 and up to 1 is needed", r, o.Anisotropy.Bearing)
		}
		m.warp = m.Anisotropy.warp()
		m.raise(m.Covariance.Reach())
		return m.liftable(m.Covariance.Kernel)
	}
	m.Anisotropy.Ratio = 1
	if err := m.liftable(o.Kernel); err != nil {
		return err
	}
	n, p := m.samples.len(), m.samples.terms
	flat, ok := newDrift([]*system{plain(m.samples)})
	if !ok {
		return faultf("the shots lie too nearly in a line to tell how the ground falls across it")
	}
	m.Covariance = Covariance{Kernel: o.Kernel, Range: 2 * m.size / 3}
	spread := flat.quad / float64(max(n-p, 1)) // variance about the trend alone
	known := 0
	for _, v := range m.samples.noise {
		if !math.IsNaN(v) {
			known++
		}
	}
	if n <= p || spread < leastVariance {
		m.unsure = n <= p
		m.Covariance.Sill, m.Covariance.Nugget = leastVariance, leastVariance
		if m.unsure {
			m.Remarks = append(m.Remarks, fmt.Sprintf("%d shots fix the trend and nothing more: the error of the surface is not known", n))
		} else {
			m.Remarks = append(m.Remarks, "the shots lie on the trend to a tenth of a millimetre")
		}
		return nil
	}
	look := m.plan(spread, known)
	best := newLikelihood(o.Kernel, m.blocks(most.likelihood)).search(look)
	if len(m.lines) > 0 { // once without breaklines, to know how far they have to part the ground
		m.raise(Covariance{Kernel: o.Kernel, Range: best.reach * m.size}.Reach())
		m.lay()
		best = newLikelihood(o.Kernel, m.blocks(most.likelihood)).search(look)
	}
	l := newLikelihood(o.Kernel, m.blocks(most.likelihood))
	if n >= fewestForAnisotropy && !o.Isotropic {
		best = m.direct(l, look, best)
	}
	_, sill := l.at(best)
	if best.sill == 0 {
		best.nugget *= sill
	}
	if best.nugget < negligible*sill {
		best.nugget = 0
	}
	m.Covariance.Sill, m.Covariance.Range, m.Covariance.Nugget = sill, best.reach*m.size*math.Sqrt(1/m.Anisotropy.Ratio), best.nugget
	m.warp = m.Anisotropy.warp()
	m.raise(m.Covariance.Reach())
	if n >= fewestForRange && m.Covariance.Range > 5.9*m.size {
		m.Remarks = append(m.Remarks, "the shots are alike all over the site: how far likeness reaches cannot be told from them")
	}
	return nil
}

// plan says which numbers of the covariance are to be found, and where to
// look: ranges from a fifth of the spacing to three diagonals.
func (m *Model) plan(spread float64, known int) plan {
	n := m.samples.len()
	spacing := m.spacing / m.size
	sill := limit{math.Log(leastSill), math.Log(spread) + 6}
	if n < fewestForRange {
		m.Remarks = append(m.Remarks, fmt.Sprintf("%d shots are too few to tell how far likeness reaches: a range of a third of the site's breadth is assumed", n))
		if known < n {
			m.Remarks = append(m.Remarks, fmt.Sprintf("a shot error of %g m is assumed where none is stated", AssumedError))
		}
		return plan{
			limits: []limit{sill},
			starts: [][]float64{{math.Log(spread)}, {math.Log(spread) - 4}},
			decode: func(x []float64) guess {
				return guess{reach: 2.0 / 3, sill: math.Exp(x[0]), nugget: AssumedError * AssumedError}
			},
		}
	}
	reach := limit{math.Log(spacing / 5), math.Log(6)}
	var starts [][]float64
	for _, part := range []float64{0.35, 0.55, 0.7, 0.85} {
		starts = append(starts, []float64{reach.low + part*(reach.high-reach.low)})
	}
	times := func(more ...float64) {
		var crossed [][]float64
		for _, s := range starts {
			for _, v := range more {
				crossed = append(crossed, append(s[:len(s):len(s)], v))
			}
		}
		starts = crossed
	}
	if known == 0 {
		times(math.Log(1e-3), math.Log(0.05), math.Log(0.7))
		return plan{
			limits: []limit{reach, {math.Log(leastRelative), math.Log(mostRelative)}},
			starts: starts,
			decode: func(x []float64) guess { return guess{reach: math.Exp(x[0]), nugget: math.Exp(x[1])} },
			encode: func(g guess) []float64 { return []float64{math.Log(g.reach), math.Log(g.nugget)} },
		}
	}
	times(math.Log(spread), math.Log(spread)-2)
	if known == n {
		return plan{
			limits: []limit{reach, sill},
			starts: starts,
			decode: func(x []float64) guess { return guess{reach: math.Exp(x[0]), sill: math.Exp(x[1])} },
			encode: func(g guess) []float64 { return []float64{math.Log(g.reach), math.Log(g.sill)} },
		}
	}
	times(math.Log(spread)-7, math.Log(spread)-2)
	return plan{
		limits: []limit{reach, sill, {math.Log(leastSill), sill.high}},
		starts: starts,
		decode: func(x []float64) guess {
			return guess{reach: math.Exp(x[0]), sill: math.Exp(x[1]), nugget: math.Exp(x[2])}
		},
		encode: func(g guess) []float64 {
			return []float64{math.Log(g.reach), math.Log(g.sill), math.Log(g.nugget)}
		},
	}
}

// blocks are the samples the likelihood is made of: all of them, or blocks of
// neighbours evenly spread over the site.
func (m *Model) blocks(most int) []*samples {
	if m.samples.len() <= most {
		return []*samples{m.samples}
	}
	t := newTree(places(m.shots), min(blockShots, most))
	n := min(len(t.leaves), mostBlocks)
	var blocks []*samples
	for i := range n {
		own := t.leaves[(2*i+1)*len(t.leaves)/(2*n)]
		blocks = append(blocks, m.samples.pick(t.order[own.lo:own.hi]))
	}
	return blocks
}

// solve prepares the surface for the covariance found.
func (m *Model) solve(most sizes) error {
	n := m.samples.len()
	if n > most.deviation {
		m.patches = m.cut()
	}
	var systems []*system
	if n <= most.whole {
		systems = []*system{m.system(m.samples)}
	} else {
		points := places(m.shots)
		for i := len(points); i < n; i++ {
			points = append(points, orb.Point{m.samples.x[i], m.samples.y[i]})
		}
		t := newTree(points, blockShots)
		systems = make([]*system, len(t.leaves))
		terrain.Bands(len(systems), func(lo, hi int) {
			for i := lo; i < hi; i++ {
				own := t.leaves[i]
				systems[i] = m.system(m.samples.pick(t.order[own.lo:own.hi]))
				systems[i].u.Data = nil // only its share of the trend is wanted
			}
		})
	}
	var ok bool
	if m.drift, ok = newDrift(systems); !ok {
		return faultf("the shots lie too nearly in a line to tell how the ground falls across it")
	}
	if n <= most.whole {
		m.whole = systems[0]
		m.weights = m.whole.weights(m.drift.beta)
		m.inverted = sync.OnceValue(func() *precision { return precisionOf(m.whole, m.drift) })
	}
	return nil
}

// system solves some of the samples with the model's covariance.
func (m *Model) system(s *samples) *system {
	c := m.Covariance
	// Shots nearly at one place may be told apart by less than rounding: then
	// see them a little blurred.
	for blur := jitter; blur <= 1; blur *= 10 {
		if sys, ok := newSystem(s, c.Kernel, m.size/c.Range, s.diagonal(c.Sill, c.Nugget, blur), nil); ok {
			return sys
		}
	}
	panic("survey: a correlation matrix that is not finite")
}
