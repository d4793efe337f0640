package field

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"wetfeet/terrain"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// A dense field is the covariance of every cell of a frame with every other,
// and what shots read of it: the definition, for small grounds.
type dense struct {
	k    *mat.Dense // cells × cells
	h    *mat.Dense // shots × cells
	f, g *mat.Dense // the trend at cells and at shots; nil for none
	r    []float64  // variances of the shots' errors
}

// given is the covariance of the cells given the shots, and the matrix that
// foretells cells from readings.
func (d *dense) given() (covariance, foretell *mat.Dense) {
	n, _ := d.h.Dims()
	var ch, k, inverse mat.Dense
	ch.Mul(d.k, d.h.T())
	k.Mul(d.h, &ch)
	for i := range n {
		k.Set(i, i, k.At(i, i)+d.r[i])
	}
	if err := inverse.Inverse(&k); err != nil {
		panic(err)
	}
	foretell = &mat.Dense{}
	foretell.Mul(&ch, &inverse)
	if d.f != nil {
		// Universal kriging: (C K⁻¹ + (F - C K⁻¹ G)(Gᵀ K⁻¹ G)⁻¹ Gᵀ K⁻¹).
		var gk, gkg, rest, more mat.Dense
		gk.Mul(d.g.T(), &inverse)
		gkg.Mul(&gk, d.g)
		if err := gkg.Inverse(&gkg); err != nil {
			panic(err)
		}
		rest.Mul(foretell, d.g)
		rest.Sub(d.f, &rest)
		more.Product(&rest, &gkg, &gk)
		foretell.Add(foretell, &more)
	}
	// (I - AH) C (I - AH)ᵀ + A R Aᵀ
	cells, _ := d.k.Dims()
	left := mat.NewDense(cells, cells, nil)
	for i := range cells {
		left.Set(i, i, 1)
	}
	var ah, noise mat.Dense
	ah.Mul(foretell, d.h)
	left.Sub(left, &ah)
	covariance = &mat.Dense{}
	covariance.Product(left, d.k, left.T())
	noise.Product(foretell, mat.NewDiagDense(n, d.r), foretell.T())
	covariance.Add(covariance, &noise)
	return covariance, foretell
}

// assertDraws holds many draws against the mean and covariance they should
// have: every cell's mean and variance, and the covariances with a few cells,
// within four and a half standard errors.
func assertDraws(t *testing.T, d *Draws, mean []float64, covariance mat.Matrix, pairs int) {
	t.Helper()
	n := d.Frame.Len()
	room := d.NewRoom()
	a, b := make([]float32, n), make([]float32, n)
	some := []int{0, n / 3, n/2 + 1, n - 1}
	sum, square := make([]float64, n), make([]float64, n)
	cross := make([][]float64, len(some))
	for j := range cross {
		cross[j] = make([]float64, n)
	}
	between := 0.0
	for k := range pairs {
		room.Pair(k, a, b)
		for _, draw := range [][]float32{a, b} {
			for i, v := range draw {
				e := float64(v) - mean[i]
				sum[i] += e
				square[i] += e * e
				for j, c := range some {
					cross[j][i] += e * (float64(draw[c]) - mean[c])
				}
			}
		}
		between += (float64(a[n/2]) - mean[n/2]) * (float64(b[n/2]) - mean[n/2])
	}
	count := float64(2 * pairs)
	const bands = 4.5
	const rounding = 2e-6 // of float32, m
	for i := range n {
		v := covariance.At(i, i)
		assert.InDelta(t, 0, sum[i]/count, bands*math.Sqrt(v/count)+rounding, "mean of cell %d", i)
		assert.InDelta(t, v, square[i]/count, bands*v*math.Sqrt(2/count)+rounding*rounding, "variance of cell %d", i)
		assert.InDelta(t, math.Sqrt(max(v, 0)), d.SD.Cells[i], 2e-3*math.Sqrt(max(v, 0))+3e-6, "deviation of cell %d", i)
		for j, c := range some {
			w := covariance.At(c, c)
			band := bands * math.Sqrt((v*w+math.Pow(covariance.At(i, c), 2))/count)
			assert.InDelta(t, covariance.At(i, c), cross[j][i]/count, band+rounding*math.Sqrt(max(w, 1e-9)), "covariance of cells %d and %d", i, c)
		}
	}
	v := covariance.At(n/2, n/2)
	assert.InDelta(t, 0, between/float64(pairs), bands*v/math.Sqrt(float64(pairs)), "draws of one pair")
}

