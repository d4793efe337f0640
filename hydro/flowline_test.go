package hydro

import (
	"context"
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wetfeet/terrain"
	"wetfeet/terrain/terraintest"
)

func linesOf(z *terrain.Grid[float32], catchment float64) []FlowLine {
	f := Route(z, Single, 0)
	area := terrain.NewGrid[float64](z.Frame)
	f.Accumulate(area, nil)
	return FlowLines(f, area, catchment)
}

// By hand: the middle of the valley collects five cells a row. The line begins
// in the row where it reaches ten.
func TestFlowLineOfAValley(t *testing.T) {
	z := terraintest.Rows(1,
		[]float32{16, 13, 10, 13, 16},
		[]float32{15, 12, 9, 12, 15},
		[]float32{14, 11, 8, 11, 14},
		[]float32{13, 10, 7, 10, 13},
		[]float32{12, 9, 6, 9, 12})
	z.West, z.North = 500, 1000
	assert.Equal(t, []FlowLine{{
		Line:      orb.LineString{{502.5, 998.5}, {502.5, 997.5}, {502.5, 996.5}, {502.5, 995.5}},
		Catchment: 25,
		Order:     1,
	}}, linesOf(z, 10))
}

// By hand, after Strahler (1957): two lines without others make one of the
// second order where they meet; the smaller ends in the cell where they do.
func TestFlowLinesThatMeet(t *testing.T) {
	// Two gullies, in columns 1 and 5, meet in column 3 of the fourth row.
	z := terraintest.Rows(1,
		[]float32{29, 20, 29, 29, 29, 20, 29},
		[]float32{29, 18, 29, 29, 29, 18, 29},
		[]float32{29, 29, 16, 29, 16, 29, 29},
		[]float32{29, 29, 29, 14, 29, 29, 29},
		[]float32{29, 29, 29, 12, 29, 29, 29},
		[]float32{29, 29, 29, 10, 29, 29, 29})
	lines := linesOf(z, 4)
	require.Len(t, lines, 2)
	main, side := lines[0], lines[1]
	assert.Equal(t, 2, main.Order)
	assert.Equal(t, 1, side.Order)
	assert.Equal(t, z.Centre(5, 3), main.Line[len(main.Line)-1], "the main line leaves the site")
	assert.Equal(t, z.Centre(3, 3), side.Line[len(side.Line)-1], "the other ends where they meet")
	assert.Equal(t, 33.0, main.Catchment, "all but nine cells of the rim with no lower neighbour")
	assert.Less(t, side.Catchment, 33.0/2)
	// The gullies are mirror images: of equals the lower index goes on.
	assert.Equal(t, z.Centre(1, 1), main.Line[0])
	assert.Equal(t, z.Centre(1, 5), side.Line[0])
}

func TestFlowLinesRunOnThroughHollowsToTheRim(t *testing.T) {
	z, _ := bowl(0.02)
	d, err := Drain(context.Background(), z, Options{FlowLineCatchment: 50})
	require.NoError(t, err)
	require.NotEmpty(t, d.FlowLines)
	on := map[orb.Point]bool{}
	last := math.Inf(1)
	crossed := false
	for n, l := range d.FlowLines {
		assert.LessOrEqual(t, l.Catchment, last, "largest first")
		last = l.Catchment
		assert.GreaterOrEqual(t, l.Catchment, 50.0)
		require.GreaterOrEqual(t, len(l.Line), 2)
		for k, p := range l.Line[1:] {
			assert.LessOrEqual(t, math.Hypot(p[0]-l.Line[k][0], p[1]-l.Line[k][1]), math.Sqrt2+1e-9, "line %d goes from cell to cell", n)
		}
		end := l.Line[len(l.Line)-1]
		r, c, ok := z.Locate(end)
		require.True(t, ok)
		rim := r == 0 || c == 0 || r == z.Rows-1 || c == z.Cols-1
		assert.True(t, rim || on[end], "line %d ends at the rim or on a larger one", n)
		for _, p := range l.Line {
			on[p] = true
			r, c, _ := z.Locate(p)
			crossed = crossed || math.Hypot(float64(r-60), float64(c-60)) < 8
		}
	}
	assert.True(t, crossed, "a line runs through the bowl")
	again, err := Drain(context.Background(), z, Options{FlowLineCatchment: 50})
	require.NoError(t, err)
	assert.Equal(t, d.FlowLines, again.FlowLines)
}

func TestFlowLineCatchmentSuitsTheSite(t *testing.T) {
	site := func(side int, cell float64) *terrain.Grid[float32] {
		return terrain.NewGrid[float32](terrain.Frame{Rows: side, Cols: side, CellSize: cell})
	}
	assert.Equal(t, 100.0, FlowLineCatchment(site(40, 1)), "100 cells at least")
	assert.InDelta(t, 300*math.Sqrt2, FlowLineCatchment(site(200, 1)), 1e-9, "a file of cells down the diagonal and a half")
	assert.Equal(t, 900.0, FlowLineCatchment(site(300, 1)), "a hundredth of 9 ha")
	assert.Equal(t, 10_000.0, FlowLineCatchment(site(2000, 1)), "a hectare of 400 at most")
	z := site(400, 1) // 16 ha, half of it known
	for i := range z.Cells[:len(z.Cells)/2] {
		z.Cells[i] = terrain.Void()
	}
	assert.InDelta(t, 600*math.Sqrt2, FlowLineCatchment(z), 1e-9, "ground nobody knows does not count")
}

func TestFlowLinesNeedSingleFlow(t *testing.T) {
	assert.PanicsWithValue(t, "hydro: flow lines of multiple flow; they need single flow", func() {
		FlowLines(Route(window, Multiple, 0), terrain.NewGrid[float64](window.Frame), 1)
	})
}
