package storm

import (
	"math"
	"testing"

	"wetfeet/hydro"
	"wetfeet/terrain"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func coneOf(t *testing.T, side int) *Site {
	t.Helper()
	z := terrain.NewGrid[float32](terrain.Frame{Rows: side, Cols: side, CellSize: 1})
	for i := range z.Cells {
		row, col := i/side, i%side
		d := math.Hypot(float64(row)-float64(side-1)/2, float64(col)-float64(side-1)/2)
		z.Cells[i] = float32(10 + 0.1*d + 1e-4*float64(i%7))
	}
	s, err := Prepare(hydro.FindHollows(z), Options{})
	require.NoError(t, err)
	return s
}

// By hand: all ground that was ever under water takes as much as there is
// room below it and no more, whatever the rate. Soil so fast that it is never
// the rate that holds the water back fills cell after cell from the floor
// upwards: at the end the water that came is what stands up to a level and
// what fills the room below the ground under that level,
//
//	in = V(level) + room × A(level).
//
// Slower soil lets the water spread farther first, and so in the end takes no
// less than that of it.
func TestRoomIsUsedUpUnderAllTheGroundThatWasWet(t *testing.T) {
	s := coneOf(t, 14)
	const rain, hours, room = 30, 4, 100.0
	soaked := map[float64]float64{}
	for _, rate := range []float64{5, 50, 500, 5000} {
		h := s.Run(nil, Loss{Infiltration: []float64{rate}, Room: []float64{room}, Rest: []float64{0}},
			Step{Hours: hours, Inflow: s.Runoff(rain)}, Step{Hours: 2000, Inflow: s.Runoff(0)})
		require.InDelta(t, 0, h.Error(), 1e-9*h.In)
		soaked[rate] = h.Soaked
	}
	in := s.Runoff(rain).To[0]
	level, area := 0.0, 0.0
	for level = s.Hollows().All[0].Floor; ; level += 1e-5 {
		area = 0
		for _, z := range s.h.Ground().Cells {
			if float64(z) < level {
				area++
			}
		}
		if s.Storage().Volume(0, level)+room/1000*area >= in {
			break
		}
	}
	want := in - s.Storage().Volume(0, level)
	assert.InDelta(t, want, soaked[5000], room/1000+1e-3, "but for the last cell")
	assert.InDelta(t, want, soaked[500], room/1000+1e-3)
	for rate, v := range soaked {
		assert.GreaterOrEqual(t, v, want-room/1000-1e-3, "%g mm/h", rate)
		assert.LessOrEqual(t, v, in)
	}
}

// Where the water cannot spread, over a flat floor between walls, a faster
// rate never soaks less by any time, and a pond never stands longer for it.
func TestFasterSoilNeverSoaksLessBetweenWalls(t *testing.T) {
	s := site(t, box())
	for _, room := range []float64{20, 100, 400, math.Inf(1)} {
		before := &History{}
		for k, rate := range []float64{1, 3, 10, 30, 100, 300, 1000} {
			loss := Loss{Infiltration: []float64{rate}, Room: []float64{room}, Rest: []float64{0.5}}
			m := s.Simulate(s.Fill(Inflow{To: []float64{0.2}}), loss)
			for _, w := range []Step{{Hours: 5, Inflow: Inflow{To: []float64{0.3}}}, {Hours: 7}, {Hours: 3, Inflow: Inflow{To: []float64{0.1}}}, {Hours: 40}} {
				m.Step(w)
			}
			h := m.History()
			require.InDelta(t, 0, h.Error(), 1e-9)
			if k > 0 {
				assert.GreaterOrEqual(t, h.Soaked, before.Soaked-1e-9, "room %g, %g mm/h", room, rate)
				for x := 0.0; x < h.Hours; x += 0.5 {
					assert.LessOrEqual(t, h.Level(0, x), before.Level(0, x)+1e-9, "room %g, %g mm/h at %g h", room, rate, x)
				}
			}
			before = h
		}
	}
}
