package survey

import (
	"math"
	"math/rand/v2"
	"testing"

	"wetfeet/terrain"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The slow obvious way is the sum over all shots, which Predict does.
func TestGridAgreesWithTheSumOverAllShots(t *testing.T) {
	if testing.Short() {
		t.Skip("sums over all shots at every cell")
	}
	for _, kernel := range []Kernel{Matern32, Exponential, Spherical} {
		for _, c := range []Covariance{{Range: 20, Nugget: 1e-4}, {Range: 20, Nugget: 1e-6}, {Range: 150, Nugget: 1e-4}} {
			c.Kernel, c.Sill = kernel, 0.05
			r := rand.New(rand.NewPCG(1, 2))
			shots := make([]Shot, 600)
			for i := range shots {
				x, y := 200*r.Float64(), 120*r.Float64()
				shots[i] = Shot{Point: orb.Point{x, y}, Z: 0.01*x + 0.3*math.Sin(x/17)*math.Cos(y/23) + 0.01*r.NormFloat64()}
			}
			m, err := Fit(shots, Options{Covariance: &c})
			require.NoError(t, err)
			f := terrain.Frame{Rows: 60, Cols: 100, West: 0, North: 120, CellSize: 2}
			z := m.Heights(f)
			worst := 0.0
			for i := 0; i < f.Len(); i += 7 {
				p := f.Centre(f.Cell(i))
				if !m.Covers(p) {
					continue
				}
				want, _ := m.Predict(p)
				worst = max(worst, math.Abs(want-float64(z.Cells[i])))
			}
			assert.Less(t, worst, 1e-6, "%+v", c)
		}
	}
}
