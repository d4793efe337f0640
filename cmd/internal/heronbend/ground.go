package heronbend

import (
	"math"
	"math/rand/v2"

	"wetfeet/terrain"
)

// Where the orchard's own u and v begin, in EPSG:32614.
const (
	CRS   = "EPSG:32614"
	West  = 500100.0
	South = 3100000.0
)

// The errors of the two surveys, one standard deviation.
const (
	RasterError = 0.03 // m, white, every cell
	ShotError   = 0.01 // m, each shot
)

// The fall of the terrace, m/m: half a metre in a hundred.
const (
	fallEast  = 0.0014
	fallSouth = 0.0048
)

// The shapes laid over the terrace.
var (
	swale = trough{u: 92, v: 50, lean: 0.55, sway: 7, period: 17, half: 9, depth: 0.24}
	track = ridge{fromU: 104, fromV: 0, toU: 104, toV: 100, half: 3, height: 0.20}

	// The hollow spills over its rim down the terrace. Within it the two bowls are
	// parted by a saddle that lies lower than that rim, so each fills alone,
	// then both as one.
	hollow   = bowl{u: 44, v: 29, ru: 26, rv: 13, depth: 0.155}
	westBowl = bowl{u: 33, v: 29.5, ru: 10, rv: 8, depth: 0.235}
	eastBowl = bowl{u: 55, v: 28.5, ru: 10, rv: 7, depth: 0.15}

	pocket = bowl{u: 130, v: 61, ru: 8, rv: 7, depth: 0.15}
	knoll  = bowl{u: 18, v: 82, ru: 16, rv: 12, depth: -0.16}
	bed    = ridge{fromU: 12, fromV: 73.24, toU: 36, toV: 73.72, half: 1, height: 0.15, ends: 2}
)

// Ground is the true elevation at a place, m: what both surveys try to see.
func Ground(x, y float64) float64 {
	u, v := x-West, y-South
	terrace := 96.40 - fallEast*u + fallSouth*v
	waves := 0.012 * math.Sin(u/19+0.7) * math.Cos(v/23)
	riser := 0.6 / (1 + math.Exp((v+3)/1.5)) // down to the flood plain, south of the fence
	return terrace + waves - riser -
		swale.at(u, v) + track.at(u, v) -
		hollow.at(u, v) - westBowl.at(u, v) - eastBowl.at(u, v) -
		pocket.at(u, v) - knoll.at(u, v) + bed.at(u, v)
}

// Frame is the raster of Heron Bend: 170 by 120 m in cells of half a metre,
// ten metres and more beyond the orchard on every side.
func Frame() terrain.Frame {
	return terrain.Frame{
		Rows: 240, Cols: 340,
		West: West - 10, North: South + 110,
		CellSize: 0.5,
		CRS:      CRS,
	}
}

// Truth is Ground at the middle of every cell, without error.
func Truth() *terrain.Grid[float32] {
	g := terrain.NewGrid[float32](Frame())
	for i := range g.Cells {
		p := g.Centre(g.Cell(i))
		g.Cells[i] = float32(Ground(p[0], p[1]))
	}
	return g
}

// Raster is the ground as an elevation raster would show it: Truth with white
// noise of RasterError, rounded to the millimetre. It is the same every time.
func Raster() *terrain.Grid[float32] {
	noise := rand.New(rand.NewPCG(0x4e20, 1))
	g := terrain.NewGrid[float32](Frame())
	for i := range g.Cells {
		p := g.Centre(g.Cell(i))
		g.Cells[i] = float32(millimetres(Ground(p[0], p[1]) + RasterError*noise.NormFloat64()))
	}
	return g
}

// millimetres rounds to the millimetre.
func millimetres(z float64) float64 { return math.Round(z*1000) / 1000 }