// lagged is the covariance of all cells with all.
func lagged(f terrain.Frame, covariance func(dx, dy float64) float64) *mat.Dense {
	k := mat.NewDense(f.Len(), f.Len(), nil)
	for i := range f.Len() {
		p := f.Centre(f.Cell(i))
		for j := range f.Len() {
			q := f.Centre(f.Cell(j))
			k.Set(i, j, covariance(p[0]-q[0], p[1]-q[1]))
		}
	}
	return k
}

// small is a survey of a small frame, whose covariance reaches farther along
// one direction than across it.
func small(planar bool) Survey {
	f := terrain.Frame{Rows: 11, Cols: 14, West: 500, North: 900, CellSize: 2}
	mean := terrain.NewGrid[float32](f)
	random := rand.New(rand.NewPCG(1, 2))
	for i := range mean.Cells {
		mean.Cells[i] = float32(0.1 * random.NormFloat64())
	}
	round := matern(0.04, 9)
	s := Survey{Mean: mean, Reach: 12, Planar: planar, Covariance: func(dx, dy float64) float64 {
		return round(0.75*dx+0.2*dy, 1.3*dy-0.2*dx)
	}}
	for i, p := range [][2]int{{1, 1}, {2, 9}, {8, 3}, {5, 12}, {9, 10}} {
		s.Shots = append(s.Shots, Shot{Point: f.Centre(p[0], p[1]), SD: []float64{0, 0.02}[i%2]})
	}
	// Off the middles of cells, one of them outside the frame.
	s.Shots = append(s.Shots, Shot{orb.Point{507.3, 889.1}, 0, 0.01}, Shot{orb.Point{521.9, 884.4}, 0, 0}, Shot{orb.Point{498.2, 885}, 0, 0.015})
	return s
}

// oracle is that survey by dense matrices, on a frame with a rim for the
// shot outside, and the cells of the frame in it.
func oracle(s Survey) (*dense, []int) {
	f := s.Mean.Frame
	wide := f
	wide.West, wide.North, wide.Rows, wide.Cols = f.West-8, f.North+8, f.Rows+8, f.Cols+8
	d := &dense{k: lagged(wide, s.Covariance), h: mat.NewDense(len(s.Shots), wide.Len(), nil)}
	terms := 1
	if s.Planar {
		terms = 3
	}
	trend := func(p orb.Point) []float64 { return []float64{1, p[0] - 510, p[1] - 890}[:terms] }
	d.f, d.g = mat.NewDense(wide.Len(), terms, nil), mat.NewDense(len(s.Shots), terms, nil)
	var inside []int
	for i := range wide.Len() {
		p := wide.Centre(wide.Cell(i))
		d.f.SetRow(i, trend(p))
		if _, _, ok := f.Locate(p); ok {
			inside = append(inside, i)
		}
	}
	for n, shot := range s.Shots {
		d.g.SetRow(n, trend(shot.Point))
		x, y := (shot.Point[0]-wide.West)/wide.CellSize-0.5, (wide.North-shot.Point[1])/wide.CellSize-0.5
		c, r := math.Floor(x+1e-9), math.Floor(y+1e-9)
		u, v := x-c, y-r
		at := wide.Index(int(r), int(c))
		for j, w := range map[int]float64{0: (1 - u) * (1 - v), 1: u * (1 - v), wide.Cols: (1 - u) * v, wide.Cols + 1: u * v} {
			d.h.Set(n, at+j, w)
		}
		// What bilinear leaves out of the ground at the shot.
		row := d.h.RowView(n)
		k := mat.NewVecDense(wide.Len(), nil)
		for i := range wide.Len() {
			p := wide.Centre(wide.Cell(i))
			k.SetVec(i, s.Covariance(p[0]-shot.Point[0], p[1]-shot.Point[1]))
		}
		left := s.Covariance(0, 0) - 2*mat.Dot(row, k) + mat.Inner(row, d.k, row)
		d.r = append(d.r, shot.SD*shot.SD+max(left, 0))
	}
	return d, inside
}

// Universal kriging by dense matrices is the reference: the draws' mean,
// variances and covariances over 3,000 draws.
func TestDrawsOfSurveyAreThoseOfDenseKriging(t *testing.T) {
	for _, planar := range []bool{false, true} {
		s := small(planar)
		d, err := OfSurvey(s, 11)
		require.NoError(t, err)
		assert.Empty(t, d.Remarks)
		o, inside := oracle(s)
		all, _ := o.given()
		n := len(inside)
		covariance := mat.NewDense(n, n, nil)
		mean := make([]float64, n)
		for i, p := range inside {
			mean[i] = float64(s.Mean.Cells[i])
			for j, q := range inside {
				covariance.Set(i, j, all.At(p, q))
			}
		}
		assertDraws(t, d, mean, covariance, 1500)
	}
}

