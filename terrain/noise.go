package terrain

import (
	"math"
	"slices"
)

// noiseSample is how many cells Noise looks at, at most. The median of a
// quarter of a million is known to 0.3 %, better than any use of it needs.
const noiseSample = 1 << 18

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
// It is a lower bound for the error of the ground: an error that neighbours
// share, as in ground interpolated from a survey, does not show. Ground with
// fewer than 400 cells that have all eight neighbours cannot tell its noise
// from its shape, and is taken to have none.
func Noise(z *Grid[float32]) float64 {
	if z.Rows < 3 || z.Cols < 3 {
		return 0
	}
	// A stride that shares no factor with the number of columns visits all of
	// them evenly, so furrows and grid rows cannot fall in step with it.
	stride := max(1, z.Len()/noiseSample)
	for greatestCommonDivisor(stride, z.Cols) != 1 {
		stride++
	}
	sizes := make([]float64, 0, min(z.Len(), noiseSample+1))
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
		}
	}
	if len(sizes) < noiseLeast {
		return 0
	}
	slices.Sort(sizes)
	// The median of the size of a normal variate is 0.6745 of its standard
	// deviation.
	const medianOfNormal = 0.6744897501960817
	return sizes[len(sizes)/2] / medianOfNormal / 6
}

func greatestCommonDivisor(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
