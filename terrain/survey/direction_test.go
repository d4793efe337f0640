package survey

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Old furrows: waves along y that reach ten times as far along x. And ground
// that is alike in all directions but that was levelled along one ditch.
func TestDirectionIsTakenWhereTheDataWantIt(t *testing.T) {
	if testing.Short() {
		t.Skip("fits many models")
	}
	r := rand.New(rand.NewPCG(5, 6))
	var furrows, bowl []Shot
	for range 150 {
		x, y := 80*r.Float64(), 80*r.Float64()
		furrows = append(furrows, Shot{Point: orb.Point{x, y}, Error: 0.005,
			Z: 10 + 0.1*math.Sin(y/3) + 0.05*math.Sin(y/1.7+1) + 0.05*math.Sin(x/40) + 0.005*r.NormFloat64()})
		if len(bowl) < 60 {
			bowl = append(bowl, Shot{Point: orb.Point{x, y}, Z: 10 - 0.3*math.Exp(-(math.Pow(x-40, 2)+math.Pow(y-40, 2))/200) + 0.005*r.NormFloat64(), Error: 0.005})
		}
	}
	m, err := FitDirection(furrows, Options{})
	require.NoError(t, err)
	assert.Less(t, m.Anisotropy.Ratio, 0.5)
	assert.InDelta(t, 90, m.Anisotropy.Bearing, 10)

	m, err = FitDirection(bowl, Options{})
	require.NoError(t, err)
	assert.Equal(t, 1.0, m.Anisotropy.Ratio)

	m, err = FitDirection(furrows, Options{Isotropic: true})
	require.NoError(t, err)
	assert.Equal(t, 1.0, m.Anisotropy.Ratio)
}
