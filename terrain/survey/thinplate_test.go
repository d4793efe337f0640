package survey

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// scipy 1.10.1, RBFInterpolator; see testdata/scipy. Its matrix of metres is
// conditioned worse than ours, so agreement ends at a micrometre.
func TestThinPlateOfMeuseIsThatOfScipy(t *testing.T) {
	f, err := os.Open("testdata/scipy/thin-plate.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	shots := meuse(t).Shots
	number := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		require.NoError(t, err)
		return v
	}
	for _, row := range rows[1:] {
		if row[0] == "leave-one-out" {
			p, err := BendPlate(shots, 0)
			require.NoError(t, err)
			assert.InDelta(t, number(row[3]), p.LeaveOneOut(), 1e-6)
			continue
		}
		p, err := BendPlate(shots, number(row[0]))
		require.NoError(t, err)
		at := orb.Point{number(row[1]), number(row[2])}
		assert.InDelta(t, number(row[3]), p.At(at), 1e-6, "smoothing %s at %v", row[0], at)
	}
}

func TestThinPlatePassesThroughShotsAndKeepsPlanes(t *testing.T) {
	var shots []Shot
	for i := range 30 {
		x, y := float64(i%6)*7, float64(i/6)*9
		shots = append(shots, Shot{Point: orb.Point{x, y}, Z: 50 + 0.01*x - 0.02*y})
	}
	p, err := BendPlate(shots, 0)
	require.NoError(t, err)
	assert.InDelta(t, 50+0.01*13-0.02*11, p.At(orb.Point{13, 11}), 1e-9)
	shots[14].Z += 0.4
	p, err = BendPlate(shots, 0)
	require.NoError(t, err)
	for _, s := range shots {
		assert.InDelta(t, s.Z, p.At(s.Point), 1e-9)
	}
	anew, err := BendPlate(append(shots[:14:14], shots[15:]...), 0)
	require.NoError(t, err)
	assert.InDelta(t, 0.4, shots[14].Z-anew.At(shots[14].Point), 1e-9)
}

func TestThinPlateRefusesWhatItCannotBend(t *testing.T) {
	for name, shots := range map[string][]Shot{
		"two shots":      {{}, {Point: orb.Point{1, 1}}},
		"one place":      {{}, {}, {}},
		"all in a line":  {{}, {Point: orb.Point{1, 1}}, {Point: orb.Point{2, 2}}, {Point: orb.Point{3, 3}}},
		"twice a height": {{}, {Z: 1}, {Point: orb.Point{2, 2}}, {Point: orb.Point{3, 1}}},
	} {
		_, err := BendPlate(shots, 0)
		assert.ErrorIs(t, err, ErrInput, name)
	}
	_, err := BendPlate(make([]Shot, 1001), 0)
	assert.ErrorContains(t, err, "at most 1000")
	_, err = BendPlate(make([]Shot, 5), math.NaN())
	assert.ErrorContains(t, err, "smoothing")
}
