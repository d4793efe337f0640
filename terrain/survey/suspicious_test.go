package survey

import (
	"fmt"
	"math"
	"testing"

	"wetfeet/terrain"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// One slip each, of the kinds made in the field, in a survey of 150 shots: it
// is named first, and why.
func TestSuspiciousShotsAreNamedWithAReason(t *testing.T) {
	for _, tt := range []struct {
		name string
		slip func(shots []Shot)
		want string
	}{
		{"a metre", func(s []Shot) { s[57].Z++ }, "1.0%d m too high: a whole metre misread on the staff?"},
		{"two metres", func(s []Shot) { s[57].Z -= 2 }, "too low: 2 whole metres misread on the staff?"},
		{"feet for metres", func(s []Shot) { s[57].Z /= 0.3048 }, "too high: feet taken for metres, or metres for feet?"},
		{"a decimal slip", func(s []Shot) { s[57].Z /= 10 }, "too low: a decimal point in the wrong place?"},
		{"a minus sign", func(s []Shot) { s[57].Z *= -1 }, "too low: a minus sign lost or added?"},
		{"swapped digits", func(s []Shot) { s[57].Z = swap(s[57].Z) }, "digits swapped? "},
		{"the reading before", func(s []Shot) { s[57].Z = s[56].Z }, ": the same height as the shot of line 58, written twice?"},
		{"no plain slip", func(s []Shot) { s[57].Z += 0.537 }, "too high for the ground around it"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			shots := scattered(150, 8)
			for i := range shots {
				shots[i].Z = math.Round(1000*(shots[i].Z+0.03*(shots[i].Point[0]-500_000))) / 1000
			}
			tt.slip(shots)
			m, err := Fit(shots, Options{})
			require.NoError(t, err)
			suspects, err := m.Suspicious()
			require.NoError(t, err)
			require.NotEmpty(t, suspects)
			assert.Len(t, suspects, 1)
			assert.Equal(t, 57, suspects[0].Index)
			if tt.name == "a metre" {
				off := math.Abs(suspects[0].Off)
				assert.InDelta(t, 1, off, 0.1)
				assert.Equal(t, fmt.Sprintf("%.2f m too high: a whole metre misread on the staff?", off), suspects[0].Reason(quantity.Metric))
				assert.Equal(t, fmt.Sprintf("%.2f ft too high: a whole metre misread on the staff?", off/0.3048), suspects[0].Reason(quantity.Feet))
				return
			}
			assert.Contains(t, suspects[0].Reason(quantity.Metric), tt.want)
		})
	}
}

// swap turns the ones and the tenths of a height.
func swap(z float64) float64 {
	ones, tenths := math.Mod(math.Floor(z), 10), math.Mod(math.Floor(10*z), 10)
	return z - ones - tenths/10 + tenths + ones/10
}

// Several gross errors hide each other: each makes the covariance noisier and
// its neighbours look bad. All of them are named and little else.
func TestSeveralGrossErrorsDoNotHideEachOther(t *testing.T) {
	shots := scattered(200, 4)
	bad := map[int]bool{}
	for k := range 8 {
		i := 11 + 23*k
		shots[i].Z += math.Copysign(0.5+0.2*float64(k), float64(k%2)-0.5)
		bad[i] = true
	}
	m, err := Fit(shots, Options{})
	require.NoError(t, err)
	suspects, err := m.Suspicious()
	require.NoError(t, err)
	for k, s := range suspects {
		assert.True(t, bad[s.Index], "shot %d", s.Index)
		delete(bad, s.Index)
		if k > 0 {
			assert.LessOrEqual(t, math.Abs(s.Standardised), math.Abs(suspects[k-1].Standardised), "worst first")
		}
	}
	assert.Empty(t, bad)
}

// Sound surveys are left in peace: of 20, about two may have a shot named.
func TestSoundSurveysHaveFewSuspects(t *testing.T) {
	named := 0
	for seed := range uint64(20) {
		m, err := Fit(scattered(100, 300+seed), Options{})
		require.NoError(t, err)
		suspects, err := m.Suspicious()
		require.NoError(t, err)
		if len(suspects) > 0 {
			named++
		}
	}
	assert.LessOrEqual(t, named, 5)
}

