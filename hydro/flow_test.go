package hydro

import (
	"cmp"
	"encoding/csv"
	"math"
	"os"
	"runtime"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wetfeet/terrain"
	"wetfeet/terrain/terraintest"
)

// upslope is the upslope area of z as it is.
func upslope(z *terrain.Grid[float32], r Routing, exponent float64) *terrain.Grid[float64] {
	area := terrain.NewGrid[float64](z.Frame)
	Route(z, r, exponent).Accumulate(area, nil)
	return area
}

// window is the 3×3 ground of checks E07 to E10.
var window = terraintest.Rows(10, []float32{10.3, 9.5, 9.2}, []float32{10.6, 10, 9}, []float32{10.2, 9.4, 8.8})

// O'Callaghan & Mark (1984): steepest fall over distance. East falls 1 m in
// 10, south-east more, 1.2 m, but over 14.1.
func TestSingleFlowOnAWindow(t *testing.T) {
	assert.Equal(t, [8]float64{4: 1}, Route(window, Single, 0).shares(4))
}

// Freeman (1991): shares in proportion to the slope to the power of 1.1, no
// account taken of contour length. The formula is from memory of the paper;
// the numbers follow from it by hand. Elevations are float32, which moves the
// shares by up to 1e-6.
func TestMultipleFlowOnAWindow(t *testing.T) {
	for _, tt := range []struct {
		exponent            float64
		n, ne, e, se, south float64
	}{
		{0, 0.1369811, 0.1569012, 0.2936254, 0.2450905, 0.1674018}, // 0 is 1.1
		{1, 0.1422793, 0.1609707, 0.2845587, 0.2414561, 0.1707352},
		{8, 0.003004977, 0.008066424, 0.7692741, 0.2067336, 0.01292085},
	} {
		want := [8]float64{1: tt.n, 2: tt.ne, 4: tt.e, 6: tt.south, 7: tt.se}
		got := Route(window, Multiple, tt.exponent).shares(4)
		assert.InDeltaSlice(t, want[:], got[:], 2e-6, "exponent %g", tt.exponent)
	}
}

// Tarboton (1997): the steepest of eight facets lies between east and
// south-east, falls 0.1 east and 0.02 south of that in 10 m, so at atan 0.2 =
// 0.1974 from east.
func TestFacetFlowOnAWindow(t *testing.T) {
	around := lookAround(window, 1, 1)
	n, angle, fall := steepestFacet(10, &around)
	assert.Equal(t, 7, n)
	assert.InDelta(t, 0.1973956, angle, 1e-6)
	assert.InDelta(t, 0.1019804, fall/10, 1e-7)
	want := [8]float64{4: 0.7486682, 7: 0.2513318}
	got := Route(window, Facet, 0).shares(4)
	assert.InDeltaSlice(t, want[:], got[:], 1e-6)
}

// Tarboton (1997): facets give the slope and the direction of any plane
// exactly.
func TestFacetsRecoverPlanes(t *testing.T) {
	const slope = 0.07
	for _, degrees := range []float64{0, 10, 30, 45, 60, 100, 200, 300} {
		sin, cos := math.Sincos(degrees * math.Pi / 180)
		var around [8]float64
		for k := range around {
			around[k] = -slope * (cos*float64(colStep[k]) - sin*float64(rowStep[k]))
		}
		n, angle, fall := steepestFacet(0, &around)
		// Facets are counted anticlockwise from east, and every other one
		// measures its angle clockwise.
		bearing := float64(n/2+n%2)*math.Pi/2 + angle
		if n%2 == 1 {
			bearing = float64(n/2+1)*math.Pi/2 - angle
		}
		if n%2 == 0 {
			bearing = float64(n/2)*math.Pi/2 + angle
		}
		assert.InDelta(t, slope, fall, 1e-12, "%g°", degrees)
		assert.InDelta(t, 0, math.Remainder(bearing*180/math.Pi-degrees, 360), 1e-6, "%g°", degrees)
	}
}

// By hand: the sides of the valley run straight to the middle, since a fall
// of 3 beats 4/√2, and the middle runs south.
func TestSingleFlowInAValley(t *testing.T) {
	z := terraintest.Rows(1,
		[]float32{16, 13, 10, 13, 16},
		[]float32{15, 12, 9, 12, 15},
		[]float32{14, 11, 8, 11, 14},
		[]float32{13, 10, 7, 10, 13},
		[]float32{12, 9, 6, 9, 12})
	assert.Equal(t, []float64{
		1, 2, 5, 2, 1,
		1, 2, 10, 2, 1,
		1, 2, 15, 2, 1,
		1, 2, 20, 2, 1,
		1, 2, 25, 2, 1,
	}, upslope(z, Single, 0).Cells)
}

