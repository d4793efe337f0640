package hydro

import (
	"runtime"
	"testing"

	"wetfeet/terrain"
	"wetfeet/terrain/terraintest"
)

// overFilled runs a benchmark on noisy lowland, 4000 cells a side, with its
// hollows filled, and reports time and memory by the cell.
func overFilled(b *testing.B, run func(b *testing.B, z *terrain.Grid[float32])) {
	z := terraintest.Lowland(4000, 0.02)
	Fill(z, z)
	runtime.GC()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	run(b, z)
	runtime.ReadMemStats(&after)
	runs := float64(b.N * z.Len())
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/runs, "ns/cell")
	b.ReportMetric(float64(after.TotalAlloc-before.TotalAlloc)/runs, "B/cell")
}

func BenchmarkFlats(b *testing.B) {
	overFilled(b, func(b *testing.B, z *terrain.Grid[float32]) {
		for b.Loop() {
			Flats(z)
		}
	})
}

func BenchmarkRoute(b *testing.B) {
	for _, r := range routings {
		b.Run(r.String(), func(b *testing.B) {
			overFilled(b, func(b *testing.B, z *terrain.Grid[float32]) {
				for b.Loop() {
					Route(z, r, 0)
				}
			})
		})
	}
}

func BenchmarkAccumulate(b *testing.B) {
	for _, r := range routings {
		b.Run(r.String(), func(b *testing.B) {
			overFilled(b, func(b *testing.B, z *terrain.Grid[float32]) {
				f := Route(z, r, 0)
				area := terrain.NewGrid[float64](z.Frame)
				for b.Loop() {
					f.Accumulate(area, nil)
				}
			})
		})
	}
}
