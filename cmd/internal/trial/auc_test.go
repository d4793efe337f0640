package trial

import (
	"fmt"
	"testing"

	"wetfeet/hydro"
	"wetfeet/terrain/survey"

	"github.com/stretchr/testify/assert"
)

// How well measures of the ground tell the spots of the Meuse plain that flood
// every other year from the rest. The table is printed by
//
//	go test ./cmd/internal/trial -run AUC -v
//
// and held to the third decimal or so: a change of the program that moves a
// figure has to say so here and in the README. Nothing in it was fitted to
// the floods but the radius of the row that says how it was chosen.
//
// The first AUC compares every wet spot with every dry one on four kilometres
// of valley; the last only those within 500 m of each other, as someone does
// who plants one field. Northing is no measure of wetness: it stands there
// as a warning that the floods reach higher ground downstream than upstream,
// so that anything that rises northward gains in the first column.
//
// The surface goes by every shot within its error, so a spot that was measured
// has its own height in its score; the rows that say so leave it out. With
// heights taken as good to 10 cm the surface falls back to the plane within
// 130 m of a shot: between low shots it rises and between high ones it sinks,
// and the index of a spot not measured is worse than none.
func TestAUCOnTheMeusePlain(t *testing.T) {
	spots, toRiver := meuse(t)
	wet := seen(spots)
	near, north := make([]float64, len(spots)), make([]float64, len(spots))
	for i, s := range spots {
		near[i], north[i] = -toRiver[i], s.Point[1]
	}
	var shares, heights [][]float64
	for _, radius := range []float64{250, 500, 1000, 2000} {
		shares = append(shares, LowerThanNeighbours(spots, radius))
		heights = append(heights, AboveLowest(spots, radius))
	}

	stated, fitted := survey.Options{Error: 0.1, Isotropic: true}, survey.Options{Isotropic: true}
	frame, coarse := frameOf(t, spots, 10), frameOf(t, spots, 20)
	site := surfaceThrough(t, spots, stated, frame, hydro.Auto) // as testdata/meuse/meuse.toml asks for
	siteFilled := surfaceThrough(t, spots, stated, frame, hydro.FillAll)
	smooth := surfaceThrough(t, spots, fitted, frame, hydro.Auto)
	wetness := read(t, site.Wetness, spots)

	const reach, block = 500, 500 // m
	elevation := Lowness(spots)
	print := func(format string, args ...any) { fmt.Fprintf(t.Output(), format+"\n", args...) }
	print("| measure | AUC, all spots (90 %%) | less elevation's (90 %%) | AUC, spots within 500 m (90 %%) |")
	print("|---|---|---|---|")
	for _, row := range []struct {
		measure   string
		score     []float64
		all, near float64
	}{
		{"elevation", elevation, 0.788, 0.991},
		{"elevation less its plane", BelowPlane(spots), 0.826, 0.984},
		{"share of spots within 250 m that are higher", shares[0], 0.760, 0.913},
		{"... within 500 m", shares[1], 0.801, 0.977},
		{"... within 1 km", shares[2], 0.836, 0.984},
		{"... within 2 km", shares[3], 0.831, 0.985},
		{"... radius chosen on other strips of the valley", chosenElsewhere(spots, shares), 0.809, 0.974},
		{"height above the lowest spot within 250 m", heights[0], 0.693, 0.868},
		{"... within 500 m", heights[1], 0.791, 0.968},
		{"... within 1 km", heights[2], 0.899, 0.962},
		{"... within 2 km", heights[3], 0.900, 0.983},
		{"... radius chosen on other strips of the valley", chosenElsewhere(spots, heights), 0.848, 0.944},
		{"surface (heights good to 10 cm): elevation less its trend", site.belowTrend(spots), 0.822, 0.984},
		{"... wetness index, hollows kept", wetness, 0.783, 0.961},
		{"... wetness index, hollows filled", read(t, siteFilled.Wetness, spots), 0.773, 0.935},
		{"... brim-full depth", read(t, site.BrimDepth, spots), 0.712, 0.828},
		{"... height above the flow line it drains to", site.aboveFlowLine(spots), 0.803, 0.890},
		{"... mean rank of wetness index and elevation less its plane", meanRank(wetness, BelowPlane(spots)), 0.809, 0.972},
		{"... wetness index, the spot itself not measured", unmeasured(t, spots, stated, coarse), 0.300, 0.310},
		{"surface (error fitted, 73 cm): wetness index, hollows kept", read(t, smooth.Wetness, spots), 0.572, 0.729},
		{"... wetness index, the spot itself not measured", unmeasured(t, spots, fitted, coarse), 0.489, 0.509},
		{"... elevation, the spot itself not measured", predicted(t, spots, fitted), 0.598, 0.672},
		{"for comparison: nearness to the river", near, 0.688, 0.680},
		{"for comparison: northing alone", north, 0.845, 0.663},
	} {
		all, gain := AUC(row.score, wet), Gain(row.score, elevation, wet)
		here := AUCNear(spots, row.score, reach, block)
		lo, hi := among(all)
		gainLo, gainHi := gain.Interval()
		hereLo, hereHi := among(here)
		print("| %s | %.3f (%.3f–%.3f) | %+.3f (%+.3f to %+.3f) | %.3f (%.3f–%.3f) |",
			row.measure, all.Value, lo, hi, gain.Value, gainLo, gainHi, here.Value, hereLo, hereHi)
		assert.InDelta(t, row.all, all.Value, 0.01, row.measure)
		assert.InDelta(t, row.near, here.Value, 0.015, "%s, near", row.measure)
	}
	// Neighbours flood together. Drawn again by squares of 500 m and not spot
	// by spot, the same figures are less sure.
	for _, row := range []struct {
		measure string
		score   []float64
	}{{"elevation less its plane", BelowPlane(spots)}, {"height above the lowest spot within 1 km", heights[2]}, {"wetness index, hollows kept", wetness}} {
		far := GainNear(spots, row.score, elevation, Anywhere, block)
		lo, hi := far.Interval()
		print("%s, less elevation's, spots drawn by squares: %+.3f (%+.3f to %+.3f)", row.measure, far.Value, lo, hi)
		assert.Greater(t, far.Error, Gain(row.score, elevation, wet).Error, row.measure)
	}
}
