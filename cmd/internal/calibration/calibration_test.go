package calibration

import (
	"bytes"
	"context"
	"math"
	"math/rand/v2"
	"runtime"
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
	answers, err := Run(context.Background(), 1, 12, 40, 12, nil)
	require.NoError(t, err)
	scores := Scores(answers)
	s := scores[0]
	const miscalibration, skill, volume = 0.012, 0.2, 0.5
	assert.Less(t, s.Curve.Miscalibration, miscalibration)
	assert.Greater(t, s.Skill, skill)
	assert.Less(t, math.Abs(s.SiteBias.Value), volume)
	assert.Greater(t, s.Held.Value, 0.8)
	assert.Greater(t, s.Held.Value, s.BareHeld.Value, "with the allowance")

	assert.Greater(t, s.Naive.Miscalibration, 2*miscalibration, "the naive answer")
	assert.Greater(t, s.NaiveBias.Value, 2*volume, "the naive answer")

	var table bytes.Buffer
	require.NoError(t, WriteTable(&table, answers))
	t.Log("\n" + table.String())
	assert.NotContains(t, scores[1].Diagram().SVG(), "NaN")
}

func TestAnswersAreTheSameAtAnyNumberOfProcessors(t *testing.T) {
	if testing.Short() {
		t.Skip("runs the program on two sites twice")
	}
	ask := func(processors int) []*Answer {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(processors))
		answers, err := Run(context.Background(), 5, 4, 6, 2, nil)
		require.NoError(t, err)
		return answers
	}
	assert.Equal(t, ask(1), ask(3))
}

func TestRunCanBeInterrupted(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	_, err := Run(ctx, 1, 3, 4, 0, nil)
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
