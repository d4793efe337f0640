package calibration

import (
	"math"
	"math/rand/v2"

	"wetfeet/hydro/soil"
	"wetfeet/hydro/weather"
	"wetfeet/terrain"
	"wetfeet/terrain/field"
	"wetfeet/terrain/survey"

	"github.com/paulmach/orb"
)

const (
	cells     = 120 // a side of a site
	treesSide = 13  // a side of the lattice of trees
)

// A Site is made up: its truth is known, and what a grower would know of it.
type Site struct {
	Number int
	Kind   Kind

	// Truth is the true ground, on the frame of the answer.
	Truth *terrain.Grid[float32]

	// Raster is Truth with Error, and nil where there are Shots instead, each
	// good to ShotError, m.
	Raster    *terrain.Grid[float32]
	Error     field.Error
	Shots     []survey.Shot
	ShotError float64

	Soil soil.Known
	Rain weather.Hyetograph
	True Chance // what the soil really is and how wet it really was

	Trees []int // cells
}

// Surveyed reports whether the site is known by shots.
func (s *Site) Surveyed() bool { return s.Raster == nil }

// textures are those a grower may name.
var textures = [...]string{"sandy loam", "loam", "silt loam", "clay loam", "silty clay loam", "clay"}

// Make makes the site of a number: everything in it follows from the seed and
// the number. Of four sites three are known by a raster and one by shots.
func Make(seed uint64, number int) *Site {
	r := rand.New(rand.NewPCG(seed, uint64(number)))
	s := &Site{Number: number}
	surveyed := number%4 == 3
	s.Kind = Kind(number / 4 % int(kinds))
	if !surveyed {
		s.Kind = Kind(number % int(kinds))
	}
	if surveyed && (s.Kind == Beds || s.Kind == Ditch) {
		s.Kind = []Kind{Rolling, Bowls, Swale}[number/4%3] // what is narrower than shots are apart asks for lines
	}
	f := terrain.Frame{Rows: cells, Cols: cells, North: cells, CellSize: 1}
	if !surveyed && number%3 == 1 {
		f.CellSize, f.North = 0.5, cells/2
	}
	side := float64(f.Cols) * f.CellSize
	ground := lay(r, s.Kind, side)
	s.Truth = terrain.NewGrid[float32](f)
	z := ground.onGrid(f)
	for i, v := range z {
		s.Truth.Cells[i] = float32(v)
	}
	if surveyed {
		s.survey(r, ground, side)
	} else {
		s.observe(r, z)
	}
	s.Soil = soil.Known{Texture: textures[r.IntN(len(textures))], Cover: "orchard, grassed, good"}
	if r.IntN(2) == 0 {
		s.Soil = soil.Known{Measured: math.Pow(10, between(r, -0.5, 1)), Cover: s.Soil.Cover}
	}
	depth, hours := between(r, 60, 160), 6+6*r.IntN(4)
	for range hours {
		s.Rain.Hours = append(s.Rain.Hours, 1)
		s.Rain.Rain = append(s.Rain.Rain, depth/float64(hours))
	}
	s.True = Chance{r.NormFloat64(), r.NormFloat64()}
	for a := range treesSide {
		for b := range treesSide {
			row, col := (2*a+2)*cells/(2*treesSide+2), (2*b+2)*cells/(2*treesSide+2)
			s.Trees = append(s.Trees, f.Index(row, col))
		}
	}
	return s
}

// observe makes the raster: the truth with an error that neighbours share, 3
// to 8 cm, and some that they do not.
func (s *Site) observe(r *rand.Rand, truth []float64) {
	s.Error = field.Error{SD: between(r, 0.03, 0.08), Range: between(r, 5, 20), CellNoise: between(r, 0, 0.015)}
	off, _ := newNoise(s.Truth.Frame, s.Error.SD, s.Error.Range).pair(r)
	s.Raster = terrain.NewGrid[float32](s.Truth.Frame)
	for i, v := range truth {
		s.Raster.Cells[i] = float32(v + off[i] + s.Error.CellNoise*r.NormFloat64())
	}
}

// survey takes shots as someone with a level does who paces them off and holds
// the staff a little to one side.
func (s *Site) survey(r *rand.Rand, ground surface, side float64) {
	s.ShotError = between(r, 0.005, 0.02)
	apart := side / between(r, 10, 14)
	for y := apart / 2; y < side; y += apart {
		for x := apart / 2; x < side; x += apart {
			p := orb.Point{x + 0.25*apart*r.NormFloat64(), y + 0.25*apart*r.NormFloat64()}
			if p[0] < 0 || p[1] < 0 || p[0] > side || p[1] > side {
				continue
			}
			s.Shots = append(s.Shots, survey.Shot{Point: p, Z: ground(p[0], p[1]) + s.ShotError*r.NormFloat64()})
		}
	}
}
