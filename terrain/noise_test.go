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

// What is rounded to steps of q errs by q/√12, one standard deviation, as any
// even spread over a length q does.
func TestNoiseOfRoundedElevations(t *testing.T) {
	for _, step := range []float64{0.01, 0.1, 1} {
		for _, fall := range []float64{0.02, 0.1, 0.3, 2} { // of a cell, in steps
			z := made(200, 200, 1, func(x, y float64) float64 {
				hills := 12*math.Sin(x/25)*math.Cos(y/19) + 0.7*x + 0.3*y
				return 250 + math.Round(fall*hills)*step
			})
			assert.InDelta(t, step/math.Sqrt(12), Noise(z), 0.25*step, "steps of %g m, %g of them a cell", step, fall)
			assert.Greater(t, Noise(z), 0.2*step, "steps of %g m, %g of them a cell", step, fall)
		}
	}
	t.Run("the step is found, under noise too", func(t *testing.T) {
		for _, noise := range []float64{0, 0.1, 0.3, 1, 3} { // in steps
			for _, step := range []float64{0.01, 0.1, 1} {
				z := made(200, 200, 1, func(x, y float64) float64 { return (0.03*x + 0.02*y) * step })
				whiteNoise(z, noise*step, 9)
				for i, v := range z.Cells {
					z.Cells[i] = float32(50 + math.Round(float64(v)/step)*step)
				}
				_, got := Roughness(z)
				assert.InEpsilon(t, step, got, 0.01, "steps of %g m, noise %g of them", step, noise)
			}
		}
	})
	t.Run("noise that was not rounded has no step that counts", func(t *testing.T) {
		for _, side := range []int{25, 200} {
			z := made(side, side, 1, func(x, y float64) float64 { return 50 + 0.003*x })
			whiteNoise(z, 0.03, 10)
			_, step := Roughness(z)
			assert.Less(t, step, 0.001, "%d cells a side", side)
		}
	})
	t.Run("a pyramid is no rounding, though it bends in steps of its slope", func(t *testing.T) {
		for _, half := range []float64{20, 45, 100} {
			assert.Less(t, Noise(made(101, 101, 1, func(x, y float64) float64 {
				return 0.125 * math.Min(0, math.Max(math.Abs(x), math.Abs(y))-half)
			})), 1e-9, "half of it is %g m wide", half)
		}
	})
	t.Run("nor is a valley that runs across the grid", func(t *testing.T) {
		assert.Less(t, Noise(made(60, 60, 1, func(x, y float64) float64 { return 0.25 * math.Abs(x+y) })), 1e-9)
	})
	t.Run("a bank on level ground is no rounding", func(t *testing.T) {
		z := made(60, 60, 1, func(x, y float64) float64 { return 3 })
		for c := 20; c < 30; c++ {
			z.Set(30, c, 5)
		}
		assert.Zero(t, Noise(z))
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
