package assess

import (
	"testing"

	"wetfeet/cmd/internal/site"
	"wetfeet/hydro"
	"wetfeet/hydro/storm"
	"wetfeet/terrain"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// On ground without hollows within its error the storm goes the same course as
// in the assessment, with a pipe and without.
func TestCourseOnTheSameGroundIsTheStorm(t *testing.T) {
	plan := pans(t)
	plan.Odds.Off = true
	plan.Links = []site.Link{{Name: "p", Where: "p", Line: orb.LineString{{500_020.5, 3_000_020.5}, {500_020.5, 2_999_990}}, Depth: 0.3}}
	r, err := Run(t.Context(), plan, nil)
	require.NoError(t, err)
	c, err := r.Course(t.Context(), r.Drain.Ground, make([]float64, len(r.Trees)))
	require.NoError(t, err)
	assert.Empty(t, c.LeftOut)
	for i, want := range []float64{0.3, 0.6, 0.6} {
		tree := &r.Trees[i]
		assert.InDelta(t, want, tree.StormDepth, 1e-3)
		assert.InDelta(t, tree.StormDepth, c.Depth[i], 1e-6)
		assert.InDelta(t, tree.WetHours, c.Hours[i], 1e-6)
		row, col, _ := c.Water.Locate(tree.Point)
		assert.InDelta(t, tree.Ground+want, c.Water.At(row, col), 1e-3)
	}

	// A crown stays where it is when the ground around it is raised, and a pan
	// that is filled up holds nothing.
	raised := terrain.NewGrid[float32](r.Drain.Ground.Frame)
	copy(raised.Cells, r.Drain.Ground.Cells)
	for row := 10; row < 30; row++ {
		for col := 90; col < 110; col++ {
			raised.Set(row, col, raised.At(row, col)+0.8)
		}
	}
	raised.Set(19, 60, raised.At(19, 60)+0.2)
	after, err := r.Course(t.Context(), raised, []float64{0, 0.2, 0})
	require.NoError(t, err)
	assert.InDelta(t, 0.3, after.Depth[0], 1e-3)
	assert.InDelta(t, 0.4, after.Depth[1], 1e-3)
	assert.Zero(t, after.Depth[2])
	assert.Zero(t, after.Hours[2])
}

// A pipe that cannot be on a ground is left out by name, and the others stay.
func TestCourseDoesWithoutAPipeThatCannotBe(t *testing.T) {
	plan := pans(t)
	plan.Odds.Off = true
	r, err := Run(t.Context(), plan, nil)
	require.NoError(t, err)
	leaf := func(tree int) int { return int(r.Drain.Hollows.Inner[r.Trees[tree].cell]) - 1 }
	links := []storm.Link{
		{Name: "good", From: leaf(0), To: hydro.Outside, Level: 9.4},
		{Name: "buried", From: leaf(1), To: hydro.Outside, Level: 8},
	}
	_, err = storm.Prepare(r.Drain.Hollows, storm.Options{Links: links})
	require.Error(t, err)
	c := &Course{}
	kept := c.drop(links, err)
	assert.Equal(t, links[:1], kept)
	require.Len(t, c.LeftOut, 1)
	assert.Contains(t, c.LeftOut[0], "buried: starts at 8.000 m, no higher than the floor of hollow")
	_, err = storm.Prepare(r.Drain.Hollows, storm.Options{Links: kept})
	assert.NoError(t, err)
}
