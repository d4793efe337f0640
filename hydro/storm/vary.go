package storm

import (
	"fmt"
	"math"
)

// Infiltrate changes, from now on, how fast standing water soaks in, mm/h: one
// number for every hollow, in the order of their indices. A water table that
// comes up under a pond slows it so. It panics on a list of another length and
// on rates that are less than nothing.
func (m *Simulation) Infiltrate(rates []float64) {
	if len(rates) != len(m.ponds) {
		panic(fmt.Sprintf("storm: rates for %d hollows, the site has %d", len(rates), len(m.ponds)))
	}
	for i, mm := range rates {
		if !(mm >= 0) || math.IsInf(mm, 1) {
			panic(fmt.Sprintf("storm: infiltration of %g mm/h", mm))
		}
		if rate := mm * 1e-3; rate != m.loss.infiltration[i] {
			if m.ponds[i].active {
				m.bring(int32(i)) // at the old rate; the next step settles it anew
			}
			m.loss.infiltration[i] = rate
		}
	}
}

// Gone is all the water that is no longer on the site, m³, as in [Balance]:
// what came, and what of it left, soaked in and evaporated. Ponded is 0, since
// that alone would need a look at every hollow. It holds at the end of a step.
func (m *Simulation) Gone() Balance { return m.sum }

// Resting reports whether nothing stands anywhere, so that a step without
// inflow would change nothing.
func (m *Simulation) Resting() bool {
	for i := range m.ponds {
		if p := &m.ponds[i]; p.active && !p.still {
			return false
		}
	}
	return true
}

// Zones is the number of zones of the site.
func (s *Site) Zones() int { return s.zones }

// Union puts spans in order and joins those that touch or overlap, in place.
// Those that take no time are dropped.
func Union(list []Span) []Span { return union(list) }
