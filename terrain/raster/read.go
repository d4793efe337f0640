package raster

import (
	"math"
	"strings"

	"github.com/airbusgeo/godal"

	"wetfeet/terrain"
)

// A cleaner turns the numbers a file stores into elevations in metres.
type cleaner struct {
	voids         []float64 // values that mean no value
	scale, offset float64   // stored*scale + offset is the elevation
	unit          float64   // metres in one unit of that
}

// maxElevation is beyond any ground: the Mariana Trench is 10.9 km below the
// sea and Everest 8.8 km above. A larger number is a void nobody declared.
const maxElevation = 12000

// hugeVoid is where the voids written as the largest number of a type begin.
// Writers differ in their last digits, so any value beyond it on the side of
// a declared one is a void.
const hugeVoid = 1e37

// setVoid declares a value to mean no value. NaN always does.
func (c *cleaner) setVoid(v float64) {
	if !math.IsNaN(v) {
		c.voids = append(c.voids, v)
	}
}

func (c *cleaner) isVoid(v float64) bool {
	if v != v {
		return true
	}
	for _, w := range c.voids {
		// The text of a void can be short of the number it means by its last
		// digits: equal to 1e-10, or as float32.
		if v == w || float32(v) == float32(w) && math.Abs(v-w) <= 1e-7*math.Abs(w) ||
			w <= -hugeVoid && v <= -hugeVoid || w >= hugeVoid && v >= hugeVoid {
			return true
		}
	}
	return false
}

// metres is the elevation of a stored number that is not a void, and whether
// it can be one.
func (c *cleaner) metres(v float64) (float64, bool) {
	z := (v*c.scale + c.offset) * c.unit
	return z, math.Abs(z) <= maxElevation && float32(v) != -9999
}

// oddCell is the error about a cell that cannot be an elevation.
func (c *cleaner) oddCell(row, col int, v float64) error {
	z, _ := c.metres(v)
	where := "row %d, column %d (counted from 1 at the top left): "
	switch {
	case float32(v) == -9999:
		return bad(where+"-9999 looks like a void that the file does not declare; declare it: gdal_translate -a_nodata -9999 in out.tif", row+1, col+1)
	case math.IsInf(z, 0):
		return bad(where+"%v is not an elevation", row+1, col+1, z)
	}
	return bad(where+"%.6g m is not an elevation on Earth; if it marks a void, declare it: gdal_translate -a_nodata %v in out.tif", row+1, col+1, z, v)
}

// chunkCells is how many cells are read from GDAL at a time. A few million
// let it decode many tiles at once and keep what is held beside the grid
// small: at 8 bytes, 32 MB.
const chunkCells = 4 << 20

// readInto fills cells, row by row, with the elevations of a window, NaN
// where there are none.
func (s *source) readInto(w window, cells []float32) error {
	if s.text != nil {
		return s.text.read(w, &s.clean, cells)
	}
	step := max(1, chunkCells/w.cols)
	step = (step + s.blockRows - 1) / s.blockRows * s.blockRows
	step = min(step, w.rows, max(1, 4*chunkCells/w.cols))
	r := bandReader{source: s, w: w}
	for row := 0; row < w.rows; row += step {
		n := min(step, w.rows-row)
		if err := r.rows(row, n, cells[row*w.cols:(row+n)*w.cols]); err != nil {
			return err
		}
	}
	return nil
}

// A bandReader reads rows of a window by GDAL.
type bandReader struct {
	*source
	w     window
	wide  []float64 // for numbers that float32 does not hold
	valid []byte    // 0 where the mask says void
}

func (r *bandReader) rows(row, n int, cells []float32) error {
	var valid []byte
	if r.mask != nil {
		if r.valid == nil {
			r.valid = make([]byte, len(cells))
		}
		valid = r.valid[:len(cells)]
		if err := r.fetch(*r.mask, row, n, valid); err != nil {
			return err
		}
	}
	switch r.dtype {
	case godal.Byte, godal.UInt16, godal.Int16, godal.Float32:
		if err := r.fetch(r.band, row, n, cells); err != nil {
			return err
		}
		return sweep(r, row, cells, cells, valid)
	}
	// Numbers of 32 bits and more are cleaned before they are rounded.
	if r.wide == nil {
		r.wide = make([]float64, len(cells))
	}
	wide := r.wide[:len(cells)]
	if err := r.fetch(r.band, row, n, wide); err != nil {
		return err
	}
	return sweep(r, row, cells, wide, valid)
}

// sweep cleans stored numbers into dst, which may be the same slice.
func sweep[T float32 | float64](r *bandReader, row int, dst []float32, stored []T, valid []byte) error {
	c := &r.clean
	// Nearly every cell of nearly every file is an elevation in metres as it
	// stands, and passes on these comparisons alone.
	asIs := c.scale == 1 && c.offset == 0 && c.unit == 1 && len(c.voids) <= 1 && valid == nil
	void := float32(-9999)
	if len(c.voids) == 1 {
		void = float32(c.voids[0])
	}
	dst = dst[:len(stored)]
	for i, v := range stored {
		if f := float32(v); asIs && f <= maxElevation && f >= -maxElevation && f != void && f != -9999 {
			dst[i] = f
			continue
		}
		z := float64(v)
		if valid != nil && valid[i] == 0 || c.isVoid(z) {
			dst[i] = terrain.Void()
			continue
		}
		m, ok := c.metres(z)
		if !ok {
			return c.oddCell(r.w.row+row+i/r.w.cols, r.w.col+i%r.w.cols, z)
		}
		dst[i] = float32(m)
	}
	return nil
}

func (r *bandReader) fetch(b godal.Band, row, n int, buf any) error {
	var l listener
	err := b.Read(r.w.col, r.w.row+row, buf, r.w.cols, n, godal.ErrLogger(l.hear))
	if err != nil {
		why := " (" + clip(err.Error()) + ")"
		if strings.HasPrefix(err.Error(), "unknown cpl error") {
			why = "" // the library said nothing, and the binding only a number
		}
		return bad("is damaged or cut short: rows %d to %d cannot be read%s", r.w.row+row+1, r.w.row+row+n, why)
	}
	return nil
}
