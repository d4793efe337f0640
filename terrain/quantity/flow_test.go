package quantity

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A US gallon is 231 cubic inches and a foot 0.3048 m exactly: NIST Special
// Publication 811 (2008), appendix B.
func TestFlowsAndVolumesOfPipesAndRings(t *testing.T) {
	for s, want := range map[string]float64{
		"20 l/s": 0.02, "0.02 m3/s": 0.02, "1.2 m^3 / min": 0.02, "72 m3/h": 0.02, "20 litres per second": 0.02,
		"300 gpm": 300 * 231 * 0.0254 * 0.0254 * 0.0254 / 60, "300 gal/min": 300 * 231 * 0.0254 * 0.0254 * 0.0254 / 60,
		"0.7 cfs": 0.7 * 0.3048 * 0.3048 * 0.3048, "0.7 cu ft/s": 0.7 * 0.3048 * 0.3048 * 0.3048, "0 l/s": 0,
	} {
		got, err := Flow(s)
		assert.NoError(t, err, s)
		assert.InDelta(t, want, got, 1e-15, s)
	}
	for s, want := range map[string]float64{"3.5 l": 0.0035, "0.02 m3": 0.02, "1 gal": 231 * 0.0254 * 0.0254 * 0.0254, "500 ml": 0.0005} {
		got, err := Volume(s)
		assert.NoError(t, err, s)
		assert.InDelta(t, want, got, 1e-15, s)
	}
	_, err := Flow("20")
	assert.EqualError(t, err, `"20" is not a flow of water: use a number and a unit, such as 20 l/s, 0.02 m3/s, 300 gal/min or 0.7 ft3/s`)
	_, err = Flow("20 mm/h")
	assert.EqualError(t, err, `"20 mm/h" is not a flow of water: use a number and a unit, such as 20 l/s, 0.02 m3/s, 300 gal/min or 0.7 ft3/s`)
	_, err = Flow("-2 l/s")
	assert.EqualError(t, err, `"-2 l/s" is not a flow of water: it is below zero`)
	_, err = Volume("3")
	assert.EqualError(t, err, `"3" is not a volume: use a number and a unit, such as 3.5 l, 0.02 m3 or 1 gal`)
}
