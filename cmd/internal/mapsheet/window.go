package mapsheet

import (
	"image/color"
	"math"
	"slices"

	"wetfeet/cmd/internal/brim"
	"wetfeet/cmd/internal/look"
	"wetfeet/terrain"
)

// A window is the ground of a panel at about the detail the sheet can show:
// several cells to a pixel are brought together into one.
type window struct {
	z      *terrain.Grid[float32] // smoothed ground, m
	filled *terrain.Grid[float32] // depth of water in full hollows, m; dry where not positive
	wet    *terrain.Grid[float32] // likewise of the water as drawn; the same grid without a storm
	tone   *terrain.Grid[float32] // shade, 0 dark to 1 light
	lo, hi float64                // least and greatest of z, m
}

// frame is the frame of the cells of f that a panel shows, each a block of q
// by q of them, and the first of them.
func (p *panel) frame(f terrain.Frame) (w terrain.Frame, row, col, q int) {
	q = max(1, int(1/(p.scale*f.CellSize)))
	first := func(v float64) int { return int(math.Floor(v/f.CellSize)) - 2*q - brim.Reach }
	last := func(v float64) int { return int(math.Ceil(v/f.CellSize)) + 2*q + brim.Reach }
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
	ground := p.r.Drain.Ground
	if p.r.Drain.Smoothed != nil {
		ground = p.r.Drain.Smoothed
	}
	f, row, col, q := p.frame(ground.Frame)
	waters := []brim.Water{p.full}
	if p.r.Storm != nil {
		waters = append(waters, p.water)
	}
	p.z = terrain.NewGrid[float32](f)
	depths := make([]*terrain.Grid[float32], len(waters))
	for k := range depths {
		depths[k] = terrain.NewGrid[float32](f)
	}
	terrain.Bands(f.Rows, func(lo, hi int) {
		for r := lo; r < hi; r++ {
			for c := range f.Cols {
				var sum float64
				var water [2]float64
				n := 0
				for i := row + r*q; i < min(row+(r+1)*q, ground.Rows); i++ {
					for j := col + c*q; j < min(col+(c+1)*q, ground.Cols); j++ {
						if v := ground.At(i, j); v == v {
							sum += float64(v)
							for k, w := range waters {
								water[k] += w.Depth(i, j)
							}
							n++
						}
					}
				}
				p.z.Set(r, c, terrain.Void())
				if n > 0 {
					p.z.Set(r, c, float32(sum/float64(n)))
				}
				for k, depth := range depths {
					depth.Set(r, c, brim.Dry)
					if n > 0 {
						depth.Set(r, c, float32(water[k]/float64(n)))
					}
				}
			}
		}
	})
	if length := brim.Soften(p.r.Drain); length > f.CellSize/2 {
		for k, depth := range depths {
			depths[k] = terrain.NewGrid[float32](f)
			terrain.Smooth(depths[k], depth, length)
		}
	}
	p.filled, p.wet = depths[0], depths[len(depths)-1]
	p.lo, p.hi = math.Inf(1), math.Inf(-1)
	for _, v := range p.z.Cells {
		if v == v {
			p.lo, p.hi = min(p.lo, float64(v)), max(p.hi, float64(v))
		}
	}
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
