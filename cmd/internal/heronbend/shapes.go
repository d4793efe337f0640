package heronbend

import "math"

// bump falls smoothly from 1 in the middle to 0 at a distance of 1, and is
// level at both. Its reach is finite, so a shape made of it changes nothing
// beyond its own edge.
func bump(r2 float64) float64 {
	if r2 >= 1 {
		return 0
	}
	return (1 - r2) * (1 - r2)
}

// A bowl is a round or oval hollow; a negative depth makes it a knoll.
type bowl struct {
	u, v   float64 // middle
	ru, rv float64 // half lengths east and north
	depth  float64 // in the middle
}

// at is how far the bowl lowers the ground at a place.
func (b bowl) at(u, v float64) float64 {
	du, dv := (u-b.u)/b.ru, (v-b.v)/b.rv
	return b.depth * bump(du*du+dv*dv)
}

// A ridge is a bank of even height along a straight line.
type ridge struct {
	fromU, fromV, toU, toV float64
	half                   float64 // half width at its foot
	height                 float64 // of its crown over the ground
	ends                   float64 // length over which each end runs out; 0 runs on for ever
}

// at is how far the ridge raises the ground at a place.
func (r ridge) at(u, v float64) float64 {
	du, dv := r.toU-r.fromU, r.toV-r.fromV
	length := math.Hypot(du, dv)
	du, dv = du/length, dv/length
	along := (u-r.fromU)*du + (v-r.fromV)*dv
	across := (v-r.fromV)*du - (u-r.fromU)*dv
	h := r.height * bump(across*across/(r.half*r.half))
	if r.ends == 0 {
		return h
	}
	return h * rampUp(along/r.ends) * rampUp((length-along)/r.ends)
}

// rampUp goes from 0 at t = 0 to 1 at t = 1 and is level at both.
func rampUp(t float64) float64 {
	t = min(max(t, 0), 1)
	return t * t * (3 - 2*t)
}

// A trough is a channel of even depth along a curve that runs from north to
// south. Its floor falls with the ground it is cut into.
type trough struct {
	u, v   float64 // a point of its middle line
	lean   float64 // metres west for each metre north
	sway   float64 // how far it winds to either side of that line
	period float64 // v for one radian of winding
	half   float64 // half width
	depth  float64
}

// middle is the easting of its middle line.
func (t trough) middle(v float64) float64 {
	return t.u - t.lean*(v-t.v) + t.sway*math.Sin(v/t.period)
}

// at is how far the trough lowers the ground at a place. Width is measured
// square to the straight line it winds about.
func (t trough) at(u, v float64) float64 {
	across := (u - t.middle(v)) / math.Hypot(1, t.lean)
	return t.depth * bump(across*across/(t.half*t.half))
}
