package terrain

import (
	"math"
	"testing"
)

// overLowland runs a benchmark on 4000 × 4000 cells of 1 m, a slope of 0.5 %
// with waves and 2 cm of noise, and reports time by the cell.
func overLowland(b *testing.B, run func(dst, z *Grid[float32])) {
	z := made(4000, 4000, 1, func(x, y float64) float64 {
		return 20 - 0.005*x + 0.3*math.Sin(x/60)*math.Cos(y/45)
	})
	whiteNoise(z, 0.02, 1)
	dst := NewGrid[float32](z.Frame)
	b.ReportAllocs()
	b.ResetTimer()
	for b.Loop() {
		run(dst, z)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*z.Len()), "ns/cell")
}

func BenchmarkSlope(b *testing.B) { overLowland(b, Slope) }

func BenchmarkNoise(b *testing.B) { overLowland(b, func(_, z *Grid[float32]) { Noise(z) }) }

func BenchmarkSmooth(b *testing.B) {
	for _, s := range []struct {
		name   string
		length float64
	}{{"2m", 2}, {"8m", 8}} {
		b.Run("length="+s.name, func(b *testing.B) {
			overLowland(b, func(dst, z *Grid[float32]) { Smooth(dst, z, s.length) })
		})
	}
}
