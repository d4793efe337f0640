package watertable

import (
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wetfeet/terrain"
)

// level makes an aquifer of one transmissivity with nothing held.
func even(rows, cols int, cell, transmissivity float64) *Aquifer {
	a := &Aquifer{Frame: terrain.Frame{Rows: rows, Cols: cols, CellSize: cell}}
	a.Transmissivity, a.Held = make([]float64, a.Len()), make([]float64, a.Len())
	for i := range a.Held {
		a.Transmissivity[i], a.Held[i] = transmissivity, math.NaN()
	}
	return a
}

// hold sets the head of whole columns.
func (a *Aquifer) holdColumns(head float64, cols ...int) *Aquifer {
	for r := range a.Rows {
		for _, c := range cols {
			a.Held[a.Index(r, c)] = head
		}
	}
	return a
}

// Differences of the second order are exact for a parabola, so the grid must
// meet the mound R x (L − x)/(2 T) to the last digits.
func TestGridMeetsTheMoundBetweenDitches(t *testing.T) {
	for _, rows := range []int{1, 2, 7} {
		a := even(rows, 41, 0.5, 0.8).holdColumns(100, 0, 40)
		h, err := a.Steady(0.004)
		require.NoError(t, err)
		for i, got := range h.Head {
			_, c := a.Cell(i)
			x := float64(c) * 0.5
			require.InDelta(t, 100+0.004*x*(20-x)/(2*0.8), got, 1e-9)
		}
		assert.InEpsilon(t, h.Recharge, h.Drained, 1e-9)
		assert.InEpsilon(t, 0.004*float64(a.Len())*0.25, h.Recharge, 1e-12)
	}
}

// Hiscock, Hydrogeology, box 2.9: the same numbers as the closed form, from the
// grid: h at 0, 5 and 10 m from the divide, and 2 a W flowing into the ditches.
func TestGridMeetsDupuit(t *testing.T) {
	a := even(3, 41, 0.5, 1).holdColumns(31, 0, 40)
	base := make([]float64, a.Len())
	for i := range base {
		base[i] = 30
	}
	h, err := a.Dupuit(0.5, base, 0.005)
	require.NoError(t, err)
	for c, want := range map[int]float64{20: 1.414214, 30: 1.322876, 10: 1.322876, 40: 1} {
		assert.InDelta(t, want, h.Head[a.Index(1, c)]-30, 5e-7)
	}
	between := Between{Conductivity: 0.5, Spacing: 20, Left: 1, Right: 1}
	for c := range 41 {
		assert.InDelta(t, between.Mound(float64(c)*0.5, 0.005), h.Head[a.Index(1, c)]-30, 1e-9)
	}
	perMetre := h.Drained / (3 * 0.5)
	assert.InDelta(t, 0.1, perMetre-0.005*0.5, 1e-9, "the cells of the ditches themselves catch half a cell each beyond the 20 m")

	a = even(1, 33, 1, 1).holdColumns(2, 0).holdColumns(1, 32)
	h, err = a.Dupuit(0.5, make([]float64, a.Len()), 0)
	require.NoError(t, err)
	between = Between{Conductivity: 0.5, Spacing: 32, Left: 2, Right: 1}
	for c, got := range h.Head {
		assert.InDelta(t, between.Mound(float64(c), 0), got, 1e-9, "ditches of different heads, no recharge")
	}
}

// Pipe drains every 100 m, over a barrier 5 m below: the grid with the entry of
// DrainEntry against Hooghoudt's equation (its part below the drains, which is
// linear). The closed forms are the same algebra, so they agree to rounding.
func TestGridMeetsHooghoudt(t *testing.T) {
	const k, barrier, radius, q, spacing = 0.14, 5.0, 0.1, 0.0005, 100.0
	a := even(2, 201, 1, k*barrier).holdColumns(8.2, 0, 100, 200)
	a.Entry = make([]float64, a.Len())
	for i, h := range a.Held {
		if !math.IsNaN(h) {
			a.Entry[i] = 1 * DrainEntry(k, barrier, radius)
		}
	}
	for r := range a.Rows { // the outer drains take water from one side only
		a.Entry[a.Index(r, 0)] /= 2
		a.Entry[a.Index(r, 200)] /= 2
	}
	h, err := a.Steady(q)
	require.NoError(t, err)
	want := q * spacing * spacing / (8 * k * EquivalentDepth(spacing, barrier, radius))
	got := h.Head[a.Index(0, 50)] - 8.2
	assert.InEpsilon(t, want, got, 0.01, "the outer cells catch half a cell too much")
	assert.InEpsilon(t, h.Recharge, h.Drained, 1e-9)

	// With whole cells, one spacing wrapped at its own drain, to rounding.
	a = even(1, 101, 1, k*barrier).holdColumns(8.2, 50)
	a.Entry = make([]float64, a.Len())
	a.Entry[50] = DrainEntry(k, barrier, radius)
	h, err = a.Steady(q)
	require.NoError(t, err)
	const wide = 101.0
	want = q*wide*wide/(8*k*EquivalentDepth(wide, barrier, radius)) - q/(8*k*barrier) // half a cell short of the divide
	assert.InDelta(t, want, h.Head[0]-8.2, 1e-9)
}

