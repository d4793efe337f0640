package survey

import (
	"fmt"
	"math"
	"slices"
)

const (
	fewestForAnisotropy = 40
	mostStretch         = 3    // log of the greatest ratio of ranges looked for: 20
	decisive            = 9.21 // of χ² with two degrees of freedom, exceeded once in a hundred times
)

// An Anisotropy is a covariance that reaches farther along one direction than
// across it, as on ground with furrows or old channels.
type Anisotropy struct {
	Ratio   float64 // range across over range along, up to 1; 0 and 1 are the same in all directions
	Bearing float64 // of the greatest range, degrees clockwise from north (of the second coordinate), 0 to 180

	// Evidence is twice the log of the ratio of the restricted likelihoods with
	// and without, where that was tested: beyond 9.21 chance alone comes once in
	// a hundred times, and the anisotropy is kept. Wilks, S.S. (1938). The
	// large-sample distribution of the likelihood ratio for testing composite
	// hypotheses. Annals of Mathematical Statistics 9(1), 60–62.
	Evidence float64
}

// A warp draws coordinates out: a symmetric matrix, xx, xy and yy.
type warp [3]float64

var unwarped = warp{1, 0, 1}

func (w warp) apply(x, y float64) (float64, float64) {
	return float64(w[0]*x) + float64(w[1]*y), float64(w[1]*x) + float64(w[2]*y)
}

// warp draws out what lies across the bearing by one over the ratio.
func (a Anisotropy) warp() warp {
	if a.Ratio == 0 || a.Ratio == 1 {
		return unwarped
	}
	// The unit vector across is (cos, -sin) of the bearing.
	sin, cos := math.Sincos(a.Bearing * math.Pi / 180)
	more := 1/a.Ratio - 1
	return warp{1 + more*cos*cos, -more * sin * cos, 1 + more*sin*sin}
}

// stretch is the warp exp(M/2), M = ((p, q), (q, -p)), which keeps areas: it
// draws out by e^(r/2) along one direction and shrinks as much across, with
// r = √(p² + q²). There is no edge or seam in p and q to search across.
func stretch(p, q float64) warp {
	r := math.Hypot(p, q)
	if r == 0 {
		return unwarped
	}
	c, s := math.Cosh(r/2), math.Sinh(r/2)/r
	return warp{c + s*p, s * q, c - s*p}
}

// direct looks for an anisotropy, from the best guess without one, and keeps
// it where the likelihood wants it.
func (m *Model) direct(l *likelihood, without plan, best guess) guess {
	value, _ := l.at(best)
	from := without.encode(best)
	with := plan{
		brief:  true,
		limits: append(slices.Clone(without.limits), limit{-mostStretch, mostStretch}, limit{-mostStretch, mostStretch}),
		decode: func(x []float64) guess {
			g := without.decode(x[:len(x)-2])
			g.stretch = [2]float64{x[len(x)-2], x[len(x)-1]}
			return g
		},
	}
	for _, d := range [][2]float64{{0.7, 0}, {-0.7, 0}, {0, 0.7}, {0, -0.7}} {
		with.starts = append(with.starts, append(slices.Clone(from), d[0], d[1]))
	}
	found := l.search(with)
	better, _ := l.at(found)
	m.Anisotropy.Evidence = max(value-better, 0)
	if m.Anisotropy.Evidence <= decisive {
		return best
	}
	p, q := found.stretch[0], found.stretch[1]
	m.Anisotropy.Ratio = math.Exp(-math.Hypot(p, q))
	// (p, q) points, at twice the angle from the first axis, to where distances
	// are drawn out most: the bearing lies across.
	m.Anisotropy.Bearing = math.Mod(-math.Atan2(q, p)/2*180/math.Pi+360, 180)
	m.Remarks = append(m.Remarks, fmt.Sprintf("the ground is alike %.1f times as far toward %03.0f° (0° is north, 90° east) as across it, as beside a ditch or a bed; the surface is drawn out that way (likelihood ratio %.1f, where chance gives 9.21 once in a hundred times)",
		1/m.Anisotropy.Ratio, m.Anisotropy.Bearing, m.Anisotropy.Evidence))
	return found
}

// lay puts the coordinates of the samples anew, after the warp or the
// barriers changed.
func (m *Model) lay() {
	m.samples.x, m.samples.y, m.samples.lift, m.samples.trend = nil, nil, nil, nil
	for _, s := range m.shots {
		p := m.scaled(s.Point)
		m.place(m.samples, p[0], p[1], p)
	}
}

// liftable reports whether a kernel is a covariance in as many dimensions as
// the breaklines need.
func (m *Model) liftable(k Kernel) error {
	if k == Spherical && len(m.lines) > 1 {
		return fmt.Errorf("the spherical kernel holds in three dimensions, with one breakline; %d need %v or %v", len(m.lines), Matern32, Exponential)
	}
	return nil
}
