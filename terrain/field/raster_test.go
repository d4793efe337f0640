package field

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"wetfeet/terrain"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// around is the covariance of all cells of a torus with all.
func (t torus) around(table []float64) *mat.Dense {
	k := mat.NewDense(t.len(), t.len(), nil)
	for i := range t.len() {
		for j := range t.len() {
			k.Set(i, j, table[t.at(i/t.cols-j/t.cols, i%t.cols-j%t.cols)])
		}
	}
	return k
}

func doubled(v []float32) []float64 {
	d := make([]float64, len(v))
	for i, x := range v {
		d[i] = float64(x)
	}
	return d
}

// The ground given a raster with a void on a small torus, by dense matrices
// with the same S and N: S (S+N)⁻¹ z over the known cells.
func TestMeanOfRasterIsThatOfDenseMatrices(t *testing.T) {
	round := torus{12, 15}
	ground, _ := round.eigenvalues(1, matern(0.05, 6))
	noise, _ := round.eigenvalues(1, exponential(0.004, 3))
	prior, rough := make([]float32, len(ground)), make([]float32, len(ground))
	for i := range ground {
		prior[i], rough[i] = float32(ground[i]), float32(noise[i]+0.001)
	}
	random := rand.New(rand.NewPCG(5, 6))
	z := terrain.NewGrid[float32](terrain.Frame{Rows: 9, Cols: 11, CellSize: 1})
	for i := range z.Cells {
		row, col := z.Cell(i)
		z.Cells[i] = float32(30 + 0.1*float64(row) + 0.3*math.Sin(float64(col)/2) + 0.1*random.NormFloat64())
	}
	for _, i := range []int{0, 37, 38, 49, 70} {
		z.Cells[i] = terrain.Void()
	}
	g := newGround(z, round)
	var known []int
	var rest []float64
	for i, k := range g.known {
		if k {
			known = append(known, i)
			rest = append(rest, g.rest[i])
		}
	}
	s, n := round.around(round.table(doubled(prior))), round.around(round.table(doubled(rough)))
	c := mat.NewDense(len(known), len(known), nil)
	for i, p := range known {
		for j, q := range known {
			c.Set(i, j, s.At(p, q)+n.At(p, q))
		}
	}
	var w mat.VecDense
	require.NoError(t, w.SolveVec(c, mat.NewVecDense(len(rest), rest)))
	g.complete(prior, rough)
	got := g.mean(prior, rough)
	for _, p := range known {
		row, col := p/round.cols, p%round.cols
		want := g.at(row, col)
		for j, q := range known {
			want += s.At(p, q) * w.AtVec(j)
		}
		assert.InDelta(t, want, got.At(row, col), 1e-3, "row %d, column %d", row, col)
	}
	for i, v := range z.Cells {
		assert.Equal(t, terrain.IsVoid(v), terrain.IsVoid(got.Cells[i]), "cell %d", i)
	}
}

// hilly is a ground with an error of so much, range 8 m, seen at so many cells a
// side.
func hilly(t testing.TB, side int, e Error, seed uint64) (truth, seen *terrain.Grid[float32]) {
	t.Helper()
	f := terrain.Frame{Rows: side, Cols: side + 3, West: 1000, North: 5000, CellSize: 1}
	level := terrain.NewGrid[float32](f)
	for i := range level.Cells {
		row, col := level.Cell(i)
		level.Cells[i] = 12 + 0.01*float32(row) - 0.004*float32(col)
	}
	layer := func(mean *terrain.Grid[float32], reach float64, covariance func(dx, dy float64) float64, seed uint64) *terrain.Grid[float32] {
		d := &Draws{Frame: f, Mean: mean, seed: seed, window: wholeFrame(f)}
		round, eigen, _ := embed(f.Rows, f.Cols, 1, reach, covariance)
		d.setField(round, eigen)
		a, b := terrain.NewGrid[float32](f), terrain.NewGrid[float32](f)
		d.NewRoom().Pair(0, a.Cells, b.Cells)
		return a
	}
	truth = layer(level, float64(side)/2, matern(0.04, float64(side)/2), seed)
	seen = layer(truth, e.Range, exponential(e.SD*e.SD, e.Range), seed+1)
	random := rand.New(rand.NewPCG(seed, 3))
	for i := range seen.Cells {
		seen.Cells[i] += float32(e.CellNoise * random.NormFloat64())
	}
	return truth, seen
}

