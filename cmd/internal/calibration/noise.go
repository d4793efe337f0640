package calibration

import (
	"math"
	"math/rand/v2"

	"wetfeet/terrain"

	"gonum.org/v1/gonum/dsp/fourier"
)

// A noise makes errors that neighbours share: Gaussian, of exponential
// covariance sd² exp(−3h/reach), by circulant embedding on a torus three times
// as wide as the ground. It is written apart from the fields that the program
// draws, and plainly.
type noise struct {
	terrain.Frame
	side  int
	swing []float64 // by frequency
}

func newNoise(f terrain.Frame, sd, reach float64) *noise {
	n := &noise{Frame: f, side: 3 * max(f.Rows, f.Cols)}
	lags := make([]complex128, n.side*n.side)
	for row := range n.side {
		for col := range n.side {
			dy, dx := float64(min(row, n.side-row)), float64(min(col, n.side-col))
			lags[row*n.side+col] = complex(sd*sd*math.Exp(-3*math.Hypot(dx, dy)*f.CellSize/reach), 0)
		}
	}
	n.transform(lags)
	n.swing = make([]float64, len(lags))
	for i, v := range lags {
		n.swing[i] = math.Sqrt(max(real(v), 0) / float64(len(lags)))
	}
	return n
}

// transform is the Fourier transform along both sides, in place.
func (n *noise) transform(v []complex128) {
	fft, line := fourier.NewCmplxFFT(n.side), make([]complex128, n.side)
	for row := range n.side {
		fft.Coefficients(v[row*n.side:][:n.side], v[row*n.side:][:n.side])
	}
	for col := range n.side {
		for row := range line {
			line[row] = v[row*n.side+col]
		}
		fft.Coefficients(line, line)
		for row := range line {
			v[row*n.side+col] = line[row]
		}
	}
}

// pair is two errors that have nothing to do with each other.
func (n *noise) pair(r *rand.Rand) (a, b []float64) {
	v := make([]complex128, len(n.swing))
	for i, s := range n.swing {
		v[i] = complex(s*r.NormFloat64(), s*r.NormFloat64())
	}
	n.transform(v)
	for row := range n.Rows {
		for _, c := range v[row*n.side:][:n.Cols] {
			a, b = append(a, real(c)), append(b, imag(c))
		}
	}
	return a, b
}
