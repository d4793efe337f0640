package season

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wetfeet/hydro/storm"
	"wetfeet/hydro/weather"
)

// The spells of all heights at once are those that a run of the whole season
// tells of each height by itself: on random ground, by the day and by the hour,
// with a water table that comes up to the roots and without, in soil that fills
// up. Higher crowns are never wet for longer.
func TestSpellsAreThoseOfARunOfEveryHeight(t *testing.T) {
	heights := []float64{0, 0.01, 0.03, 0.08, 0.2, 0.4}
	wet, raised, differ, above := 0, 0, 0, 0
	for seed := range uint64(6) {
		s := prepare(t, rough(24, seed))
		zone := loam()
		zone.Drainage, zone.RootDepth = []float64{0.05, 4}[seed%2], []float64{0.15, 0.6}[seed%2]
		record := daily("1999-01-01", showers(1200, 3, 25, seed), 2)
		if seed > 3 {
			record = hourlyOf(record, 9000)
		}
		o := Options{Zones: []Zone{zone}, Infiltration: []float64{0.4}, WarmUp: 60}
		if seed%3 == 0 {
			o.WaterTable = EvenTable(0.3, 0.6, 0.05, 0.01)
		}
		for c := 0; c < 24*24; c += 5 {
			o.Positions = append(o.Positions, Position{Cell: c, Clearance: 0.1 * float64(c%4), Roots: storm.Roots{Crown: 0.01 * float64(c%3), Depth: 0.3, Porosity: 0.08, Drainage: 0.5}})
		}
		all, err := RunSpells(context.Background(), s, record, o, heights)
		require.NoError(t, err)
		level := o.Positions
		for k, height := range heights {
			o.Positions = append([]Position(nil), level...)
			for p := range o.Positions {
				o.Positions[p].Roots.Crown += height
			}
			each := run(t, s, record, o)
			require.Equal(t, each.Years, all.Years)
			for p := range level {
				days := all.Longest(nil, k, p)
				require.Equal(t, each.LongestSpells(p), days, "seed %d, %g m above %v", seed, height, level[p])
				for n, d := range days {
					if d > 0 {
						wet++
					}
					if k > 0 {
						low := all.Longest(nil, k-1, p)[n]
						require.LessOrEqual(t, d, low)
						raised++
						if d < low {
							differ++
						}
						if d > 0 && height >= 0.2 {
							above++
						}
					}
				}
			}
		}
	}
	assert.Greater(t, wet, 1000)
	assert.Greater(t, raised, 1000)
	assert.Greater(t, differ, 100)
	assert.Greater(t, above, 100, "where the soil fills or the table is near")
}

// hourlyOf is the first hours of a record by the day, taken by the hour.
func hourlyOf(days *weather.Record, n int) *weather.Record {
	h := hourly(days)
	h.Rain = h.Rain[:min(n, len(h.Rain))]
	h.ET = h.ET[:len(h.Rain)]
	return h
}

func TestSpellsWantHeightsInOrder(t *testing.T) {
	s := prepare(t, trough())
	o := Options{Zones: []Zone{loam()}}
	record := daily("2003-01-01", make([]float64, 365), 1)
	for _, heights := range [][]float64{{0.1, 0}, {-1}, {0, 0}} {
		_, err := RunSpells(context.Background(), s, record, o, heights)
		assert.ErrorContains(t, err, "must rise")
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	_, err := RunSpells(ctx, s, record, o, []float64{0})
	assert.ErrorIs(t, err, context.Canceled)
}