// A shot without error in the middle of a cell has every draw pass through it.
func TestDrawsPassThroughExactShots(t *testing.T) {
	s := small(true)
	d, err := OfSurvey(s, 3)
	require.NoError(t, err)
	room := d.NewRoom()
	a, b := make([]float32, d.Frame.Len()), make([]float32, d.Frame.Len())
	for k := range 20 {
		room.Pair(k, a, b)
		for _, p := range [][2]int{{1, 1}, {8, 3}, {9, 10}} {
			i := d.Frame.Index(p[0], p[1])
			assert.InDelta(t, s.Mean.Cells[i], a[i], 2e-6)
			assert.InDelta(t, s.Mean.Cells[i], b[i], 2e-6)
			assert.InDelta(t, 0, d.SD.Cells[i], 3e-6)
		}
	}
}

// gstat 2.1-0 on the Meuse heights: ../survey/testdata/gstat, cases "level"
// and "plane", whose variances are those of a new shot and so hold the nugget.
// Cells of 40 m are middled on each place in turn; the shots lie between their
// middles, which costs up to half a per cent.
func TestDeviationOfMeuseSurveyIsThatOfGstat(t *testing.T) {
	const nugget, sill, reach = 0.6269, 0.8603, 1573.3
	read := func(name string) [][]string {
		file, err := os.Open(name)
		require.NoError(t, err)
		defer file.Close()
		rows, err := csv.NewReader(file).ReadAll()
		require.NoError(t, err)
		return rows
	}
	number := func(text string) float64 {
		v, err := strconv.ParseFloat(text, 64)
		require.NoError(t, err)
		return v
	}
	meuse := read("../../testdata/meuse/meuse.csv")
	column := map[string]int{}
	for i, name := range meuse[0] {
		column[name] = i
	}
	var list []Shot
	for _, row := range meuse[1:] {
		list = append(list, Shot{orb.Point{number(row[column["x"]]), number(row[column["y"]])}, number(row[column["elev_m"]]), math.Sqrt(nugget)})
	}
	require.Len(t, list, 155)
	tested := 0
	for _, row := range read("../survey/testdata/gstat/kriging.csv")[1:] {
		if row[0] != "level" && row[0] != "plane" {
			continue
		}
		p := orb.Point{number(row[1]), number(row[2])}
		west, north := p[0]-20-40*math.Floor((p[0]-178500)/40), p[1]+20+40*math.Floor((333900-p[1])/40)
		f := terrain.Frame{Rows: 110, Cols: 75, West: west, North: north, CellSize: 40}
		mean := terrain.NewGrid[float32](f)
		d, err := OfSurvey(Survey{Mean: mean, Shots: list, Reach: reach, Planar: row[0] == "plane", Covariance: func(dx, dy float64) float64 {
			u := min(math.Hypot(dx, dy)/reach, 1)
			return sill * (1 - 1.5*u + 0.5*u*u*u)
		}}, 1)
		require.NoError(t, err)
		want := math.Sqrt(number(row[4]) - nugget)
		sd := d.deviations(d.table(), len(list))
		r, c, ok := f.Locate(p)
		require.True(t, ok)
		assert.InEpsilon(t, want, sd.At(r, c), 0.005, "%s at %v", row[0], p)
		// The nearest 64 of 155 noisy shots are a little less sure.
		assert.InEpsilon(t, want, d.SD.At(r, c), 0.05, "%s at %v, by the nearest", row[0], p)
		tested++
		if testing.Short() && tested == 2 {
			break
		}
	}
	assert.GreaterOrEqual(t, tested, 2)
}

// Shots that all lie beyond the reach tell nothing of the ground.
func TestShotsBeyondTheReachAreRefused(t *testing.T) {
	f := terrain.Frame{Rows: 20, Cols: 20, North: 20, CellSize: 1}
	s := Survey{Mean: terrain.NewGrid[float32](f), Covariance: exponential(1, 10), Reach: 10}
	for i := range 5 {
		s.Shots = append(s.Shots, Shot{Point: orb.Point{500 + float64(i), 500 - float64(i*i)}, Z: 1, SD: 0.01})
	}
	for _, planar := range []bool{false, true} {
		s.Planar = planar
		_, err := OfSurvey(s, 1)
		assert.ErrorIs(t, err, ErrInput)
		assert.ErrorContains(t, err, "0 of 5 shots lie within the reach of 10 m")
	}
	s.Shots[0].Point = orb.Point{10, 10}
	_, err := OfSurvey(s, 1)
	assert.ErrorContains(t, err, "1 of 5 shots lie within the reach of 10 m")
	s.Planar = false
	_, err = OfSurvey(s, 1)
	assert.NoError(t, err)
}
