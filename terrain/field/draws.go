package field

import (
	"math"

	"wetfeet/terrain"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Draws is equally likely grounds. It is not changed by drawing and may be
// used from several goroutines at once, each with a [Room] of its own.
type Draws struct {
	Frame terrain.Frame

	// Mean is what the draws scatter about and SD how far at each cell, one
	// standard deviation, m. Both are void where the ground is.
	Mean, SD *terrain.Grid[float32]

	// Remarks are what was assumed or found, one sentence each.
	Remarks []string

	seed    uint64
	window  window
	torus   torus
	swing   []float32              // by frequency, as in a torus: the root of the eigenvalue over the number of cells
	share   *terrain.Grid[float32] // what a field is multiplied by in each cell; nil for 1
	guesses []guess                // spectra the pairs go by in turn; none for swing, Mean and shots alone
	loud    *terrain.Grid[float32] // how much of each cell is of the strong field; nil for none
	aside   *terrain.Grid[float32] // what the loud ground has beside the quiet, m, in the means already
	strong  []float32              // the swing of the loud ground
	shots   *shots                 // what the field is conditioned on, or nil
	raster  bool                   // made by OfRaster, and not yet brought to shots
}

// A window is the cells of the torus a field is kept for: the frame, whose
// first cell is at row and col of it, and as much around as holds the shots.
type window struct{ rows, cols, row, col int }

func wholeFrame(f terrain.Frame) window { return window{rows: f.Rows, cols: f.Cols} }

// setField takes the eigenvalues of the covariance of the draws about their
// mean.
func (d *Draws) setField(t torus, eigen []float64) {
	d.torus = t
	d.swing = make([]float32, len(eigen))
	for i, v := range eigen {
		d.swing[i] = float32(math.Sqrt(v / float64(t.len())))
	}
}

// table is the covariance of the field at every lag, m², just as drawn.
func (d *Draws) table() []float64 {
	eigen := make([]float64, len(d.swing))
	for i, v := range d.swing {
		eigen[i] = float64(v) * float64(v) * float64(d.torus.len())
	}
	return d.torus.table(eigen)
}

// Bytes is the memory the draws hold, for themselves and whatever number of
// workers.
func (d *Draws) Bytes() int64 {
	n := int64(len(d.Mean.Cells)+len(d.SD.Cells)+len(d.swing)) * 4
	for _, o := range d.guesses {
		n += int64(len(o.swing)+len(o.mean.Cells)) * 4
		if o.shots != nil {
			n += o.shots.bytes()
		}
	}
	if d.loud != nil {
		n += int64(len(d.loud.Cells)+len(d.aside.Cells)+len(d.strong)) * 4
	}
	if d.shots != nil {
		n += d.shots.bytes()
	}
	return n
}

// RoomBytes is the memory of one [Room].
func (d *Draws) RoomBytes() int64 {
	t, n := d.largest(), int64(0)
	n += int64(d.window.rows) * int64(t.cols) * 8          // field
	n += int64(t.rows)*columnsAtOnce*16 + int64(t.cols)*16 // block, line
	n += (int64(t.rows) + int64(t.cols)) * (4 + 2) * 8     // inside the transforms
	if d.loud != nil {
		n += 2 * int64(d.Frame.Len()) * 4
	}
	n += int64(d.window.rows) + int64(d.shots.count())*2*8 + 1<<10 // which rows, readings
	return n
}

// columnsAtOnce is how many columns of the field are brought together for
// their transform: eight of them fill a line of the cache.
const columnsAtOnce = 8

// A Room is the scratch memory of one worker.
type Room struct {
	d          *Draws
	torus      torus        // of the pair at hand
	swings     []float32    // by which it is drawn
	shots      *shots       // and what it is conditioned on
	field      []complex64  // the rows of the window, each the whole way round
	block      []complex128 // some columns
	line       []complex128
	down, over *fourier.CmplxFFT // along columns, along rows
	readings   []float64         // at each shot, of the two fields
	loaded     []bool            // rows with a shot
	more       [2][]float32      // the fields of the loud ground
}

// NewRoom is room for one worker.
func (d *Draws) NewRoom() *Room {
	t := d.largest()
	r := &Room{
		d:     d,
		field: make([]complex64, d.window.rows*t.cols),
		block: make([]complex128, columnsAtOnce*t.rows),
		line:  make([]complex128, t.cols),
	}
	r.take(d.torus, d.swing, d.shots)
	if d.shots != nil {
		r.readings = make([]float64, 2*d.shots.count())
		r.loaded = make([]bool, d.window.rows)
		d.shots.mark(r.loaded)
	}
	return r
}

// largest is a torus as wide and as high as any that draws are made on.
func (d *Draws) largest() torus {
	t := d.torus
	for i := range d.guesses {
		t.rows, t.cols = max(t.rows, d.guesses[i].torus.rows), max(t.cols, d.guesses[i].torus.cols)
	}
	return t
}

// take readies the room for fields of a swing on a torus.
func (r *Room) take(t torus, swing []float32, s *shots) {
	if r.torus != t {
		r.down, r.over = fourier.NewCmplxFFT(t.rows), fourier.NewCmplxFFT(t.cols)
		r.field = r.field[:r.d.window.rows*t.cols]
		r.block = r.block[:columnsAtOnce*t.rows]
		r.line = r.line[:t.cols]
	}
	r.torus, r.swings, r.shots = t, swing, s
}

// Pair writes draws 2k and 2k+1 into a and b, one elevation for every cell of
// the frame, row by row, m. They follow from the seed and k alone. It panics
// when a or b is not of the frame's length or k is below nothing.
func (r *Room) Pair(k int, a, b []float32) {
	d := r.d
	if len(a) != d.Frame.Len() || len(b) != d.Frame.Len() || k < 0 {
		panic("field: a draw that does not fit the frame")
	}
	mean := d.Mean
	if n := len(d.guesses); n > 0 {
		g := &d.guesses[k%n]
		mean = g.mean
		r.take(g.torus, g.swing, g.shots)
	} else {
		r.take(d.torus, d.swing, d.shots)
	}
	random := stream(d.seed, k)
	r.scatter(random)
	r.gather(a, b)
	if d.loud != nil && d.shots == nil {
		// The same white noise under the other swing: the two fields agree
		// where their spectra do.
		if r.more[0] == nil {
			r.more = [2][]float32{make([]float32, len(a)), make([]float32, len(a))}
		}
		r.swings = d.strong
		r.scatter(stream(d.seed, k))
		r.gather(r.more[0], r.more[1])
		for i, u := range d.loud.Cells {
			a[i] += u * (r.more[0][i] - a[i])
			b[i] += u * (r.more[1][i] - b[i])
		}
	}
	if d.shots != nil {
		r.condition(random, a, b)
	}
	for i, m := range mean.Cells {
		s := float32(1)
		if d.share != nil {
			s = d.share.Cells[i]
		}
		a[i] = m + s*a[i]
		b[i] = m + s*b[i]
	}
}
