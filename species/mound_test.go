package species

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A falling pond sinks evenly from its deepest; roots stay wet some hours on.
type falling struct{ deepest, rate, drains float64 } // m, m/h, h

func (f falling) at(crown float64) (depth, hours float64) {
	if crown >= f.deepest {
		return 0, 0
	}
	return f.deepest - crown, (f.deepest-crown)/f.rate + f.drains
}

// Every height is tried as a spot of its own, and judged as any other spot is.
func TestMoundIsTheLeastThatUnflags(t *testing.T) {
	d := die{rand.New(rand.NewPCG(7, 8))}
	found := map[float64]int{}
	for range 20_000 {
		e := d.entry()
		s, table := d.spot(), alone(e)
		s.InHollow, s.StormDepth, s.WetHours = false, 0, 0
		opts := JudgeOptions{LongestWetDaysAt: func(h float64) float64 { return s.LongestWetDays * math.Max(0, 1-2*h) }}
		if d.IntN(3) > 0 {
			p := falling{1.2 * d.Float64(), 0.001 + 0.01*d.Float64(), 24 * d.Float64()}
			s.InHollow = true
			s.StormDepth, s.WetHours = p.at(0)
			opts.WetHoursAt = p.at
		}
		least := math.Inf(1)
		for step := 20; step >= 1; step-- {
			h := float64(step) * 5 / 100
			on := s
			if opts.WetHoursAt != nil {
				on.StormDepth, on.WetHours = opts.WetHoursAt(h)
			}
			on.LongestWetDays = opts.LongestWetDaysAt(h)
			on.HeightAboveWater += h
			on.WaterTable += h
			if h >= 0.25 {
				on.WetnessPercentile = math.Min(on.WetnessPercentile, 90)
			}
			if !table.Judge(on, e).Flagged {
				least = h
			}
		}
		v := table.JudgeWith(s, e, opts)
		if !v.Flagged {
			least = 0
		}
		if v.Mound != least {
			t.Fatalf("%+v on %+v: a mound of %g, not %g", e, s, v.Mound, least)
		}
		found[v.Mound]++
	}
	assert.Greater(t, len(found), 20, "mounds of every height: %v", found)
	assert.Greater(t, found[math.Inf(1)], 50)
}

// Of water whose drying is not known only what stands clear of it is safe.
func TestMoundWithoutAFunctionClearsTheWater(t *testing.T) {
	season := pond(0, 0)
	season.BrimDepth, season.LongestWetDays = 0.32, 30
	bog := ground(Spot{LongestWetDays: 30})
	for _, tt := range []struct {
		name string
		spot Spot
		of   Class
		want float64
	}{
		{"by the least freeboard", pond(0.10, 60), ShortSoak, 0.15},
		{"in whole steps", pond(0.11, 60), ShortSoak, 0.20},
		{"by twice the error of the ground", Spot{StormDepth: 0.11, WetHours: 60, InHollow: true, Error: 0.05, LongestWetDays: math.NaN(), WaterTable: math.NaN()}, ShortSoak, 0.25},
		{"or brings it down to what is borne", pond(0.38, 120), WetSpell, 0.30},
		{"the brim, which no year overfills", season, WetSpell, 0.40},
		{"a usual mound where no pond is known of", bog, WetSpell, 0.25},
		{"over a metre there is none", pond(1.01, 60), NoWetFeet, math.Inf(1)},
	} {
		t.Run(tt.name, func(t *testing.T) {
			assert.Equal(t, tt.want, BuiltIn().Judge(tt.spot, ofClass(tt.of)).Mound)
		})
	}
}

func TestMoundOnWetGroundAndOverAWaterTable(t *testing.T) {
	for _, tt := range []struct {
		name string
		spot Spot
		want float64
	}{
		{"a usual mound on wet ground", ground(Spot{WetnessPercentile: 97}), 0.25},
		{"a lower one that lifts it from the water it drains to", ground(Spot{WetnessPercentile: 97, HeightAboveWater: 0.78}), 0.15},
		{"what the water table lacks", ground(Spot{WaterTable: 0.12}), 0.20},
		{"the more of two", ground(Spot{WaterTable: 0.12, WetnessPercentile: 97}), 0.25},
	} {
		t.Run(tt.name, func(t *testing.T) {
			assert.Equal(t, tt.want, BuiltIn().Judge(tt.spot, ofClass(NoWetFeet)).Mound)
		})
	}
}
