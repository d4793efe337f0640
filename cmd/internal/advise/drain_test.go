package advise

import (
	"testing"

	"wetfeet/cmd/internal/assess"
	"wetfeet/hydro/relief"
	"wetfeet/terrain/earthwork"

	"github.com/stretchr/testify/assert"
)

// Of two ways to drain, the one that frees more trees for what it digs is
// best; trees lower than its bottom stay where they cannot live.
func TestTreesThatOnlyADrainHelps(t *testing.T) {
	r := &assess.Result{Trees: []assess.Tree{{Pond: 1, Ground: 10.2}, {Pond: 1, Ground: 9.8}, {Pond: 2, Ground: 11}}}
	for i := range r.Trees {
		r.Trees[i].Advice = "move"
	}
	cut := func(level, dug float64, freed int) Cut {
		return Cut{Cut: relief.Cut{Level: level, Dug: earthwork.Dug{Volume: dug}}, Freed: freed}
	}
	a := &Advice{
		Beyond: []int{0, 1, 2},
		Drains: []Drain{{Hollow: 0, Trees: []int{0, 1}, Cuts: []Cut{cut(9.5, 40, 2), cut(10, 1, 1), cut(9, 90, 0)}}, {Hollow: 1, Trees: []int{2}, Cuts: []Cut{cut(12, 1, 0)}}},
	}
	assert.Equal(t, 1, a.Drains[0].Best().Freed)
	assert.Nil(t, a.Drains[1].Best())
	a.Settle(r)
	assert.Equal(t, "drain", r.Trees[0].Advice)
	assert.Equal(t, "move", r.Trees[1].Advice)
	assert.Equal(t, "move", r.Trees[2].Advice)
}
