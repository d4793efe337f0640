package heronbend

import (
	"bytes"
	"math"
	"slices"
	"strings"
	"testing"

	"wetfeet/hydro"
	"wetfeet/terrain"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// highest walks a straight line from one place to another in centimetre steps
// and keeps the highest elevation.
func highest(fromU, fromV, toU, toV float64) float64 {
	n := int(100 * math.Hypot(toU-fromU, toV-fromV))
	top := math.Inf(-1)
	for i := range n + 1 {
		t := float64(i) / float64(n)
		top = max(top, Ground(West+fromU+t*(toU-fromU), South+fromV+t*(toV-fromV)))
	}
	return top
}

// The hollows of the true ground are the ones that were put there, and no
// others: the wide one with its two bowls, the dammed swale and the pocket.
// Depths are those of the raster's cells, good to some millimetres.
func TestHollowsAreThoseThatWerePutThere(t *testing.T) {
	found := hydro.FindHollows(Truth())
	at := func(u, v float64) int { // the leaf a place drains to
		row, col, ok := found.Locate(orb.Point{West + u, South + v})
		require.True(t, ok)
		return int(found.Inner[found.Index(row, col)]) - 1
	}
	require.Len(t, found.All, 5)
	west, east := at(westBowl.u, westBowl.v), at(eastBowl.u, eastBowl.v)
	swaleEnd, lone := at(100, 42), at(pocket.u, pocket.v)
	wide := found.All[west].Parent
	require.Equal(t, wide, found.All[east].Parent, "both bowls lie in the wide hollow")
	for _, tt := range []struct {
		name            string
		hollow          int
		depth           float64
		parent, spillTo int
	}{
		{"wide hollow", wide, 0.250, hydro.Outside, hydro.Outside},
		{"west bowl", west, 0.170, wide, east},
		{"east bowl", east, 0.123, wide, west},
		{"swale above the track", swaleEnd, 0.174, hydro.Outside, hydro.Outside},
		{"pocket", lone, 0.117, hydro.Outside, hydro.Outside},
	} {
		h := found.All[tt.hollow]
		assert.InDelta(t, tt.depth, h.Depth(), 0.003, tt.name)
		assert.Equal(t, tt.parent, h.Parent, tt.name)
		assert.Equal(t, tt.spillTo, h.SpillsTo, tt.name)
	}
	assert.InDelta(t, 0.080, found.All[wide].Spill-found.All[west].Spill, 0.003, "the saddle below the rim")
}

// A straight line out of the hollow bounds its spill level from above by the
// line's highest point, in the formula itself and without any flood. The
// least of these bounds is that of the way down the terrace, and is within
// half a centimetre of where the flood comes to rest.
func TestWideHollowSpillsDownTheTerrace(t *testing.T) {
	spill, way := math.Inf(1), 0.0
	for degrees := range 360 {
		a := float64(degrees) * math.Pi / 180
		if h := highest(hollow.u, hollow.v-1.5, hollow.u+30*math.Cos(a), hollow.v-1.5+30*math.Sin(a)); h < spill {
			spill, way = h, float64(degrees)
		}
	}
	assert.InDelta(t, 305, way, 35, "degrees counter-clockwise from east")
	filled := terrain.NewGrid[float32](Frame())
	hydro.Fill(filled, Truth())
	level, ok := terrain.AtPoint(filled, orb.Point{West + westBowl.u, South + westBowl.v})
	require.True(t, ok)
	assert.InDelta(t, spill, level, 0.005)
	saddle := highest(westBowl.u, westBowl.v-0.7, eastBowl.u, eastBowl.v-0.7)
	assert.InDelta(t, 0.080, spill-saddle, 0.005)
}

// The swale falls all the way but for the track, whose bank dams it.
func TestSwaleFallsExceptAtTheTrack(t *testing.T) {
	floor := func(v float64) float64 { return Ground(West+swale.middle(v), South+v) }
	for v := 109.0; v > 0; v-- {
		onTrack := math.Abs(swale.middle(v)-track.fromU) < track.half+1
		if !onTrack && !(math.Abs(swale.middle(v+1)-track.fromU) < track.half+1) {
			assert.Less(t, floor(v), floor(v+1), "at v = %v", v)
		}
	}
	crossing := 39.0
	assert.InDelta(t, track.fromU, swale.middle(crossing), 1)
	assert.Greater(t, floor(crossing), floor(crossing+8)+0.1, "the bank stands 10 cm and more over the floor above it")
}

func TestTerraceFallsHalfAMetreInAHundred(t *testing.T) {
	assert.InDelta(t, 0.005, math.Hypot(fallEast, fallSouth), 1e-5)
}

// White noise: no mean, the stated spread, and neighbours that know nothing
// of each other. Bounds are four standard errors of 81,600 independent draws.
func TestRasterIsTruthWithWhiteNoise(t *testing.T) {
	truth, raster := Truth(), Raster()
	require.Equal(t, truth.Frame, raster.Frame)
	var sum, squares, beside float64
	n := float64(raster.Len())
	noise := make([]float64, raster.Len())
	for i := range noise {
		noise[i] = float64(raster.Cells[i]) - float64(truth.Cells[i])
		sum += noise[i]
		squares += noise[i] * noise[i]
		if i > 0 {
			beside += noise[i] * noise[i-1]
		}
	}
	sd := math.Sqrt(squares / n)
	assert.InDelta(t, 0, sum/n, 4*RasterError/math.Sqrt(n))
	assert.InDelta(t, RasterError, sd, 4*RasterError/math.Sqrt(2*n))
	assert.InDelta(t, 0, beside/squares, 4/math.Sqrt(n))
	assert.Equal(t, raster, Raster(), "the second time as the first")
}

// 120 shots with an error of 1 cm: the sum of their squares is chi-square
// with 120 degrees of freedom, of which 99.8 % lies between 77 and 173.
func TestShotsAreTruthToACentimetre(t *testing.T) {
	shots := Shots()
	require.Len(t, shots, 120)
	squares := 0.0
	seen := map[orb.Point]bool{}
	for _, s := range shots {
		slip := (s.Z - Ground(s.Point[0], s.Point[1])) / ShotError
		squares += slip * slip
		assert.False(t, seen[s.Point], "two shots at %v", s.Point)
		seen[s.Point] = true
		assert.NotEmpty(t, s.Note)
	}
	assert.Greater(t, squares, 77.0)
	assert.Less(t, squares, 173.0)
	assert.Equal(t, shots, Shots(), "the second time as the first")
}

func TestOrchardIsOneAndAHalfHectares(t *testing.T) {
	fence := Boundary()
	assert.InEpsilon(t, 15000, planar.Area(fence), 0.02)
	assert.Equal(t, orb.CCW, fence.Orientation(), "RFC 7946, section 3.1.6")
	frame := Frame().Bound()
	for _, p := range fence {
		assert.True(t, frame.Contains(p))
	}
	for _, r := range Rows() {
		assert.InDelta(t, 140, planar.Length(r.Line), 0.05, "row %s", r.Name)
		for _, p := range r.Line {
			assert.True(t, planar.RingContains(fence, p), "row %s", r.Name)
		}
		gate := r.Line[0][0] + (r.Gap[0]+r.Gap[1])/2
		assert.InDelta(t, West+track.fromU, gate, 0.5, "row %s leaves the track free", r.Name)
	}
	for _, s := range Singles() {
		assert.True(t, planar.RingContains(fence, s.Point), s.ID)
	}
}

// A reader of any of the files learns that the place is made up.
func TestSiteFilesSayTheyAreInvented(t *testing.T) {
	for _, from := range []Source{FromRaster, FromShots, FromBook} {
		var b bytes.Buffer
		require.NoError(t, WriteSite(&b, from))
		lines := strings.Split(b.String(), "\n")
		assert.True(t, slices.Contains(lines, "invented = true"))
		assert.Contains(t, lines[0], "invented")
	}
}
