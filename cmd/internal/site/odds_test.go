package site

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestOddsAndSingleTreesAreRead(t *testing.T) {
	s, err := parse("[odds]\ndraws = 400\nseed = 7\ntarget = \"5 %\"\nseason = true\n[[tree]]\nid = \"E-10\"\nspecies = \"Nyssa ogeche\"\nmound = \"25 cm\"\n[[tree]]\nid = \"E-11\"\ntrial = true\nfixed = true\n", File{Name: "site.toml"})
	require.NoError(t, err)
	assert.Equal(t, Odds{Draws: 400, Seed: 7, Target: 0.05, Season: true}, s.Odds)
	assert.Equal(t, []Tree{
		{ID: "E-10", Where: `site.toml:6: tree "E-10"`, Species: "Nyssa ogeche", Mound: 0.25},
		{ID: "E-11", Where: `site.toml:10: tree "E-11"`, Trial: true, Fixed: true},
	}, s.Told)

	s, err = parse("odds = { draws = 0 }", File{Name: "site.toml"})
	require.NoError(t, err)
	assert.True(t, s.Odds.Off)
}

func TestBadOddsAndTreesAreToldAtOnce(t *testing.T) {
	_, err := parse("[odds]\ndraws = 3\nseed = -1\ntarget = 1\nseason = \"yes\"\n[[tree]]\nspecies = \"x\"\n[[tree]]\nid = \"E-1\"\nmound = \"25 m\"\n[[tree]]\nid = \"E-1\"\ntrial = \"yes\"\n", File{Name: "site.toml"})
	assert.EqualError(t, err, `site.toml:2: odds, draws: found 3; a whole number of draws is needed, from 20 to 100000, or 0 for the likeliest answer alone
site.toml:3: odds, seed: found -1; a whole number is needed, 0 or more
site.toml:4: odds, target: found 1; a risk between 0 and 1 is needed, such as 0.1: none is out of reach, and 1 is no target
site.toml:5: odds, season: found "yes"; true or false is needed, without quotes
site.toml:6: tree 1: has no id; it says which tree is meant, such as id = "E-10"
site.toml:10: tree "E-1", mound: a mound of 25.00 m is higher than any tree is planted on; heights up to 3 m are taken, such as "25 cm"
site.toml:11: tree "E-1": is named in line 8 already; say all of a tree in one place
site.toml:13: tree "E-1", trial: found "yes"; true or false is needed, without quotes`)
}
