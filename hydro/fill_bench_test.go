package hydro

import (
	"fmt"
	"math"
	"runtime"
	"testing"

	"wetfeet/terrain"
)

// lowland is made ground: a plane that falls 0.5 % to the east, gentle
// undulation of half a metre over 8 to 500 cells, and white noise of so many
// metres, one standard deviation, on every cell. Cells are 1 m.
func lowland(side int, noise float64) *terrain.Grid[float32] {
	z := terrain.NewGrid[float32](lowlandFrame(side))
	terrain.Bands(side, func(lo, hi int) {
		for r := lo; r < hi; r++ {
			for c := range side {
				v := 20 - 0.005*float64(c)
				for wave, height := 512.0, 0.5; wave >= 8; wave, height = wave/2, height/2 {
					v += height * undulation(float64(r)/wave, float64(c)/wave, uint64(wave))
				}
				if noise > 0 {
					v += noise * normal(uint64(r), uint64(c))
				}
				z.Set(r, c, float32(v))
			}
		}
	})
	return z
}

func lowlandFrame(side int) terrain.Frame {
	return terrain.Frame{Rows: side, Cols: side, CellSize: 1}
}

// undulation is smooth noise between −1 and 1 that varies over a length of 1.
func undulation(y, x float64, seed uint64) float64 {
	r, c := math.Floor(y), math.Floor(x)
	y, x = y-r, x-c
	y, x = y*y*(3-2*y), x*x*(3-2*x)
	at := func(dr, dc float64) float64 {
		return 2*chance(uint64(r+dr), uint64(c+dc), seed) - 1
	}
	return (1-y)*((1-x)*at(0, 0)+x*at(0, 1)) + y*((1-x)*at(1, 0)+x*at(1, 1))
}

// normal is a standard normal number that belongs to a cell.
func normal(r, c uint64) float64 {
	u, v := chance(r, c, 1), chance(r, c, 2)
	return math.Sqrt(-2*math.Log(1-u)) * math.Cos(2*math.Pi*v)
}

// chance is a number in [0, 1) that belongs to a cell: a mixer after
// Steele, G.L., Lea, D., Flood, C.H. (2014), Fast splittable pseudorandom
// number generators, OOPSLA.
func chance(r, c, seed uint64) float64 {
	h := (r*0x9e3779b97f4a7c15 ^ c) * 0xbf58476d1ce4e5b9
	h = (h ^ h>>29 ^ seed) * 0x94d049bb133111eb
	h = (h ^ h>>32) * 0xbf58476d1ce4e5b9
	return float64((h^h>>31)>>11) / (1 << 53)
}

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
				z := lowland(side, ground.noise)
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
		filled[side] = terrain.NewGrid[float32](lowlandFrame(side))
	}
	overGrounds(b, func(b *testing.B, z *terrain.Grid[float32]) {
		for b.Loop() {
			Fill(filled[z.Rows], z)
		}
	})
}
