package advise

import (
	"math"
	"path/filepath"
	"testing"
	"time"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/ground"
	"wetfeet/cmd/internal/planting"
	"wetfeet/hydro"
	"wetfeet/hydro/soil"
	"wetfeet/hydro/weather"
	"wetfeet/terrain"
	"wetfeet/terrain/earthwork"
	"wetfeet/terrain/raster"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// valley is ground that falls 1 in 100 to the east, with sides of 1 in 10, so
// that water runs along its middle, with a row of trees along that and one
// across it, a metre apart but for some gaps.
func valley(t *testing.T, gaps ...[2]float64) *assess.Result {
	t.Helper()
	z := terrain.NewGrid[float32](terrain.Frame{Rows: 41, Cols: 80, North: 3_000_041, West: 500_000, CellSize: 1, CRS: "EPSG:32614"})
	for i := range z.Cells {
		p := z.Centre(z.Cell(i))
		z.Cells[i] = float32(10 - 0.01*(p[0]-500_000) + 0.1*math.Abs(p[1]-3_000_020.5))
	}
	path := filepath.Join(t.TempDir(), "valley.tif")
	require.NoError(t, raster.Write(path, z))
	row := func(name string, spacing, x0, y0, x1, y1 float64) planting.Row {
		return planting.Row{Name: name, Line: orb.LineString{{500_000 + x0, 3_000_000 + y0}, {500_000 + x1, 3_000_000 + y1}}, Spacing: spacing, Pattern: []string{"Carya illinoinensis"}}
	}
	across := row("across", 1, 50.5, 14.5, 50.5, 26.5)
	across.Gaps = gaps
	r, err := assess.Run(t.Context(), assess.Plan{
		Ground: ground.Source{DEM: path}, Error: 0.02, CRS: "EPSG:32614",
		Rain: weather.Storm{Rain: 200, Duration: 24 * time.Hour}, Soil: soil.Known{Texture: "clay"},
		Rows: []planting.Row{row("along", 4, 6.5, 20.5, 46.5, 20.5), across},
		Odds: assess.OddsPlan{Off: true},
	}, nil)
	require.NoError(t, err)
	return r
}

// raise puts every tree of the row across on a mound.
func raise(r *assess.Result, height float64) []float64 {
	heights := make([]float64, len(r.Trees))
	for _, i := range r.Rows[1].Trees {
		heights[i] = height
	}
	return heights
}

// A bed of mounds across a valley dams it up. The storm is large enough to fill
// what is behind it, so the water stands as high as the ground with the mounds
// lets it, which filling its hollows says without any storm.
func TestMoundsAcrossTheWaterDamItUp(t *testing.T) {
	r := valley(t)
	a := &Advice{}
	heights := raise(r, 0.4)
	require.NoError(t, a.prove(t.Context(), r, heights))
	p := a.Proof
	assert.Equal(t, 13, p.New)
	assert.Zero(t, p.Planned)
	require.Len(t, p.Backed, 1)

	var mounds []earthwork.Placed
	for _, i := range r.Rows[1].Trees {
		mounds = append(mounds, earthwork.Placed{Mound: Mound(0.4), At: r.Trees[i].Point})
	}
	raised, _ := earthwork.Stamp(r.Drain.Ground, mounds)
	filled := terrain.NewGrid[float32](raised.Frame)
	hydro.Fill(filled, raised)
	deepest, volume := 0.0, 0.0
	for i, level := range filled.Cells {
		if up := float64(level - r.Drain.Filled.Cells[i]); raised.Cells[i] == r.Drain.Ground.Cells[i] && up > leastBacked {
			deepest, volume = max(deepest, up), volume+up
		}
	}
	assert.Greater(t, deepest, 0.2)
	assert.InDelta(t, deepest, p.Backed[0].Depth, 1e-4)
	assert.InDelta(t, volume, p.Backed[0].Volume, 1e-3*volume)

	// The line of flow along the middle is closed by the mound on it.
	middle := r.Rows[1].Trees[6]
	require.NotEmpty(t, p.Closed)
	assert.Contains(t, p.closed(), middle)
	for _, c := range p.Closed {
		if c.Tree == middle {
			assert.InDelta(t, 0.4, c.Height, 0.05)
			assert.InDelta(t, deepest, c.Rise, 0.05)
		}
	}
	assert.Contains(t, p.Backed[0].Closed, middle)

	// Trees along the middle get wet as far up as the water reaches, and no
	// other does.
	var want, got []int
	for _, i := range r.Rows[0].Trees {
		row, col, _ := filled.Locate(r.Trees[i].Point)
		if k := filled.Index(row, col); filled.Cells[k] > raised.Cells[k] {
			want = append(want, i)
		}
	}
	require.NotEmpty(t, want)
	require.Less(t, len(want), len(r.Rows[0].Trees))
	for _, w := range p.Wetter {
		got = append(got, w.Tree)
		assert.Zero(t, w.HoursBefore)
		assert.Greater(t, w.HoursAfter, leastLonger)
	}
	assert.Equal(t, want, got)
	words := a.Dammed(r)
	require.Len(t, words, 2)
	assert.Contains(t, words[0], "closes a line of flow: leave a gap for it")
	assert.Contains(t, words[1], "instead of dry")
}

// With a gap where the water runs nothing is dammed up.
func TestMoundsBesideTheWaterDamNothingUp(t *testing.T) {
	r := valley(t, [2]float64{3.5, 8.5})
	a := &Advice{}
	require.NoError(t, a.prove(t.Context(), r, raise(r, 0.4)))
	assert.Equal(t, 8, a.Proof.New)
	assert.Empty(t, a.Proof.Backed)
	assert.Empty(t, a.Proof.Wetter)
	assert.Empty(t, a.Dammed(r))
	require.Len(t, a.proven(r), 1)
	assert.Contains(t, a.proven(r)[0], "water stands no higher anywhere, and no tree is wet for over a tenth longer")
	assert.Less(t, a.Proof.Most, leastBacked)

	none := &Advice{}
	require.NoError(t, none.prove(t.Context(), r, make([]float64, len(r.Trees))))
	assert.Nil(t, none.Proof)
	assert.Empty(t, none.proven(r))
}
