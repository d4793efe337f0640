// Package screenmap makes what a map on a screen is drawn from: pictures and
// lines of a site, no finer than a screen can show.
//
// # Model
//
// A ground of more cells than asked for is thinned: every so many rows and
// columns one is kept. Lines come from the whole ground and are thinned by how
// far they bend.
//
// # Units
//
// Metres. Lines are metres east and south of the north-west corner of the
// ground.
//
// # References
//
//   - Douglas, D.H., Peucker, T.K. (1973). Algorithms for the reduction of the
//     number of points required to represent a digitized line or its
//     caricature. Cartographica 10(2), 112–122.
package screenmap

import (
	"image"
	"image/color"
	"math"

	"wetfeet/cmd/internal/assess"
	"wetfeet/terrain"
)

// A Map is the ground of a site as a screen shows it.
type Map struct {
	terrain.Frame     // of what is shown, which may be coarser than the ground's
	Step          int // cells of the ground to one shown

	of *assess.Result
}

// Of is the map of a site in no more than so many cells.
func Of(r *assess.Result, most int) *Map {
	f := r.Drain.Ground.Frame
	m := &Map{Frame: f, Step: 1, of: r}
	for f.Len()/(m.Step*m.Step) > most {
		m.Step++
	}
	m.Rows, m.Cols = (f.Rows+m.Step-1)/m.Step, (f.Cols+m.Step-1)/m.Step
	m.CellSize *= float64(m.Step)
	return m
}

// Each calls use with the index of every cell that is shown, in order, and of
// the cell of the ground that stands for it.
func (m *Map) Each(use func(i, cell int)) {
	cols := m.of.Drain.Ground.Cols
	i := 0
	for r := range m.Rows {
		for c := range m.Cols {
			use(i, r*m.Step*cols+c*m.Step)
			i++
		}
	}
}

// Picture paints every shown cell. One that paint leaves alone is clear.
func (m *Map) Picture(paint func(cell int) (color.NRGBA, bool)) *image.NRGBA {
	out := image.NewNRGBA(image.Rect(0, 0, m.Cols, m.Rows))
	m.Each(func(i, cell int) {
		if c, ok := paint(cell); ok {
			out.Pix[4*i], out.Pix[4*i+1], out.Pix[4*i+2], out.Pix[4*i+3] = c.R, c.G, c.B, c.A
		}
	})
	return out
}

// Between is the value of a grid over the ground of the site at a place in
// shown cells from its north-west corner, straight between the middles of
// cells; NaN beside a void.
func (m *Map) Between(g *terrain.Grid[float32], x, y float64) float64 {
	cell := func(v float64, n int) (a, b int, t float64) {
		v -= 0.5
		k := math.Floor(v)
		return min(max(int(k), 0), n-1), min(max(int(k)+1, 0), n-1), v - k
	}
	c0, c1, s := cell(x, m.Cols)
	r0, r1, t := cell(y, m.Rows)
	at := func(r, c int) float64 { return float64(g.At(r*m.Step, c*m.Step)) }
	above := at(r0, c0) + s*(at(r0, c1)-at(r0, c0))
	below := at(r1, c0) + s*(at(r1, c1)-at(r1, c0))
	return above + t*(below-above)
}
