package assess

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"wetfeet/terrain/field"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Draws of a raster corrected by shots pass by the shots as they were taken,
// and dig no holes at them.
func TestDrawsOfARasterPassByItsShots(t *testing.T) {
	p := pitsWithYears(t)
	p.Season, p.Odds = SeasonPlan{}, OddsPlan{Draws: 24, Seed: 5}
	const high = 0.05 // the raster lies too low by this, m
	rng := rand.New(rand.NewPCG(2, 9))
	var text strings.Builder
	text.WriteString("x,y,z\n")
	for x := 2; x < 60; x += 4 {
		for _, y := range []int{5, 20, 35} {
			row := 40 - y
			z := 10 - 0.01*float64(x) + 0.004*float64((row*7+x*3)%5) + high
			for _, middle := range []int{15, 45} {
				if max(abs(x-middle), abs(row-20)) <= 3 {
					z -= 0.3
				}
			}
			fmt.Fprintf(&text, "%g,%g,%.4f\n", 500000.5+float64(x), 3100000.5+float64(y), z+0.01*rng.NormFloat64())
		}
	}
	p.Ground.SpotHeights = filepath.Join(t.TempDir(), "shots.csv")
	require.NoError(t, os.WriteFile(p.Ground.SpotHeights, []byte(text.String()), 0o600))
	p.Error, p.Ground.Error = 0.01, 0.01
	r, err := Run(context.Background(), p, nil)
	require.NoError(t, err)
	f := r.Odds.Ground.Frame
	a, b := make([]float32, f.Len()), make([]float32, f.Len())
	room := r.Odds.Ground.NewRoom()
	for k := range 4 {
		room.Pair(k, a, b)
		for _, s := range r.basis.ground.Survey.Shots.Shots {
			row, col, on := f.Locate(s.Point)
			require.True(t, on)
			for _, draw := range [][]float32{a, b} {
				assert.InDelta(t, s.Z, draw[f.Index(row, col)], 0.06)
			}
		}
	}
	for _, i := range []int{0, 6} { // on the slope, one of them on a shot
		assert.Less(t, r.Trees[i].Depths.High, 0.05, r.Trees[i].ID)
	}
	assert.Greater(t, r.Trees[3].Ponding, 0.9, "in the middle of a pit")
}

func TestThinnedShotsAreSpreadEvenly(t *testing.T) {
	shots := make([]field.Shot, 7)
	for i := range shots {
		shots[i].Z = float64(i)
	}
	var got []float64
	for _, s := range thinned(shots, 3) {
		got = append(got, s.Z)
	}
	assert.Equal(t, []float64{0, 2, 4}, got)
}
