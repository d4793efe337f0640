package hydro

import (
	"context"
	"testing"

	"wetfeet/terrain"
)

func BenchmarkWetness(b *testing.B) {
	overFilled(b, func(b *testing.B, z *terrain.Grid[float32]) {
		area := upslope(z, Single, 0)
		slope, w := terrain.NewGrid[float32](z.Frame), terrain.NewGrid[float32](z.Frame)
		terrain.Slope(slope, z)
		for b.Loop() {
			Wetness(w, area, slope, LeastSlope)
		}
	})
}

func BenchmarkSmoothingLength(b *testing.B) {
	overFilled(b, func(b *testing.B, z *terrain.Grid[float32]) {
		for b.Loop() {
			SmoothingLength(z, 0.02)
		}
	})
}

func BenchmarkFlowLines(b *testing.B) {
	overFilled(b, func(b *testing.B, z *terrain.Grid[float32]) {
		f := Route(z, Single, 0)
		area := terrain.NewGrid[float64](z.Frame)
		f.Accumulate(area, nil)
		for b.Loop() {
			FlowLines(f, area, FlowLineCatchment(z))
		}
	})
}

func BenchmarkEdgeFed(b *testing.B) {
	overFilled(b, func(b *testing.B, z *terrain.Grid[float32]) {
		f := Route(z, Multiple, 0)
		fed := terrain.NewGrid[bool](z.Frame)
		for b.Loop() {
			f.EdgeFed(fed)
		}
	})
}

// BenchmarkDrain runs all stages and reports each beside the whole.
func BenchmarkDrain(b *testing.B) {
	overGrounds(b, func(b *testing.B, z *terrain.Grid[float32]) {
		stages := map[string]float64{}
		for b.Loop() {
			d, err := Drain(context.Background(), z, Options{})
			if err != nil {
				b.Fatal(err)
			}
			for _, s := range d.Seconds {
				stages[s.Stage] += s.Seconds
			}
		}
		for stage, seconds := range stages {
			b.ReportMetric(seconds*1e9/float64(b.N*z.Len()), stage+"-ns/cell")
		}
	})
}
