package assess

import (
	"context"
	"testing"

	"wetfeet/species"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A storm that leaves a tree dry tells nothing of how the usual year wets it:
// then the year of the likeliest ground counts on every draw.
func TestUsualYearCountsWhereTheStormIsSmall(t *testing.T) {
	p := pitsWithYears(t)
	p.Odds.Season = false
	p.Rain.Rain = 5
	r, err := Run(context.Background(), p, nil)
	require.NoError(t, err)
	dry := 0
	for i := range r.Trees {
		tree := &r.Trees[i]
		if tree.WetHours > 0 || !(tree.LongestWetDays > 0) {
			continue
		}
		dry++
		loss := tree.Entry.Tolerance(species.Conditions{}).Loss(24*tree.LongestWetDays, 0)
		assert.GreaterOrEqual(t, tree.Odds, loss-1e-6, tree.ID)
	}
	assert.NotZero(t, dry)
	assert.True(t, r.Trees[3].Flagged)
}