// By one spectrum, the field of the draws has the covariance of the ground
// given the raster everywhere: S - S(S+N)⁻¹S, by dense matrices on the torus.
// The draws of a raster are held to it at every cell.
func TestDrawsOfRasterAreThoseOfDenseMatrices(t *testing.T) {
	e := Error{SD: 0.05, Range: 5, CellNoise: 0.02}
	_, z := hilly(t, 14, e, 4)
	z.Cells[40] = terrain.Void()
	d, err := OfRaster(z, e, 21)
	require.NoError(t, err)
	round, noise := e.spectrum(z.Frame)
	require.Equal(t, round, d.torus)
	g := newGround(z, round)
	shape := g.shape(noise)
	rose := g.rose(shape, noise, true)
	list, _ := rose.likely(guesses(round), stream(21, -1))
	require.Len(t, d.guesses, len(list))
	const one = 3
	prior, rough := make([]float32, len(noise)), make([]float32, len(noise))
	rose.spectra(round, list, shape, noise, func(i int, ground []float64, n float64) {
		prior[i], rough[i] = float32(ground[one]), float32(n)
	})
	d.Mean, d.swing, d.guesses = d.guesses[one].mean, d.guesses[one].swing, nil
	s, n := round.around(round.table(doubled(prior))), round.around(round.table(doubled(rough)))
	var sum, left mat.Dense
	sum.Add(s, n)
	require.NoError(t, sum.Inverse(&sum))
	left.Product(s, &sum, s)
	left.Sub(s, &left)
	known := make([]int, 0, z.Len())
	for i := range z.Cells {
		if i != 40 {
			known = append(known, i)
		}
	}
	table := d.table()
	for _, p := range known {
		row, col := z.Cell(p)
		assert.InDelta(t, left.At(0, row*round.cols+col), table[row*round.cols+col], 1e-8)
	}
	assertCovariance(t, d, table, 1000)
	room := d.NewRoom()
	a, b := make([]float32, z.Len()), make([]float32, z.Len())
	room.Pair(0, a, b)
	for i := range a {
		assert.Equal(t, i == 40, terrain.IsVoid(a[i]))
		assert.Equal(t, i == 40, terrain.IsVoid(b[i]))
		assert.Equal(t, i == 40, terrain.IsVoid(d.SD.Cells[i]))
	}
}

// assertCovariance holds the covariance of draws over all pairs of cells at a
// lag against the table, within four and a half standard errors, taking the
// cells of one draw for as good as one.
func assertCovariance(t *testing.T, d *Draws, table []float64, pairs int) {
	t.Helper()
	f := d.Frame
	lags := [][2]int{{0, 0}, {0, 1}, {1, 0}, {1, 1}, {2, -1}, {0, 4}, {3, 3}, {f.Rows - 1, 0}, {0, f.Cols - 1}}
	sums, squares := make([]float64, len(lags)), make([]float64, len(lags))
	room := d.NewRoom()
	a, b := make([]float32, f.Len()), make([]float32, f.Len())
	for k := range pairs {
		room.Pair(k, a, b)
		for _, draw := range [][]float32{a, b} {
			for j, lag := range lags {
				var sum, n float64
				for row := 0; row+lag[0] < f.Rows; row++ {
					for col := max(0, -lag[1]); col < f.Cols && col+lag[1] < f.Cols; col++ {
						p, q := f.Index(row, col), f.Index(row+lag[0], col+lag[1])
						v := (float64(draw[p]) - float64(d.Mean.Cells[p])) * (float64(draw[q]) - float64(d.Mean.Cells[q]))
						if v == v {
							sum += v
							n++
						}
					}
				}
				sums[j] += sum / n
				squares[j] += sum / n * sum / n
			}
		}
	}
	count := float64(2 * pairs)
	for j, lag := range lags {
		mean := sums[j] / count
		band := 4.5 * math.Sqrt((squares[j]/count-mean*mean)/count)
		assert.InDelta(t, table[d.torus.at(lag[0], lag[1])], mean, band, "lag %v", lag)
	}
}

// The covariance of a field is its closed form at every lag on the ground,
// to the share that may be cut, also where it reaches across all of it.
func TestFieldsHaveTheirCovariance(t *testing.T) {
	f := terrain.Frame{Rows: 20, Cols: 31, CellSize: 2}
	mean, one := terrain.NewGrid[float32](f), terrain.NewGrid[float32](f)
	for i := range one.Cells {
		one.Cells[i] = 1
	}
	for _, reach := range []float64{6, 20, 60} {
		d, err := OfSpread(mean, one, reach, 8)
		require.NoError(t, err)
		covariance := matern(1, reach)
		table := d.table()
		for row := range f.Rows {
			for col := range f.Cols {
				assert.InDelta(t, covariance(float64(col)*2, float64(row)*2), table[d.torus.at(row, col)], 0.004, "reach %g, lag %d, %d", reach, row, col)
			}
		}
		assertCovariance(t, d, table, 200)
	}
	// (1 + u) exp(-u) and exp(-u) at the practical range.
	assert.InDelta(t, 0.05, matern(1, 7)(0, 7), 1e-12)
	assert.InDelta(t, 0.05, exponential(1, 7)(7, 0), 1e-12)
}

