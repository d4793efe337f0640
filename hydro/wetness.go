package hydro

import (
	"math"
	"slices"

	"wetfeet/terrain"
)

// LeastSlope is the least floor of the slope in the wetness index, rise over
// run: a centimetre in a kilometre, less than any field is graded to (common
// practice, no source). It counts where the ground has no error to speak of.
const LeastSlope = 1e-5

// Wetness writes the topographic wetness index ln(a / tan β) into dst, after
//
//	Beven, K.J., Kirkby, M.J. (1979). A physically based, variable
//	contributing area model of basin hydrology. Hydrological Sciences
//	Bulletin 24(1), 43–69.
//
// The specific catchment area a is the upslope area, m², over the width of a
// cell, m, whatever the direction of the flow. Tan β is the slope at the cell,
// rise over run, that of [WetnessSlope] as a rule, and no less than floor,
// which must be positive. The index depends on the size of the cells: a ridge has a = one
// cell width and not none. Where the area or the slope is NaN, so is the
// index. It panics on grids of different sizes.
func Wetness(dst *terrain.Grid[float32], area *terrain.Grid[float64], slope *terrain.Grid[float32], floor float64) {
	if dst.Rows != area.Rows || dst.Cols != area.Cols || slope.Rows != area.Rows || slope.Cols != area.Cols {
		panic("hydro: Wetness of grids of different sizes")
	}
	if !(floor > 0) {
		panic("hydro: Wetness with a slope floor that is not positive")
	}
	width := area.CellSize
	terrain.Bands(area.Rows, func(lo, hi int) {
		for i := lo * area.Cols; i < hi*area.Cols; i++ {
			// max hands a NaN on.
			dst.Cells[i] = float32(math.Log(area.Cells[i] / (width * max(float64(slope.Cells[i]), floor))))
		}
	})
}

// WetnessSlope writes tan β for the wetness index into dst: how steeply water
// leaves each cell of z, rise over run.
//
// It is Horn's slope ([terrain.Slope]) or the fall to the steepest of eight,
// whichever is greater, and 0 where no neighbour is lower, except at the rim
// and beside voids, where water goes on. On an even slope that is Horn's. But
// Horn's looks across a cell, and so finds no slope on a crest, which would
// come out as wet as a marsh, and finds that of the banks in a pit. It panics
// on grids of different sizes.
func WetnessSlope(dst, z *terrain.Grid[float32]) {
	terrain.Slope(dst, z)
	survey(z, func(i int, centre, z0, z1, z2, z3, z4, z5, z6, z7 float64) {
		direct := centre - min(z1, z3, z4, z6)
		diagonal := (centre - min(z0, z2, z5, z7)) * (math.Sqrt2 / 2)
		switch fall := max(direct, diagonal); {
		case fall > 0:
			dst.Cells[i] = max(dst.Cells[i], float32(fall/z.CellSize))
		case !isOpen(z, i):
			dst.Cells[i] = 0
		}
	})
}

const (
	// dropOverNoise is how many times its noise the median drop of a cell is
	// made. On made ground, 0.2 to 2 % steep and with 1 to 6 cm of noise on
	// cells of 1 m, the index of the noisy ground had a rank correlation with
	// that of the ground without noise of 0.67 to 0.87 at 5, 0.80 to 0.99 at
	// 11 and at 20, and less at 45, where the shape of the ground goes too. On
	// ground full of hollows it was 0.73 to 0.98 at 15. Without smoothing it
	// was hardly ever above 0.1.
	dropOverNoise = 15

	// mostSmoothing bounds the smoothing length, m, and siteOverSmoothing the
	// part of the shorter side of the site it may be: what is wider than a
	// tree row and its alley is the shape of the ground and not its noise
	// (common practice, no source).
	mostSmoothing     = 8
	siteOverSmoothing = 20

	// leastSmoothing is the shortest length worth a pass, cells: the kernel
	// of anything shorter is all but its middle.
	leastSmoothing = 0.5
)

