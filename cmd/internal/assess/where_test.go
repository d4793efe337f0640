package assess

import (
	"testing"

	"wetfeet/hydro"
	"wetfeet/terrain"
	"wetfeet/terrain/quantity"
	"wetfeet/terrain/raster"
	"wetfeet/terrain/survey"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
)

func on(crs string, u quantity.Units) *Result {
	d := &hydro.Drainage{Ground: &terrain.Grid[float32]{Frame: terrain.Frame{CRS: crs}}}
	return &Result{Units: u, Drain: d}
}

// A place in metres is told in feet, 0.3048 m each, only where the grower taped
// it from a peg: a system of metres keeps its metres.
func TestPlacesAreToldInTheUnitTheyAreTapedIn(t *testing.T) {
	p := orb.Point{49.5, 10.5}
	peg := raster.LocalCRS(-99.25, 29.5)
	assert.Equal(t, "E 162.4 ft, N 34.4 ft", on(peg, quantity.Feet).Where(p))
	assert.Equal(t, "E 49.5, N 10.5", on(peg, quantity.Metric).Where(p))
	assert.Equal(t, "E 49.5, N 10.5", on("EPSG:32614", quantity.Feet).Where(p))
}

func TestAReadingSaysWhatItWouldDoInTheUnitsOfTheReport(t *testing.T) {
	place := survey.Place{SD: 0.0402, After: 0.018, Near: 5.6, Before: 2, Gain: 0.28, Helps: []int{1, 0}}
	targets := []survey.Target{{Name: "A-1"}, {Name: "A-2"}}
	assert.Equal(t, "known to 4.0 cm now, to 1.8 cm with a reading; 5.6 m from the nearest shot; 14 % fewer trees misjudged wet or dry, most at A-2, A-1",
		on("", quantity.Metric).reason(place, targets))
	assert.Equal(t, "known to 1.6 in now, to 0.7 in with a reading; 18.4 ft from the nearest shot; 14 % fewer trees misjudged wet or dry, most at A-2, A-1",
		on("", quantity.Feet).reason(place, targets))
	assert.Equal(t, "known to 0.4 in now, and little better with a reading", BetterKnown(0.0110, 0.0105, quantity.Feet))
}
