package soil

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestParseGroup(t *testing.T) {
	for s, want := range map[string][2]Group{
		"A": {GroupA, GroupA}, " b ": {GroupB, GroupB}, "C": {GroupC, GroupC}, "d": {GroupD, GroupD},
		"A/D": {GroupA, GroupD}, "b/d": {GroupB, GroupD}, "C/D": {GroupC, GroupD},
	} {
		for i, drained := range []bool{true, false} {
			g, err := ParseGroup(s, drained)
			require.NoError(t, err)
			assert.Equal(t, want[i], g, "%s, drained: %v", s, drained)
		}
	}
	_, err := ParseGroup("E", false)
	assert.EqualError(t, err, `"E" is not a hydrologic soil group: use A, B, C, D, A/D, B/D or C/D`)
	assert.Equal(t, "C", GroupC.String())
	assert.Equal(t, "Group(7)", Group(7).String())
}

// TR-55 (1986), appendix A, seen in a county reprint: A above 0.30 in/h, B from
// 0.15, C from 0.05, D below.
func TestTransmissionRatesOfTR55AppendixA(t *testing.T) {
	for g, want := range map[Group][2]float64{GroupA: {0.30, math.Inf(1)}, GroupB: {0.15, 0.30}, GroupC: {0.05, 0.15}, GroupD: {0, 0.05}} {
		low, high := g.TransmissionRates()
		assert.InDelta(t, want[0], low/25.4, 1e-12)
		if g == GroupA {
			assert.Equal(t, math.Inf(1), high)
		} else {
			assert.InDelta(t, want[1], high/25.4, 1e-12)
		}
	}
}

// NEH 630, chapter 7 (2009), table 7-1, from memory; its figures in inches an
// hour, 5.67, 1.42 and 0.14, and 1.42, 0.57 and 0.06, agree when converted. One
// µm/s is 0.1417 in/h (printed with the definition of Ksat by NRCS).
func TestGroupOfNEHTable71(t *testing.T) {
	assert.InDelta(t, 0.1417323, micrometresPerSecond/25.4, 5e-8)
	for _, tt := range []struct {
		name  string
		under Profile
		um    [3]float64 // lowest Ksat above which a soil is A, B, C
	}{
		{"a deep soil", Profile{}, [3]float64{10, 4, 0.4}},
		{"rock and water deeper than 1 m", Profile{Impermeable: 1.2, WaterTable: 1.5}, [3]float64{10, 4, 0.4}},
		{"rock at 0.7 m", Profile{Impermeable: 0.7}, [3]float64{40, 10, 1}},
		{"water at 0.8 m", Profile{WaterTable: 0.8}, [3]float64{40, 10, 1}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			for g, limit := range tt.um {
				assert.Equal(t, Group(g+1), GroupOf(limit*3.6, tt.under))
				assert.Equal(t, Group(g), GroupOf(limit*3.6*1.0001, tt.under))
			}
		})
	}
	assert.Equal(t, GroupD, GroupOf(1000, Profile{Impermeable: 0.4}))
	assert.Equal(t, GroupD, GroupOf(1000, Profile{WaterTable: 0.5}))
}
