package season

import (
	"context"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"wetfeet/hydro"
	"wetfeet/hydro/soil"
	"wetfeet/hydro/storm"
	"wetfeet/hydro/weather"
	"wetfeet/terrain"
	"wetfeet/terrain/terraintest"
)

// grid is a ground with cells of one metre from its rows.
func grid(rows ...[]float32) *terrain.Grid[float32] {
	return terraintest.Rows(1, rows...)
}

// trough is one hollow: two cells at 1 m, spilling at 2 m to the east. All six
// cells of known outcome drain to it but the last, which is the way out.
func trough() *terrain.Grid[float32] {
	return grid(
		[]float32{5, 5, 5, 5, 5},
		[]float32{5, 1, 1, 2, 0},
		[]float32{5, 5, 5, 5, 5},
	)
}

func prepare(t testing.TB, z *terrain.Grid[float32]) *storm.Site {
	t.Helper()
	s, err := storm.Prepare(hydro.FindHollows(z), storm.Options{})
	require.NoError(t, err)
	return s
}

// rough is random ground of a side.
func rough(side int, seed uint64) *terrain.Grid[float32] {
	r := rand.New(rand.NewPCG(seed, 5))
	z := terrain.NewGrid[float32](terrain.Frame{Rows: side, Cols: side, CellSize: 2})
	for i := range z.Cells {
		_, c := z.Cell(i)
		z.Cells[i] = float32(10 - 0.01*float64(c) + 0.15*r.NormFloat64())
	}
	return z
}

// loam is a loam under an orchard, 0.6 m deep.
func loam() Zone {
	z, _ := ZoneOf(soil.Known{Texture: "loam", Cover: "orchard, grassed, good"}, 0.6)
	return z
}

// paved is ground from which all rain runs off.
func paved() Zone {
	z := loam()
	z.Impervious = 1
	return z
}

// daily is a record of days with rain and evapotranspiration, mm.
func daily(first string, rain []float64, et float64) *weather.Record {
	start, err := time.Parse(time.DateOnly, first)
	if err != nil {
		panic(err)
	}
	r := &weather.Record{Start: start, Step: 24 * time.Hour, Rain: rain, ET: make([]float64, len(rain))}
	for i := range r.ET {
		r.ET[i] = et
	}
	return r
}

// showers are days of rain, one in so many wet.
func showers(days, oneIn int, mm float64, seed uint64) []float64 {
	r := rand.New(rand.NewPCG(seed, 9))
	rain := make([]float64, days)
	for i := range rain {
		if r.IntN(oneIn) == 0 {
			rain[i] = mm * r.ExpFloat64()
		}
	}
	return rain
}

func run(t testing.TB, s *storm.Site, r *weather.Record, o Options) *Result {
	t.Helper()
	res, err := Run(context.Background(), s, r, o)
	require.NoError(t, err)
	return res
}
