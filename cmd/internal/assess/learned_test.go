package assess

import (
	"math"
	"testing"

	"wetfeet/cmd/internal/site"
	"wetfeet/hydro/soil"
	"wetfeet/species"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A soil and its zone, off by one standard deviation: each goes as many of its
// own from what was stated, and is as much surer.
func TestLearnedSoakingMovesAllZonesAlike(t *testing.T) {
	soils := []Soil{{Rate: soil.Rate{Median: 4, Spread: 0.7, Source: "a table"}}, {Rate: soil.Rate{Median: 20, Spread: 0.36, Source: "a test"}, GreenAmpt: &soil.GreenAmpt{K: 8}}}
	p := Plan{Learned: site.Learned{Soaking: 4 * math.Pow(10, -0.7), Spread: 0.07}}
	p.learnedSoaking(soils)
	assert.InDelta(t, 4*math.Pow(10, -0.7), soils[0].Rate.Median, 1e-12)
	assert.InDelta(t, 0.07, soils[0].Rate.Spread, 1e-12)
	assert.InDelta(t, 20*math.Pow(10, -0.36), soils[1].Rate.Median, 1e-12)
	assert.InDelta(t, 0.036, soils[1].Rate.Spread, 1e-12)
	assert.InDelta(t, 8*math.Pow(10, -0.36), soils[1].GreenAmpt.K, 1e-12)
	assert.Equal(t, "learned from what was seen on this site, beside a table", soils[0].Rate.Source)

	before := []Soil{{Rate: soil.Rate{Median: 4, Spread: 0.7}}}
	Plan{}.learnedSoaking(before)
	assert.Equal(t, 4.0, before[0].Rate.Median)
}

func TestLearnedWaterTableAndTolerance(t *testing.T) {
	p := Plan{Wells: []Well{{Depth: 0.9}, {Depth: 0.05}}, Learned: site.Learned{WaterTable: -0.1, Species: []site.LearnedSpecies{{Name: "fig", Factor: 2}}}}
	wells := p.learnedWells()
	assert.InDelta(t, 0.8, wells[0].Depth, 1e-12)
	assert.Zero(t, wells[1].Depth)
	assert.Equal(t, 0.9, p.Wells[0].Depth, "what was stated stays")

	stated, err := species.BuiltIn().Find("Ficus carica")
	require.NoError(t, err)
	table, err := p.learnedTable(species.BuiltIn())
	require.NoError(t, err)
	learned, err := table.Find("Ficus carica")
	require.NoError(t, err)
	assert.InDelta(t, 2*stated.Days.Likely, learned.Days.Likely, 1e-6*stated.Days.Likely)
	assert.InDelta(t, 2*stated.Days.Low, learned.Days.Low, 1e-6*stated.Days.Likely)
	assert.Greater(t, learned.Tolerance(species.Conditions{}).Quantile(0.5), 1.9*stated.Tolerance(species.Conditions{}).Quantile(0.5))

	p.Learned.Species[0].Name = "figg"
	_, err = p.learnedTable(species.BuiltIn())
	assert.ErrorContains(t, err, "learned species: ")
}

// The stated levels of pipes lie off the ground by as much on one draw as on
// the next draw they do not: by what is usual, or by what was learned.
func TestLevelsOfPipesAreDrawn(t *testing.T) {
	p := Plan{Odds: OddsPlan{Seed: 4}}
	assert.Nil(t, p.datumOfDraws(), "no pipes")
	p.Links = []site.Link{{Depth: 0.3}}
	assert.Nil(t, p.datumOfDraws(), "a level that goes by the ground")
	p.Links = append(p.Links, site.Link{Invert: new(9.5)})
	spread := func() float64 {
		lower, squares := p.datumOfDraws(), 0.0
		for k := range 4000 {
			squares += lower(k) * lower(k)
		}
		return math.Sqrt(squares / 4000)
	}
	assert.InDelta(t, datumError, spread(), 0.03*datumError)
	assert.Equal(t, p.datumOfDraws()(7), p.datumOfDraws()(7))
	p.Learned.DatumError = 0.02
	assert.InDelta(t, 0.02, spread(), 0.0006)
}
