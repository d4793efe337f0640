package calibration

import (
	"bytes"
	"context"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"wetfeet/terrain"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A dozen of the sites that cmd/calibrate scores, with fewer draws and limits
// wide enough for what chance does with so few, which the naive answer all the
// same does not keep.
func TestOddsOfADozenSites(t *testing.T) {
	if testing.Short() {
		t.Skip("runs the program on a dozen sites")
	}
	answers, err := Run(context.Background(), 1, 12, 40, nil)
	require.NoError(t, err)
	scores := Scores(answers)
	s := scores[0]
	const miscalibration, skill, volume = 0.012, 0.2, 0.5
	assert.Less(t, s.Curve.Miscalibration, miscalibration)
	assert.Greater(t, s.Skill, skill)
	assert.Less(t, math.Abs(s.SiteBias.Value), volume)
	assert.Greater(t, s.Held.Value, 0.8)
	assert.Greater(t, s.Held.Value, s.Bare.Value, "with the allowance")

	assert.Greater(t, s.Naive.Miscalibration, 2*miscalibration, "the naive answer")
	assert.Greater(t, s.NaiveBias.Value, 2*volume, "the naive answer")

	var table bytes.Buffer
	require.NoError(t, WriteTable(&table, scores))
	t.Log("\n" + table.String())
	assert.NotContains(t, scores[1].Diagram().SVG(), "NaN")
}

// Drawn out by the allowance that hollows ask for, intervals hold nine in ten
// of them, and drawn out a hair less, fewer.
func TestAllowanceIsTheLeastThatHoldsNineInTen(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	a := &Answer{}
	for range 99 {
		v := Volume{Truth: math.Pow(max(3+1.5*r.NormFloat64(), 0), 3)} // half as wide again as the draws
		for range 40 {
			v.Draws = append(v.Draws, float32(math.Pow(3+r.NormFloat64(), 3)))
		}
		slices.Sort(v.Draws)
		a.Hollows = append(a.Hollows, v)
	}
	times := Allowance([]*Answer{a})
	t.Logf("%.3f", times)
	assert.InDelta(t, 1.5, times, 0.3)
	var all volumes
	for i := range a.Hollows {
		all.add(&a.Hollows[i])
	}
	assert.InDelta(t, 90.0/99, all.held(times+1e-9).Value, 1e-12)
	assert.InDelta(t, 89.0/99, all.held(times-1e-9).Value, 1e-12)

	assert.Zero(t, (&Volume{Draws: []float32{1, 2, 3}, Truth: 2}).needs())
	assert.Equal(t, math.Inf(1), (&Volume{Draws: []float32{0, 0, 0}, Truth: 2}).needs(), "no draw has it")
	assert.Equal(t, math.Inf(1), Allowance([]*Answer{{Hollows: a.Hollows[:3]}}), "too few to tell")
}

func TestAnswersAreTheSameAtAnyNumberOfProcessors(t *testing.T) {
	if testing.Short() {
		t.Skip("runs the program on two sites twice")
	}
	ask := func(processors int) []*Answer {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(processors))
		answers, err := Run(context.Background(), 5, 4, 6, nil)
		require.NoError(t, err)
		return answers
	}
	assert.Equal(t, ask(1), ask(3))
}

func TestRunCanBeInterrupted(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	_, err := Run(ctx, 1, 3, 4, nil)
	assert.ErrorIs(t, err, context.Canceled)
}

// The error of a raster has the covariance that is stated, over many draws of
// a pair that have nothing to do with each other.
func TestNoiseHasItsCovariance(t *testing.T) {
	f := terrain.Frame{Rows: 12, Cols: 16, CellSize: 0.5}
	const sd, reach, pairs = 0.05, 4.0, 3000
	n, r := newNoise(f, sd, reach), rand.New(rand.NewPCG(2, 2))
	lags := [][2]int{{0, 0}, {0, 1}, {2, 0}, {3, 3}, {0, 10}}
	sums, both := make([]float64, len(lags)), 0.0
	for range pairs {
		a, b := n.pair(r)
		both += a[50] * b[50]
		for i, l := range lags {
			sums[i] += a[f.Index(0, 0)]*a[f.Index(l[0], l[1])] + b[f.Index(0, 0)]*b[f.Index(l[0], l[1])]
		}
	}
	for i, l := range lags {
		h := math.Hypot(float64(l[0]), float64(l[1])) * f.CellSize
		// One standard error is at most √2 of the variance over √(2 · 3000).
		assert.InDelta(t, sd*sd*math.Exp(-3*h/reach), sums[i]/(2*pairs), 4*sd*sd*math.Sqrt2/math.Sqrt(2*pairs), "lag %v", l)
	}
	assert.InDelta(t, 0, both/pairs, 4*sd*sd/math.Sqrt(pairs))
}

// Sites follow from the seed and their number; each has what it should.
func TestSitesAreMade(t *testing.T) {
	seen := map[Kind]bool{}
	surveyed := 0
	for number := range 20 {
		s := Make(3, number)
		seen[s.Kind] = true
		assert.Len(t, s.Trees, treesSide*treesSide)
		for _, cell := range s.Trees {
			row, col := s.Truth.Cell(cell)
			assert.True(t, row > 0 && row < cells-1 && col > 0 && col < cells-1)
		}
		lo, hi := math.Inf(1), math.Inf(-1)
		off, squares := 0.0, 0.0
		for i, z := range s.Truth.Cells {
			lo, hi = min(lo, float64(z)), max(hi, float64(z))
			if s.Raster != nil {
				d := float64(s.Raster.Cells[i] - z)
				off += d / float64(len(s.Truth.Cells))
				squares += d * d / float64(len(s.Truth.Cells))
			}
		}
		assert.Less(t, hi-lo, 2.0, "low, flat ground")
		assert.Greater(t, hi-lo, 0.05)
		if s.Surveyed() {
			surveyed++
			assert.Greater(t, len(s.Shots), 80)
			continue
		}
		assert.InDelta(t, math.Hypot(s.Error.SD, s.Error.CellNoise), math.Sqrt(squares), 0.5*s.Error.SD)
		assert.InDelta(t, 0, off, s.Error.SD)
	}
	assert.Equal(t, 5, surveyed)
	assert.Len(t, seen, int(kinds))
	assert.Equal(t, Make(3, 7), Make(3, 7))
	assert.NotEqual(t, Make(3, 8).Truth.Cells, Make(4, 8).Truth.Cells)
}