// Glover's series at the middle of 30 m between ditches, from a level start.
func TestGridMeetsTheFallingTable(t *testing.T) {
	const cells = 120 // of a quarter metre
	a := even(1, cells+1, 30.0/cells, 0.7).holdColumns(0, 0, cells)
	start := make([]float64, a.Len())
	for i := range start {
		start[i] = 1
	}
	d := Drawdown{Transmissivity: 0.7, Porosity: 0.05, Spacing: 30}
	for _, days := range []float64{1, 6.087019, 20} {
		f, err := a.Fall(start, Falling{Porosity: 0.05, Days: days, Steps: 200})
		require.NoError(t, err)
		assert.InDelta(t, d.Left(days), f.Head[cells/2], 3e-4, "%v days", days)
	}
	assert.Equal(t, 1.0, start[3], "the start is left as it is")
}

// rough is an aquifer with gaps, several held patches and entries, and ground.
func rough(rows, cols int, seed uint64) (*Aquifer, []float64) {
	rng := rand.New(rand.NewPCG(seed, 7))
	a := even(rows, cols, 2, 1)
	a.Entry = make([]float64, a.Len())
	ground := make([]float64, a.Len())
	for i := range a.Held {
		r, c := a.Cell(i)
		ground[i] = 50 + math.Sin(float64(r)/5) + math.Cos(float64(c)/7) + 0.1*rng.Float64()
		a.Transmissivity[i] = math.Exp(rng.NormFloat64())
		switch p := rng.Float64(); {
		case p < 0.05:
			a.Transmissivity[i] = math.NaN()
		case p < 0.08:
			a.Held[i] = ground[i] - 1
		case p < 0.11:
			a.Held[i], a.Entry[i] = ground[i]-1, 0.1+rng.Float64()
		}
	}
	for _, i := range a.unheld() {
		a.Held[i] = ground[i] - 1
	}
	return a, ground
}

func TestFallingTableLosesNoWater(t *testing.T) {
	for seed := range uint64(5) {
		a, ground := rough(37, 52, seed)
		f, err := a.Fall(ground, Falling{Porosity: 0.08, Recharge: 0.003, Days: 12, Steps: 15, Ground: ground})
		require.NoError(t, err)
		in := f.Recharge + f.Released
		assert.InDelta(t, 0, (in-f.Drained-f.Seeped)/(f.Drained+f.Seeped), 1e-9, "seed %d", seed)
		stored := 0.0
		for i, h := range f.Head {
			if a.isIn(i) && !a.isFixed(i) {
				stored += (ground[i] - h) * 0.08 * a.CellArea()
				require.LessOrEqual(t, h, ground[i])
			}
		}
		assert.InEpsilon(t, stored, f.Released, 1e-9)
		assert.Greater(t, f.Drained, 0.0)
	}
}

// A pool with no way out keeps its water and rises by recharge over porosity.
func TestTableWithNoWayOutRises(t *testing.T) {
	a := even(3, 4, 1, 0.5)
	f, err := a.Fall(make([]float64, 12), Falling{Porosity: 0.1, Recharge: 0.002, Days: 5, Steps: 7})
	require.NoError(t, err)
	for _, h := range f.Head {
		assert.InDelta(t, Rise(0.010, 0.1), h, 1e-12)
	}
	assert.InDelta(t, 0.010*12, f.Recharge, 1e-12)
	assert.InDelta(t, -0.010*12, f.Released, 1e-12)
	assert.Zero(t, f.Drained)
}

// solveSlowly relaxes one cell after the other until nothing moves.
func solveSlowly(a *Aquifer, recharge float64) []float64 {
	head := a.firstGuess()
	for i := range head {
		if a.isFixed(i) {
			head[i] = a.Held[i]
		}
	}
	for {
		change := 0.0
		for i := range head {
			if !a.isIn(i) || a.isFixed(i) {
				continue
			}
			r, c := a.Cell(i)
			sum, weight := recharge*a.CellArea(), 0.0
			for _, n := range [4][2]int{{r - 1, c}, {r + 1, c}, {r, c - 1}, {r, c + 1}} {
				if j := a.Index(n[0], n[1]); a.Holds(n[0], n[1]) && a.isIn(j) {
					t := (a.Transmissivity[i] + a.Transmissivity[j]) / 2
					sum, weight = sum+t*head[j], weight+t
				}
			}
			if !math.IsNaN(a.Held[i]) {
				sum, weight = sum+a.Entry[i]*a.Held[i], weight+a.Entry[i]
			}
			change = max(change, math.Abs(sum/weight-head[i]))
			head[i] = sum / weight
		}
		if change < 1e-13 {
			return head
		}
	}
}

