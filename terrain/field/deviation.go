package field

import (
	"cmp"
	"math"
	"slices"

	"wetfeet/terrain"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
)

const (
	nearestShots = 64 // that the deviation of a cell is worked out from, at most
	tile         = 16 // cells a side that share them
)

// deviations are the standard deviations of the conditioned field in every
// cell of the frame that has a mean. Up to 64 shots it is that of all of them;
// with more, of the 64 nearest to each 16 × 16 cells: those farther off, which
// they screen, would make it a little smaller. What the trend adds is that of
// all shots.
func (d *Draws) deviations(table []float64, nearest int) *terrain.Grid[float32] {
	f := d.Frame
	sd := terrain.NewGrid[float32](f)
	across := (f.Cols + tile - 1) / tile
	down := (f.Rows + tile - 1) / tile
	terrain.Bands(down, func(lo, hi int) {
		n := d.neighbourhood(table, nearest)
		for i := lo * across; i < hi*across; i++ {
			n.tile(sd, i/across*tile, i%across*tile)
		}
	})
	return sd
}

// A neighbourhood is some of the shots, solved for by themselves.
type neighbourhood struct {
	d      *Draws
	table  []float64
	most   int
	chosen []int
	order  []int
	away   []float64 // of each shot, squared, in cells
	k      []float64 // factor of their covariance
	c      []float64 // covariance with cells, chosen × cells
}

func (d *Draws) neighbourhood(table []float64, nearest int) *neighbourhood {
	n := d.shots.count()
	m := min(n, nearest)
	return &neighbourhood{d: d, table: table, most: m, order: make([]int, n), away: make([]float64, n), k: make([]float64, m*m), c: make([]float64, m*tile*tile)}
}

// choose takes the shots nearest to a place in the window and factors their
// covariance; the same ones are not factored again.
func (s *neighbourhood) choose(row, col float64) {
	all := s.d.shots
	n := all.count()
	for i := range n {
		s.order[i] = i
		a := &all.readings[i]
		dr, dc := float64(a.row[0])-row, float64(a.col[0])-col
		s.away[i] = dr*dr + dc*dc
	}
	if n > s.most {
		slices.SortFunc(s.order, func(i, j int) int { return cmp.Or(cmp.Compare(s.away[i], s.away[j]), cmp.Compare(i, j)) })
	}
	near := slices.Clone(s.order[:s.most])
	slices.Sort(near)
	if slices.Equal(near, s.chosen) {
		return
	}
	s.chosen = near
	m := len(near)
	for a, i := range near {
		for b, j := range near[:a] {
			s.k[b*m+a] = all.k[i*n+j]
		}
		s.k[a*m+a] = all.diagonal[i]
	}
	// A part of a matrix that has a factor has one too.
	lapack64.Potrf(blas64.Symmetric{N: m, Stride: m, Data: s.k, Uplo: blas.Upper})
}

// tile writes the deviations of the cells from a row and column of the frame
// on.
func (s *neighbourhood) tile(sd *terrain.Grid[float32], row, col int) {
	d, all, w := s.d, s.d.shots, s.d.window
	rows, cols := min(tile, sd.Rows-row), min(tile, sd.Cols-col)
	s.choose(float64(w.row+row)+float64(rows)/2, float64(w.col+col)+float64(cols)/2)
	m, cells := len(s.chosen), rows*cols
	c := s.c[:m*cells]
	for a, i := range s.chosen {
		seen := &all.readings[i]
		for j := range cells {
			at := reading{weight: [4]float64{1}}
			at.row[0], at.col[0] = w.row+row+j/cols, w.col+col+j%cols
			c[a*cells+j] = d.torus.between(s.table, &at, seen)
		}
	}
	// With K = UᵀU: half = U⁻ᵀc, whose squares add up to cᵀK⁻¹c, and the
	// weights U⁻¹half of the shots, by which the trend is foretold.
	factor := blas64.Triangular{N: m, Stride: m, Data: s.k, Uplo: blas.Upper, Diag: blas.NonUnit}
	general := blas64.General{Rows: m, Cols: cells, Stride: cells, Data: c}
	blas64.Trsm(blas.Left, blas.Trans, 1, factor, general)
	variance := make([]float64, cells)
	for j := range variance {
		variance[j] = s.table[0]
	}
	for a := range m {
		for j, v := range c[a*cells : (a+1)*cells] {
			variance[j] -= v * v
		}
	}
	p := all.terms
	if p > 0 {
		blas64.Trsm(blas.Left, blas.NoTrans, 1, factor, general)
	}
	var left [3]float64
	for j := range variance {
		at := sd.Index(row+j/cols, col+j%cols)
		if terrain.IsVoid(d.Mean.Cells[at]) {
			sd.Cells[at] = terrain.Void()
			continue
		}
		u := w.trendAt(left[:0], p, float64(w.col+col+j%cols)+0.5, float64(w.row+row+j/cols)+0.5)
		for q := range u {
			for a, i := range s.chosen {
				u[q] -= all.trend[i*p+q] * c[a*cells+j]
			}
		}
		for q := range u {
			for r := range u {
				variance[j] += u[q] * all.inner[q*p+r] * u[r]
			}
		}
		sd.Cells[at] = float32(math.Sqrt(max(variance[j], 0)))
	}
}
