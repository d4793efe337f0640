package survey

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"wetfeet/terrain"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// ditch is level ground cut by a V-shaped ditch, 5 m deep and 20 m wide, whose
// floor falls by half a per cent to the north.
func ditch(p orb.Point) float64 {
	return 100 - 0.005*p[1] - max(0, 5-0.5*math.Abs(p[0]-50.25))
}

// ditchShots are 300 shots without order on 100 by 100 m.
func ditchShots() []Shot {
	r := rand.New(rand.NewPCG(5, 5))
	shots := make([]Shot, 300)
	for i := range shots {
		p := orb.Point{100 * r.Float64(), 100 * r.Float64()}
		shots[i] = Shot{Point: p, Z: ditch(p), Error: 0.01}
	}
	return shots
}

func ditchBottom() Breakline {
	b := Breakline{Name: "main ditch", Kind: Ditch, Error: 0.01}
	for y := 0.0; y <= 100; y += 20 {
		p := orb.Point{50.25, y}
		b.Line, b.Z = append(b.Line, p), append(b.Z, ditch(p))
	}
	return b
}

// falseDams counts the rows of cells, half a metre apart, in which the ditch
// is blocked: no cell near its axis is within 0.1 m of its floor.
func falseDams(z *terrain.Grid[float32]) (dams int, worst float64) {
	for row := range z.Rows {
		lowest := math.Inf(1)
		for col := range z.Cols {
			p := z.Centre(row, col)
			if v := z.At(row, col); v == v && math.Abs(p[0]-50.25) < 5 {
				lowest = min(lowest, float64(v))
			}
			if v := z.At(row, col); v == v {
				worst = max(worst, math.Abs(float64(v)-ditch(p)))
			}
		}
		if floor := ditch(orb.Point{50.25, z.Centre(row, 0)[1]}); lowest > floor+0.1 {
			dams++
		}
	}
	return dams, worst
}

func TestBreaklineLeavesNoFalseDamsInADitch(t *testing.T) {
	f := terrain.Frame{Rows: 200, Cols: 200, West: 0, North: 100, CellSize: 0.5}
	shots := ditchShots()
	for _, k := range []Kernel{Matern32, Exponential} {
		without, err := Fit(shots, Options{Kernel: k, Margin: 20})
		require.NoError(t, err)
		dams, worst := falseDams(without.Heights(f))
		t.Logf("%v without: %d, worst %.2f m", k, dams, worst)
		with, err := Fit(shots, Options{Kernel: k, Margin: 20, Lines: []Breakline{ditchBottom()}})
		require.NoError(t, err)
		dams, worst = falseDams(with.Heights(f))
		t.Logf("%v with: %d, worst %.2f m; %v", k, dams, worst, with)
	}
	_ = strings.ToLower
	_ = assert.New
}
func TestX(t *testing.T) {
	shots := meuse(t).Shots
	for _, k := range []Kernel{Matern32, Exponential, Spherical} {
		for _, iso := range []bool{true, false} {
			m, err := Fit(shots, Options{Kernel: k, Isotropic: iso})
			require.NoError(t, err)
			for _, n := range []int{5, 8, 10, 15, 20} {
				v, err := m.Blocks(n)
				require.NoError(t, err)
				t.Logf("%v %d %.4f msdr %.3f cover %.3f", m, n, v.RMSE, v.MSDR, v.Coverage)
			}
			t.Logf("loo %.4f ev %.2f", m.LeaveOneOut().RMSE, m.Anisotropy.Evidence)
		}
	}
}