func TestSteadyAgreesWithRelaxingCellByCell(t *testing.T) {
	for seed := range uint64(8) {
		a, _ := rough(9+int(seed), 14, seed)
		h, err := a.Steady(0.002)
		require.NoError(t, err)
		for i, want := range solveSlowly(a, 0.002) {
			if a.isIn(i) {
				require.InDelta(t, want, h.Head[i], 1e-7, "seed %d", seed)
			} else {
				require.True(t, math.IsNaN(h.Head[i]))
			}
		}
		assert.InEpsilon(t, h.Recharge, h.Drained, 1e-7)
	}
}

func TestRaisingAHeldHeadLowersTheTableNowhere(t *testing.T) {
	for seed := range uint64(10) {
		a, _ := rough(25, 31, seed)
		before, err := a.Steady(0.002)
		require.NoError(t, err)
		rng := rand.New(rand.NewPCG(seed, 8))
		held := slices.Clone(a.Held)
		for i := range held {
			if rng.IntN(3) == 0 {
				held[i] += rng.Float64()
			}
		}
		a.Held = held
		after, err := a.Steady(0.002)
		require.NoError(t, err)
		for i := range held {
			if a.isIn(i) {
				require.GreaterOrEqual(t, after.Head[i], before.Head[i]-1e-9, "seed %d", seed)
			}
		}
	}
}

func TestHeadsDoNotShowTheirThreads(t *testing.T) {
	a, ground := rough(200, 201, 3)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	var want []float64
	for _, n := range []int{1, 2, 7} {
		runtime.GOMAXPROCS(n)
		h, err := a.Steady(0.002)
		require.NoError(t, err)
		f, err := a.Fall(ground, Falling{Porosity: 0.1, Days: 3, Steps: 4})
		require.NoError(t, err)
		got := append(h.Head, f.Head...)
		for i := range want {
			require.Equal(t, math.Float64bits(want[i]), math.Float64bits(got[i]), "%d threads", n)
		}
		want = got
	}
}

func TestAquiferRefusesWhatHasNoAnswer(t *testing.T) {
	a := even(2, 3, 1, 1).holdColumns(4, 0)
	a.Transmissivity[1], a.Transmissivity[4] = 0, math.NaN()
	_, err := a.Steady(math.NaN())
	assert.EqualError(t, err, "recharge NaN is not a number of metres a day\n"+
		"nothing holds the water table of the land around row 0, column 2: a ditch, drain or pond must")
	a.Transmissivity[5], a.Held[2], a.Entry = -1, math.Inf(1), []float64{1}
	_, err = a.Steady(0)
	assert.EqualError(t, err, "transmissivity of row 1, column 2 is -1 and not 0 m²/day or more, or NaN\n"+
		"held head of row 0, column 2 is +Inf and not a head in metres, or NaN\n"+
		"1 values of entry for 6 cells")
	_, err = even(1, 1, 1, 1).Fall([]float64{0}, Falling{Porosity: 0.7, Recharge: math.Inf(1)})
	assert.EqualError(t, err, "drainable porosity 0.7 is not above 0 and at most 0.6 of the volume\n"+
		"recharge +Inf is not a number of metres a day\n"+
		"0 days to fall is not more than 0\n"+
		"0 steps; one or more are needed")
	_, err = even(1, 2, 1, 1).holdColumns(0, 0).Dupuit(0, make([]float64, 2), 0)
	assert.EqualError(t, err, "saturated conductivity 0 m/day is not between 1e-06 and 10000")
}

func BenchmarkSteady(b *testing.B) {
	const side = 1000
	for _, tt := range []struct {
		name  string
		drain int // columns between drains
	}{{"one ditch", side}, {"drains every 20 cells", 20}} {
		b.Run(fmt.Sprintf("side=%d/%s", side, tt.name), func(b *testing.B) {
			a := even(side, side, 1, 1)
			for i := range a.Held {
				if r, c := a.Cell(i); (c+r/9)%tt.drain == 0 { // not straight along the grid
					a.Held[i] = 10
				}
				a.Transmissivity[i] = 1 + 0.5*math.Sin(float64(i%side)/40)
			}
			b.ReportAllocs()
			cycles := 0
			for b.Loop() {
				h, err := a.Steady(0.001)
				if err != nil {
					b.Fatal(err)
				}
				cycles = h.Cycles
			}
			b.ReportMetric(float64(cycles), "cycles")
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*side*side), "ns/cell")
		})
	}
}
