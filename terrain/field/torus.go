package field

import (
	"math"
	"math/bits"

	"wetfeet/terrain"

	"gonum.org/v1/gonum/dsp/fourier"
)

// A torus is a grid whose last row and column meet the first. Covariances on
// it are diagonal in the frequencies: its spectra hold one number for each of
// the columns of frequencies 0 to cols/2, at [column*rows+row]; the other half
// mirrors them.
type torus struct{ rows, cols int }

func (t torus) len() int  { return t.rows * t.cols }
func (t torus) half() int { return t.cols/2 + 1 }

// at is the index in a table of lags of the lag between two cells.
func (t torus) at(row, col int) int {
	if row < 0 {
		row += t.rows
	}
	if col < 0 {
		col += t.cols
	}
	return row*t.cols + col
}

// smooth is the least number from n on whose only factors are 2, 3 and 5,
// for which the transform is fast.
func smooth(n int) int {
	for ; ; n++ {
		m := n >> bits.TrailingZeros(uint(n))
		for m%3 == 0 {
			m /= 3
		}
		for m%5 == 0 {
			m /= 5
		}
		if m == 1 {
			return n
		}
	}
}

// rowsAtOnce is how many rows are brought to columns together, so that what is
// written side by side fills whole lines of the cache.
const rowsAtOnce = 8

// forward is the spectrum of real values, rows*cols of them.
func (t torus) forward(spectrum []complex128, values []float64) {
	half := t.half()
	t.blocks(func(row *fourier.FFT, buffer [][]complex128, lo, hi int) {
		for r := lo; r < hi; r++ {
			row.Coefficients(buffer[r-lo], values[r*t.cols:(r+1)*t.cols])
		}
		for k := range half {
			for r := lo; r < hi; r++ {
				spectrum[k*t.rows+r] = buffer[r-lo][k]
			}
		}
	})
	t.columns(spectrum, func(f *fourier.CmplxFFT, col []complex128, _ int) { f.Coefficients(col, col) })
}

// inverse is the values of a spectrum, which is lost on the way.
func (t torus) inverse(values []float64, spectrum []complex128) {
	t.columns(spectrum, func(f *fourier.CmplxFFT, col []complex128, _ int) { f.Sequence(col, col) })
	t.back(values, spectrum)
}

// filter multiplies the spectrum of values by a gain; dst may be the values.
// The spectrum is scratch.
func (t torus) filter(dst, values []float64, gain []float32, spectrum []complex128) {
	t.forward(spectrum, values)
	t.columns(spectrum, func(f *fourier.CmplxFFT, col []complex128, k int) {
		for i, g := range gain[k*t.rows : (k+1)*t.rows] {
			col[i] *= complex(float64(g), 0)
		}
		f.Sequence(col, col)
	})
	t.back(dst, spectrum)
}

// back takes columns already transformed to values.
func (t torus) back(values []float64, spectrum []complex128) {
	half := t.half()
	scale := 1 / float64(t.len())
	t.blocks(func(row *fourier.FFT, buffer [][]complex128, lo, hi int) {
		for k := range half {
			for r := lo; r < hi; r++ {
				buffer[r-lo][k] = spectrum[k*t.rows+r]
			}
		}
		for r := lo; r < hi; r++ {
			line := row.Sequence(values[r*t.cols:(r+1)*t.cols], buffer[r-lo])
			for c := range line {
				line[c] *= scale
			}
		}
	})
}

// blocks calls f for a few rows at a time.
func (t torus) blocks(f func(row *fourier.FFT, buffer [][]complex128, lo, hi int)) {
	terrain.Bands((t.rows+rowsAtOnce-1)/rowsAtOnce, func(first, end int) {
		row := fourier.NewFFT(t.cols)
		buffer := make([][]complex128, rowsAtOnce)
		for i := range buffer {
			buffer[i] = make([]complex128, t.half())
		}
		for b := first; b < end; b++ {
			f(row, buffer, b*rowsAtOnce, min((b+1)*rowsAtOnce, t.rows))
		}
	})
}

// columns calls f for every column of a spectrum.
func (t torus) columns(spectrum []complex128, f func(fft *fourier.CmplxFFT, col []complex128, k int)) {
	terrain.Bands(t.half(), func(lo, hi int) {
		fft := fourier.NewCmplxFFT(t.rows)
		for k := lo; k < hi; k++ {
			f(fft, spectrum[k*t.rows:(k+1)*t.rows], k)
		}
	})
}

// mirrored is how many columns of the torus one column of a spectrum stands
// for: itself and, mostly, its mirror image.
func (t torus) mirrored(k int) float64 {
	if k == 0 || 2*k == t.cols {
		return 1
	}
	return 2
}

// wavenumber is the frequency of an entry of a spectrum, cycles a cell.
func (t torus) wavenumber(k, row int) float64 {
	if 2*row > t.rows {
		row -= t.rows
	}
	return math.Hypot(float64(k)/float64(t.cols), float64(row)/float64(t.rows))
}

// table is the covariance at every lag that belongs to eigenvalues.
func (t torus) table(eigen []float64) []float64 {
	spectrum := make([]complex128, len(eigen))
	for i, v := range eigen {
		spectrum[i] = complex(v, 0)
	}
	values := make([]float64, t.len())
	t.inverse(values, spectrum)
	return values
}
