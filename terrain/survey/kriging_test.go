package survey

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// assertKriging holds a model against the predictions and kriging variances
// of gstat. Gstat predicts a new shot, this package the ground: the variances
// differ by the nugget.
func assertKriging(t *testing.T, m *Model, p orb.Point, prediction, variance, tolerance float64) {
	t.Helper()
	z, sd := m.Predict(p)
	assert.InDelta(t, prediction, z, tolerance, "height at %v", p)
	assert.InDelta(t, variance, sd*sd+m.Covariance.Nugget, tolerance, "variance at %v", p)
}

// gstat 2.1-0, krige(log(zinc) ~ 1, meuse, ..., vgm(0.5906078, "Sph",
// 897.0209, 0.05066243)).
func TestOrdinaryKrigingOfMeuseZincIsThatOfGstat(t *testing.T) {
	prediction := []float64{6.499624, 6.489313, 5.567393, 6.617636, 6.424161, 5.695705, 5.055498, 5.268289}
	variance := []float64{0.3198084, 0.1266067, 0.163991, 0.1626097, 0.23678, 0.1860987, 0.1611382, 0.172967}
	m := given(t, logZinc(t), Covariance{Spherical, 0.5906078, 897.0209, 0.05066243})
	for i, p := range meuseAt {
		assertKriging(t, m, p, prediction[i], variance[i], 1e-6)
	}
}

// gstat 2.1-0, krige(elev ~ 1, meuse, ..., vgm(0.9, "Sph", 800, 0.2)), with
// all 155 shots and with nmax = 12.
func TestOrdinaryKrigingOfMeuseHeightsIsThatOfGstat(t *testing.T) {
	c := Covariance{Spherical, 0.9, 800, 0.2}
	shots := meuse(t).Shots
	t.Run("all shots", func(t *testing.T) {
		prediction := []float64{7.731775, 8.1698, 8.837215, 7.35161, 7.6192, 8.106059, 9.944683, 8.390502}
		variance := []float64{0.6813157, 0.3550233, 0.4183084, 0.4234731, 0.5607667, 0.4657515, 0.4188158, 0.4341749}
		m := given(t, shots, c)
		for i, p := range meuseAt {
			assertKriging(t, m, p, prediction[i], variance[i], 1e-6)
		}
	})
	t.Run("the twelve nearest", func(t *testing.T) {
		prediction := []float64{7.655347, 8.184356, 8.786488, 7.313928, 7.541677, 8.081034, 9.964007, 8.470722}
		variance := []float64{0.7506773, 0.3557992, 0.4221611, 0.4277201, 0.5833959, 0.4711734, 0.4247119, 0.4376197}
		for i, p := range meuseAt {
			var near []Shot
			for _, h := range newTree(places(shots), 8).nearest(orb.Bound{Min: p, Max: p}, 12, 100) {
				near = append(near, shots[h.point])
			}
			assertKriging(t, given(t, near, c), p, prediction[i], variance[i], 1e-6)
		}
	})
}

// fiveShots is a worked example small enough for a sheet of paper.
func fiveShots() []Shot {
	return []Shot{
		{Point: orb.Point{0, 0}, Z: 100}, {Point: orb.Point{10, 0}, Z: 100.6}, {Point: orb.Point{0, 10}, Z: 100.3},
		{Point: orb.Point{10, 10}, Z: 101.2}, {Point: orb.Point{4, 6}, Z: 100.1},
	}
}

// gstat 2.1-0; an independent solve in numpy agrees to 1e-9.
func TestOrdinaryKrigingOfFiveShotsIsThatOfGstat(t *testing.T) {
	at := []orb.Point{{5, 5}, {2, 3}, {8, 2}}
	for _, tt := range []struct {
		c          Covariance
		prediction []float64
		variance   []float64
	}{
		{Covariance{Spherical, 0.2, 15, 0.01}, []float64{100.2326, 100.0525, 100.4792}, []float64{0.06321752, 0.08757376, 0.09064269}},
		{Covariance{Exponential, 0.2, 5, 0.01}, []float64{100.2515, 100.1644, 100.4851}, []float64{0.09841738, 0.1366821, 0.1387521}},
	} {
		m := given(t, fiveShots(), tt.c)
		for i, p := range at {
			z, sd := m.Predict(p)
			assert.InDelta(t, tt.prediction[i], z, 5e-5, "%v at %v", tt.c.Kernel, p) // printed to four decimals
			assert.InDelta(t, tt.variance[i], sd*sd+tt.c.Nugget, 5e-8, "%v at %v", tt.c.Kernel, p)
		}
	}
}

