package hydro

import (
	"errors"
	"fmt"
	"math"
	"math/bits"

	"wetfeet/terrain"
)

// A WaterKind is a kind of water that a cell may drain to.
type WaterKind uint8

const (
	NoWater       WaterKind = iota // none is met before the path ends
	StandingWater                  // a pond
	DitchWater                     // a ditch or drain someone drew
	RunningWater                   // a flow line
	RimWater                       // where the path leaves the known ground
)

// String is the word for a kind of water in a sentence.
func (k WaterKind) String() string {
	switch k {
	case NoWater:
		return "no water"
	case StandingWater:
		return "pond"
	case DitchWater:
		return "ditch"
	case RunningWater:
		return "flow line"
	case RimWater:
		return "edge of the site"
	}
	return fmt.Sprintf("water of kind %d", uint8(k))
}

// Water says what counts as water when heights above it are taken. The zero
// value is the brim of every hollow, the flow lines and the rim.
type Water struct {
	// Depth is the depth of standing water, m: where it is above 0 there is a
	// pond, whose level is the ground plus the depth. It is what a storm
	// leaves behind. Nil leaves it to Levels.
	Depth *terrain.Grid[float32]

	// Levels are the levels of the water in the hollows, m, by their index in
	// Hollows.All, NaN for a hollow that is dry or whose parts still hold
	// their water apart. Nil fills every hollow to its brim.
	Levels []float64

	// Ditches are the ditches and drains of the site, besides flow lines.
	Ditches []Ditch

	// Catchment is the least upslope area of a flow line, m². 0 is that of the
	// Drainage; +Inf leaves flow lines out.
	Catchment float64

	// DryRim gives cells that meet no water on the known ground no height:
	// NaN. Otherwise the rim, where their path leaves, counts as water. Water
	// beyond it can only lie lower, so that a height above the rim is a lower
	// bound: it errs to the wet side, and the map has no gaps at the edge of
	// a site, which is the edge of a survey and seldom one of the land.
	DryRim bool
}

// Heights says how high every cell lies above the water it drains to.
type Heights struct {
	Height *terrain.Grid[float32] // m; negative where the ground lies below that water
	Kind   *terrain.Grid[WaterKind]
}

// HeightAbove is how far every cell of the ground lies above the first water
// on its way downhill: a pond, a ditch, a flow line, or the rim. It is the
// height above the nearest drainage of
//
//	Rennó, C.D., Nobre, A.D., Cuartas, L.A., Soares, J.V., Hodnett, M.G.,
//	Tomasella, J., Waterloo, M.J. (2008). HAND, a new terrain descriptor using
//	SRTM-DEM: mapping terra-firme rainforest environments in Amazonia. Remote
//	Sensing of Environment 112(9), 3469–3481,
//
// with ponds and ditches beside the drainage lines of the paper. On flat land
// it says more about wet feet than the wetness index does.
//
// The way downhill is the steepest of eight over the filled ground that the
// flow lines run on, smoothed for its noise, so that it leads through dry
// hollows and agrees with the lines drawn. The height is that of the full
// detail of the ground. The level of a flow line is that of its bed: the
// lower of the ground and the smoothed ground, since smoothing quiets noise
// but fills a ditch. A cell under water has the depth, negative; so has a
// cell in a dry hollow that is lower than the water beyond its brim. Where
// several waters share a cell the pond counts before the ditch and the ditch
// before the flow line.
//
// It takes time in proportion to the cells, and the result does not depend on
// the number of threads. The error names what of w does not fit the site.
func (d *Drainage) HeightAbove(w Water) (*Heights, error) {
	if err := w.check(d); err != nil {
		return nil, err
	}
	filled := terrain.NewGrid[float32](d.Ground.Frame)
	Fill(filled, d.Smoothed)
	f := Route(filled, Single, 0)
	h := &Heights{
		Height: terrain.NewGrid[float32](d.Ground.Frame),
		Kind:   terrain.NewGrid[WaterKind](d.Ground.Frame),
	}
	for i := range h.Height.Cells {
		h.Height.Cells[i] = terrain.Void()
	}
	h.addFlowLines(d, f, w.Catchment)
	for _, ditch := range w.Ditches {
		h.addDitch(d.Ground, ditch)
	}
	h.addPonds(d, w)
	h.descend(f, d.Ground, !w.DryRim)
	terrain.Bands(d.Ground.Rows, func(lo, hi int) {
		for i := lo * d.Ground.Cols; i < hi*d.Ground.Cols; i++ {
			h.Height.Cells[i] = d.Ground.Cells[i] - h.Height.Cells[i]
		}
	})
	return h, nil
}

