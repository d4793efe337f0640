package report

import (
	"math"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/planting"
	"wetfeet/hydro"
)

// thinnest is the least depth of water that a section shows, m: the seventh of
// the ground's error that softening leaves.
func thinnest(d *hydro.Drainage) float64 { return d.Error / 7 }

// surface is the water that makes a part of a row worth a picture: that when
// the rain ends, or with every hollow full where there is no storm.
func (s *rowSection) surface() []float64 {
	if len(s.water) > 0 {
		return s.water[0]
	}
	return s.brim
}

// stretches are the samples from and to which a level is wet.
func (s *rowSection) stretches(level []float64, use func(lo, hi int)) {
	s.runs(0, len(s.Along)-1, func(i int) bool { return !math.IsNaN(level[i]) }, use)
}

// deepest is the sample between two where the ground is lowest, and the depth
// of the water there, m.
func (s *rowSection) deepest(level []float64, lo, hi int) (at int, depth float64) {
	at, depth = lo, level[lo]-s.Soft[lo]
	for i := lo; i <= hi; i++ {
		if d := level[i] - s.Soft[i]; d > depth {
			at, depth = i, d
		}
	}
	return at, depth
}

// dropSlivers takes away stretches of water shorter than a spacing of trees or
// nowhere deeper than thin: the row only grazes the edge of the pool.
func (s *rowSection) dropSlivers(level []float64, spacing, thin float64) {
	step := s.Along[1] - s.Along[0]
	s.stretches(level, func(lo, hi int) {
		if _, depth := s.deepest(level, lo, hi); s.Along[hi]-s.Along[lo]+step < spacing || depth <= thin {
			dryOut(level, lo, hi)
		}
	})
}

// keepRests takes away slivers at a later moment, but for what is left of a
// pool that was shown the moment before: that may shrink as it dries.
func (s *rowSection) keepRests(k int, spacing, thin float64) {
	step := s.Along[1] - s.Along[0]
	s.stretches(s.water[k], func(lo, hi int) {
		_, depth := s.deepest(s.water[k], lo, hi)
		at := lo + (hi-lo)/2
		rest := hi > lo && !math.IsNaN(s.water[k-1][at])
		if depth <= thin || !rest && s.Along[hi]-s.Along[lo]+step < spacing {
			dryOut(s.water[k], lo, hi)
		}
	})
}

func dryOut(level []float64, lo, hi int) {
	for i := lo; i <= hi; i++ {
		level[i] = math.NaN()
	}
}

// A pool is water that stands along a part of a row when the rain ends.
type pool struct {
	lo, hi int     // samples
	depth  float64 // m
	last   []rest  // where it dries last: more than one place where it parts
}

// A rest is a place where a pool dries last.
type rest struct {
	at  int    // sample
	dry string // when it is: "dry after 3.2 days"
}

func (s *rowSection) findPools(r *assess.Result, ruler *planting.Ruler) {
	s.stretches(s.water[0], func(lo, hi int) {
		p := pool{lo: lo, hi: hi}
		_, p.depth = s.deepest(s.water[0], lo, hi)
		s.rests(0, lo, hi, func(at int) {
			row, col, ok := r.Drain.Ground.Locate(ruler.At(s.Along[at]))
			if !ok {
				return
			}
			if leaf, ok := leafAt(r, row, col); ok {
				if last, wet := lastAbove(r.Storm.History.Levels(leaf), s.Soft[at]); wet {
					p.last = append(p.last, rest{at, dryWords(r, last)})
				}
			}
		})
		s.pools = append(s.pools, p)
	})
}

// rests finds the deepest place of what is left of the water between two
// samples at the last moment that any of it is shown, part by part.
func (s *rowSection) rests(k, lo, hi int, use func(at int)) {
	later := false
	if k+1 < len(s.water) {
		s.runs(lo, hi, func(i int) bool { return !math.IsNaN(s.water[k+1][i]) }, func(lo, hi int) {
			later = true
			s.rests(k+1, lo, hi, use)
		})
	}
	if !later {
		at, _ := s.deepest(s.water[k], lo, hi)
		use(at)
	}
}

// hideBrim leaves out the brim where the water reaches it.
func (s *rowSection) hideBrim() {
	const apart = 0.01 // m
	for i, z := range s.brim {
		if len(s.water) > 0 && s.water[0][i] > z-apart {
			s.brim[i] = math.NaN()
		}
	}
}
