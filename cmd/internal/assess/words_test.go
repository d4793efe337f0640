package assess

import (
	"testing"
	"time"

	"wetfeet/cmd/internal/site"
	"wetfeet/hydro/storm"
	"wetfeet/species"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
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

// Where a pipe lets the water out, its level decides how deep a hollow gets and
// not the spot where it would spill.
func TestThePipeOfAHollowIsMeasuredAndNotItsSpill(t *testing.T) {
	r := twoPits(t)
	pit := r.Drain.Hollows.Covering(inPit(r, 15.5))
	r.Trees = []Tree{{OnGround: true, Pond: pit.ID, Verdict: species.Verdict{Flagged: true}}}
	r.Trees[0].ID = "A-1"
	assert.Contains(t, r.worstHollow(), "that one spot decides how deep it gets")

	pipe := func(depth, capacity float64) []storm.Link {
		links, _, err := r.lead(Plan{CRS: utm, Links: []site.Link{{Where: `site.toml:3: link "P"`, Line: orb.LineString{{15.5, 20.5}}, Depth: depth, Capacity: capacity}}})
		require.NoError(t, err)
		return links
	}
	r.basis = &basis{links: append(pipe(0.1, 0), pipe(0.3, 0)...)}
	assert.Contains(t, r.worstHollow(), `one tree is flagged (A-1) in it. Link "P" lets water out of it above 9.52 m, 30 cm below its brim: how low`)
	r.basis.links = pipe(0.3, 0.001)
	assert.Contains(t, r.worstHollow(), "that one spot decides how deep it gets", "a small pipe leaves it to fill")
	other, _, err := r.lead(Plan{CRS: utm, Links: []site.Link{{Line: orb.LineString{{45.5, 20.5}}, Depth: 0.3}}})
	require.NoError(t, err)
	r.basis.links = other
	assert.Contains(t, r.worstHollow(), "that one spot decides how deep it gets", "the pipe is another's")
}

func TestTheOneTreeToRaiseStands(t *testing.T) {
	raised := Tree{OnGround: true, Verdict: species.Verdict{Advice: "raise", Mound: 0.3}}
	raised.ID, raised.Years = "old pear", 30
	r := &Result{Trees: []Tree{raised}}
	assert.Contains(t, r.raise(), "Raise old pear on a mound of 30 cm: the height after settling, with water free to pass beside it. It stands there already: lift and replant")
	raised.ID, raised.Years = "fig", 0
	r.Trees = append(r.Trees, raised)
	assert.Contains(t, r.raise(), "One of the trees to be raised stands there already")
}
