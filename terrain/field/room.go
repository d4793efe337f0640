package field

import (
	"encoding/binary"
	"math/rand/v2"
)

// stream is the random numbers of one pair of draws. ChaCha8 keeps the streams
// of all seeds and pairs apart.
func stream(seed uint64, k int) *rand.Rand {
	var key [32]byte
	copy(key[:], "equally likely")
	binary.LittleEndian.PutUint64(key[16:], seed)
	binary.LittleEndian.PutUint64(key[24:], uint64(k))
	return rand.New(rand.NewChaCha8(key))
}

// scatter fills the field with the columns of white noise under the swing of
// each frequency. The real and the imaginary part of what comes of it along
// rows are two independent fields.
func (r *Room) scatter(random *rand.Rand) {
	t := r.torus
	for lo := 0; lo < t.cols; lo += columnsAtOnce {
		hi := min(lo+columnsAtOnce, t.cols)
		for k := lo; k < hi; k++ {
			col := r.column(k - lo)
			swing, back := r.swing(k)
			for i := range col {
				s := swing[i]
				if back && i > 0 {
					s = swing[t.rows-i]
				}
				re, im := random.NormFloat64(), random.NormFloat64()
				col[i] = complex(float64(s)*re, float64(s)*im)
			}
			r.down.Sequence(col, col)
		}
		r.store(lo, hi)
	}
}

// gather takes the field along its rows into a and b, and to what the shots
// read.
func (r *Room) gather(a, b []float32) {
	f, w, cols := r.d.Frame, r.d.window, r.torus.cols
	for row := range w.rows {
		within := row >= w.row && row < w.row+f.Rows
		loaded := r.loaded != nil && r.loaded[row]
		if !within && !loaded {
			continue
		}
		stored := r.field[row*cols : (row+1)*cols]
		r.along(stored)
		if within {
			i := (row - w.row) * f.Cols
			for c, v := range r.line[w.col : w.col+f.Cols] {
				a[i+c], b[i+c] = float32(real(v)), float32(imag(v))
			}
		}
		if loaded {
			for c, v := range r.line {
				stored[c] = complex64(v)
			}
		}
	}
	if r.d.shots == nil {
		return
	}
	for i := range r.d.shots.readings {
		s := &r.d.shots.readings[i]
		var re, im float64
		for j, u := range s.weight {
			if u != 0 {
				v := r.field[s.row[j]*cols+s.col[j]]
				re += u * float64(real(v))
				im += u * float64(imag(v))
			}
		}
		r.readings[2*i], r.readings[2*i+1] = re, im
	}
}

// along transforms one row of the field into the line.
func (r *Room) along(stored []complex64) {
	for c, v := range stored {
		r.line[c] = complex128(v)
	}
	r.over.Sequence(r.line, r.line)
}

// foretell takes away from a and b what weights on the shots, two for each,
// foretell of them: the covariance of every cell with the shots times the
// weights, as a product of spectra.
func (r *Room) foretell(a, b []float32, weights []float64) {
	f, w, t := r.d.Frame, r.d.window, r.torus
	r.load(weights)
	for row, loaded := range r.loaded {
		if !loaded {
			continue
		}
		stored := r.field[row*t.cols : (row+1)*t.cols]
		for c, v := range stored {
			r.line[c] = complex128(v)
		}
		r.over.Coefficients(r.line, r.line)
		for c, v := range r.line {
			stored[c] = complex64(v)
		}
	}
	for lo := 0; lo < t.cols; lo += columnsAtOnce {
		hi := min(lo+columnsAtOnce, t.cols)
		clear(r.block)
		for row, loaded := range r.loaded {
			if loaded {
				for c, v := range r.field[row*t.cols+lo : row*t.cols+hi] {
					r.block[c*t.rows+row] = complex128(v)
				}
			}
		}
		for k := lo; k < hi; k++ {
			col := r.column(k - lo)
			r.down.Coefficients(col, col)
			swing, back := r.swing(k)
			for i := range col {
				s := float64(swing[i])
				if back && i > 0 {
					s = float64(swing[t.rows-i])
				}
				col[i] *= complex(s*s, 0)
			}
			r.down.Sequence(col, col)
		}
		r.store(lo, hi)
	}
	for row := range f.Rows {
		at := (row + w.row) * t.cols
		r.along(r.field[at : at+t.cols])
		i := row * f.Cols
		for c, v := range r.line[w.col : w.col+f.Cols] {
			a[i+c] -= float32(real(v))
			b[i+c] -= float32(imag(v))
		}
	}
}

// column is one of the columns at hand.
func (r *Room) column(i int) []complex128 {
	n := r.torus.rows
	return r.block[i*n : (i+1)*n]
}

// swing is that of a column of the torus, and whether it is to be read
// backwards: the second half mirrors the first.
func (r *Room) swing(k int) (swing []float32, back bool) {
	t := r.torus
	if k >= t.half() {
		k, back = t.cols-k, true
	}
	return r.swings[k*t.rows : (k+1)*t.rows], back
}

// store puts columns lo to hi of the rows of the window into the field.
func (r *Room) store(lo, hi int) {
	t := r.torus
	for row := range r.d.window.rows {
		line := r.field[row*t.cols+lo : row*t.cols+hi]
		for c := range line {
			line[c] = complex64(r.block[c*t.rows+row])
		}
	}
}