// A draw that agrees with shots is a draw given the raster and the shots: the
// dense conditional of its own mean and covariance.
func TestAgreeingDrawsAreThoseOfDenseMatrices(t *testing.T) {
	e := Error{SD: 0.05, Range: 6, CellNoise: 0.01}
	truth, z := hilly(t, 16, e, 9)
	d, err := OfRaster(z, e, 2)
	require.NoError(t, err)
	f := z.Frame
	before, table := d.Mean, d.table()
	list := []Shot{{f.Centre(2, 3), float64(truth.At(2, 3)), 0}, {f.Centre(9, 12), float64(truth.At(9, 12)), 0.01}, {orb.Point{1005.2, 4990.1}, 12.2, 0.005}, {orb.Point{900, 4990}, 1, 0.1}}
	require.NoError(t, d.Agree(list))
	require.Len(t, d.Remarks, 1)
	assert.Contains(t, d.Remarks[0], "1 of 4 shots lie outside the ground")

	k := mat.NewDense(f.Len(), f.Len(), nil)
	for i := range f.Len() {
		r, c := f.Cell(i)
		for j := range f.Len() {
			p, q := f.Cell(j)
			k.Set(i, j, table[d.torus.at(r-p, c-q)])
		}
	}
	h := mat.NewDense(3, f.Len(), nil)
	h.Set(0, f.Index(2, 3), 1)
	h.Set(1, f.Index(9, 12), 1)
	for j, w := range map[[2]int]float64{{9, 4}: 0.3 * 0.6, {9, 5}: 0.7 * 0.6, {10, 4}: 0.3 * 0.4, {10, 5}: 0.7 * 0.4} {
		h.Set(2, f.Index(j[0], j[1]), w)
	}
	o := &dense{k: k, h: h, r: []float64{0, 1e-4, 2.5e-5}}
	covariance, foretell := o.given()
	var seen mat.VecDense
	seen.MulVec(h, mat.NewVecDense(f.Len(), doubled(before.Cells)))
	mean := make([]float64, f.Len())
	for i := range mean {
		mean[i] = float64(before.Cells[i])
		for j, s := range list[:3] {
			mean[i] += foretell.At(i, j) * (s.Z - seen.AtVec(j))
		}
		assert.InDelta(t, mean[i], d.Mean.Cells[i], 1e-5, "cell %d", i)
	}
	assertDraws(t, d, mean, covariance, 1000)
	assert.Panics(t, func() { _ = d.Agree(list) })
}

// The same draws at any number of workers, in any order.
func TestDrawsFollowFromSeedAndNumber(t *testing.T) {
	e := Error{SD: 0.05, Range: 10}
	truth, z := hilly(t, 40, e, 1)
	var first [][]float32
	for _, workers := range []int{1, 2, 3} {
		d, err := OfRaster(z, e, 5)
		require.NoError(t, err)
		require.NoError(t, d.Agree([]Shot{{z.Centre(20, 20), float64(truth.At(20, 20)), 0.01}}))
		draws := make([][]float32, 12)
		for i := range draws {
			draws[i] = make([]float32, z.Len())
		}
		done := make(chan bool)
		for w := range workers {
			go func() {
				room := d.NewRoom()
				for k := w; k < 6; k += workers {
					room.Pair(k, draws[2*k], draws[2*k+1])
				}
				done <- true
			}()
		}
		for range workers {
			<-done
		}
		if first == nil {
			first = draws
		}
		assert.Equal(t, first, draws, "%d workers", workers)
	}
	assert.NotEqual(t, first[0], first[1])
	assert.NotEqual(t, first[0], first[2])
	d, err := OfRaster(z, e, 6)
	require.NoError(t, err)
	d.NewRoom().Pair(0, first[1], first[2])
	assert.NotEqual(t, first[0], first[1], "another seed")
}

