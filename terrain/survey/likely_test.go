package survey

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// On ground drawn from a covariance, the logarithms of its sill and of its
// slope at shots' distances come above those of the likely ones as often as
// below, and in the middle half of them half the time: the surface's own, the
// likeliest, says nothing of how far off it may be.
func TestLikelyCovariancesLieAboutTheTruth(t *testing.T) {
	if testing.Short() {
		t.Skip("fits many sites")
	}
	want := Covariance{Matern32, 0.04, 12, 0.0004}
	const sites, n = 20, 12
	above, within := 0.0, 0.0
	for seed := range uint64(sites) {
		shots := gaussian(t, scattered(60, 30+seed), want, normals(60, 60+seed))
		m, err := Fit(shots, Options{Error: 0.02})
		require.NoError(t, err)
		list := m.Likely(n)
		require.Len(t, list, n)
		assert.Equal(t, list, m.Likely(n))
		var near []float64
		for _, c := range list {
			near = append(near, math.Log(c.Variogram(6)-c.Nugget))
		}
		slices.Sort(near)
		v := math.Log(want.Variogram(6) - want.Nugget)
		if v > (near[n/2-1]+near[n/2])/2 {
			above += 1.0 / sites
		}
		if near[n/4-1] < v && v < near[3*n/4] {
			within += 1.0 / sites
		}
	}
	t.Logf("above the middle %.2f, within the middle half %.2f", above, within)
	assert.InDelta(t, 0.5, above, 0.3)
	assert.InDelta(t, 0.55, within, 0.27)
}

// Of those drawn by weight, how often one comes goes by the likelihood, here
// worked out slowly.
func TestLikelyCovariancesGoByTheLikelihood(t *testing.T) {
	shots := scattered(40, 3)
	m, err := Fit(shots, Options{Error: 0.02})
	require.NoError(t, err)
	const n = 4000
	times := map[Covariance]int{}
	for _, c := range m.Likely(n) {
		times[c]++
	}
	var some []Covariance
	for c, k := range times {
		if k > 100 {
			some = append(some, c)
		}
	}
	require.Greater(t, len(some), 4)
	first := some[0]
	slowly := func(c Covariance) float64 {
		c.Nugget = 0.02 * 0.02 // all shots state it
		return restrictedSlowly(t, shots, c)
	}
	for _, c := range some[1:] {
		ratio := math.Exp((slowly(first) - slowly(c)) / 2)
		assert.InEpsilon(t, ratio, float64(times[c])/float64(times[first]), 0.03, "%v against %v", c, first)
	}
}

func TestNothingIsLikelyWhereNothingWasFitted(t *testing.T) {
	shots := scattered(40, 3)
	m, err := Fit(shots, Options{})
	require.NoError(t, err)
	assert.Nil(t, m.Likely(1), "the likeliest it is")
	m, err = Fit(shots, Options{Covariance: &Covariance{Matern32, 0.04, 25, 0.0004}})
	require.NoError(t, err)
	assert.Nil(t, m.Likely(12))
	for i := range shots {
		shots[i].Z = 3 + 0.01*shots[i].Point[0]
	}
	m, err = Fit(shots, Options{})
	require.NoError(t, err)
	assert.Nil(t, m.Likely(12))
}
