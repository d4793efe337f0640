package hydro

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wetfeet/terrain"
	"wetfeet/terrain/terraintest"
)

func TestDrainOfLowland(t *testing.T) {
	z := terraintest.Lowland(300, 0.02)
	for i := range z.Cells { // a pond nobody measured
		if r, c := z.Cell(i); math.Hypot(float64(r-200), float64(c-80)) < 12 {
			z.Cells[i] = terrain.Void()
		}
	}
	for _, rule := range []HollowRule{Auto, Keep, FillAll} {
		d, err := Drain(context.Background(), z, Options{Hollows: rule})
		require.NoError(t, err)
		for i, v := range z.Cells {
			if terrain.IsVoid(v) {
				for _, g := range []*terrain.Grid[float32]{d.Filled, d.BrimDepth, d.Slope, d.Wetness, d.Smoothed} {
					require.True(t, terrain.IsVoid(g.Cells[i]))
				}
				require.True(t, math.IsNaN(d.UpslopeArea.Cells[i]))
				continue
			}
			require.GreaterOrEqual(t, d.Filled.Cells[i], v)
			require.Equal(t, d.Filled.Cells[i]-v, d.BrimDepth.Cells[i])
			require.GreaterOrEqual(t, d.UpslopeArea.Cells[i], 1.0)
			require.False(t, terrain.IsVoid(d.Wetness.Cells[i]))
			require.GreaterOrEqual(t, d.Slope.Cells[i], float32(0))
		}
		known := float64(terrain.Known(z))
		assert.InDelta(t, known*0.001, d.Balance.In, 1e-9*known)
		assert.InDelta(t, 0, d.Balance.Error, 1e-9*d.Balance.In)
		assert.Equal(t, rule == Keep, d.Balance.Ponded > 0, "water stays only where hollows are kept")
		assert.InDelta(t, 0.02, d.Error, 0.001, "the noise of the ground")
		assert.True(t, d.ErrorEstimated)
		assert.Equal(t, d.Error, d.CellNoise)
		var stages []string
		for _, s := range d.Seconds {
			stages = append(stages, s.Stage)
			assert.GreaterOrEqual(t, s.Seconds, 0.0)
		}
		assert.Equal(t, []string{"fill", "slope", "flow", "ponds", "wetness"}, stages)
		assert.NotEmpty(t, d.FlowLines)
	}
}

func TestDrainTellsItsProgressAndStopsWhenAsked(t *testing.T) {
	why := errors.New("the grower closed the lid")
	ctx, stop := context.WithCancelCause(context.Background())
	var told []string
	d, err := Drain(ctx, terraintest.Lowland(60, 0), Options{Progress: func(stage string) {
		told = append(told, stage)
		if stage == "slope" {
			stop(why)
		}
	}})
	assert.Nil(t, d)
	assert.ErrorIs(t, err, why)
	assert.Equal(t, []string{"fill", "slope"}, told)

	d, err = Drain(ctx, terraintest.Lowland(60, 0), Options{})
	assert.Nil(t, d)
	assert.ErrorIs(t, err, why, "stopped before it began")
}

func TestDrainDoesNotShowItsThreads(t *testing.T) {
	z := terraintest.Lowland(300, 0.02)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	var want *Drainage
	for _, n := range []int{1, 2, 8} {
		runtime.GOMAXPROCS(n)
		got, err := Drain(context.Background(), z, Options{})
		require.NoError(t, err)
		got.Seconds = nil
		if want != nil {
			require.Equal(t, want, got, "%d threads", n)
		}
		want = got
	}
}

