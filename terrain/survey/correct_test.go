package survey

import (
	"math"
	"testing"
	"time"

	"wetfeet/terrain"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// tile is a raster of ground that is known, 0.4 m too low as a whole, and
// wrong by a bump of 0.15 m around (200, 200), as where crops stood.
func tile() (raster *terrain.Grid[float32], truth func(p orb.Point) float64) {
	truth = func(p orb.Point) float64 { return 30 - 0.005*p[0] + 0.1*math.Sin(p[1]/20) }
	raster = terrain.NewGrid[float32](terrain.Frame{Rows: 200, Cols: 200, West: 0, North: 400, CellSize: 2})
	for i := range raster.Cells {
		p := raster.Centre(raster.Cell(i))
		bump := 0.15 * math.Exp(-(math.Pow(p[0]-200, 2)+math.Pow(p[1]-200, 2))/2/20/20)
		raster.Cells[i] = float32(truth(p) - 0.4 + bump)
	}
	raster.Set(3, 3, terrain.Void())
	return raster, truth
}

// bedShots are shots with a level in the bed around (200, 200), and on two
// checks well away from it.
func bedShots(truth func(orb.Point) float64) []Shot {
	draws := normals(200, 7)
	var shots []Shot
	add := func(x, y float64) {
		p := orb.Point{x, y}
		shots = append(shots, Shot{Point: p, Z: truth(p) + 0.008*draws[len(shots)], Error: 0.008})
	}
	for x := 160.0; x <= 240; x += 10 {
		for y := 165.0; y <= 235; y += 10 {
			add(x+3*math.Sin(y), y+3*math.Cos(x))
		}
	}
	return shots
}

func TestRasterIsCorrectedByTheShots(t *testing.T) {
	raster, truth := tile()
	shots := bedShots(truth)
	shots = append(shots, Shot{Point: orb.Point{-5, 10}, Z: 1}, Shot{Point: raster.Centre(3, 3), Z: 1})
	c, err := Correct(raster, shots, CorrectOptions{})
	require.NoError(t, err)
	assert.Equal(t, "2 of 74 shots lie off the raster or on cells nobody measured, and were not used", c.Remarks[0])
	assert.Len(t, c.Used, 72)
	assert.InDelta(t, 0.4, c.Shift, 2*c.ShiftError, "the shift is known within its error")
	assert.Greater(t, c.ShiftError, 0.005, "which is not that of 72 unrelated shots")
	assert.True(t, terrain.IsVoid(c.Ground.At(3, 3)) && terrain.IsVoid(c.Error.At(3, 3)))

	var inBed, before float64
	n := 0.0
	for i, v := range c.Ground.Cells {
		p := raster.Centre(raster.Cell(i))
		if terrain.IsVoid(v) {
			continue
		}
		require.Less(t, math.Abs(float64(v)-truth(p)), 4*float64(c.Error.Cells[i])+0.003, "honest at %v", p)
		if c.Model.hull.distance(p) == 0 {
			inBed += math.Pow(float64(v)-truth(p), 2)
			before += math.Pow(float64(raster.Cells[i])+c.Shift-truth(p), 2)
			n++
		}
	}
	assert.Less(t, math.Sqrt(inBed/n), 0.01, "right in the bed")
	assert.Greater(t, math.Sqrt(before/n), 0.05, "where a shift alone is not")
	at := func(g *terrain.Grid[float32], p orb.Point) float64 { v, _ := terrain.AtPoint(g, p); return float64(v) }
	assert.Less(t, at(c.Error, shots[30].Point), 0.01, "near a shot the error is the instrument's")
	far := orb.Point{20, 380}
	assert.InDelta(t, at(raster, far)+c.Shift, at(c.Ground, far), 1e-5, "far off the shift alone")
	assert.InDelta(t, math.Sqrt(c.Model.Covariance.Sill+c.ShiftError*c.ShiftError), at(c.Error, far), 1e-6)
}

// From the bed to where the shift stands alone there are no steps: from cell
// to cell neither the correction nor its error jumps.
func TestCorrectionFadesWithoutSteps(t *testing.T) {
	raster, truth := tile()
	c, err := Correct(raster, bedShots(truth), CorrectOptions{Margin: 6, Fade: 40})
	require.NoError(t, err)
	row := 100 // y 199
	var steepest, errorStep float64
	for col := 5; col+1 < raster.Cols; col++ {
		more := func(col int) float64 { return float64(c.Ground.At(row, col)) - float64(raster.At(row, col)) }
		steepest = max(steepest, math.Abs(more(col+1)-more(col)))
		errorStep = max(errorStep, math.Abs(float64(c.Error.At(row, col+1)-c.Error.At(row, col))))
	}
	assert.Less(t, steepest, 0.025, "m from one cell to the next, 2 m on")
	assert.Less(t, errorStep, 0.02)
	end := c.Model.hull.distance(orb.Point{100, 200})
	require.Greater(t, end, 46.0)
	assert.InDelta(t, c.Shift, float64(c.Ground.At(100, 49)-raster.At(100, 49)), 1e-5, "beyond the fade")
}

// Raising the shots raises the ground by as much, error unchanged; raising the
// raster changes nothing.
func TestCorrectionFollowsTheDatumOfTheShots(t *testing.T) {
	raster, truth := tile()
	shots := bedShots(truth)
	base, err := Correct(raster, shots, CorrectOptions{})
	require.NoError(t, err)
	higher := terrain.NewGrid[float32](raster.Frame)
	for i, v := range raster.Cells {
		higher.Cells[i] = v + 2
	}
	for i := range shots {
		shots[i].Z += 8
	}
	moved, err := Correct(higher, shots, CorrectOptions{})
	require.NoError(t, err)
	assert.InDelta(t, base.Shift+6, moved.Shift, 1e-3)
	for i, v := range base.Ground.Cells {
		if !terrain.IsVoid(v) {
			require.InDelta(t, v+8, moved.Ground.Cells[i], 2e-3)
			require.InDelta(t, base.Error.Cells[i], moved.Error.Cells[i], 2e-3)
		}
	}
}

// A grower's shots often lie along one row.
func TestShotsInALineCorrectARaster(t *testing.T) {
	raster, truth := tile()
	var shots []Shot
	for x := 100.0; x < 300; x += 5 {
		p := orb.Point{x, 201}
		shots = append(shots, Shot{Point: p, Z: truth(p), Error: 0.01})
	}
	c, err := Correct(raster, shots, CorrectOptions{})
	require.NoError(t, err)
	z, _ := terrain.AtPoint(c.Ground, orb.Point{200, 201})
	assert.InDelta(t, truth(orb.Point{200, 201}), z, 0.02)
	_, err = Correct(raster, shots[:2], CorrectOptions{})
	assert.EqualError(t, err, "2 of 2 shots lie on the raster; at least 3 are needed to correct it")
	assert.ErrorIs(t, err, ErrInput)
	_, err = Correct(raster, []Shot{shots[0], shots[0], shots[0]}, CorrectOptions{})
	assert.ErrorIs(t, err, ErrInput)
}

func TestNoiseOfTheRasterStaysInItsError(t *testing.T) {
	raster, truth := tile()
	c, err := Correct(raster, bedShots(truth), CorrectOptions{RasterError: 0.03})
	require.NoError(t, err)
	for _, e := range c.Error.Cells {
		if e == e {
			require.GreaterOrEqual(t, e, float32(0.03))
		}
	}
}

// A bed is surveyed, a mound is built on part of it, and that part surveyed
// again.
func TestLaterSurveyTakesThePlaceOfTheEarlier(t *testing.T) {
	day := func(d int) time.Time { return time.Date(2026, 3, d, 0, 0, 0, 0, time.UTC) }
	plain := func(x, y float64) float64 { return 10 + 0.01*x }
	var before, after []Shot
	for x := 0.0; x <= 60; x += 6 {
		for y := 0.0; y <= 60; y += 6 {
			before = append(before, Shot{Point: orb.Point{x, y}, Z: plain(x, y), Error: 0.01})
		}
	}
	mound := func(x, y float64) float64 {
		return plain(x, y) + 0.6*math.Exp(-(math.Pow(x-20, 2)+math.Pow(y-20, 2))/2/36)
	}
	for x := 4.0; x <= 36; x += 4 {
		for y := 4.0; y <= 36; y += 4 {
			after = append(after, Shot{Point: orb.Point{x, y}, Z: mound(x, y), Error: 0.01})
		}
	}
	m, err := Merge(5, Survey{Name: "mound", Date: day(20), Shots: after}, Survey{Name: "first", Date: day(2), Shots: before}, Survey{Date: day(3)})
	require.NoError(t, err)
	assert.Equal(t, len(before)+len(after)-len(m.Superseded), len(m.Shots))
	assert.Equal(t, before[len(before)-1], m.Shots[len(before)-len(m.Superseded)-1], "earlier first")
	assert.Equal(t, after[0], m.Shots[len(before)-len(m.Superseded)])
	for _, s := range m.Superseded {
		assert.Equal(t, 1, s.Survey)
		assert.Equal(t, 0, s.By)
		near := math.Inf(1)
		for _, a := range after {
			near = min(near, math.Hypot(a.Point[0]-s.Shot.Point[0], a.Point[1]-s.Shot.Point[1]))
		}
		assert.LessOrEqual(t, near, 5.0)
	}
	require.NotEmpty(t, m.Changes)
	for _, c := range m.Changes {
		assert.Greater(t, c.After, c.Before)
		assert.InDelta(t, mound(c.Point[0], c.Point[1]), c.After, 0.03)
		assert.Less(t, math.Hypot(c.Point[0]-20, c.Point[1]-20), 18.0, "only where the mound is")
	}
	assert.Contains(t, m.Remarks[0], `survey "mound" of 2026-03-20 takes the place of`)
	assert.NotContains(t, m.Remarks[0], "benchmark")

	for i := range after {
		after[i].Z += 0.3
	}
	m, err = Merge(0, Survey{Date: day(2), Shots: before}, Survey{Date: day(4), Shots: after})
	require.NoError(t, err)
	assert.Contains(t, m.Remarks[0], "m in the middle of them: if the ground did not move there, the two surveys do not share a benchmark")
	_, err = Merge(0, Survey{Name: "x"})
	assert.EqualError(t, err, `survey "x" has no date; later shots win, so each survey needs one`)
	_, err = Merge(math.NaN())
	assert.Error(t, err)
}

// A ditch 0.5 m deep that the tile does not show, levelled along its bottom,
// with shots on the land beside it: the corrected ground has it, and the land
// eight metres off keeps its height to a fifth of that.
func TestLinesPartTheCorrectionOfARaster(t *testing.T) {
	raster, truth := tile()
	shots := bedShots(truth)
	ditch := Breakline{Name: "ditch", Kind: Ditch}
	for x := 150.0; x <= 250; x += 10 {
		p := orb.Point{x, 201}
		ditch.Line, ditch.Z = append(ditch.Line, p), append(ditch.Z, truth(p)-0.5)
	}
	house := orb.Ring{{170, 220}, {180, 220}, {180, 230}, {170, 230}, {170, 220}}
	with, err := Correct(raster, shots, CorrectOptions{Lines: []Breakline{ditch}, Holes: []orb.Ring{house}})
	require.NoError(t, err)
	without, err := Correct(raster, shots, CorrectOptions{})
	require.NoError(t, err)
	for x := 165.0; x < 240; x += 12 {
		in, beside := orb.Point{x, 201}, orb.Point{x, 209}
		z, _ := terrain.AtPoint(with.Ground, in)
		assert.InDelta(t, truth(in)-0.5, z, 0.06, "in the ditch at %v", x)
		z, _ = terrain.AtPoint(with.Ground, beside)
		before, _ := terrain.AtPoint(without.Ground, beside)
		assert.InDelta(t, truth(beside), z, 0.1, "beside it at %v, %v without the line", x, before)
	}
	inside, _ := terrain.AtPoint(with.Ground, orb.Point{175, 225})
	assert.True(t, terrain.IsVoid(inside), "nothing is known of the ground under a house")
	inside, _ = terrain.AtPoint(with.Error, orb.Point{175, 225})
	assert.True(t, terrain.IsVoid(inside))
}
