package mapsheet

import (
	"image/color"
	"math"
	"slices"

	"wetfeet/cmd/internal/look"
	"wetfeet/hydro"
	"wetfeet/terrain"
)

// A window is the ground of a panel at about the detail the sheet can show:
// several cells to a pixel are brought together into one.
type window struct {
	z      *terrain.Grid[float32] // smoothed ground, m
	water  *terrain.Grid[float32] // depth of water in full hollows, m; dry where not positive
	tone   *terrain.Grid[float32] // shade, 0 dark to 1 light
	lo, hi float64                // least and greatest of z, m
}

// frame is the frame of the cells of f that a panel shows, each a block of q
// by q of them, and the first of them.
func (p *panel) frame(f terrain.Frame) (w terrain.Frame, row, col, q int) {
	q = max(1, int(1/(p.scale*f.CellSize)))
	first := func(v float64) int { return int(math.Floor(v/f.CellSize)) - 2*q }
	last := func(v float64) int { return int(math.Ceil(v/f.CellSize)) + 2*q }
	row, col = max(first(f.North-p.bound.Max[1]), 0), max(first(p.bound.Min[0]-f.West), 0)
	rows := min(last(f.North-p.bound.Min[1]), f.Rows) - row
	cols := min(last(p.bound.Max[0]-f.West), f.Cols) - col
	return terrain.Frame{
		Rows: max(0, (rows+q-1)/q), Cols: max(0, (cols+q-1)/q),
		West: f.West + float64(col)*f.CellSize, North: f.North - float64(row)*f.CellSize,
		CellSize: f.CellSize * float64(q), CRS: f.CRS,
	}, row, col, q
}

// see fills the window.
func (p *panel) see() {
	ground := p.flood.ground
	f, row, col, q := p.frame(ground.Frame)
	p.z = terrain.NewGrid[float32](f)
	p.water = terrain.NewGrid[float32](f)
	terrain.Bands(f.Rows, func(lo, hi int) {
		for r := lo; r < hi; r++ {
			for c := range f.Cols {
				var sum, depth float64
				n := 0
				for i := row + r*q; i < min(row+(r+1)*q, ground.Rows); i++ {
					for j := col + c*q; j < min(col+(c+1)*q, ground.Cols); j++ {
						if v := ground.At(i, j); v == v {
							sum += float64(v)
							depth += p.flood.depth(i, j)
							n++
						}
					}
				}
				if n == 0 {
					p.z.Set(r, c, terrain.Void())
					p.water.Set(r, c, dry)
					continue
				}
				p.z.Set(r, c, float32(sum/float64(n)))
				p.water.Set(r, c, float32(depth/float64(n)))
			}
		}
	})
	if q == 1 && p.flood.any {
		// Cells are seen; take the worst of their corners off the water's edge.
		round := terrain.NewGrid[float32](f)
		terrain.Smooth(round, p.water, 0.7*f.CellSize)
		p.water = round
	}
	p.lo, p.hi = math.Inf(1), math.Inf(-1)
	for _, v := range p.z.Cells {
		if v == v {
			p.lo, p.hi = min(p.lo, float64(v)), max(p.hi, float64(v))
		}
	}
}

// dry stands for the depth of water, m, on ground away from any hollow.
const dry = -0.02

// A flood gives the depth of water when every hollow is full, going on below
// nothing just outside a hollow, so that the edge of the water can be found
// between cells.
type flood struct {
	d      *hydro.Drainage
	ground *terrain.Grid[float32]
	drawn  []bool // by index in Hollows.All
	any    bool
}

// sure is how many times the water of a hollow, summed over its cells, must
// exceed what the noise of as many cells sums to.
const sure = 5

// newFlood chooses the hollows to draw. On noisy ground the raw cells hold
// thousands of pits that are nothing but noise. Smoothing leaves most of those
// less deep than the error of the ground, and a true hollow nearly as it was;
// on a crest, which smoothing lowers, the count of cells must tell: noise
// fills few, and little.
func newFlood(d *hydro.Drainage, ground *terrain.Grid[float32]) *flood {
	f := &flood{d: d, ground: ground}
	if d.Hollows == nil {
		return f
	}
	f.drawn = make([]bool, len(d.Hollows.All))
	bears := make([]bool, len(d.Hollows.All))
	for i := range bears {
		h := &d.Hollows.All[i]
		bears[i] = h.Volume > sure*d.CellNoise*math.Sqrt(float64(h.Cells))*d.Hollows.CellArea()
	}
	for i, k := range d.Hollows.Outer {
		if k != 0 && bears[k-1] && d.Hollows.All[k-1].Spill-float64(ground.Cells[i]) > d.Error {
			f.drawn[k-1], f.any = true, true
		}
	}
	return f
}

// hollow is the drawn hollow that covers a cell, or nil.
func (f *flood) hollow(i int) *hydro.Hollow {
	if k := f.d.Hollows.Outer[i]; k != 0 && f.drawn[k-1] {
		return &f.d.Hollows.All[k-1]
	}
	return nil
}