// A shot on a breakline is found though the line was drawn through it.
func TestSuspectOnABreaklineIsNamed(t *testing.T) {
	shots := scattered(120, 3)
	var line Breakline
	for i := range 7 {
		p := orb.Point{500_010 + 14*float64(i), 3_000_050}
		shots = append(shots, Shot{Point: p, Z: waves(p[0]-500_000, 50)})
	}
	shots[123].Z++
	for _, s := range shots[120:] {
		line.Line, line.Z = append(line.Line, s.Point), append(line.Z, s.Z)
	}
	m, err := Fit(shots, Options{Lines: []Breakline{line}})
	require.NoError(t, err)
	suspects, err := m.Suspicious()
	require.NoError(t, err)
	require.NotEmpty(t, suspects)
	assert.Equal(t, 123, suspects[0].Index)
}

// fillSlowly raises each cell to the lowest level at which it has a way out,
// by going over the grid until nothing changes: the definition.
func fillSlowly(dst, z *terrain.Grid[float32]) {
	rim := func(row, col int) bool {
		for r := row - 1; r <= row+1; r++ {
			for c := col - 1; c <= col+1; c++ {
				if !z.Holds(r, c) || terrain.IsVoid(z.At(r, c)) {
					return true
				}
			}
		}
		return false
	}
	for i, v := range z.Cells {
		dst.Cells[i] = v
		if !terrain.IsVoid(v) && !rim(z.Cell(i)) {
			dst.Cells[i] = math.MaxFloat32
		}
	}
	for changed := true; changed; {
		changed = false
		for i, v := range dst.Cells {
			if !(v > z.Cells[i]) {
				continue
			}
			row, col := z.Cell(i)
			lowest := v
			for r := row - 1; r <= row+1; r++ {
				for c := col - 1; c <= col+1; c++ {
					lowest = min(lowest, dst.At(r, c))
				}
			}
			if lowest = max(lowest, z.Cells[i]); lowest < v {
				dst.Cells[i], changed = lowest, true
			}
		}
	}
}

func TestPitsAreThoseNoShotWasTakenIn(t *testing.T) {
	f := terrain.Frame{Rows: 20, Cols: 30, West: 0, North: 20, CellSize: 1}
	z, sd := terrain.NewGrid[float32](f), terrain.NewGrid[float32](f)
	for i := range z.Cells {
		z.Cells[i], sd.Cells[i] = 10, 0.1
	}
	z.Set(5, 5, 9.5) // seen by nobody
	z.Set(5, 6, 9.75)
	z.Set(5, 15, 9.25) // with a shot
	z.Set(15, 5, 9.95) // within the error
	z.Set(15, 15, 9)   // deeper
	z.Set(15, 25, 9.5) // as deep as the first, later
	z.Set(0, 10, 5)    // the rim lets water out
	z.Set(10, 10, terrain.Void())
	shots := []Shot{{Point: f.Centre(5, 15)}, {Point: orb.Point{-50, 0}}, {Point: f.Centre(2, 2)}}
	assert.Equal(t, []Pit{
		{Floor: f.Centre(15, 15), Depth: 1, Error: float64(float32(0.1)), Cells: 1, Volume: 1},
		{Floor: f.Centre(5, 5), Depth: 0.5, Error: float64(float32(0.1)), Cells: 2, Volume: 0.75},
		{Floor: f.Centre(15, 25), Depth: 0.5, Error: float64(float32(0.1)), Cells: 1, Volume: 0.5},
	}, Pits(z, sd, shots, fillSlowly))
	assert.Panics(t, func() { Pits(z, terrain.NewGrid[float32](terrain.Frame{}), shots, fillSlowly) })
}

// The kriged surface invents no pits between good shots on ground without
// any: a plane with waves too gentle to hold water.
func TestKrigingInventsNoPits(t *testing.T) {
	shots := scattered(150, 9)
	for i, s := range shots {
		x, y := s.Point[0]-500_000, s.Point[1]-3_000_000
		shots[i].Z = 20 - 0.02*x + 0.1*math.Sin(x/30)*math.Cos(y/25)
		shots[i].Error = 0.01
	}
	m, err := Fit(shots, Options{})
	require.NoError(t, err)
	z, sd := m.Grid(frameOf(t, shots, 2))
	assert.Empty(t, Pits(z, sd, shots, fillSlowly))
}
