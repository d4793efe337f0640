package watertable

import (
	"errors"
	"fmt"
	"math"

	"wetfeet/hydro"
	"wetfeet/terrain"
)

// hold enters the ditches and ponds of a site into the aquifer of its model,
// as held heads. Where several share a cell the lowest holds the table.
func (m *Model) hold(s Site) error {
	var bad []error
	a := m.aquifer
	for _, d := range s.Ditches {
		bad = append(bad, m.holdDitch(d))
	}
	if s.Ponds != nil {
		k := m.factor
		for i := range a.Held {
			r, c := a.Cell(i)
			known, wet, level := 0, 0, 0.0
			for y := r * k; y < min((r+1)*k, s.Ground.Rows); y++ {
				for x := c * k; x < min((c+1)*k, s.Ground.Cols); x++ {
					z, depth := s.Ground.At(y, x), s.Ponds.At(y, x)
					if terrain.IsVoid(z) {
						continue
					}
					if known++; depth > 0 {
						wet++
						level += float64(z) + float64(depth)
					}
				}
			}
			if wet > 0 && 2*wet >= known {
				if level /= float64(wet); !(level > a.Held[i]) { // NaN is no head yet
					a.Held[i], a.Entry[i] = level, 0
				}
			}
		}
	}
	return errors.Join(bad...)
}

func (m *Model) holdDitch(d Ditch) error {
	a := m.aquifer
	highest, over, under := math.Inf(-1), math.Inf(1), math.Inf(-1)
	crossed := 0
	for i, s := range hydro.Crossed(a.Frame, d.Line) {
		z := float64(m.ground.Cells[i])
		if math.IsNaN(z) {
			continue
		}
		crossed++
		level := d.LevelAt(s.Middle())
		if math.IsNaN(level) {
			level = z - d.Below
		}
		over, under = min(over, level-z), max(under, level-(z-m.Soil.BarrierDepth))
		highest = max(highest, z)

		entry := 0.0
		if d.Radius > 0 {
			if g := DrainEntry(m.Soil.Conductivity, m.Soil.thickness(), d.Radius); !math.IsInf(g, 1) {
				entry = g * s.Length()
				if entry == 0 {
					continue // touched at a corner
				}
			}
		}
		switch {
		case !(level >= a.Held[i]): // lower than what is there, or the first
			a.Held[i], a.Entry[i] = level, entry
		case level == a.Held[i] && a.Entry[i] > 0:
			if entry == 0 {
				a.Entry[i] = 0
			} else {
				a.Entry[i] += entry // a bend, or two pipes
			}
		}
	}
	switch {
	case crossed == 0:
		return fmt.Errorf("ditch %q does not cross the known ground", d.Name)
	case over > 0:
		return fmt.Errorf("ditch %q: its water stands %.2f m or more above the ground all along; levels are heights in the datum of the ground, at most %.2f m here",
			d.Name, over, highest)
	case under <= 0:
		return fmt.Errorf("ditch %q: its water stands below the barrier, %g m under the ground, all along", d.Name, m.Soil.BarrierDepth)
	}
	return nil
}

// reach is the distance from every cell to the nearest one held, m, by
//
//	Felzenszwalb, P.F., Huttenlocher, D.P. (2012). Distance transforms of
//	sampled functions. Theory of Computing 8, 415–428.
func reach(a *Aquifer) []float64 {
	far := float64(a.Rows+a.Cols) * 2
	far *= far
	d := make([]float64, a.Len()) // squared, in cells
	for i, h := range a.Held {
		if d[i] = far; !math.IsNaN(h) {
			d[i] = 0
		}
	}
	pass := func(lines, length int, at func(line, k int) int) {
		terrain.Bands(lines, func(lo, hi int) {
			in := make([]float64, length)
			apex, from := make([]int, length), make([]float64, length+1)
			for line := lo; line < hi; line++ {
				for k := range in {
					in[k] = d[at(line, k)]
				}
				n := 0
				apex[0], from[0], from[1] = 0, math.Inf(-1), math.Inf(1)
				for q := 1; q < length; q++ {
					var s float64
					for {
						p := apex[n]
						s = ((in[q] + float64(q*q)) - (in[p] + float64(p*p))) / float64(2*(q-p))
						if s > from[n] {
							break
						}
						n--
					}
					n++
					apex[n], from[n], from[n+1] = q, s, math.Inf(1)
				}
				n = 0
				for k := range in {
					for from[n+1] < float64(k) {
						n++
					}
					d[at(line, k)] = float64((k-apex[n])*(k-apex[n])) + in[apex[n]]
				}
			}
		})
	}
	pass(a.Rows, a.Cols, func(r, c int) int { return a.Index(r, c) })
	pass(a.Cols, a.Rows, func(c, r int) int { return a.Index(r, c) })
	for i, v := range d {
		if d[i] = math.Sqrt(v) * a.CellSize; v >= far {
			d[i] = math.Inf(1)
		}
	}
	return d
}
