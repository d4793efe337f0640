package advise

import (
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/ground"
	"wetfeet/cmd/internal/planting"
	"wetfeet/hydro/relief"
	"wetfeet/hydro/soil"
	"wetfeet/hydro/weather"
	"wetfeet/species"
	"wetfeet/terrain"
	"wetfeet/terrain/earthwork"
	"wetfeet/terrain/raster"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Of two ways to drain, the one that frees more trees for what it digs is
// best; that which frees the most is told too. What saves no
// water, frees none or endangers as many is not advised.
func TestTreesThatOnlyADrainHelps(t *testing.T) {
	r := &assess.Result{Trees: make([]assess.Tree, 3)}
	for i := range r.Trees {
		r.Trees[i].Advice = "move"
	}
	cut := func(saved, dug float64, freed, endangered []int) Cut {
		return Cut{Cut: relief.Cut{Before: saved, Dug: earthwork.Dug{Volume: dug}}, Freed: freed, Endangered: endangered}
	}
	a := &Advice{
		Beyond: []int{0, 1, 2},
		Drains: []Drain{
			{Hollow: 0, Trees: []int{0, 1}, Cuts: []Cut{cut(9, 40, []int{0, 1}, nil), cut(4, 1, []int{0}, nil), cut(9, 90, nil, nil)}},
			{Hollow: 1, Trees: []int{2}, Cuts: []Cut{cut(0, 1, []int{2}, nil), cut(5, 1, []int{2}, []int{1}), cut(5, 1, nil, nil)}},
		},
	}
	assert.Equal(t, []int{0}, a.Drains[0].Best().Freed)
	assert.Equal(t, []int{0, 1}, a.Drains[0].Most().Freed)
	assert.Nil(t, a.Drains[1].Best())
	assert.Nil(t, a.Drains[1].Most())
	a.Settle(r)
	assert.Equal(t, "drain", r.Trees[0].Advice)
	assert.Equal(t, "drain", r.Trees[1].Advice)
	assert.Equal(t, "move", r.Trees[2].Advice)
}

// bumpy is ground 64 m square that falls 1 in 500 to the east under bumps of
// all sizes, bowls within bowls, with a tree every 4 m.
func bumpy(t *testing.T, seed uint64) *assess.Result {
	t.Helper()
	rng := rand.New(rand.NewPCG(seed, 12))
	rough := terrain.NewGrid[float32](terrain.Frame{Rows: 64, Cols: 64, North: 3_000_064, West: 500_000, CellSize: 1, CRS: "EPSG:32614"})
	for i := range rough.Cells {
		rough.Cells[i] = float32(rng.NormFloat64())
	}
	z := terrain.NewGrid[float32](rough.Frame)
	terrain.Smooth(z, rough, 3)
	for i := range z.Cells {
		_, c := z.Cell(i)
		z.Cells[i] = 50 + 2*z.Cells[i] - 0.002*float32(c)
	}
	path := filepath.Join(t.TempDir(), "bumpy.tif")
	require.NoError(t, raster.Write(path, z))
	var rows []planting.Row
	for k := range 16 {
		y := 3_000_002.5 + 4*float64(k)
		rows = append(rows, planting.Row{Name: fmt.Sprint(k), Line: orb.LineString{{500_002.5, y}, {500_062.6, y}}, Spacing: 4, Pattern: []string{"Prunus persica", "Salix nigra"}})
	}
	r, err := assess.Run(t.Context(), assess.Plan{
		Ground: ground.Source{DEM: path}, Error: 0.001, CRS: "EPSG:32614",
		Rain: weather.Storm{Rain: 120, Duration: 24 * time.Hour}, Soil: soil.Known{Texture: "clay"},
		Rows: rows, Odds: assess.OddsPlan{Off: true},
	}, nil)
	require.NoError(t, err)
	return r
}

// What a cut frees is held against the storm on the ground with the cut dug
// into it, which knows no pipes: the same trees, but for one here and there
// whose water is lowered by the width of the cut itself.
func TestTreesFreedAreThoseOfTheGroundWithTheCutDug(t *testing.T) {
	freed, other, inner := 0, 0, 0
	for seed := range uint64(4) {
		r := bumpy(t, seed)
		a := &Advice{Target: species.DefaultTarget}
		require.NoError(t, a.drain(t.Context(), r))
		before, err := r.Course(t.Context(), r.Drain.Ground, make([]float64, len(r.Trees)))
		require.NoError(t, err)
		stands := func(c *assess.Course) []stand {
			out := make([]stand, len(r.Trees))
			for i := range r.Trees {
				out[i] = stand{c.Depth[i], c.Hours[i]}
			}
			return out
		}
		for _, d := range a.Drains {
			for _, c := range d.Cuts {
				if c.Pipe {
					continue
				}
				dug := terrain.NewGrid[float32](r.Drain.Ground.Frame)
				copy(dug.Cells, r.Drain.Ground.Cells)
				bottom := c.Level
				for k, p := range c.Line {
					if k > 0 {
						bottom -= 0.001 * planar.Distance(p, c.Line[k-1])
					}
					row, col, _ := dug.Locate(p)
					dug.Set(row, col, min(dug.At(row, col), float32(bottom)))
				}
				after, err := r.Course(t.Context(), dug, make([]float64, len(r.Trees)))
				require.NoError(t, err)
				want := a.weigh(r, c.Cut, stands(before), stands(after))
				for i := range r.Trees {
					got, is := slices.Contains(c.Freed, i), slices.Contains(want.Freed, i)
					if got || is {
						freed++
					}
					if got != is {
						other++
					}
					if !got && r.Trees[i].Flagged && slices.Contains(d.Trees, i) && r.Trees[i].Ground >= c.Level {
						inner++
					}
				}
			}
		}
	}
	t.Logf("%d trees freed by one or the other, %d of them not by both; %d that lie above the bottom of a cut stay in danger all the same", freed, other, inner)
	assert.Greater(t, freed, 20)
	assert.LessOrEqual(t, other, freed/20)
	assert.Positive(t, inner)
}