// SmoothingLength is the length, m, over which z should be smoothed for its
// flow to be that of the ground and not that of its noise, one standard
// deviation of the Gaussian of [terrain.Smooth]. Noise is one standard
// deviation of the part of the error that differs from cell to cell, m.
//
// White noise of standard deviation σ, smoothed over s cells, leaves a noise
// of σ / (√(8π) s²) in the drop of a cell. For the median drop d of the site
// to be fifteen times that,
//
//	s = √(15 σ / (√(8π) d)).
//
// It is 0 without noise and where less than half a cell would do, and at most
// 8 m and a twentieth of the shorter side of the site.
func SmoothingLength(z *terrain.Grid[float32], noise float64) float64 {
	if !(noise > 0) {
		return 0
	}
	most := min(mostSmoothing, float64(min(z.Rows, z.Cols))*z.CellSize/siteOverSmoothing)
	length := most
	if d := medianDrop(z, noise); d > 0 {
		length = min(most, z.CellSize*math.Sqrt(dropOverNoise*noise/(math.Sqrt(8*math.Pi)*d)))
	}
	if length < leastSmoothing*z.CellSize {
		return 0
	}
	return length
}

// medianDrop is the median of the drop of the ground over the length of a
// cell, m, seen through the noise: that of the means of square blocks, whose
// noise is less by the side of the block and whose steps are longer by it. The
// variance the noise still adds is taken off. It is 0 where nothing is left.
func medianDrop(z *terrain.Grid[float32], noise float64) float64 {
	side := max(1, min(8, min(z.Rows, z.Cols)/4))
	blocks := terrain.NewGrid[float32](terrain.Frame{
		Rows: z.Rows / side, Cols: z.Cols / side, CellSize: float64(side),
	})
	terrain.Bands(blocks.Rows, func(lo, hi int) {
		for i := lo * blocks.Cols; i < hi*blocks.Cols; i++ {
			blocks.Cells[i] = blockMean(z, i/blocks.Cols*side, i%blocks.Cols*side, side)
		}
	})
	slope := terrain.NewGrid[float32](blocks.Frame)
	terrain.Slope(slope, blocks)
	drops := slices.DeleteFunc(slope.Cells, terrain.IsVoid)
	if len(drops) == 0 {
		return 0
	}
	slices.Sort(drops)
	median := float64(drops[len(drops)/2])
	left := SlopeNoise(noise/float64(side), 0, float64(side))
	return math.Sqrt(max(0, float64(median*median)-float64(left*left)))
}

// blockMean is the mean of a square block of cells, void unless most of them
// are known.
func blockMean(z *terrain.Grid[float32], row, col, side int) float32 {
	var sum, first float64
	n := 0
	for r := row; r < row+side; r++ {
		for _, v := range z.Row(r)[col : col+side] {
			if terrain.IsVoid(v) {
				continue
			}
			if n == 0 {
				first = float64(v)
			}
			sum += float64(v) - first
			n++
		}
	}
	if 2*n <= side*side {
		return terrain.Void()
	}
	return float32(first + sum/float64(n))
}

// SlopeNoise is the root mean square of the slope, by [terrain.Slope], that
// level ground shows when its cells carry white noise of the standard
// deviation given, m, and are smoothed over length, m, by [terrain.Smooth].
//
// With R(d) the covariance of two smoothed cells d apart along a row or a
// column, the sum over k of w(k) w(k+d) for the weights w of the kernel, each
// component of Horn's slope has the variance
//
//	σ² · (R(0) − R(2))/2 · (6 R(0) + 8 R(1) + 2 R(2))/16 / cell²,
//
// 3/16 σ²/cell² without smoothing and σ²/(8π s⁴)/cell² for long ones, s being
// the length in cells. The slope is made of two of them.
func SlopeNoise(sd, length, cell float64) float64 {
	w := terrain.SmoothingKernel(length / cell)
	r := func(d int) (sum float64) {
		for k := 0; k+d < len(w); k++ {
			sum += float64(w[k] * w[k+d])
		}
		return sum
	}
	along := (r(0) - r(2)) / 2
	across := (6*r(0) + 8*r(1) + 2*r(2)) / 16
	return sd / cell * math.Sqrt(2*along*across)
}
