package survey

import (
	"math/rand/v2"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The slow obvious way is to solve the rest anew.
func TestTakingOutAgreesWithSolvingTheRest(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	shots := make([]Shot, 80)
	for i := range shots {
		x, y := 60*r.Float64(), 40*r.Float64()
		shots[i] = Shot{Point: orb.Point{x, y}, Z: 100 + 0.01*x + 0.02*r.NormFloat64()}
	}
	m, err := Fit(shots, Options{Covariance: &Covariance{Kernel: Matern32, Sill: 0.01, Range: 15, Nugget: 4e-4}})
	require.NoError(t, err)
	f, left := m.fewer(), make([]int, 0, len(shots))
	out := map[int]bool{7: true, 31: true, 32: true, 79: true}
	var rest []Shot
	for i, s := range shots {
		if out[i] {
			f.drop(i)
			continue
		}
		left, rest = append(left, i), append(rest, s)
	}
	anew, err := Fit(rest, m.given())
	require.NoError(t, err)
	want := anew.LeaveOneOut().Residuals
	for k, s := range f.standardised(left) {
		assert.InDelta(t, want[k].Standardised, s, 1e-7, "shot %d", left[k])
	}
}
