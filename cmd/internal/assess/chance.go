package assess

import (
	"math"
	"math/rand/v2"

	"wetfeet/hydro/soil"
	"wetfeet/hydro/storm"
)

// A chance is what one equally likely site has beside its ground, in standard
// deviations from the middle: of the logarithm of how fast water soaks in, and
// of the logarithm of how much the ground can still take before the storm.
type chance struct{ soaking, before float64 }

// chances yields that of every draw. They are spread evenly, by the sequence of
// Roberts (2018), "The unreasonable effectiveness of quasirandom sequences",
// which fills the square as evenly as it can after any number of draws, so that
// few draws tell as much as many of pure chance and a run that is stopped is
// as good as its number. The sequence begins where the seed says.
//
// All zones of a site share the chance: whoever read its soils off a table was
// wrong about all of them in the same way.
func chances(seed uint64) func(draw int) chance {
	rng := rand.New(rand.NewPCG(seed, 0x50a6))
	begin := [2]float64{rng.Float64(), rng.Float64()}
	const plastic = 1.32471795724474602596 // x³ = x + 1
	return func(draw int) chance {
		normal := func(axis int) float64 {
			_, u := math.Modf(begin[axis] + float64(draw+1)/math.Pow(plastic, float64(axis+1)))
			u = min(max(u, 1e-9), 1-1e-9)
			return math.Sqrt2 * math.Erfinv(2*u-1)
		}
		return chance{normal(0), normal(1)}
	}
}

// rate is how fast standing water soaks in by a chance, mm/h, under roofs and
// pavements too.
func (s *Soil) rate(c chance) float64 { return s.Rate.Median * math.Pow(10, s.Rate.Spread*c.soaking) }

// kept is what the ground keeps of a storm by a chance.
//
// The curve number goes with how wet the ground is before: soil.AntecedentAt.
// Where the grower said how wet it is, it is that.
//
// With Green and Ampt, whose start is known, it is the conductivity that
// differs, as much as the rate of standing water does.
func (s *Soil) kept(c chance) soil.Loss {
	if s.GreenAmpt != nil {
		g := *s.GreenAmpt
		g.K *= math.Pow(10, s.Rate.Spread*c.soaking)
		return s.Known.Loss(g)
	}
	curve := s.Curve
	if s.Known.Before != soil.AverageBefore || curve.CN >= 100 {
		return s.loss()
	}
	curve.CN = soil.AntecedentAt(curve.CN, c.before)
	return s.Known.Loss(curve)
}

// rootsOf are those of a tree on the level in soil that drains at such a rate,
// mm/h.
func (s *Soil) rootsOf(rate float64) storm.Roots {
	return storm.Roots{Depth: rootZone, Porosity: s.Drainable.Likely, Drainage: rate}
}
