package survey

import (
	"wetfeet/terrain"

	"github.com/paulmach/orb"
)

const (
	mostDeviation  = 250 // shots for which a grid's deviation is solved at once
	patchShots     = 40  // at most, in the box of a patch
	neighbourShots = 160 // nearest to that box, that it is solved with
)

// A patch is a part of the site solved by itself, in scaled coordinates: a
// box with some 20 to 40 shots in it, and the shots nearest to the box. It
// speaks for its box, and with less and less weight for a margin around it,
// which ends before its neighbourhood does. So every place is spoken for by
// patches that know all shots around it, the blend of them has no steps, and
// where the error is nothing it still passes through the shots.
type patch struct {
	box    orb.Bound
	margin float64
	shots  []int // the neighbourhood, nearest to the box first
	own    []int // those whose place is in the box
}

// cut makes the patches of a site, from the leaves of a tree.
func (m *Model) cut() []patch {
	points := make([]orb.Point, m.samples.len())
	for i := range points {
		points[i] = orb.Point{m.samples.x[i], m.samples.y[i]}
	}
	t := newTree(points, patchShots)
	patches := make([]patch, len(t.leaves))
	terrain.Bands(len(patches), func(lo, hi int) {
		for i := lo; i < hi; i++ {
			l := t.leaves[i]
			e := t.extent(l.lo, l.hi)
			side := max(e.Max[0]-e.Min[0], e.Max[1]-e.Min[1])
			near := t.nearest(l.box, neighbourShots, max(side, 1e-6))
			p := patch{box: l.box, margin: side / 4, own: t.order[l.lo:l.hi]}
			if len(near) < len(points) {
				p.margin = min(p.margin, near[len(near)-1].distance/2)
			}
			for _, h := range near {
				p.shots = append(p.shots, h.point)
			}
			patches[i] = p
		}
	})
	return patches
}

// weight is how much a patch has to say about a point: 1 in its box, falling
// smoothly to 0 at the end of its margin.
func (p *patch) weight(x, y float64) float64 {
	d := outside(p.box, orb.Point{x, y})
	switch {
	case d == 0:
		return 1
	case d >= p.margin:
		return 0
	}
	t := 1 - d/p.margin
	return t * t * (3 - 2*t)
}

// A solved patch predicts, with the trend of the whole site. (A trend of its
// own was tried: it made left-out errors and heights a little worse, and fails
// where the shots of a patch lie in a line.)
type solved struct {
	*system
	weights []float64
}

func (m *Model) solvePatch(p *patch) solved {
	sys := m.system(m.samples.pick(p.shots))
	return solved{sys, sys.weights(m.drift.beta)}
}

// blend predicts at one place from the patches that have a say.
func (m *Model) blend(at *samples) (mean, variance float64) {
	var total float64
	var work []float64
	for i := range m.patches {
		p := &m.patches[i]
		say := p.weight(at.x[0], at.y[0])
		if say == 0 {
			continue
		}
		var z, v [1]float64
		s := m.solvePatch(p)
		s.predict(m.drift, s.weights, at, z[:], v[:], &work)
		total += say
		mean += float64(say * z[0])
		variance += float64(say * v[0])
	}
	return mean / total, variance / total
}
