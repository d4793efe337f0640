package watertable

import (
	"errors"
	"fmt"
	"math"

	"wetfeet/hydro"
	"wetfeet/terrain"
)

// A Site is the ground whose water table is wanted and what holds that.
type Site struct {
	Ground *terrain.Grid[float32] // m
	Index  *terrain.Grid[float32] // wetness index, ln(a / tan β), on the same frame
	Soil   Soil

	Ditches []Ditch

	// Ponds is the depth of standing water that the table is in touch with, m,
	// on the frame of the ground: a lake, a hollow that has held water for
	// weeks. Water that stands for a day on a sealed floor is none. Nil is none.
	Ponds *terrain.Grid[float32]
}

// A Ditch is a ditch or pipe drain that holds the water table at its level.
type Ditch struct {
	hydro.Ditch

	// Below is how far under the ground its water stands, m, where it has no
	// Level.
	Below float64

	// Radius of a pipe, m, into which water finds its way as [DrainEntry] has
	// it; for a ditch its wetted perimeter over π. 0 is a ditch that takes
	// what comes, from top to bottom of the soil.
	Radius float64
}

// Options adjusts how a site is prepared. The zero value is the common case.
type Options struct {
	// Cell is the side of the cells the table is computed on, m: a whole
	// number of cells of the ground, rounded up. 0 takes the finest with no
	// more than 2²⁰ cells. Drains should be four cells apart or more.
	Cell float64

	// Smooth is the length over which ground and index are smoothed before
	// the table follows them, one standard deviation, m: the table does not
	// follow furrows, and the index says most about it at about 16 m (Larson,
	// J. et al. (2022), Hydrology and Earth System Sciences 26, 4837–4850,
	// hence 8 to either side). 0 is 8 m, at most a twentieth of the shorter
	// side of the site; a negative length smooths nothing.
	Smooth float64

	// FlatSlope is the slope up to which ground counts as flat, and
	// SteepSlope that from which it counts as sloping, rise over run; between
	// them the two are mixed in proportion. 0 is 0.005 and 0.02 (common
	// practice for drained land, no source).
	FlatSlope, SteepSlope float64

	// Reach is how far a ditch, drain or pond holds the table on any slope, m.
	// Within half of it the ground counts as flat, beyond it not, in
	// proportion between. 0 is 25 m, half of a wide drain spacing (common
	// practice, no source).
	Reach float64
}

const (
	mostCells     = 1 << 20
	defaultSmooth = 8  // m
	siteOverWidth = 20 // shorter side of the site over the smoothing
	defaultFlat   = 0.005
	defaultSteep  = 0.02
	defaultReach  = 25 // m
)

func (o Options) withDefaults(f terrain.Frame) (Options, error) {
	var bad []error
	for _, v := range []struct {
		name  string
		value float64
	}{{"cell", o.Cell}, {"flat slope", o.FlatSlope}, {"steep slope", o.SteepSlope}, {"reach", o.Reach}} {
		if !(v.value >= 0) || math.IsInf(v.value, 0) {
			bad = append(bad, fmt.Errorf("%s %g is not 0 or more", v.name, v.value))
		}
	}
	if math.IsNaN(o.Smooth) || math.IsInf(o.Smooth, 0) {
		bad = append(bad, fmt.Errorf("smoothing length %g is not a length in metres", o.Smooth))
	}
	if o.FlatSlope == 0 {
		o.FlatSlope = defaultFlat
	}
	if o.SteepSlope == 0 {
		o.SteepSlope = max(defaultSteep, o.FlatSlope)
	}
	if o.SteepSlope < o.FlatSlope {
		bad = append(bad, fmt.Errorf("steep slope %g is less than flat slope %g", o.SteepSlope, o.FlatSlope))
	}
	if o.Reach == 0 {
		o.Reach = defaultReach
	}
	if o.Smooth == 0 {
		o.Smooth = min(defaultSmooth, float64(min(f.Rows, f.Cols))*f.CellSize/siteOverWidth)
	}
	return o, errors.Join(bad...)
}

// factor is how many cells of the ground make one of the table, along a side.
func (o Options) factor(f terrain.Frame) int {
	if o.Cell > 0 {
		return int(min(max(1, math.Ceil(o.Cell/f.CellSize-1e-9)), float64(max(f.Rows, f.Cols))))
	}
	k := 1
	for coarse(f, k).Len() > mostCells {
		k++
	}
	return k
}

// coarse is the frame of cells k times as long. The last ones may reach beyond
// the ground.
func coarse(f terrain.Frame, k int) terrain.Frame {
	f.Rows, f.Cols, f.CellSize = (f.Rows+k-1)/k, (f.Cols+k-1)/k, f.CellSize*float64(k)
	return f
}

// blocks is the mean of the known cells of z in every cell k times as long.
func blocks(z *terrain.Grid[float32], k int) *terrain.Grid[float32] {
	out := terrain.NewGrid[float32](coarse(z.Frame, k))
	terrain.Bands(out.Rows, func(lo, hi int) {
		for i := lo * out.Cols; i < hi*out.Cols; i++ {
			r, c := out.Cell(i)
			sum, n := 0.0, 0
			for y := r * k; y < min((r+1)*k, z.Rows); y++ {
				for x := c * k; x < min((c+1)*k, z.Cols); x++ {
					if v := z.At(y, x); !terrain.IsVoid(v) {
						sum, n = sum+float64(v), n+1
					}
				}
			}
			out.Cells[i] = float32(sum / float64(n)) // 0/0 is void
		}
	})
	return out
}

// check says what is wrong with a site, all of it.
func (s Site) check() error {
	var bad []error
	switch {
	case s.Ground == nil || terrain.Known(s.Ground) == 0:
		return errors.New("the ground has no known elevation")
	case s.Index == nil || s.Index.Frame != s.Ground.Frame:
		bad = append(bad, errors.New("the wetness index lies on another grid than the ground"))
	}
	if s.Ponds != nil && s.Ponds.Frame != s.Ground.Frame {
		bad = append(bad, errors.New("the ponds lie on another grid than the ground"))
	}
	for _, d := range s.Ditches {
		bad = append(bad, d.Check())
		if len(d.Level) == 0 && !(d.Below >= 0 && d.Below < s.Soil.BarrierDepth) {
			bad = append(bad, fmt.Errorf("ditch %q: its water stands %g m below the ground, which is not between 0 and the barrier at %g m",
				d.Name, d.Below, s.Soil.BarrierDepth))
		}
		if !(d.Radius >= 0 && d.Radius <= 10) {
			bad = append(bad, fmt.Errorf("ditch %q: a radius of %g m is not between 0 and 10", d.Name, d.Radius))
		}
	}
	return errors.Join(bad...)
}
