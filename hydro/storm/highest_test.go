package storm

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// The highest levels are those of the whole history, whatever is watched.
func TestHighestIsTheHighestOfTheHistory(t *testing.T) {
	for seed := range uint64(30) {
		s := site(t, ranked(12, 0.5+0.5*float64(seed%2), seed))
		steps := []Step{
			{Hours: 2, Inflow: s.Runoff(5000)},
			{Hours: 3, Evaporation: 200},
			{Hours: 1, Inflow: s.Runoff(20000)},
			{Hours: 40, Evaporation: 50},
		}
		loss := Loss{Infiltration: []float64{1000}}
		all, few := s.Simulate(nil, loss), s.Simulate(nil, loss)
		few.Watch(5)
		for _, w := range steps {
			all.Step(w)
			few.Step(w)
			h := all.History()
			want := make([]float64, len(s.hollow))
			for _, i := range s.inwards {
				want[i] = math.Inf(-1)
				if p := s.hollow[i].parent; p != outside {
					want[i] = want[p]
				}
				for _, spell := range h.tracks[i] {
					for _, p := range spell {
						want[i] = max(want[i], p.Level)
					}
				}
			}
			require.Equal(t, want, all.Highest(), "seed %d", seed)
			require.Equal(t, want, few.Highest(), "seed %d", seed)
		}
	}
}
