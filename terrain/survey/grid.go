package survey

import (
	"math"
	"slices"

	"wetfeet/terrain"

	"github.com/paulmach/orb"
	"gonum.org/v1/gonum/floats"
)

// strip is how many rows of a grid are worked on together.
const strip = 32

// Grid draws the surface and its standard deviation, m, at the middle of each
// cell of a frame in the system of the shots. Cells farther than the margin
// outside the convex hull of the shots are void in both.
//
// Up to 3,000 shots the surface is that of [Model.Predict]; so is the
// deviation up to 250. Beyond that it comes from the 160 shots nearest to
// each patch of the site. Where the shots are as few as the trend has terms,
// the deviation is NaN everywhere.
//
// The time goes with cells times shots. The result is the same at any number
// of threads.
func (m *Model) Grid(f terrain.Frame) (z, sd *terrain.Grid[float32]) {
	z, sd = terrain.NewGrid[float32](f), terrain.NewGrid[float32](f)
	m.drawOn(z, sd)
	return z, sd
}

// Heights is the surface of Grid alone, in less time.
func (m *Model) Heights(f terrain.Frame) *terrain.Grid[float32] {
	z := terrain.NewGrid[float32](f)
	m.drawOn(z, nil)
	return z
}

func (m *Model) drawOn(z, sd *terrain.Grid[float32]) {
	strips := (z.Rows + strip - 1) / strip
	terrain.Bands(strips, func(lo, hi int) {
		w := worker{Model: m, z: z, sd: sd}
		for s := lo; s < hi; s++ {
			w.draw(s*strip, min((s+1)*strip, z.Rows))
		}
	})
}

// A worker draws strips of a grid one after the other.
type worker struct {
	*Model
	z, sd *terrain.Grid[float32] // sd may be nil

	cells          []int    // of the strip that are not void
	at             *samples // where those are
	mean, variance []float64

	far       *far      // nil until it is wanted
	tile      []int     // of the places, those of one tile
	tx, ty    []float64 // where they are
	tileMeans []float64

	chosen, work              []float64
	pmean, pvariance          []float64
	which                     []int
	sumMean, sumVar, sumPatch []float64
}

func (w *worker) draw(lo, hi int) {
	f := w.z.Frame
	w.cells, w.at = w.cells[:0], &samples{terms: w.samples.terms}
	for row := lo; row < hi; row++ {
		for col := range f.Cols {
			i := f.Index(row, col)
			p := f.Centre(row, col)
			if !w.Covers(p) {
				w.write(i, math.NaN(), math.NaN())
				continue
			}
			q := w.scaled(p)
			w.cells = append(w.cells, i)
			w.place(w.at, q[0], q[1], q)
		}
	}
	w.predict(w.sd != nil)
	for j, i := range w.cells {
		w.write(i, w.level+w.mean[j], w.deviation(w.variance[j]))
	}
}

// predict fills mean and, if wanted, variance for the places to predict at.
func (w *worker) predict(deviation bool) {
	w.mean, w.variance = sized(w.mean, w.at.len()), sized(w.variance, w.at.len())
	if w.whole != nil {
		variance := w.variance
		if !deviation || w.patches != nil {
			variance = nil
		}
		if variance == nil && w.z != nil && w.tiled() {
			w.meanByTiles()
		} else {
			w.whole.predict(w.drift, w.weights, w.at, w.mean, variance, &w.work)
		}
	}
	if w.whole == nil || w.patches != nil && deviation {
		w.blendAll(deviation)
	}
}

// tiled says whether the mean can be had by tiles: not over breaklines, and
// not where a shot's pull ends with a kink.
func (m *Model) tiled() bool {
	return m.whole.len() >= fewestForFar && len(m.barriers) == 0 && m.Covariance.Kernel != Spherical
}

// meanByTiles fills mean for the cells of a strip, one square of cells after
// the other.
func (w *worker) meanByTiles() {
	if w.far == nil {
		w.far = newFar()
	}
	p := w.at.terms
	for j := range w.mean {
		w.mean[j] = floats.Dot(w.at.trend[j*p:(j+1)*p], w.drift.beta)
	}
	for col := 0; col < w.z.Cols; col += strip {
		w.tile = w.tile[:0]
		for j, i := range w.cells {
			if c := i % w.z.Cols; c >= col && c < col+strip {
				w.tile = append(w.tile, j)
			}
		}
		if len(w.tile) == 0 {
			continue
		}
		w.tx, w.ty, w.tileMeans = w.tx[:0], w.ty[:0], w.tileMeans[:0]
		for _, j := range w.tile {
			w.tx, w.ty, w.tileMeans = append(w.tx, w.at.x[j]), append(w.ty, w.at.y[j]), append(w.tileMeans, w.mean[j])
		}
		w.far.add(w.whole, w.weights, w.tx, w.ty, w.tileMeans)
		for k, j := range w.tile {
			w.mean[j] = w.tileMeans[k]
		}
	}
}

func (w *worker) write(cell int, z, sd float64) {
	w.z.Cells[cell] = float32(z)
	if w.sd != nil {
		w.sd.Cells[cell] = float32(sd)
	}
}

// blendAll blends the variance, and where there is no other the mean, of all
// patches that have a say, patch by patch, so that one is solved at a time.
func (w *worker) blendAll(deviation bool) {
	n := w.at.len()
	w.sumPatch = sized(w.sumPatch, n)
	w.sumMean, w.sumVar = sized(w.sumMean, n), sized(w.sumVar, n)
	clear(w.sumPatch)
	clear(w.sumMean)
	clear(w.sumVar)
	if n == 0 {
		return
	}
	reach := orb.Bound{
		Min: orb.Point{slices.Min(w.at.x), slices.Min(w.at.y)},
		Max: orb.Point{slices.Max(w.at.x), slices.Max(w.at.y)},
	}
	for k := range w.patches {
		patch := &w.patches[k]
		if !pad(patch.box, patch.margin).Intersects(reach) {
			continue
		}
		w.which, w.chosen = w.which[:0], w.chosen[:0]
		for j := range n {
			if say := patch.weight(w.at.x[j], w.at.y[j]); say > 0 {
				w.which, w.chosen = append(w.which, j), append(w.chosen, say)
			}
		}
		if len(w.which) == 0 {
			continue
		}
		w.pmean, w.pvariance = sized(w.pmean, len(w.which)), sized(w.pvariance, len(w.which))
		s := w.solvePatch(patch)
		variance := w.pvariance
		if !deviation {
			clear(w.pvariance)
			variance = nil
		}
		s.predict(w.drift, s.weights, w.at.pick(w.which), w.pmean, variance, &w.work)
		for n, j := range w.which {
			w.sumPatch[j] += w.chosen[n]
			w.sumMean[j] += float64(w.chosen[n] * w.pmean[n])
			w.sumVar[j] += float64(w.chosen[n] * w.pvariance[n])
		}
	}
	for j, total := range w.sumPatch {
		w.variance[j] = w.sumVar[j] / total
		if w.whole == nil {
			w.mean[j] = w.sumMean[j] / total
		}
	}
}

// sized is a slice of some length in the storage of another if it fits.
func sized(s []float64, n int) []float64 {
	if cap(s) < n {
		return make([]float64, n)
	}
	return s[:n]
}
