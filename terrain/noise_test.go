package terrain

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestNoiseOfSmoothGround(t *testing.T) {
	for _, tt := range []struct {
		name string
		z    func(x, y float64) float64
	}{
		{"level", func(x, y float64) float64 { return 7 }},
		{"a plane", func(x, y float64) float64 { return 0.03*x - 0.04*y }},
		{"a paraboloid", func(x, y float64) float64 { return (x*x + x*y - 3*y*y) / 1024 }},
		{"a cubic", func(x, y float64) float64 { return x * y * (x + y) / 65536 }},
		{"a cone", func(x, y float64) float64 { return 0.02 * math.Hypot(x, y) }},
		{"waves of 60 m", func(x, y float64) float64 { return math.Sin(x/10) * math.Cos(y/10) }},
	} {
		z := made(80, 70, 1, tt.z)
		assert.Less(t, Noise(z), 3e-5, tt.name)
	}
}

func TestNoiseFindsWhatWasAdded(t *testing.T) {
	hills := func(x, y float64) float64 { return 30 + 0.005*x + 0.5*math.Sin(x/40)*math.Cos(y/25) }
	for _, sd := range []float64{0.002, 0.02, 0.15} {
		z := made(300, 200, 1, hills)
		whiteNoise(z, sd, 11)
		assert.InEpsilon(t, sd, Noise(z), 0.02, "%g m", sd)
	}
	t.Run("with a wall through it", func(t *testing.T) {
		z := made(300, 200, 1, hills)
		whiteNoise(z, 0.02, 12)
		for r := range z.Rows {
			z.Set(r, 60, z.At(r, 60)+float32(2*(r%5)))
		}
		assert.InEpsilon(t, 0.02, Noise(z), 0.05)
	})
	t.Run("with a third of it unknown", func(t *testing.T) {
		z := made(300, 200, 1, hills)
		whiteNoise(z, 0.02, 13)
		for i := range z.Cells {
			if r, c := z.Cell(i); (r+c)%90 < 30 {
				z.Cells[i] = Void()
			}
		}
		assert.InEpsilon(t, 0.02, Noise(z), 0.03)
	})
	t.Run("on more cells than it looks at", func(t *testing.T) {
		z := made(1200, 1000, 1, hills)
		whiteNoise(z, 0.02, 14)
		assert.InEpsilon(t, 0.02, Noise(z), 0.01)
	})
}

func TestNoiseOfGroundTooSmallToTell(t *testing.T) {
	rough := func(rows, cols int) *Grid[float32] {
		z := NewGrid[float32](Frame{Rows: rows, Cols: cols, CellSize: 1})
		whiteNoise(z, 1, 5)
		return z
	}
	assert.Zero(t, Noise(rough(2, 900)), "no cell has eight neighbours")
	assert.Zero(t, Noise(rough(21, 21)), "361 cells have")
	assert.InEpsilon(t, 1, Noise(rough(22, 22)), 0.2, "400 cells have")
	assert.Zero(t, Noise(NewGrid[float32](Frame{})))

	pit := made(5, 5, 1, func(x, y float64) float64 { return 9 })
	pit.Set(2, 2, 8)
	assert.Zero(t, Noise(pit), "a hollow written out by hand is no noise")
}
