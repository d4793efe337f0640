package species

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestSwapsBearTheSpotAndKeepTheRole(t *testing.T) {
	named := 0
	for _, spot := range []Spot{
		pond(0.08, 36), pond(0.08, 9*24), pond(0.50, 60), pond(0.80, 12),
		ground(Spot{LongestWetDays: 12}), ground(Spot{WetnessPercentile: 97}), ground(Spot{WaterTable: 0.2}),
	} {
		for _, e := range BuiltIn().All() {
			v := BuiltIn().Judge(spot, e)
			assert.LessOrEqual(t, len(v.Swaps), maxSwaps)
			named += len(v.Swaps)
			for _, s := range v.Swaps {
				assert.NotSame(t, e, s)
				bears := BuiltIn().Judge(spot, s)
				assert.LessOrEqual(t, bears.Risk, Moderate, "%s for %s", s.Scientific, e.Scientific)
				assert.False(t, bears.Flagged)
				assert.Positive(t, role(e, s), "%s for %s", s.Scientific, e.Scientific)
				a, _ := e.zones()
				b, _ := s.zones()
				assert.GreaterOrEqual(t, a.share(b), sharedZones, "%s for %s", s.Scientific, e.Scientific)
				if e.Invasive == "" {
					assert.Empty(t, s.Invasive, "%s for %s", s.Scientific, e.Scientific)
				}
			}
			assert.Equal(t, v, BuiltIn().Judge(spot, e), "twice the same")
		}
	}
	assert.Greater(t, named, 500)
}

func TestPlannedSpeciesComeFirstAmongEqualSwaps(t *testing.T) {
	spot := pond(0.20, 8*24)
	pecan := find(t, "pecan")
	without := BuiltIn().Judge(spot, pecan).Swaps
	require.Greater(t, len(without), 1)
	// The second best, planned, takes the first place from its equal in role
	// and size, and never one from a better role.
	second := without[1]
	with := BuiltIn().JudgeWith(spot, pecan, JudgeOptions{Planned: []*Entry{pecan, second}}).Swaps
	require.NotEmpty(t, with)
	if role(pecan, second) == role(pecan, without[0]) {
		assert.Same(t, second, with[0])
	} else {
		assert.Same(t, without[0], with[0])
	}
}

// Mango's zones reach beyond what an apple lives in; with fig and apple
// planned too, what is planned draws the climate in.
func TestPlannedSpeciesNarrowTheClimate(t *testing.T) {
	spot := pond(0.20, 8*24)
	fig, apple := find(t, "fig"), find(t, "apple")
	for _, s := range BuiltIn().JudgeWith(spot, fig, JudgeOptions{Planned: []*Entry{fig, apple}}).Swaps {
		z, _ := s.zones()
		a, _ := fig.zones()
		b, _ := apple.zones()
		common, ok := a.overlap(b)
		require.True(t, ok)
		assert.GreaterOrEqual(t, common.share(z), sharedZones, s.Scientific)
	}
}

func TestZones(t *testing.T) {
	for _, tt := range []struct {
		zones string
		want  span
		ok    bool
	}{
		{"1", span{0, 1}, true},
		{"5b-9", span{9, 17}, true},
		{"10b-13", span{19, 25}, true},
		{"annual", span{0, 25}, true},
		{"", span{}, false},
		{"0-4", span{}, false},
		{"9-14", span{}, false},
		{"9-5", span{}, false},
		{"warm", span{}, false},
	} {
		got, ok := readZones(tt.zones)
		assert.Equal(t, tt.ok, ok, tt.zones)
		if tt.ok {
			assert.Equal(t, tt.want, got, tt.zones)
		}
	}
}
