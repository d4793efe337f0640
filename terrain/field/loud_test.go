package field

import (
	"math"
	"math/rand/v2"
	"testing"

	"wetfeet/terrain"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// seenThrough is a ground with an error as stated, side cells of 1 m.
func seenThrough(t *testing.T, side int, e Error, height func(x, y float64) float64) (truth, seen *terrain.Grid[float32]) {
	t.Helper()
	f := terrain.Frame{Rows: side, Cols: side, North: float64(side), CellSize: 1}
	truth, one := terrain.NewGrid[float32](f), terrain.NewGrid[float32](f)
	for i := range truth.Cells {
		p := f.Centre(f.Cell(i))
		truth.Cells[i] = float32(height(p[0], p[1]))
		one.Cells[i] = float32(e.SD)
	}
	d, err := OfExponential(truth, one, e.Range, 5)
	require.NoError(t, err)
	seen, other := terrain.NewGrid[float32](f), terrain.NewGrid[float32](f)
	d.NewRoom().Pair(0, seen.Cells, other.Cells)
	random := rand.New(rand.NewPCG(5, 5))
	for i := range seen.Cells {
		seen.Cells[i] += float32(e.CellNoise * random.NormFloat64())
	}
	return truth, seen
}

// gentle are a few long low waves.
func gentle(x, y float64) float64 {
	return 0.03*math.Sin(x/7+1) + 0.03*math.Cos(y/9-x/15) + 0.02*math.Sin(y/5+x/11)
}

// A lone bank is loud and little else is; the draws know its top better than
// the bare error would, and the ground around it as it would be known without
// the bank.
func TestABankDoesNotRoughenTheGroundAroundIt(t *testing.T) {
	e := Error{SD: 0.05, Range: 12, CellNoise: 0.01}
	bank := func(x, y float64) float64 { return 0.5 * math.Exp(-math.Pow((x+0.3*y-60)/2.5, 2)) }
	const side = 96
	_, plain := seenThrough(t, side, e, gentle)
	truth, seen := seenThrough(t, side, e, func(x, y float64) float64 { return gentle(x, y) + bank(x, y) })
	without, err := OfRaster(plain, e, 3)
	require.NoError(t, err)
	with, err := OfRaster(seen, e, 3)
	require.NoError(t, err)
	assert.Nil(t, without.loud, "even ground has nothing loud")
	require.NotNil(t, with.loud)

	var top, onTop, off, far, away, spread, spreadBefore float64
	for i, u := range with.loud.Cells {
		p := truth.Centre(truth.Cell(i))
		switch b := bank(p[0], p[1]); {
		case b > 0.4:
			top++
			onTop += float64(u)
			off += float64(with.Mean.Cells[i] - truth.Cells[i])
		case math.Abs(p[0]+0.3*p[1]-60) > 25:
			far++
			away += float64(u)
			spread += float64(with.SD.Cells[i])
			spreadBefore += float64(without.SD.Cells[i])
		}
	}
	t.Logf("loud: of the top %.2f, far away %.3f; mean of the top off by %.3f m; deviation far away %.4f m, without a bank %.4f", onTop/top, away/far, off/top, spread/far, spreadBefore/far)
	assert.Greater(t, onTop/top, 0.9)
	assert.Less(t, away/far, 0.02)
	assert.InDelta(t, 0, off/top, 0.03, "the bank is not planed off")
	assert.InEpsilon(t, spreadBefore, spread, 0.25)

	// Far from the bank both fields come of the same noise, so a draw there is
	// as if there were no loud ground.
	room := with.NewRoom()
	a, b := make([]float32, seen.Len()), make([]float32, seen.Len())
	room.Pair(4, a, b)
	again := make([]float32, seen.Len())
	with.NewRoom().Pair(4, again, b)
	assert.Equal(t, a, again)
	quiet := *with
	quiet.loud = nil
	quiet.NewRoom().Pair(4, again, b)
	differ := 0
	for i, u := range with.loud.Cells {
		if a[i] != again[i] {
			differ++
			assert.Positive(t, u)
		}
	}
	assert.Positive(t, differ)
}

// Furrows are a few waves: those of their spacing are kept apart and the
// furrows stay in the mean, where the sector that they lie in has as much
// energy as without them.
func TestFurrowsAreKeptApart(t *testing.T) {
	e := Error{SD: 0.05, Range: 12, CellNoise: 0.01}
	const side, high = 120, 0.1
	furrow := func(x, y float64) float64 { return high * math.Sin(2*math.Pi*(0.8*x+0.6*y)/6) }
	find := func(height func(x, y float64) float64) (*rose, torus, int) {
		_, seen := seenThrough(t, side, e, height)
		round, noise := e.spectrum(seen.Frame)
		g := newGround(seen, round)
		o := g.rose(g.shape(noise), noise, true)
		n := 0
		for _, v := range o.lines {
			if v > 0 {
				n++
			}
		}
		return o, round, n
	}
	plain, _, none := find(gentle)
	with, round, some := find(func(x, y float64) float64 { return gentle(x, y) + furrow(x, y) })
	t.Logf("%d frequencies apart without furrows, %d with, of %d", none, some, len(with.lines))
	assert.Less(t, float64(none), 0.005*float64(len(plain.lines)))
	assert.Greater(t, some, none)
	assert.Less(t, float64(some), 0.02*float64(len(with.lines)))
	k := int(math.Round(0.8 / 6 * float64(round.cols)))
	row := (round.rows - int(math.Round(0.6/6*float64(round.rows)))) % round.rows
	if with.lines[k*round.rows+row] == 0 { // rows run south
		row = round.rows - row
	}
	assert.Positive(t, with.lines[k*round.rows+row])
	for at, seen := range with.seen {
		if plain.count[at] > 3 && with.count[at] > 0 {
			assert.Less(t, seen, 3*plain.seen[at]+0.5*with.noise[at], "sector %d", at)
		}
	}
}