// depth is, in a hollow, its spill level less the smoothed ground; beside one,
// the same where the bank or an island stood above that level before the
// ground was smoothed, and less than nothing where the ground falls away
// outside.
func (f *flood) depth(row, col int) float64 {
	if !f.any {
		return dry
	}
	i := f.ground.Index(row, col)
	z := float64(f.ground.Cells[i])
	if h := f.hollow(i); h != nil {
		return h.Spill - z
	}
	spill := math.Inf(-1)
	for r := max(row-1, 0); r <= min(row+1, f.ground.Rows-1); r++ {
		for c := max(col-1, 0); c <= min(col+1, f.ground.Cols-1); c++ {
			if h := f.hollow(f.ground.Index(r, c)); h != nil {
				spill = max(spill, h.Spill)
			}
		}
	}
	if math.IsInf(spill, -1) {
		return dry
	}
	if float64(f.d.Ground.Cells[i]) > spill {
		return max(spill-z, dry)
	}
	return -0.001
}

// Light falls from three sides of the north-west, mostly the middle one, 45°
// high, as readers of maps expect; several lights keep a bank that runs along
// one of them from vanishing.
var lights = [...]struct{ azimuth, weight float64 }{{315, 0.6}, {270, 0.2}, {0, 0.2}}

// exaggerations are the tidy factors heights are multiplied by for shading.
var exaggerations = [...]float64{1, 2, 5, 10, 20, 50, 100}

// exaggeration is the least that brings the steepest tenth of the ground to a
// slope of a half, where shade tells.
func exaggeration(zs []*terrain.Grid[float32]) float64 {
	var slopes []float64
	for _, z := range zs {
		step := max(1, int(math.Sqrt(float64(z.Len())/40000)))
		for r := 1; r < z.Rows-1; r += step {
			for c := 1; c < z.Cols-1; c += step {
				x, y := gradient(z, r, c)
				if s := math.Hypot(x, y); s == s {
					slopes = append(slopes, s)
				}
			}
		}
	}
	if len(slopes) == 0 {
		return 1
	}
	slices.Sort(slopes)
	steep := slopes[len(slopes)*9/10]
	for _, e := range exaggerations {
		if steep*e >= 0.5 {
			return e
		}
	}
	return exaggerations[len(exaggerations)-1]
}

// gradient is the rise over run to the east and to the north at a cell, by
// central differences, one-sided beside a void or the rim.
func gradient(z *terrain.Grid[float32], r, c int) (east, north float64) {
	m := z.At(r, c)
	pick := func(r, c int) float32 {
		if !z.Holds(r, c) || terrain.IsVoid(z.At(r, c)) {
			return m
		}
		return z.At(r, c)
	}
	e, w, n, s := pick(r, c+1), pick(r, c-1), pick(r-1, c), pick(r+1, c)
	return float64(e-w) / (2 * z.CellSize), float64(n-s) / (2 * z.CellSize)
}

// shade fills the tones of a window after Horn (1981), the shade of level
// ground being 0.72.
func (w *window) shade(exaggeration float64) {
	type ray struct{ e, n, u, weight float64 }
	rays := make([]ray, len(lights))
	sin45 := math.Sqrt2 / 2
	for i, l := range lights {
		sin, cos := math.Sincos(l.azimuth * math.Pi / 180)
		rays[i] = ray{sin * sin45, cos * sin45, sin45, l.weight}
	}
	w.tone = terrain.NewGrid[float32](w.z.Frame)
	terrain.Bands(w.z.Rows, func(lo, hi int) {
		for r := lo; r < hi; r++ {
			out := w.tone.Row(r)
			for c := range out {
				x, y := gradient(w.z, r, c)
				x, y = x*exaggeration, y*exaggeration
				norm := 1 / math.Sqrt(1+float64(x*x)+float64(y*y))
				light := 0.0
				for _, l := range rays {
					light += l.weight * max(0, (l.u-float64(x*l.e)-float64(y*l.n))*norm)
				}
				// Level ground has sin 45° of light.
				out[c] = float32(min(max(0.72+1.1*(light-sin45), 0), 1))
			}
			for c, v := range w.z.Row(r) {
				if v != v {
					out[c] = terrain.Void()
				}
			}
		}
	})
}

// ramp is the colours from shade to light.
func ramp() (t [256]color.RGBA) {
	for i := range t {
		t[i] = blend(look.GroundDark, look.GroundLight, float64(i)/255)
	}
	return t
}

func blend(a, b color.RGBA, t float64) color.RGBA {
	f := func(x, y uint8) uint8 { return uint8(math.Round(float64(x) + t*(float64(y)-float64(x)))) }
	return color.RGBA{f(a.R, b.R), f(a.G, b.G), f(a.B, b.B), 0xff}
}