// By hand: a diagonal fall of 2/√2 beats a direct one of 1. Water that comes
// to the eastern and the southern rim would leave across it; here it follows
// the rim to the lowest corner, which collects all 25 cells.
func TestSingleFlowOnADiagonalPlane(t *testing.T) {
	z := terrain.NewGrid[float32](terrain.Frame{Rows: 5, Cols: 5, CellSize: 1})
	for i := range z.Cells {
		r, c := z.Cell(i)
		z.Cells[i] = -float32(r + c)
	}
	assert.Equal(t, []float64{
		1, 1, 1, 1, 1,
		1, 2, 2, 2, 2 + 1,
		1, 2, 3, 3, 3 + 3,
		1, 2, 3, 4, 4 + 6,
		1, 2 + 1, 3 + 3, 4 + 6, 5 + 10 + 10,
	}, upslope(z, Single, 0).Cells)
}

// Freeman's shares among the lower cells of a 3×3 plane, from high to low by
// hand; the lowest corner collects all nine cells.
func TestMultipleFlowOnADiagonalPlane(t *testing.T) {
	z := terraintest.Rows(1, []float32{0, -1, -2}, []float32{-1, -2, -3}, []float32{-2, -3, -4})
	assert.InDeltaSlice(t, []float64{
		1, 1.288676, 1.372011,
		1.288676, 2.166668, 3.542132,
		1.372011, 3.542132, 9,
	}, upslope(z, Multiple, 1.1).Cells, 1e-6)
}

func TestPowerAgreesWithPow(t *testing.T) {
	for _, exponent := range []float64{0.5, 1, FreemanExponent, 1.3, 2, 4, MaxExponent} {
		p := newPower(exponent)
		tolerance := 1e-10 * max(1, math.Pow(exponent, 4))
		for x := 1e-11; x < 1e6; x *= 1.0137 {
			require.InEpsilon(t, math.Pow(x, exponent), p.of(x), tolerance, "%g to the power of %g", x, exponent)
		}
		assert.InEpsilon(t, math.Pow(2, -exponent/2), p.step[0], 1e-15)
	}
}

// upslopeSlowly reckons the cells one by one from high to low, with nothing
// but the definition: every cell adds its water to its receivers.
func upslopeSlowly(z *terrain.Grid[float32], r Routing, exponent float64) []float64 {
	level := Flats(z).Cells
	order := make([]int, z.Len())
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		return cmp.Or(cmp.Compare(z.Cells[j], z.Cells[i]), cmp.Compare(level[j], level[i]))
	})
	area := make([]float64, z.Len())
	for i := range area {
		area[i] = z.CellArea()
	}
	for _, i := range order {
		if terrain.IsVoid(z.Cells[i]) {
			area[i] = math.NaN()
			continue
		}
		weight := weighSlowly(z, level, i, r, exponent)
		var sum float64
		for _, w := range weight {
			sum += w
		}
		row, col := z.Cell(i)
		for k, w := range weight {
			if w > 0 {
				area[z.Index(row+rowStep[k], col+colStep[k])] += area[i] * w / sum
			}
		}
	}
	return area
}

// weighSlowly weighs the neighbours of cell i as receivers of its water.
func weighSlowly(z *terrain.Grid[float32], level []int32, i int, r Routing, exponent float64) (weight [8]float64) {
	row, col := z.Cell(i)
	var slope, incline [8]float64 // of the ground, of the increments
	downhill := false
	for k := range slope {
		y, x := row+rowStep[k], col+colStep[k]
		if !z.Holds(y, x) || terrain.IsVoid(z.At(y, x)) {
			continue
		}
		far := math.Hypot(float64(rowStep[k]), float64(colStep[k]))
		slope[k] = (float64(z.Cells[i]) - float64(z.At(y, x))) / far
		downhill = downhill || slope[k] > 0
		if slope[k] == 0 {
			incline[k] = float64(level[i]-level[z.Index(y, x)]) / far
		}
	}
	steepest := func(s [8]float64) (weight [8]float64) {
		best := 0
		for k := range s {
			if s[k] > s[best] {
				best = k
			}
		}
		if s[best] > 0 {
			weight[best] = 1
		}
		return weight
	}
	switch {
	case !downhill && r == Multiple:
		for k := range weight {
			if incline[k] > 0 {
				weight[k] = math.Pow(math.Hypot(float64(rowStep[k]), float64(colStep[k])), -exponent)
			}
		}
	case !downhill:
		return steepest(incline)
	case r == Multiple:
		for k := range weight {
			weight[k] = math.Pow(max(0, slope[k]), exponent)
		}
	case r == Single:
		return steepest(slope)
	case r == Facet:
		around := lookAround(z, row, col)
		n, angle, _ := steepestFacet(float64(z.Cells[i]), &around)
		share := float64(float32(1 - angle/(math.Pi/4)))
		weight[facets[n].direct], weight[facets[n].diagonal] = share, 1-share
	}
	return weight
}

