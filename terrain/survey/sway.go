package survey

import (
	"math"

	"github.com/paulmach/orb"
)

// leastStep is the shortest way over which a slope is taken, m.
const leastStep = 0.5

// steadied are shots whose error holds what the error of their place does to
// their height: the fall of the ground along it. An error of a place is stated
// for all directions together, so along any one of them it is the root of two
// smaller; it and the error of the height are independent. A shot that states
// no error of its height keeps that unknown: what is fitted to such shots has
// their places' error in it. The slope is that of a surface, rise over run.
func steadied(shots []Shot, slope func(i int) float64) (all []Shot, some bool) {
	for i, s := range shots {
		if s.Sway > 0 && s.Error > 0 {
			s.Error = math.Hypot(s.Error, slope(i)*s.Sway/math.Sqrt2)
			some = true
		}
		s.Sway = 0
		all = append(all, s)
	}
	return all, some
}

// slopes is how steep the surface is at each shot, over the error of its place.
func (m *Model) slopes() func(i int) float64 {
	at := make([]orb.Point, 0, 4*len(m.shots))
	step := make([]float64, len(m.shots))
	for i, s := range m.shots {
		step[i] = max(s.Sway, leastStep)
		x, y := s.Point[0], s.Point[1]
		at = append(at, orb.Point{x - step[i], y}, orb.Point{x + step[i], y}, orb.Point{x, y - step[i]}, orb.Point{x, y + step[i]})
	}
	w := worker{Model: m, at: m.at(at...)}
	w.predict(false)
	return func(i int) float64 {
		z := w.mean[4*i : 4*i+4]
		return math.Hypot(z[1]-z[0], z[3]-z[2]) / (2 * step[i])
	}
}
