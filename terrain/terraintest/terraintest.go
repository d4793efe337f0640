// Package terraintest makes grounds for tests and benchmarks. They are the
// same at every run, on any number of threads.
package terraintest

import (
	"math"

	"wetfeet/terrain"
)

// Rows is a ground of rows of elevations, m, the northernmost first and all
// equally long, in cells of so many metres.
func Rows(cell float64, rows ...[]float32) *terrain.Grid[float32] {
	z := terrain.NewGrid[float32](terrain.Frame{Rows: len(rows), Cols: len(rows[0]), CellSize: cell})
	for r, row := range rows {
		copy(z.Row(r), row)
	}
	return z
}

// Lowland is a plane that falls 0.5 % to the east, with gentle undulation of
// half a metre over 8 to 500 cells, and white noise of so many metres, one
// standard deviation, on every cell. It has so many cells of 1 m a side.
func Lowland(side int, noise float64) *terrain.Grid[float32] {
	z := terrain.NewGrid[float32](terrain.Frame{Rows: side, Cols: side, CellSize: 1})
	terrain.Bands(side, func(lo, hi int) {
		for r := lo; r < hi; r++ {
			for c := range side {
				v := 20 - 0.005*float64(c)
				for wave, height := 512.0, 0.5; wave >= 8; wave, height = wave/2, height/2 {
					v += height * Undulation(float64(r)/wave, float64(c)/wave, uint64(wave))
				}
				if noise > 0 {
					v += noise * Normal(uint64(r), uint64(c))
				}
				z.Set(r, c, float32(v))
			}
		}
	})
	return z
}

// Undulation is smooth noise between −1 and 1 that varies over a length of 1.
func Undulation(y, x float64, seed uint64) float64 {
	r, c := math.Floor(y), math.Floor(x)
	y, x = y-r, x-c
	y, x = y*y*(3-2*y), x*x*(3-2*x)
	at := func(dr, dc float64) float64 {
		return 2*Chance(uint64(r+dr), uint64(c+dc), seed) - 1
	}
	return (1-y)*((1-x)*at(0, 0)+x*at(0, 1)) + y*((1-x)*at(1, 0)+x*at(1, 1))
}

// Normal is a standard normal number that belongs to a cell.
func Normal(r, c uint64) float64 {
	u, v := Chance(r, c, 1), Chance(r, c, 2)
	return math.Sqrt(-2*math.Log(1-u)) * math.Cos(2*math.Pi*v)
}

// Chance is a number in [0, 1) that belongs to a cell: a mixer after
// Steele, G.L., Lea, D., Flood, C.H. (2014), Fast splittable pseudorandom
// number generators, OOPSLA.
func Chance(r, c, seed uint64) float64 {
	h := (r*0x9e3779b97f4a7c15 ^ c) * 0xbf58476d1ce4e5b9
	h = (h ^ h>>29 ^ seed) * 0x94d049bb133111eb
	h = (h ^ h>>32) * 0xbf58476d1ce4e5b9
	return float64((h^h>>31)>>11) / (1 << 53)
}