var routings = []Routing{Multiple, Single, Facet}

func TestUpslopeAreaAgreesWithTheDefinition(t *testing.T) {
	for seed := range seeds(600) {
		z := awkwardGround(seed)
		if seed%2 == 0 {
			Fill(z, z)
		}
		for _, r := range routings {
			got := upslope(z, r, 1.1).Cells
			want := upslopeSlowly(z, r, 1.1)
			for i := range want {
				if math.IsNaN(want[i]) {
					require.True(t, math.IsNaN(got[i]), "seed %d, %v, cell %d", seed, r, i)
					continue
				}
				require.InEpsilon(t, want[i], got[i], 1e-9, "seed %d, %v, cell %d", seed, r, i)
			}
		}
	}
}

func TestNoWaterIsLost(t *testing.T) {
	for seed := range seeds(300) {
		z := awkwardGround(seed)
		filled := seed%2 == 0
		if filled {
			Fill(z, z)
		}
		load := terrain.NewGrid[float32](z.Frame)
		for i := range load.Cells {
			load.Cells[i] = float32(terraintest.Chance(seed, uint64(i), 9))
		}
		for _, r := range routings {
			sum := terrain.NewGrid[float64](z.Frame)
			b := Route(z, r, 0).Accumulate(sum, load)
			require.InDelta(t, b.In, b.Ponded+b.Left, 1e-9*b.In, "seed %d, %v", seed, r)
			require.InDelta(t, 0, b.Error, 1e-9*b.In, "seed %d, %v", seed, r)
			if filled {
				require.Zero(t, b.Ponded, "seed %d, %v: nothing stays on filled ground", seed, r)
			}
		}
	}
	// Where rounding has most room: a large rough ground.
	z := terraintest.Lowland(1000, 0.02)
	for _, r := range routings {
		for _, rule := range []string{"kept", "filled"} {
			b := Route(z, r, 0).Accumulate(terrain.NewGrid[float64](z.Frame), nil)
			assert.InDelta(t, 0, b.Error, 1e-9*b.In, "%v, hollows %s", r, rule)
			Fill(z, z)
		}
	}
}

// Area is summed in another order by a slower scheduler or with more threads;
// the result may not show it.
func TestThreadsDoNotShow(t *testing.T) {
	z := terraintest.Lowland(700, 0.02)
	Fill(z, z)
	for i := range z.Cells { // a lake of unknown ground
		if r, c := z.Cell(i); math.Hypot(float64(r-300), float64(c-200)) < 60 {
			z.Cells[i] = terrain.Void()
		}
	}
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	for _, r := range routings {
		var want []float64
		for _, n := range []int{1, 2, 8} {
			runtime.GOMAXPROCS(n)
			got := upslope(z, r, 0)
			for i, v := range got.Cells {
				if want != nil && math.Float64bits(v) != math.Float64bits(want[i]) {
					require.Failf(t, "threads show", "%v, %d threads, cell %d: %v and %v", r, n, i, want[i], v)
				}
			}
			want = got.Cells
		}
	}
}

// turn is z rotated by a quarter, against the clock.
func turn(z *terrain.Grid[float32]) *terrain.Grid[float32] {
	t := terrain.NewGrid[float32](terrain.Frame{Rows: z.Cols, Cols: z.Rows, CellSize: z.CellSize})
	for i, v := range z.Cells {
		r, c := z.Cell(i)
		t.Set(z.Cols-1-c, r, v)
	}
	return t
}