// The weights gstat gives each shot at (5, 5): they sum to 1 and one is
// negative. A shot's weight is the prediction where it alone has height 1.
func TestKrigingWeightsAreThoseOfGstat(t *testing.T) {
	want := []float64{0.07107001, 0.1327383, -0.02442332, 0.07107001, 0.749545}
	sum := 0.0
	for i, w := range want {
		shots := fiveShots()
		for j := range shots {
			shots[j].Z = 0
		}
		shots[i].Z = 1
		z, _ := given(t, shots, Covariance{Spherical, 0.2, 15, 0.01}).Predict(orb.Point{5, 5})
		assert.InDelta(t, w, z, 5e-7, "shot %d", i)
		sum += z
	}
	assert.InDelta(t, 1, sum, 1e-12)
}

// krigeSlowly solves the bordered system of universal kriging as textbooks
// print it, by elimination, anew for each point: the definition.
func krigeSlowly(t *testing.T, shots []Shot, c Covariance, trend Trend, p orb.Point) (z, sd float64) {
	t.Helper()
	terms := func(q orb.Point) []float64 {
		if trend == Constant {
			return []float64{1}
		}
		return []float64{1, q[0] - shots[0].Point[0], q[1] - shots[0].Point[1]}
	}
	n, k := len(shots), len(terms(p))
	a := mat.NewDense(n+k, n+k, nil)
	b := mat.NewVecDense(n+k, nil)
	for i, s := range shots {
		for j, o := range shots {
			a.Set(i, j, c.At(math.Hypot(s.Point[0]-o.Point[0], s.Point[1]-o.Point[1])))
		}
		noise := c.Nugget
		if s.Error > 0 {
			noise = s.Error * s.Error
		}
		a.Set(i, i, c.Sill+noise)
		b.SetVec(i, c.At(math.Hypot(s.Point[0]-p[0], s.Point[1]-p[1])))
		for j, f := range terms(s.Point) {
			a.Set(i, n+j, f)
			a.Set(n+j, i, f)
		}
	}
	for j, f := range terms(p) {
		b.SetVec(n+j, f)
	}
	var w mat.VecDense
	require.NoError(t, w.SolveVec(a, b))
	variance := c.Sill
	for i, s := range shots {
		z += w.AtVec(i) * s.Z
	}
	for i := range n + k {
		variance -= w.AtVec(i) * b.AtVec(i)
	}
	return z, math.Sqrt(variance)
}

// scattered is made ground: a fall to the east, soft waves, and shots with an
// error, at places without order.
func scattered(n int, seed uint64) []Shot {
	r := rand.New(rand.NewPCG(seed, 1))
	side := 10 * math.Sqrt(float64(n))
	shots := make([]Shot, n)
	for i := range shots {
		x, y := r.Float64()*side, r.Float64()*side
		shots[i] = Shot{Point: orb.Point{500_000 + x, 3_000_000 + y}, Z: waves(x, y) + 0.02*r.NormFloat64(), Line: i + 2}
	}
	return shots
}

// waves is the height of that ground, m, x metres east and y metres north.
func waves(x, y float64) float64 { return 20 - 0.004*x + 0.2*math.Sin(x/30)*math.Cos(y/25) }

// normals are draws of the standard normal distribution.
func normals(n int, seed uint64) []float64 {
	r := rand.New(rand.NewPCG(seed, 2))
	draws := make([]float64, n)
	for i := range draws {
		draws[i] = r.NormFloat64()
	}
	return draws
}

func TestPredictAgreesWithTheDefinition(t *testing.T) {
	for seed := range uint64(6) {
		shots := scattered(40, seed)
		for i := range shots {
			if i%3 == 0 {
				shots[i].Error = 0.01 * float64(1+i%4)
			}
		}
		for _, trend := range []Trend{Planar, Constant} {
			for _, k := range []Kernel{Matern32, Exponential, Spherical} {
				c := Covariance{k, 0.04, 25, 0.0004}
				m, err := Fit(shots, Options{Trend: trend, Covariance: &c})
				require.NoError(t, err)
				for i := range 8 {
					p := orb.Point{500_000 + 8*float64(i), 3_000_000 + 70 - 5*float64(i)}
					want, wantSD := krigeSlowly(t, shots, c, trend, p)
					z, sd := m.Predict(p)
					assert.InDelta(t, want, z, 1e-7, "seed %d, %v, trend %d", seed, k, trend)
					assert.InDelta(t, wantSD, sd, 1e-7, "seed %d, %v, trend %d", seed, k, trend)
				}
			}
		}
	}
}

