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

// soften is the standard deviation over which depths of water are smoothed for
// drawing, m: as far as the noise of the ground asks for and two cells at
// most. That takes six parts in seven off noise from cell to cell, which would
// make the water's edge ragged, and leaves the depth of a hollow ten cells
// wide nearly as it is; the ground smoothed for contours can be too smooth for
// that.
func soften(d *hydro.Drainage) float64 { return min(d.Smooth, 2*d.Ground.CellSize) }

// see fills the window.
func (p *panel) see() {
	ground := p.r.Drain.Ground
	if p.r.Drain.Smoothed != nil {
		ground = p.r.Drain.Smoothed
	}
	f, row, col, q := p.frame(ground.Frame)
	p.z = terrain.NewGrid[float32](f)
	p.water = terrain.NewGrid[float32](f)
	terrain.Bands(f.Rows, func(lo, hi int) {
		for r := lo; r < hi; r++ {
			for c := range f.Cols {
				var sum, water float64
				n := 0
				for i := row + r*q; i < min(row+(r+1)*q, ground.Rows); i++ {
					for j := col + c*q; j < min(col+(c+1)*q, ground.Cols); j++ {
						if v := ground.At(i, j); v == v {
							sum += float64(v)
							water += depth(p.r.Drain, i, j)
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
				p.water.Set(r, c, float32(water/float64(n)))
			}
		}
	})
	if length := soften(p.r.Drain); length > f.CellSize/2 {
		round := terrain.NewGrid[float32](f)
		terrain.Smooth(round, p.water, length)
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

// depth is the depth of water on a cell when every hollow is full, going on
// below nothing just outside a hollow so that the edge of the water can be
// found between cells: on banks and islands it is the spill level less the
// ground, and just less than nothing where the ground falls away outside.
func depth(d *hydro.Drainage, row, col int) float64 {
	h := d.Hollows
	if h == nil || len(h.All) == 0 {
		return dry
	}
	i := h.Index(row, col)
	z := float64(d.Ground.Cells[i])
	if k := h.Outer[i]; k != 0 {
		return h.All[k-1].Spill - z
	}
	spill := math.Inf(-1)
	for r := max(row-1, 0); r <= min(row+1, h.Rows-1); r++ {
		for c := max(col-1, 0); c <= min(col+1, h.Cols-1); c++ {
			if k := h.Outer[h.Index(r, c)]; k != 0 {
				spill = max(spill, h.All[k-1].Spill)
			}
		}
	}
	if z > spill { // also where there is no hollow near
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
