package survey

import (
	"math"
	"testing"

	"wetfeet/terrain"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// On a plane of slope s a place that is off by h in all directions together
// is off by h/√2 along the fall, and its height by s h/√2.
func TestErrorOfThePlaceGoesIntoTheHeightOnASlope(t *testing.T) {
	var shots []Shot
	for i := range 36 {
		x, y := float64(i%6)*10, float64(i/6)*10
		shots = append(shots, Shot{Point: orb.Point{x, y}, Z: 0.3*x + 0.4*y, Error: 0.01, Sway: 0.05})
	}
	m, err := Fit(shots, Options{Covariance: &Covariance{Kernel: Matern32, Sill: 0.01, Range: 20}})
	require.NoError(t, err)
	want := math.Hypot(0.01, 0.5*0.05/math.Sqrt2)
	for _, s := range m.Shots() {
		assert.InDelta(t, want, s.Error, 1e-4)
	}
	level := make([]Shot, len(shots))
	for i, s := range shots {
		s.Z = 5
		level[i] = s
	}
	m, err = Fit(level, Options{Covariance: &Covariance{Kernel: Matern32, Sill: 0.01, Range: 20}})
	require.NoError(t, err)
	assert.InDelta(t, 0.01, m.Shots()[7].Error, 1e-9, "on the level it does not matter")

	steep := terrain.NewGrid[float32](terrain.Frame{Rows: 40, Cols: 40, West: -15, North: 65, CellSize: 2})
	for i := range steep.Cells {
		p := steep.Centre(steep.Cell(i))
		steep.Cells[i] = float32(0.3*p[0] + 0.4*p[1] - 1)
	}
	c, err := Correct(steep, shots, CorrectOptions{})
	require.NoError(t, err)
	assert.InDelta(t, want, c.Model.Shots()[7].Error, 1e-4)
	assert.InDelta(t, 1, c.Shift, 0.01)
}
