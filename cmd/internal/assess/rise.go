package assess

import (
	"math"

	"wetfeet/hydro/storm"
)

// mostRain is the most rain that is asked after, mm: more than ever fell in a
// day.
const mostRain = 2000

// A rise says of which rain that falls as the storm does a place gets wet, and
// of which a hollow is full, if nothing soaks in once it stands. Where the
// site has zones, their runoff stands to each other as in the storm.
type rise struct {
	*storm.Rise
	soil *Soil // whose runoff the depths of the Rise are: of the zone with most of it
	rain *Rain
	seen map[float64]float64 // rain by runoff, mm
}

// newRise walks through all depths of runoff, which the storm has by zone, mm.
func newRise(site *storm.Site, rain *Rain, soils []Soil, runoff []float64) *rise {
	most := 0
	for k := range runoff {
		if runoff[k] > runoff[most] {
			most = k
		}
	}
	r := &rise{soil: &soils[most], rain: rain, seen: map[float64]float64{}}
	if len(runoff) == 1 || !(runoff[most] > 0) {
		r.Rise = site.Rise()
		return r
	}
	weights := make([]float64, len(runoff))
	for k, mm := range runoff {
		weights[k] = mm / runoff[most]
	}
	r.Rise = site.Rise(weights...)
	return r
}

// of is the rain, mm, of which so much runs off; NaN where none would do.
func (r *rise) of(runoff float64) float64 {
	if !(runoff <= mostRain) {
		return math.NaN()
	}
	if mm, ok := r.seen[runoff]; ok {
		return mm
	}
	low, high := 0.0, float64(mostRain)
	if r.soil.runoff(r.rain.Hyetograph, high) <= runoff {
		high = math.NaN()
	}
	// More rain never runs off less, so half the way each time finds it, to
	// a hundredth of a millimetre.
	for high-low > 0.01 {
		if mm := (low + high) / 2; r.soil.runoff(r.rain.Hyetograph, mm) > runoff {
			high = mm
		} else {
			low = mm
		}
	}
	r.seen[runoff] = high
	return high
}

// FirstWet is the rain of the storm's kind, mm, that first wets the ground
// where a tree stands; NaN where none does.
func (r *Result) FirstWet(t *Tree) float64 {
	row, col, inside := r.Drain.Ground.Locate(t.Point)
	if !inside || !t.OnGround {
		return math.NaN()
	}
	return r.Storm.rise.of(r.Storm.rise.Wetting(r.Drain.Ground.Index(row, col), 0))
}

// FillsAt is the rain of the storm's kind, mm, that fills each hollow of the
// ground to its brim, by index; NaN where none does, as with hollows that a
// pipe or ditch has made one with others.
func (r *Result) FillsAt() []float64 {
	type key struct {
		floor int
		spill float64
	}
	at := map[key]int{}
	of := r.Storm.Site.Hollows()
	for i := range of.All {
		at[key{of.All[i].FloorCell, of.All[i].Spill}] = i
	}
	fills := make([]float64, len(r.Drain.Hollows.All))
	for i := range fills {
		h := &r.Drain.Hollows.All[i]
		k, same := i, of == r.Drain.Hollows
		if !same {
			k, same = at[key{h.FloorCell, h.Spill}]
		}
		fills[i] = math.NaN()
		if same {
			fills[i] = r.Storm.rise.of(r.Storm.rise.Filling(k))
		}
	}
	return fills
}