// check says what of w does not fit the site, all of it.
func (w Water) check(d *Drainage) error {
	var bad []error
	if w.Depth != nil && w.Depth.Frame != d.Ground.Frame {
		bad = append(bad, errors.New("the depths of standing water lie on another grid than the ground"))
	}
	if w.Levels != nil && len(w.Levels) != len(d.Hollows.All) {
		bad = append(bad, fmt.Errorf("%d levels of water for %d hollows", len(w.Levels), len(d.Hollows.All)))
	}
	if !(w.Catchment >= 0) {
		bad = append(bad, fmt.Errorf("catchment of flow lines %g is not 0 m² or more", w.Catchment))
	}
	for _, ditch := range w.Ditches {
		bad = append(bad, ditch.Check())
	}
	return errors.Join(bad...)
}

// Until descend, Height holds the level of the water in the cells that have
// some, and Kind is NoWater in all others.

func (h *Heights) addFlowLines(d *Drainage, f *Flow, catchment float64) {
	if catchment == 0 {
		catchment = d.FlowLineCatchment
	}
	area := terrain.NewGrid[float64](f.Frame)
	f.Accumulate(area, nil)
	for i, a := range area.Cells {
		if a >= catchment {
			h.Kind.Cells[i] = RunningWater
			h.Height.Cells[i] = min(d.Ground.Cells[i], d.Smoothed.Cells[i])
		}
	}
}

func (h *Heights) addDitch(ground *terrain.Grid[float32], ditch Ditch) {
	for i, s := range Crossed(ground.Frame, ditch.Line) {
		z := ground.Cells[i]
		if terrain.IsVoid(z) {
			continue
		}
		if level := float32(ditch.LevelAt(s.Middle())); level == level {
			z = level
		}
		if h.Kind.Cells[i] == DitchWater {
			z = min(z, h.Height.Cells[i])
		}
		h.Kind.Cells[i], h.Height.Cells[i] = DitchWater, z
	}
}

func (h *Heights) addPonds(d *Drainage, w Water) {
	if w.Depth != nil {
		for i, depth := range w.Depth.Cells {
			if depth > 0 && !terrain.IsVoid(d.Ground.Cells[i]) {
				h.Kind.Cells[i], h.Height.Cells[i] = StandingWater, d.Ground.Cells[i]+depth
			}
		}
		return
	}
	// A cell stands under the highest water of the hollows it lies in.
	over := make([]float64, len(d.Hollows.All))
	for i := range d.Hollows.All {
		hollow := &d.Hollows.All[i]
		level := hollow.Spill
		if w.Levels != nil {
			level = w.Levels[i]
		}
		over[i] = math.Inf(-1)
		if level == level {
			over[i] = level
		}
	}
	for i := range over {
		for p := d.Hollows.All[i].Parent; p != Outside; p = d.Hollows.All[p].Parent {
			over[i] = max(over[i], over[p])
			if p < i { // done: a larger hollow comes first
				break
			}
		}
		for _, c := range d.Hollows.Own(i) {
			if level := float32(over[i]); level > d.Ground.Cells[c] {
				h.Kind.Cells[c], h.Height.Cells[c] = StandingWater, level
			}
		}
	}
}

// descend hands the level of the water on to every cell that drains to it.
// Each path is walked once, down to water or to a cell that is known already,
// and then back up.
func (h *Heights) descend(f *Flow, ground *terrain.Grid[float32], rim bool) {
	const dry = WaterKind(math.MaxUint8) // known to meet no water
	step := offsets(f.Frame)
	kind, level := h.Kind.Cells, h.Height.Cells
	var path []int32
	for start := range kind {
		if kind[start] != NoWater || terrain.IsVoid(ground.Cells[start]) {
			continue
		}
		path = path[:0]
		i := start
		for kind[i] == NoWater {
			path = append(path, int32(i))
			m := f.receivers[i]
			if m == 0 { // over filled ground a path ends at the rim only
				if kind[i] = dry; rim {
					kind[i], level[i] = RimWater, ground.Cells[i]
				}
				break
			}
			i += step[bits.TrailingZeros8(m)]
		}
		k, l := kind[i], level[i]
		for _, j := range path {
			kind[j], level[j] = k, l
		}
	}
	for i, k := range kind {
		if k == dry {
			kind[i] = NoWater
		}
	}
}
