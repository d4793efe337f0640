package terrain

import (
	"math"
	"slices"
)

// noiseSample is how many cells Noise looks at, at most. The median of a
// quarter of a million is known to 0.3 %, better than any use of it needs.
const noiseSample = 1 << 18

// roughnessSample is how many Roughness looks at, at most: it is asked of
// every raster that is read, where a quarter of a million take longer than to
// read a million, and 0.5 % is known well enough.
const roughnessSample = 1 << 16

// noiseLeast is how many cells Noise must have to go by. On fewer, the shape
// of a single hollow or bank would be half of what it sees.
const noiseLeast = 400

// Noise estimates one standard deviation of the part of z that differs from
// one cell to the next without any pattern, metres.
//
// Each cell is compared with its eight neighbours by the second difference of
// second differences,
//
//	 1 −2  1
//	−2  4 −2
//	 1 −2  1
//
// which no plane, parabola or cubic surface moves, and whose variance is 36
// times that of white noise (Immerkær, J. (1996), Fast noise variance
// estimation, Computer Vision and Image Understanding 64(2), 300–302). The
// median of its size, rather than the mean of the paper, keeps banks, ditch
// edges and walls out of the estimate as long as they are fewer than half of
// the cells.
//
// Elevations rounded to steps coarser than the ground falls from cell to cell,
// whole centimetres on a plain, say, bend at the edges of the steps only, and
// have no noise by that measure. They are known by treads between the steps
// and by bends that are multiples of the step, and then the noise is no less
// than the standard deviation of rounding, the step over √12.
//
// It is a lower bound for the error of the ground: an error that neighbours
// share, as in ground interpolated from a survey or resampled from other
// cells, does not show. Ground with fewer than 400 cells that have all eight
// neighbours cannot tell its noise from its shape, and is taken to have none.
func Noise(z *Grid[float32]) float64 {
	noise, _ := roughness(z, noiseSample)
	return noise
}

// Roughness is the noise of z, as [Noise] estimates it, from fewer cells, and
// the step that its elevations have been rounded to, both in metres. The step
// is 0 where none can be told, as in ground rounded much finer than its noise.
func Roughness(z *Grid[float32]) (noise, step float64) {
	return roughness(z, roughnessSample)
}

// roughness is both from no more than so many cells, or few more.
func roughness(z *Grid[float32], most int) (noise, step float64) {
	if z.Rows < 3 || z.Cols < 3 {
		return 0, 0
	}
	// A stride that shares no factor with the number of columns visits all of
	// them evenly, so furrows and grid rows cannot fall in step with it.
	stride := max(1, z.Len()/most)
	for greatestCommonDivisor(stride, z.Cols) != 1 {
		stride++
	}
	sizes := make([]float64, 0, z.Len()/stride+1)
	var highest float64
	rising, climbing := 0, 0 // windows that rise along an axis, and that do on both sides
	for i := 0; i < z.Len(); i += stride {
		r, c := z.Cell(i)
		if r == 0 || c == 0 || r == z.Rows-1 || c == z.Cols-1 {
			continue
		}
		north, mid, south := z.Cells[i-z.Cols-1:i-z.Cols+2], z.Cells[i-1:i+2], z.Cells[i+z.Cols-1:i+z.Cols+2]
		bend := func(row []float32) float64 {
			return (float64(row[0]) - float64(row[1])) - (float64(row[1]) - float64(row[2]))
		}
		if d := math.Abs((bend(north) - bend(mid)) - (bend(mid) - bend(south))); d == d {
			sizes = append(sizes, d)
			highest = max(highest, math.Abs(float64(mid[1])))
			w, e, n, s := mid[1]-mid[0], mid[2]-mid[1], mid[1]-north[1], south[1]-mid[1]
			if w != 0 || e != 0 || n != 0 || s != 0 {
				rising++
			}
			if w*e > 0 || n*s > 0 {
				climbing++
			}
		}
	}
	if len(sizes) < noiseLeast {
		return 0, 0
	}
	slices.Sort(sizes)
	// The median of the size of a normal variate is 0.6745 of its standard
	// deviation.
	const medianOfNormal = 0.6744897501960817
	median := sizes[len(sizes)/2]
	noise = median / medianOfNormal / 6
	// Where most cells do not bend, what does may be a few edges of a smooth
	// shape. Ground in steps seldom takes two of them in a row; a plane does
	// nothing else.
	const seldom = 0.25
	if median > floatFuzz(highest) || float64(climbing) < seldom*float64(rising) {
		step = stepOf(sizes, highest)
	}
	return max(noise, step/math.Sqrt(12)), step
}

// floatFuzz is the most that the rounding of float32, half a step in each of
// the elevations of a window, which add up to 16, can bend it, m, with
// elevations up to the highest.
func floatFuzz(highest float64) float64 { return 16 * highest / (1 << 24) }

// stepOf is the step that elevations have been rounded to, m, given the sizes
// of their bends in order, or 0 where none can be told. One bend in fifty
// must be more than the rounding of float32, at the highest elevation, could
// make of none, and nearly all of those a multiple of the least.
func stepOf(sizes []float64, highest float64) float64 {
	const share, exceptions = 1.0 / 50, 1.0 / 20
	fuzz := floatFuzz(highest)
	flat, _ := slices.BinarySearchFunc(sizes, fuzz, func(s, f float64) int {
		if s <= f {
			return -1
		}
		return 1
	})
	bends := sizes[flat:]
	if float64(len(bends)) < share*float64(len(sizes)) || bends[0] < 4*fuzz {
		return 0
	}
	odd := 0
	for _, s := range bends {
		n := math.Round(s / bends[0])
		if math.Abs(s-n*bends[0]) > fuzz*(1+n) {
			odd++
		}
	}
	if float64(odd) > exceptions*float64(len(bends)) {
		return 0
	}
	return bends[0]
}

func greatestCommonDivisor(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