// Grids have no preferred direction but for the last tie, so on ground
// without ties (rough) and in multiple flow always, a rotated ground has the
// rotated areas. Sums in another order differ in their last bits.
func TestAreaTurnsWithTheGround(t *testing.T) {
	rough, levelled := terraintest.Lowland(150, 0.05), terraintest.Lowland(150, 0.05)
	Fill(levelled, levelled)
	for _, tt := range []struct {
		name    string
		z       *terrain.Grid[float32]
		routing Routing
	}{
		{"multiple flow over filled flats", levelled, Multiple},
		{"multiple flow into hollows", rough, Multiple},
		{"single flow into hollows", rough, Single},
		{"facet flow into hollows", rough, Facet},
	} {
		t.Run(tt.name, func(t *testing.T) {
			a, b := upslope(tt.z, tt.routing, 0), upslope(turn(tt.z), tt.routing, 0)
			for i, v := range a.Cells {
				r, c := a.Cell(i)
				require.InEpsilon(t, v, b.At(a.Cols-1-c, r), 1e-6, "row %d, column %d", r, c)
			}
		})
	}
}

func TestEdgeFed(t *testing.T) {
	fed := func(z *terrain.Grid[float32]) []bool {
		g := terrain.NewGrid[bool](z.Frame)
		Route(z, Multiple, 0).EdgeFed(g)
		return g.Cells
	}
	dome, bowl := terrain.NewGrid[float32](terrain.Frame{Rows: 9, Cols: 9, CellSize: 1}), terrain.NewGrid[float32](terrain.Frame{Rows: 9, Cols: 9, CellSize: 1})
	for i := range dome.Cells {
		r, c := dome.Cell(i)
		d := math.Hypot(float64(r-4), float64(c-4))
		dome.Cells[i], bowl.Cells[i] = float32(-d), float32(d)
	}
	assert.NotContains(t, fed(dome), true, "water only leaves a dome")
	assert.NotContains(t, fed(bowl), false, "a bowl that goes on beyond the rim is fed from there")

	z := terraintest.Rows(1, []float32{5, 4, 3, 2, 1})
	assert.Equal(t, []bool{true, true, true, true, true}, fed(z), "on a strip both neighbours to the side are unknown")

	pond := terraintest.Rows(1,
		[]float32{2, 2, 2, 2, 2},
		[]float32{2, 3, 4, 3, 2},
		[]float32{2, 4, 5, 4, 2},
		[]float32{2, 3, 4, 3, 2},
		[]float32{2, 2, 2, 2, 2})
	assert.NotContains(t, fed(pond), true, "a mound")
	pond.Set(2, 2, terrain.Void())
	marks := fed(pond)
	assert.True(t, marks[pond.Index(1, 2)], "a void on the mound may be higher yet")
	assert.True(t, marks[pond.Index(0, 2)], "and so may feed the foot")
}

func TestDownstreamFollowsTheLargestShare(t *testing.T) {
	z := terraintest.Rows(1, []float32{9, 8, 7, 6, 5}, []float32{9, 8, 3, 6, 5}, []float32{9, 8, 7, 6, 5})
	for _, r := range routings {
		assert.Equal(t, []int{5, 6, 7}, slices.Collect(Route(z, r, 0).Downstream(5)), "%v flow ends in the hollow", r)
	}
	Fill(z, z)
	assert.Equal(t, []int{5, 6, 7, 8, 9}, slices.Collect(Route(z, Single, 0).Downstream(5)), "filled, it runs on to the rim")
}

func TestRouteRefusesWhatItCannotDo(t *testing.T) {
	assert.PanicsWithValue(t, "hydro: exponent -1 of multiple flow is not between 0 and 20", func() { Route(window, Multiple, -1) })
	assert.Panics(t, func() { Route(window, Multiple, math.NaN()) })
	assert.Panics(t, func() { Route(window, Routing(7), 0) })
	assert.Panics(t, func() {
		Route(window, Single, 0).Accumulate(terrain.NewGrid[float64](terrain.Frame{Rows: 1, Cols: 1}), nil)
	})
}

// Solved by scipy 1.10.1 as a sparse linear system; see
// testdata/flow-area.py.
func TestUpslopeAreaSolvesTheLinearSystem(t *testing.T) {
	file, err := os.Open("testdata/flow-area.csv")
	require.NoError(t, err)
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	number := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		require.NoError(t, err)
		return v
	}
	z := terrain.NewGrid[float32](terrain.Frame{Rows: 40, Cols: 50, CellSize: 1})
	require.Len(t, rows, 1+z.Len())
	for i, row := range rows[1:] {
		z.Cells[i] = float32(number(row[2]) / 1024)
	}
	for k, r := range routings {
		for i, a := range upslope(z, r, 1.1).Cells {
			require.InEpsilon(t, number(rows[1+i][3+k]), a, 1e-6, "%v, row %s, column %s", r, rows[1+i][0], rows[1+i][1])
		}
	}
}
