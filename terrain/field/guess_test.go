package field

import (
	"testing"

	"wetfeet/terrain"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// other is a covariance of another kind, on another torus.
var other = Likeness{Covariance: exponential(0.1, 25), Reach: 25}

// Draws by one likely covariance are those of a survey of that covariance,
// about its mean as moved: from the mean kriged by the one to that by the
// other, both by dense matrices.
func TestDrawsGoByLikelyCovariancesInTurn(t *testing.T) {
	s := small(true)
	for i := range s.Shots {
		s.Shots[i].Z = 30 + 0.05*float64(i*i%7)
	}
	foretold := func(s Survey) []float64 {
		o, inside := oracle(s)
		_, foretell := o.given()
		z := mat.NewVecDense(len(s.Shots), nil)
		for i, shot := range s.Shots {
			z.SetVec(i, shot.Z)
		}
		var all mat.VecDense
		all.MulVec(foretell, z)
		out := make([]float64, len(inside))
		for i, p := range inside {
			out[i] = all.AtVec(p)
		}
		return out
	}
	by := s
	by.Covariance, by.Reach = other.Covariance, other.Reach
	from, to := foretold(s), foretold(by)
	by.Mean = terrain.NewGrid[float32](s.Mean.Frame)
	for i, z := range s.Mean.Cells {
		by.Mean.Cells[i] = z + float32(to[i]-from[i])
	}
	both := s
	both.Likely = []Likeness{{s.Covariance, s.Reach}, other}
	d, err := OfSurvey(both, 4)
	require.NoError(t, err)
	n := s.Mean.Len()
	a, b, c, e := make([]float32, n), make([]float32, n), make([]float32, n), make([]float32, n)
	room := d.NewRoom()
	for k, alone := range []Survey{s, by, s, by} {
		one, err := OfSurvey(alone, 4)
		require.NoError(t, err)
		one.NewRoom().Pair(k, a, b)
		room.Pair(k, c, e)
		assert.InDeltaSlice(t, a, c, 2e-4, "draw %d", 2*k)
		assert.InDeltaSlice(t, b, e, 2e-4, "draw %d", 2*k+1)
	}
	first, second := drawn(t, s), drawn(t, by)
	for i := range n {
		assert.InDelta(t, (s.Mean.Cells[i]+by.Mean.Cells[i])/2, d.Mean.Cells[i], 2e-4)
		assert.GreaterOrEqual(t, d.SD.Cells[i], first.SD.Cells[i])
	}
	assert.Greater(t, d.Bytes(), first.Bytes()+second.Bytes()-int64(8*n))
	assert.GreaterOrEqual(t, d.RoomBytes(), second.RoomBytes())
}

// drawn is OfSurvey of a survey without a fault.
func drawn(t *testing.T, s Survey) *Draws {
	t.Helper()
	d, err := OfSurvey(s, 4)
	require.NoError(t, err)
	return d
}

func TestLikelyCovariancesAreChecked(t *testing.T) {
	s := small(false)
	s.Likely = []Likeness{{exponential(0.1, 25), 0}}
	_, err := OfSurvey(s, 1)
	assert.ErrorIs(t, err, ErrInput)
	assert.ErrorContains(t, err, "a likely covariance has a variance of 0.1 m² and a reach of 0 m")
	for range 12 {
		s.Likely = append(s.Likely, other)
	}
	_, err = OfSurvey(s, 1)
	assert.ErrorContains(t, err, "there is room for 12")
	assert.Equal(t, 1, MostLikely(3000))
}
