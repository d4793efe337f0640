package advise

import (
	"testing"

	"wetfeet/cmd/internal/assess"
	"wetfeet/terrain/quantity"

	"github.com/stretchr/testify/assert"
)

// 5.5 less 3.6 is 1.9: whole trees would read 5, 4 and 2, which do not add up.
func TestTheTreesOfTheLeadAddUp(t *testing.T) {
	a := &Advice{Changes: make([]Change, 1), Now: Loss{Mean: 5.5, Low: 2, High: 9}, Then: Loss{Mean: 3.6, Low: 1, High: 8}, Saved: Loss{Mean: 1.9, Low: 0, High: 3}}
	assert.Equal(t, "As planned, 5.5 trees are expected to be lost (2 to 9 in eight cases of ten). With all that is advised here it is 3.6 trees (1 to 8): 1.9 trees fewer (0 to 3).", a.Lead(&assess.Result{}))
}

// A cubic yard is 0.9144 m cubed, 0.764554857984 m³.
func TestSoilIsToldInTheUnitsOfTheReportFirst(t *testing.T) {
	a := &Advice{}
	a.Soil.Mounds, a.Soil.Settled, a.Soil.Loose = 2, 3, 4
	for u, says := range map[quantity.Units]string{
		quantity.Metric: "2 mounds: 3.0 m³ of settled soil. Bring 4.0 m³ (5.2 yd³)",
		quantity.Feet:   "2 mounds: 3.9 yd³ of settled soil. Bring 5.2 yd³ (4.0 m³)",
	} {
		assert.Contains(t, a.Heaps(&assess.Result{Units: u}, 1)[0], says)
	}
}

func TestNumbersAreWrittenAsPeopleDo(t *testing.T) {
	for v, want := range map[float64]string{
		0.00012: "0.12 litres a second", 0.0226: "23 litres a second", 0.12: "120 litres a second", 1.5: "1500 litres a second",
	} {
		assert.Equal(t, want, flow(v, quantity.Metric))
	}
	assert.Equal(t, "353 cubic feet a second", flow(10, quantity.Feet))
	for n, want := range map[float64]string{
		0: "none", 0.3: "half a tree", 0.75: "1 tree", 1.4: "1 tree", 1.6: "2 trees", 9.7: "10 trees", 130.2: "130 trees",
	} {
		assert.Equal(t, want, Trees(n))
	}
}
