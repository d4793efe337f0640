package survey

import (
	"math"

	"github.com/paulmach/orb"
)

// A Trend is the part of the surface that is no chance.
type Trend int

const (
	Planar   Trend = iota // a tilted plane
	Constant              // a level
)

// Options adjusts Fit. The zero value is the common case: a planar trend and
// a Matérn 3/2 covariance fitted to the shots.
type Options struct {
	Trend  Trend
	Kernel Kernel

	// Error is one standard deviation of the shots that state none, m. Zero
	// fits it. A laser level and staff keep 0.005 to 0.02.
	Error float64

	// Covariance is taken as it is, with its own kernel; nothing is fitted.
	// Its nugget is the error of the shots that state none, and with a nugget
	// of zero the surface passes through them. Nil fits.
	Covariance *Covariance

	// Isotropic keeps the covariance the same in every direction. Otherwise one
	// that reaches farther along than across some direction is taken where the
	// shots want it: where twice the log of the likelihoods' ratio is beyond
	// what chance gives once in a hundred times.
	Isotropic bool

	// Anisotropy goes with a given Covariance.
	Anisotropy Anisotropy

	// Lines are what the surface does not smooth across.
	Lines []Breakline

	// Outline is where grids are drawn, as far as the margin allows: inside any
	// of these rings, in the system of the shots. None is everywhere. Inside
	// Holes, such as a house or a pond, all is void.
	Outline, Holes []orb.Ring

	// Margin is how far outside the convex hull of the shots a grid is still
	// drawn, m. Zero is their Spacing; below zero draws nothing outside.
	Margin float64
}

// A Model is a surface through shots. It is not changed by use and may be
// used from several goroutines at once.
type Model struct {
	Covariance Covariance // its range is that along the bearing of the anisotropy
	Anisotropy Anisotropy
	Trend      Trend
	Margin     float64  // how far outside the convex hull of the shots grids are drawn, m
	Remarks    []string // what was assumed or found in fitting, one sentence each

	shots    []Shot
	options  Options
	lines    []Breakline
	rings    [2][]orb.Ring // outlines, holes
	hull     outline
	spacing  float64   // of the shots, m
	centre   orb.Point // of the scaled coordinates
	size     float64   // one scaled unit, m
	level    float64   // mean of the heights, m
	warp     warp      // draws the coordinates out
	barriers []barrier // one for each breakline
	extras   [][]int   // by shot, the samples beside its own that its height is in
	samples  *samples  // of the shots in their order, and then what holds the breaklines
	drift    *drift
	whole    *system   // all shots at once; nil when there are too many
	weights  []float64 // of whole
	patches  []patch   // neighbourhoods; nil when there are few shots
	unsure   bool      // too few shots to tell the error

	inverted func() *precision // of whole, worked out when first asked for
}

// Shots are the shots the surface was made from, in the order they were
// given.
func (m *Model) Shots() []Shot { return m.shots }

// Predict is the height of the ground at a point and one standard deviation
// of what is not known about it, m. The deviation is NaN where the shots are
// as few as the trend has terms. The point is in the system of the shots; see
// [Model.Covers] for where an answer makes sense.
func (m *Model) Predict(p orb.Point) (z, sd float64) {
	at := m.at(p)
	if m.whole == nil {
		mean, variance := m.blend(at)
		return m.level + mean, m.deviation(variance)
	}
	var mean, variance [1]float64
	var work []float64
	m.whole.predict(m.drift, m.weights, at, mean[:], variance[:], &work)
	return m.level + mean[0], m.deviation(variance[0])
}

// Covers reports whether a point lies inside the convex hull of the shots or
// no more than the margin outside, within the outline and in no hole.
func (m *Model) Covers(p orb.Point) bool {
	return m.hull.distance(p) <= max(m.Margin, 0) && within(m.rings, p)
}

// scaled is a point in coordinates brought to the middle of the site and
// scaled to its size.
func (m *Model) scaled(p orb.Point) orb.Point {
	return orb.Point{(p[0] - m.centre[0]) / m.size, (p[1] - m.centre[1]) / m.size}
}

// at is a point as a sample to predict at.
func (m *Model) at(points ...orb.Point) *samples {
	s := &samples{terms: m.samples.terms}
	for _, p := range points {
		q := m.scaled(p)
		m.place(s, q[0], q[1], q)
	}
	return s
}

// place adds a place in scaled coordinates to samples. The lift of the
// breaklines is that of the point looked at.
func (m *Model) place(s *samples, x, y float64, look orb.Point) {
	s.trend = m.trendAt(s.trend, x, y)
	wx, wy := m.warp.apply(x, y)
	s.x, s.y = append(s.x, wx), append(s.y, wy)
	if len(m.barriers) == 0 {
		return
	}
	if s.lift == nil {
		s.lift = make([][]float64, len(m.barriers))
	}
	for k := range m.barriers {
		s.lift[k] = append(s.lift[k], m.barriers[k].lift(look[0], look[1]))
	}
}

// liftAt changes the lift of a sample to that of the point looked at.
func (m *Model) liftAt(s *samples, i int, look orb.Point) {
	for k := range m.barriers {
		s.lift[k][i] = m.barriers[k].lift(look[0], look[1])
	}
}

// deviation is the standard deviation for a variance relative to the sill, m.
func (m *Model) deviation(variance float64) float64 {
	if m.unsure {
		return math.NaN()
	}
	return math.Sqrt(variance * m.Covariance.Sill)
}

// trendAt appends the columns of the trend at a point in scaled coordinates.
func (m *Model) trendAt(dst []float64, x, y float64) []float64 {
	if m.Trend == Constant {
		return append(dst, 1)
	}
	return append(dst, 1, x, y)
}

// Tilt is the trend as a slope: rise over run toward the east and toward the
// north. It is zero for a constant trend.
func (m *Model) Tilt() (east, north float64) {
	if m.Trend == Constant {
		return 0, 0
	}
	return m.drift.beta[1] / m.size, m.drift.beta[2] / m.size
}