func TestMistakesOfAnErrorAreToldAtOnce(t *testing.T) {
	f := terrain.Frame{Rows: 50, Cols: 80, CellSize: 2}
	for _, tt := range []struct {
		e    Error
		says []string
	}{
		{Error{}, []string{"no error at all"}},
		{Error{SD: -0.05, Range: 15, CellNoise: math.NaN()}, []string{"error of the ground is -0.05 m", "noise from cell to cell is NaN m"}},
		{Error{SD: math.NaN(), Range: 500}, []string{"error of the ground is NaN m", "500 m, is longer than the site, 160 m"}},
		{Error{SD: 0.05}, []string{"range of the error is 0 m"}},
		{Error{SD: 0.05, Range: math.Inf(1)}, []string{"range of the error is +Inf m"}},
		{Error{CellNoise: 0.05, Range: -1}, []string{"range of the error is -1 m"}},
	} {
		err := tt.e.Check(f)
		require.ErrorIs(t, err, ErrInput)
		for _, s := range tt.says {
			assert.ErrorContains(t, err, s)
		}
	}
	assert.NoError(t, Error{SD: 0.05, Range: 160}.Check(f))
	assert.NoError(t, Error{CellNoise: 0.01}.Check(f))

	void := terrain.NewGrid[float32](f)
	for i := range void.Cells {
		void.Cells[i] = terrain.Void()
	}
	_, err := OfRaster(void, Error{}, 1)
	require.ErrorIs(t, err, ErrInput)
	assert.ErrorContains(t, err, "no error at all")
	assert.ErrorContains(t, err, "0 cells with an elevation")

	_, err = OfSpread(void, void, -1, 1)
	require.ErrorIs(t, err, ErrInput)
	assert.ErrorContains(t, err, "0 cells with an elevation")
	assert.ErrorContains(t, err, "range of the error is -1 m")

	p := orb.Point{1, 1}
	_, err = OfSurvey(Survey{Mean: void, Covariance: matern(1, 2), Planar: true, Shots: []Shot{{p, 1, 0}, {p, 2, 0}, {p, 2, -1}}}, 1)
	require.ErrorIs(t, err, ErrInput)
	assert.ErrorContains(t, err, "reach of the covariance is 0 m")
	assert.ErrorContains(t, err, "shots 1 and 2: 1.000 m and 2.000 m at one place")
	assert.ErrorContains(t, err, "shot 3: an error of -1 m")

	flat := terrain.NewGrid[float32](f)
	_, err = OfSurvey(Survey{Mean: flat, Covariance: matern(1, 2), Reach: 2, Shots: make([]Shot, MostShots+1)}, 1)
	require.ErrorIs(t, err, ErrInput)
	assert.ErrorContains(t, err, "3001 shots; a ground is conditioned on at most 3000")
	_, err = OfSurvey(Survey{Mean: flat, Covariance: matern(1, 2), Reach: 2, Planar: true, Shots: []Shot{{orb.Point{1, -1}, 0, 1}, {orb.Point{2, -1}, 0, 1}, {orb.Point{9, -1}, 0, 1}}}, 1)
	require.ErrorIs(t, err, ErrInput)
	assert.ErrorContains(t, err, "not in a line")
}

// A raster smoother than its stated error is believed where it is.
func TestSmoothRasterIsBelieved(t *testing.T) {
	truth, _ := hilly(t, 96, Error{SD: 0.05, Range: 10}, 3)
	smooth := terrain.NewGrid[float32](truth.Frame)
	terrain.Smooth(smooth, truth, 6)
	d, err := OfRaster(smooth, Error{SD: 0.05, Range: 10}, 1)
	require.NoError(t, err)
	require.NotEmpty(t, d.Remarks)
	assert.Contains(t, d.Remarks[0], "smoother than an error of 0.05 m")
}

func BenchmarkPair(b *testing.B) {
	for _, side := range []int{300, 1000} {
		truth, z := hilly(b, side, Error{SD: 0.05, Range: 15}, 1)
		for _, shots := range []int{0, 100} {
			b.Run(fmt.Sprintf("side=%d/shots=%d", side, shots), func(b *testing.B) {
				d, err := OfRaster(z, Error{SD: 0.05, Range: 15}, 1)
				require.NoError(b, err)
				random := rand.New(rand.NewPCG(1, 1))
				var list []Shot
				for range shots {
					i := random.IntN(z.Len())
					list = append(list, Shot{z.Centre(z.Cell(i)), float64(truth.Cells[i]), 0.01})
				}
				if shots > 0 {
					require.NoError(b, d.Agree(list))
				}
				room := d.NewRoom()
				x, y := make([]float32, z.Len()), make([]float32, z.Len())
				b.ReportAllocs()
				k := 0
				for b.Loop() {
					room.Pair(k, x, y)
					k++
				}
				cells := float64(z.Len())
				b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/cells/2, "ns/cell/draw")
				b.ReportMetric(float64(d.RoomBytes())/cells, "room-B/cell")
				b.ReportMetric(float64(d.Bytes())/cells, "B/cell")
			})
		}
	}
}

func BenchmarkOfRaster(b *testing.B) {
	_, z := hilly(b, 1000, Error{SD: 0.05, Range: 15}, 1)
	b.ReportAllocs()
	for b.Loop() {
		_, err := OfRaster(z, Error{SD: 0.05, Range: 15}, 1)
		require.NoError(b, err)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(z.Len()), "ns/cell")
}
