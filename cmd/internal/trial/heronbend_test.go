package trial

import (
	"fmt"
	"testing"

	"wetfeet/cmd/internal/heronbend"
	"wetfeet/cmd/internal/planting"
	"wetfeet/hydro"
	"wetfeet/terrain"
	"wetfeet/terrain/survey"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// planned are the planned trees of Heron Bend. Wet is that they stand in more
// than 3 cm of water, on the true ground, when every hollow is full. Z is the
// true elevation.
func planned(t *testing.T) []Spot {
	t.Helper()
	truth := heronbend.Truth()
	full := brim(truth)
	var spots []Spot
	for _, r := range heronbend.Rows() {
		positions, err := planting.Lay(planting.Row{Name: r.Name, Line: r.Line, Spacing: r.Spacing, Pattern: r.Pattern, Gaps: [][2]float64{r.Gap}})
		require.NoError(t, err)
		for _, p := range positions {
			z, ok := terrain.AtPoint(truth, p.Point)
			require.True(t, ok)
			depth, _ := terrain.AtPoint(full, p.Point)
			spots = append(spots, Spot{Point: p.Point, Z: float64(z), Wet: depth > 0.03})
		}
	}
	return spots
}

// How well the program finds, from what a survey would show, the trees of
// Heron Bend that stand in water on its true ground. The place is invented
// and its water is rain that fills hollows, which is what the program models.
// The table is printed with that of the Meuse.
//
// Wet here is the brim-full depth of the truth, so brim-full depth is at home.
// Over filled ground the index is helped as well, since the level of a full
// hollow has the least slope there is. With hollows kept it gathers all their
// water in the cell of the floor and calls the rest of the hollow dry: as it
// stands it finds where water ends and not how far that reaches.
func TestAUCAtHeronBend(t *testing.T) {
	spots := planned(t)
	wet := seen(spots)
	count := 0
	for _, w := range wet {
		if w {
			count++
		}
	}

	shots := make([]survey.Shot, 0, 120)
	for _, s := range heronbend.Shots() {
		shots = append(shots, survey.Shot{Point: s.Point, Z: s.Z})
	}
	model, err := survey.FitDirection(shots, survey.Options{Error: heronbend.ShotError})
	require.NoError(t, err)
	fromShots, _ := model.Grid(heronbend.Frame())

	raster := heronbend.Raster()
	const noise = heronbend.RasterError
	usual := drained(t, raster, hydro.Options{Error: noise})
	filled := drained(t, raster, hydro.Options{Error: noise, Hollows: hydro.FillAll})
	light := drained(t, raster, hydro.Options{Error: noise, Smooth: 1})
	heavy := drained(t, raster, hydro.Options{Error: noise, Smooth: 6})
	drawn := drained(t, fromShots, hydro.Options{Error: heronbend.ShotError})
	drawnFilled := drained(t, fromShots, hydro.Options{Error: heronbend.ShotError, Hollows: hydro.FillAll})

	fmt.Fprintf(t.Output(), "| Heron Bend (invented), %d trees, %d of them in water | AUC (90 %%) |\n|---|---|\n", len(spots), count)
	for _, row := range []struct {
		measure string
		score   []float64
		want    float64
	}{
		{"true elevation", Lowness(spots), 0.932},
		{"true elevation less its plane", BelowPlane(spots), 0.972},
		{"raster, 3 cm noise: brim-full depth", read(t, usual.BrimDepth, spots), 0.935},
		{"... brim-full depth in hollows that are more than noise", read(t, significant(usual, noise), spots), 0.956},
		{"... brim-full depth of the ground smoothed over 1 m", read(t, brim(light.Smoothed), spots), 0.999},
		{"... wetness index, hollows kept", read(t, usual.Wetness, spots), 0.925},
		{"... wetness index, hollows kept, smoothed over 6 m", read(t, heavy.Wetness, spots), 0.931},
		{"... wetness index, hollows filled", read(t, filled.Wetness, spots), 0.905},
		{"120 spot heights: brim-full depth", read(t, drawn.BrimDepth, spots), 0.999},
		{"... wetness index, hollows kept", read(t, drawn.Wetness, spots), 0.998},
		{"... wetness index, hollows filled", read(t, drawnFilled.Wetness, spots), 0.990},
	} {
		area := AUC(row.score, wet)
		lo, hi := among(area)
		fmt.Fprintf(t.Output(), "| %s | %.3f (%.3f–%.3f) |\n", row.measure, area.Value, lo, hi)
		assert.InDelta(t, row.want, area.Value, 0.01, row.measure)
	}
}

// A tree is said to stand in water if its brim-full depth is over 3 cm. On the
// raster with its noise, 17 dry trees would be called wet unless hollows that
// are no more than noise are left out first; leaving them out costs no tree
// that was found.
func TestTreesInWaterAtHeronBendAreFound(t *testing.T) {
	spots := planned(t)
	d := drained(t, heronbend.Raster(), hydro.Options{Error: heronbend.RasterError})
	count := func(depth *terrain.Grid[float32]) (found, missed, mistaken int) {
		for i, v := range read(t, depth, spots) {
			switch called := v > 0.03; {
			case called && spots[i].Wet:
				found++
			case spots[i].Wet:
				missed++
			case called:
				mistaken++
			}
		}
		return found, missed, mistaken
	}
	found, missed, mistaken := count(significant(d, heronbend.RasterError))
	assert.Equal(t, []int{20, 3, 0}, []int{found, missed, mistaken}, "noise left out: found, missed, dry called wet")
	found, missed, mistaken = count(d.BrimDepth)
	assert.Equal(t, []int{20, 3, 17}, []int{found, missed, mistaken}, "as it is")
}

func drained(t *testing.T, ground *terrain.Grid[float32], o hydro.Options) *hydro.Drainage {
	t.Helper()
	d, err := hydro.Drain(t.Context(), ground, o)
	require.NoError(t, err)
	return d
}

// brim is the depth of water when every hollow is full.
func brim(ground *terrain.Grid[float32]) *terrain.Grid[float32] {
	depth := terrain.NewGrid[float32](ground.Frame)
	hydro.Fill(depth, ground)
	for i, z := range ground.Cells {
		depth.Cells[i] -= z
	}
	return depth
}

// significant is the brim-full depth in hollows that are more than the error
// of the ground, and 0 elsewhere.
func significant(d *hydro.Drainage, sigma float64) *terrain.Grid[float32] {
	depth := terrain.NewGrid[float32](d.Ground.Frame)
	for i, outer := range hydro.FindHollows(d.Ground).Significant(sigma).Outer {
		if outer > 0 {
			depth.Cells[i] = d.BrimDepth.Cells[i]
		}
	}
	return depth
}
