package storm

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A level without inflow sinks at the rate of the hour, and rests when dry.
func TestInfiltrationChangesOnTheWay(t *testing.T) {
	s := site(t, bowls())
	m := s.Simulate(s.Storm(20), Loss{Infiltration: []float64{100}})
	rates := make([]float64, len(s.Hollows().All))
	level := func() float64 { return m.State().Level(east) }
	full := level()
	require.Greater(t, full, 1.0)
	m.Step(Step{Hours: 1})
	assert.InDelta(t, full-0.1, level(), 1e-12)
	m.Infiltrate(rates) // sealed
	m.Step(Step{Hours: 5})
	assert.InDelta(t, full-0.1, level(), 1e-12)
	assert.False(t, m.Resting())
	for i := range rates {
		rates[i] = 50
	}
	m.Infiltrate(rates)
	m.Step(Step{Hours: 1})
	assert.InDelta(t, full-0.15, level(), 1e-12)
	m.Step(Step{Hours: 1000})
	assert.True(t, m.Resting())

	b := m.Balance()
	assert.Zero(t, b.Ponded)
	assert.Equal(t, b, m.Gone())
	assert.InDelta(t, 0, b.Error(), 1e-12)
	assert.InDelta(t, b.In, b.Soaked, 1e-12)
	assert.Equal(t, 1, s.Zones())
	assert.Panics(t, func() { m.Infiltrate(rates[:1]) })
	rates[0] = -1
	assert.Panics(t, func() { m.Infiltrate(rates) })
}
