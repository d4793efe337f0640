package species

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestAnHourWeighsByTheWarmthOfTheSoil(t *testing.T) {
	pecan, mango, orange, okra := find(t, "pecan"), find(t, "mango"), find(t, "sweet orange"), find(t, "okra")
	for _, tt := range []struct {
		soil                       float64
		pecan, mango, orange, okra float64
	}{
		{40, 4, 4, 4, 4},
		{30, 2, 2, 2, 2},
		{20, 1, 1, 1, 1},
		{10, 0.5, 1, 0.5, 1}, // no cold makes a flood safer for a tree of the tropics; citrus does bear weeks of it
		{0, 0.25, 1, 0.25, 1},
		{-10, 0.25, 1, 0.25, 1},
		{60, 4, 4, 4, 4},
		{math.NaN(), 1, 1, 1, 1},
	} {
		for e, want := range map[*Entry]float64{pecan: tt.pecan, mango: tt.mango, orange: tt.orange, okra: tt.okra} {
			assert.InDelta(t, want, e.Warmth(tt.soil), 1e-12, "%s at %v °C", e.Name(), tt.soil)
		}
	}
}

func TestRootHoursAreTheMeanOverTheRootZone(t *testing.T) {
	falls := []float64{30, 20, 10, 0} // at 0, 0.1, 0.2 and 0.3 m
	for _, tt := range []struct {
		name  string
		hours []float64
		crown float64
		want  float64
	}{
		{"level with the ground all of it is as wet as the ground", falls, 0, 30},
		{"below it too", falls, -0.2, 30},
		{"on a mound of the root zone half the hours", falls, 0.3, 15},
		{"half up half of them", []float64{30, 30, 30, 30}, 0.15, 30},
		{"a straight fall over the upper half, all of them below", falls, 0.15, (30*0.15 + 22.5*0.15) / 0.3},
		{"above the last height as there", falls, 0.9, 0},
		{"across the last height", []float64{30, 30, 30, 12}, 0.4, (20*0.1*1.5 + 21*0.1 + 12*0.1) / 0.3},
		{"one height stands for all", []float64{7}, 5, 7},
		{"no heights", nil, 0, 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			assert.InDelta(t, tt.want, RootHours(tt.hours, 0.1, tt.crown), 1e-9)
		})
	}
	assert.Panics(t, func() { RootHours(falls, 0, 0) })
}

// The slow obvious version: the hours at ten thousand depths.
func TestRootHoursAgreeWithASumOverDepths(t *testing.T) {
	d := rand.New(rand.NewPCG(7, 8))
	for range 200 {
		hours := make([]float64, 1+d.IntN(12))
		for i := range hours {
			hours[i] = 100 * d.Float64()
		}
		step, crown := 0.02+0.2*d.Float64(), 1.5*d.Float64()-0.2
		const n = 10_000
		sum := 0.0
		for i := range n {
			h := (crown - rootZone*(float64(i)+0.5)/n) / step
			switch last := len(hours) - 1; {
			case h <= 0:
				sum += hours[0]
			case h >= float64(last):
				sum += hours[last]
			default:
				k := int(h)
				sum += hours[k] + (h-float64(k))*(hours[k+1]-hours[k])
			}
		}
		assert.InDelta(t, sum/n, RootHours(hours, step, crown), 0.01)
	}
}
