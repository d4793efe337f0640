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
	a.Changes = []Change{{Heap: Heap{Settled: 1.8}}, {Heap: Heap{Settled: 1.7}}}
	assert.Contains(t, a.Heaps(&assess.Result{Trees: make([]assess.Tree, 1)}, 1)[0], "2 mounds: 3.0 m³ of settled soil, since mounds that touch share theirs. Bring")
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

// What rounds away is told as no change, not as one of 0.0.
func TestNoChangeIsToldAsNone(t *testing.T) {
	assert.Equal(t, "no higher anywhere", higher(0.0004, quantity.Metric))
	assert.Equal(t, "1.5 cm higher at most", higher(0.015, quantity.Metric))
	assert.Equal(t, "no higher anywhere", higher(0.001, quantity.Feet))
	assert.Equal(t, "23 litres a second as before", turned("23 litres a second", "23 litres a second"))
	assert.Equal(t, "1306 m³ instead of 1273 m³", turned("1306 m³", "1273 m³"))

	gain := Loss{Mean: 0.4, Low: 0, High: 1}
	row := Row{Name: "A", Moved: 8, MostMoved: 8, Gain: gain, Most: 0.4}
	last := func(a *Advice) string { said := a.Arrange(); return said[len(said)-1] }
	assert.Contains(t, last(&Advice{Rows: []Row{row}}), "No other plant gains anything by moving, and no arrangement")
	row.MostMoved, row.Most = 10, 0.5
	assert.Contains(t, last(&Advice{Rows: []Row{row}}), "Moving every plant that gains anything, 10 instead of 8, would save")
}

func TestTreesOfFewAreCountedInTenths(t *testing.T) {
	few, many := &Advice{Now: Loss{Mean: 0.9}}, &Advice{Now: Loss{Mean: 13}}
	assert.Equal(t, "0.7 trees", few.Count(0.738))
	assert.Equal(t, "half a tree", many.Count(0.738))
}

func TestWaterBackedUpIsCountedWhereThereIsAny(t *testing.T) {
	r := &assess.Result{}
	p := &Proof{New: 4, Most: 0.024, Wetter: make([]Wetter, 2)}
	a := &Advice{Proof: p}
	assert.Contains(t, a.proven(r)[0], "water stands 2.4 cm higher at most, and 2 trees get wetter.")
	p.Most, p.Backed, p.Wetter = 0.05, make([]Backed, 1), nil
	assert.Contains(t, a.proven(r)[0], "water stands 5.0 cm higher at most, over 3.0 cm higher at 1 place, and no tree gets wetter.")
}
