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
		weights := make([]float64, record.Len())
		for i := range weights {
			weights[i] = 0.25 + float64((i/90)%4)
		}
		o.Weights = [][]float64{weights, ones(record.Len())}
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
				for w := range o.Weights {
					doses := all.Dose(nil, w, k, p)
					for n, y := range each.wholeYears(p) {
						require.Equal(t, y.Doses[w], doses[n])
					}
				}
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

func ones(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = 1
	}
	return out
}

// wholeYears are the whole years of a position.
func (r *Result) wholeYears(position int) []Wetness {
	var out []Wetness
	for n, y := range r.Wetness[position] {
		if r.Years[n].Whole {
			out = append(out, y)
		}
	}
	return out
}

// The slow obvious version: of every spell its hours one after the other, each
// by the weight of its step. The spell that counts most need not be the longest.
func TestDosesAreHoursByTheirWeight(t *testing.T) {
	for _, step := range []float64{1, 24} {
		n := int(2000 / step)
		weights := make([]float64, n)
		for i := range weights {
			weights[i] = float64((i * 7) % 5)
		}
		s := newScale(weights, step)
		var spans []storm.Span
		for from := 3.0; from < 1900; from += 170 {
			spans = append(spans, storm.Span{From: from, To: from + 20 + from/20})
		}
		most := 0.0
		for _, span := range spans {
			sum := 0.0
			for quarter := span.From; quarter < span.To-1e-9; quarter += 0.25 {
				width := min(0.25, span.To-quarter)
				sum += width * weights[int((quarter+width/2)/step)]
			}
			most = max(most, sum/24)
		}
		assert.InDelta(t, most, s.most(spans), 0.02)
		assert.InDelta(t, s.at(1e9), s.until[n], 1e-9)
	}
	summer := newScale([]float64{0, 0, 0, 0, 1, 1}, 24)
	assert.InDelta(t, 1, summer.most([]storm.Span{{From: 0, To: 90}, {From: 100, To: 124}}), 1e-12, "a day of summer counts, four of winter do not")
}

// All hours alike, a dose is the longest spell.
func TestDosesOfEvenWeightsAreTheLongestSpells(t *testing.T) {
	s := prepare(t, rough(24, 3))
	record := daily("1999-01-01", showers(1200, 3, 25, 3), 2)
	zone := loam()
	zone.Drainage = 0.05
	o := Options{Zones: []Zone{zone}, Infiltration: []float64{0.4}, Weights: [][]float64{ones(record.Len())}}
	for c := 0; c < 24*24; c += 5 {
		o.Positions = append(o.Positions, Position{Cell: c, Roots: storm.Roots{Depth: 0.3, Porosity: 0.08, Drainage: 0.5}})
	}
	wet := 0
	r := run(t, s, record, o)
	for p := range o.Positions {
		for _, y := range r.Wetness[p] {
			assert.InDelta(t, y.Longest, y.Doses[0], 1e-9)
			if y.Longest > 0 {
				wet++
			}
		}
	}
	assert.Greater(t, wet, 100)
	o.Weights = [][]float64{ones(5), append(ones(record.Len()-1), -1)}
	_, err := Run(context.Background(), s, record, o)
	assert.ErrorContains(t, err, "weights 0 of 5 steps, the record has 1200")
	assert.ErrorContains(t, err, "weight 1 of step 1199 is -1, not 0 or more")
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
