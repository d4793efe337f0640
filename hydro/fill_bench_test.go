package hydro

import (
	"fmt"
	"runtime"
	"testing"

	"wetfeet/terrain"
	"wetfeet/terrain/terraintest"
)

// benchSides are the sizes benchmarks run at, in cells a side.
var benchSides = []int{500, 4000}

// overGrounds runs a benchmark on smooth and noisy lowland of several sizes
// and reports time and memory asked for by the cell.
func overGrounds(b *testing.B, run func(b *testing.B, z *terrain.Grid[float32])) {
	for _, side := range benchSides {
		for _, ground := range []struct {
			name  string
			noise float64
		}{{"noisy", 0.02}, {"smooth", 0}} {
			b.Run(fmt.Sprintf("side=%d/ground=%s", side, ground.name), func(b *testing.B) {
				z := terraintest.Lowland(side, ground.noise)
				var before, after runtime.MemStats
				runtime.ReadMemStats(&before)
				run(b, z)
				runtime.ReadMemStats(&after)
				runs := float64(b.N * side * side)
				b.ReportMetric(float64(b.Elapsed().Nanoseconds())/runs, "ns/cell")
				b.ReportMetric(float64(after.TotalAlloc-before.TotalAlloc)/runs, "B/cell")
			})
		}
	}
}

func BenchmarkFill(b *testing.B) {
	filled := map[int]*terrain.Grid[float32]{} // made here, so that it is not counted
	for _, side := range benchSides {
		filled[side] = terrain.NewGrid[float32](terrain.Frame{Rows: side, Cols: side, CellSize: 1})
	}
	overGrounds(b, func(b *testing.B, z *terrain.Grid[float32]) {
		for b.Loop() {
			Fill(filled[z.Rows], z)
		}
	})
}