func TestDrainTurnsWithTheGround(t *testing.T) {
	z := terraintest.Lowland(200, 0.02)
	a, err := Drain(context.Background(), z, Options{})
	require.NoError(t, err)
	b, err := Drain(context.Background(), turn(z), Options{})
	require.NoError(t, err)
	assert.InEpsilon(t, a.Error, b.Error, 1e-2, "other cells are looked at")
	b, err = Drain(context.Background(), turn(z), Options{Error: a.Error, Smooth: a.Smooth})
	require.NoError(t, err)
	off := 0
	for i := range z.Cells {
		r, c := z.Cell(i)
		j := b.Ground.Index(z.Cols-1-c, r)
		require.Equal(t, a.Filled.Cells[i], b.Filled.Cells[j])
		require.Equal(t, a.Slope.Cells[i], b.Slope.Cells[j])
		require.Equal(t, a.EdgeFed.Cells[i], b.EdgeFed.Cells[j])
		require.InEpsilon(t, a.UpslopeArea.Cells[i], b.UpslopeArea.Cells[j], 1e-6)
		require.InDelta(t, a.Smoothed.Cells[i], b.Smoothed.Cells[j], 1e-5, "rows first, or columns")
		if math.Abs(float64(a.Wetness.Cells[i]-b.Wetness.Cells[j])) > 1e-2 {
			off++ // a hair in the smoothed ground turned the water
		}
	}
	assert.Less(t, off, z.Len()/200)
}

func TestDrainRefusesWhatItCannotUse(t *testing.T) {
	blank := terrain.NewGrid[float32](terrain.Frame{Rows: 2, Cols: 3, CellSize: 1})
	for i := range blank.Cells {
		blank.Cells[i] = terrain.Void()
	}
	_, err := Drain(context.Background(), blank, Options{})
	assert.EqualError(t, err, "the ground has no known elevation in its 2 rows and 3 columns")
	_, err = Drain(context.Background(), terraintest.Lowland(9, 0), Options{
		Routing: 9, Exponent: 99, Hollows: -1, Smooth: math.NaN(), Error: -1, FlowLineCatchment: -5,
	})
	assert.EqualError(t, err, "routing 9 is none of multiple, single and facet\n"+
		"exponent 99 is not between 0 and 20\n"+
		"hollow rule -1 is none of auto, keep and fill\n"+
		"smoothing length NaN is not a length in metres\n"+
		"error of the ground -1 is not 0 m or more\n"+
		"catchment of flow lines -5 is not 0 m² or more")
}

func TestDrainOfTheSmallestGround(t *testing.T) {
	for _, z := range []*terrain.Grid[float32]{
		terraintest.Rows(1, []float32{7}),
		terraintest.Rows(1, []float32{3, 2, 1}),
		terraintest.Rows(1, []float32{1}, []float32{2}),
		terraintest.Rows(0.5, []float32{7, 7, 7}, []float32{7, 7, 7}, []float32{7, 7, 7}),
	} {
		d, err := Drain(context.Background(), z, Options{})
		require.NoError(t, err)
		assert.InDelta(t, float64(z.Len())*z.CellArea()*0.001, d.Balance.Left, 1e-12)
		for _, w := range d.Wetness.Cells {
			assert.False(t, math.IsNaN(float64(w)) || math.IsInf(float64(w), 0))
		}
	}
}

func ExampleDrain() {
	// A garden that falls to the east, with a hollow in the middle.
	z := terrain.NewGrid[float32](terrain.Frame{Rows: 3, Cols: 5, CellSize: 1})
	copy(z.Cells, []float32{
		9, 8, 7, 6, 5,
		9, 8, 3, 6, 5,
		9, 8, 7, 6, 5,
	})
	d, err := Drain(context.Background(), z, Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	h := d.Hollows.All[0]
	fmt.Printf("a hollow %g m deep holds %g m³\n", h.Depth(), h.Volume)
	wettest := 0
	for i, w := range d.Wetness.Cells {
		if w > d.Wetness.Cells[wettest] {
			wettest = i
		}
	}
	fmt.Println(d.Ground.Cell(wettest))
	// Output:
	// a hollow 3 m deep holds 3 m³
	// 1 2
}
