package assess

import (
	"testing"
	"time"

	"wetfeet/species"
	"wetfeet/terrain/quantity"

	"github.com/stretchr/testify/assert"
)

// A tree that only the water table flags is not counted among those that water
// of the storm is likely to kill: the page tells its odds beside it.
func TestTheLeadCountsTreesByWhatFlagsThem(t *testing.T) {
	tree := func(odds float64, risk species.Risk) Tree {
		return Tree{OnGround: true, Verdict: species.Verdict{ByOdds: true, Odds: odds, Risk: risk, Flagged: risk >= species.High}}
	}
	dry, drowned, table := tree(0, species.Low), tree(0.3, species.High), tree(0.04, species.High)
	for _, tt := range []struct {
		trees []Tree
		want  string
	}{
		{[]Tree{dry, dry}, "None of the 2 planned trees is flagged: none has three chances in ten of being lost to water."},
		{[]Tree{dry, drowned}, "One of the 2 planned trees has three chances in ten or more of being lost to water."},
		{[]Tree{drowned, drowned, table}, "2 of the 3 planned trees have three chances in ten or more of being lost to water. One more is flagged: the water table of the wet season comes nearer to it than it bears."},
		{[]Tree{dry, table, table}, "None of the 3 planned trees has three chances in ten of being lost to water. 2 are flagged: the water table of the wet season comes nearer to them than they bear."},
	} {
		r := &Result{Trees: tt.trees, Odds: &Odds{}}
		assert.Equal(t, tt.want, r.Lead())
	}
}

func TestAStormThatAllSoaksInSaysSo(t *testing.T) {
	s := &Storm{Rain: 90, Duration: 12 * time.Hour, Runoff: 0.02, Soaking: 19}
	assert.Equal(t, "The storm: 90 mm of rain in 12 hours, of which none runs off; standing water soaks in at 19 mm/h.", s.Words(quantity.Metric))
	s.Runoff = 40
	assert.Equal(t, "The storm: 90 mm of rain in 12 hours, of which 40 mm run off; standing water soaks in at 19 mm/h.", s.Words(quantity.Metric))
}
