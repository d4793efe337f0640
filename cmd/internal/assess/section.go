package assess

import (
	"math"

	"wetfeet/cmd/internal/planting"
	"wetfeet/hydro"
)

// mostSamples bounds the samples of a section: more than a screen has pixels
// would not be seen.
const mostSamples = 4000

// section samples the ground and the water of full hollows along a row, a
// sample a cell.
func section(d *hydro.Drainage, row *Row) Section {
	n := int(math.Ceil(row.Length/d.Ground.CellSize)) + 1
	n = max(2, min(n, mostSamples))
	s := Section{Along: make([]float64, n), Ground: make([]float64, n), Brim: make([]float64, n)}
	ruler := planting.NewRuler(row.Line)
	for i := range n {
		along := row.Length * float64(i) / float64(n-1)
		s.Along[i], s.Ground[i], s.Brim[i] = along, math.NaN(), math.NaN()
		r, c, ok := d.Ground.Locate(ruler.At(along))
		if !ok {
			continue
		}
		k := d.Ground.Index(r, c)
		s.Ground[i] = float64(d.Ground.Cells[k])
		if d.Hollows.Outer[k] > 0 {
			s.Brim[i] = float64(d.Filled.Cells[k])
		}
	}
	s.Smooth = smoothed(s.Along, s.Ground, d.Smooth)
	return s
}

// smoothed is z smoothed along a line: at each place the straight line that
// fits best around it, weighed by a Gaussian with one standard deviation of
// length, m. It is smoothed along the row only, so that a bed no wider than
// the length keeps its height in the section of the row that stands on it.
// NaN stays NaN and weighs nothing.
func smoothed(along, z []float64, length float64) []float64 {
	out := make([]float64, len(z))
	copy(out, z)
	if !(length > 0) {
		return out
	}
	lo, hi := 0, 0
	for i := range z {
		if math.IsNaN(z[i]) {
			continue
		}
		for along[i]-along[lo] > 3*length {
			lo++
		}
		for hi < len(z) && along[hi]-along[i] <= 3*length {
			hi++
		}
		var w, wx, wxx, wz, wxz float64
		for j := lo; j < hi; j++ {
			if math.IsNaN(z[j]) {
				continue
			}
			x := (along[j] - along[i]) / length
			g := math.Exp(-x * x / 2)
			w, wx, wxx = w+g, wx+g*x, wxx+g*x*x
			wz, wxz = wz+g*z[j], wxz+g*x*z[j]
		}
		if det := w*wxx - wx*wx; det > 1e-9*w*w {
			out[i] = (wz*wxx - wxz*wx) / det
		} else {
			out[i] = wz / w
		}
	}
	return out
}