// Far from each other, shots know nothing of one another, and all can be
// worked by hand: the level is their mean, and beside a shot the ground is
// drawn toward it by the correlation there.
func TestOneShotPullsAsByHand(t *testing.T) {
	const sill, nugget, reach = 0.25, 0.0025, 100.0
	shots := []Shot{
		{Point: orb.Point{0, 0}, Z: 12}, {Point: orb.Point{1000, 0}, Z: 10},
		{Point: orb.Point{0, 1000}, Z: 11}, {Point: orb.Point{1000, 1000}, Z: 11},
	}
	m := given(t, shots, Covariance{Spherical, sill, reach, nugget})
	for _, h := range []float64{0, 20, 50, 99, 100, 400} {
		u := min(h/reach, 1)
		pull := sill / (sill + nugget) * (1 - 1.5*u + 0.5*u*u*u) // weight of the shot's departure from the mean
		z, sd := m.Predict(orb.Point{h, 0})
		assert.InDelta(t, 11+pull*(12-11), z, 1e-9, "%v m away", h)
		variance := sill - pull*pull*(sill+nugget) + (1-pull)*(1-pull)*(sill+nugget)/4
		assert.InDelta(t, math.Sqrt(variance), sd, 1e-9, "%v m away", h)
	}
}

func TestPlaneIsReproducedExactly(t *testing.T) {
	for _, n := range []int{3, 4, 11, 60} {
		t.Run(fmt.Sprintf("%d shots", n), func(t *testing.T) {
			shots := scattered(n, 3)
			plane := func(p orb.Point) float64 { return 17 + 0.03*(p[0]-500_000) - 0.01*(p[1]-3_000_000) }
			for i := range shots {
				shots[i].Z = plane(shots[i].Point)
			}
			m, err := Fit(shots, Options{})
			require.NoError(t, err)
			east, north := m.Tilt()
			assert.InDelta(t, 0.03, east, 1e-9)
			assert.InDelta(t, -0.01, north, 1e-9)
			for _, p := range []orb.Point{{500_010, 3_000_010}, {500_400, 2_999_000}} {
				z, _ := m.Predict(p)
				assert.InDelta(t, plane(p), z, 1e-8)
			}
		})
	}
}

func TestSurfaceWithoutNuggetPassesThroughTheShots(t *testing.T) {
	shots := scattered(200, 5)
	for _, k := range []Kernel{Matern32, Exponential, Spherical} {
		c := Covariance{k, 0.04, 25, 0}
		for name, most := range map[string]sizes{"at once": {1000, 1000, 1000}, "by patches": {100, 100, 100}} {
			m, err := fit(shots, Options{Covariance: &c}, most)
			require.NoError(t, err)
			for _, s := range shots[:40] {
				z, sd := m.Predict(s.Point)
				assert.InDelta(t, s.Z, z, 1e-5, "%v, %s", k, name)
				assert.InDelta(t, 0, sd, 1e-4, "%v, %s", k, name)
			}
		}
	}
}

func TestShotsAtOnePlaceDoNotMakeTheMatrixSingular(t *testing.T) {
	shots := scattered(30, 9)
	for i := range 5 { // twice the same, thrice the same, a hair apart
		shots = append(shots, shots[i])
		shots = append(shots, shots[0])
		near := shots[i+6]
		near.Point[0] += 1e-7
		shots = append(shots, near)
	}
	m, err := Fit(shots, Options{Covariance: &Covariance{Matern32, 0.04, 25, 0}})
	require.NoError(t, err)
	z, sd := m.Predict(shots[0].Point)
	assert.InDelta(t, shots[0].Z, z, 1e-4)
	assert.InDelta(t, 0, sd, 1e-3)
	_, err = Fit(shots, Options{})
	require.NoError(t, err)
}
