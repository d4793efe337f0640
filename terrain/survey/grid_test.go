package survey

import (
	"math"
	"runtime"
	"slices"
	"testing"

	"wetfeet/terrain"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestGridIsPredictAtEveryCell(t *testing.T) {
	shots := scattered(80, 1)
	m, err := Fit(shots, Options{})
	require.NoError(t, err)
	f, err := FrameFor(shots, 4)
	require.NoError(t, err)
	z, sd := m.Grid(f)
	known := 0
	for i := range z.Cells {
		p := f.Centre(f.Cell(i))
		if !m.Covers(p) {
			assert.True(t, terrain.IsVoid(z.Cells[i]) && terrain.IsVoid(sd.Cells[i]), "%v is void in both", p)
			continue
		}
		known++
		wantZ, wantSD := m.Predict(p)
		require.InDelta(t, wantZ, z.Cells[i], 2e-6) // half a float32 step at 20 m
		require.InDelta(t, wantSD, sd.Cells[i], 1e-7)
	}
	assert.Greater(t, known, f.Len()/2)
	assert.Less(t, known, f.Len())
}

func TestGridIsTheSameAtAnyNumberOfThreads(t *testing.T) {
	shots := scattered(400, 2)
	for name, most := range map[string]sizes{
		"at once": {1000, 200, 1000}, "deviation by patches": {1000, 200, 100}, "all by patches": {100, 200, 100},
	} {
		t.Run(name, func(t *testing.T) {
			draw := func(threads int) ([]byte, string) {
				defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(threads))
				m, err := fit(shots, Options{}, most)
				require.NoError(t, err)
				f, err := FrameFor(shots, 4)
				require.NoError(t, err)
				z, sd := m.Grid(f)
				require.Equal(t, bits(z.Cells), bits(m.Heights(f).Cells), "the surface alone is the same")
				return append(bits(z.Cells), bits(sd.Cells)...), m.String()
			}
			want, wantText := draw(1)
			for _, threads := range []int{2, 7} {
				got, text := draw(threads)
				assert.Equal(t, wantText, text)
				assert.True(t, slices.Equal(want, got), "%d threads", threads)
			}
		})
	}
}

// bits are the exact bytes of some cells: NaN compares too.
func bits(cells []float32) []byte {
	var b []byte
	for _, v := range cells {
		u := math.Float32bits(v)
		b = append(b, byte(u), byte(u>>8), byte(u>>16), byte(u>>24))
	}
	return b
}

// What patches cost in accuracy, on ground where the exact answer can be had.
func TestPatchesAgreeWithAllAtOnce(t *testing.T) {
	for _, tt := range []struct {
		name  string
		c     Covariance
		z, sd float64
	}{
		{"smooth ground and good shots", Covariance{Matern32, 0.04, 25, 0.0001}, 0.02, 0.002},
		{"rough ground", Covariance{Exponential, 0.04, 25, 0.0001}, 0.02, 0.002},
		{"poor shots", Covariance{Matern32, 0.04, 25, 0.01}, 0.02, 0.002},
		{"spherical", Covariance{Spherical, 0.04, 40, 0.0004}, 0.04, 0.005},
		// Here many more than 160 shots bear on a point, each a little.
		{"range of half the site", Covariance{Matern32, 0.04, 200, 0.0004}, 0.25, 0.02},
	} {
		t.Run(tt.name, func(t *testing.T) {
			shots := scattered(1200, 6)
			exact, err := Fit(shots, Options{Covariance: &tt.c})
			require.NoError(t, err)
			patched, err := fit(shots, Options{Covariance: &tt.c}, sizes{100, 100, 100})
			require.NoError(t, err)
			var sumZ, sumSD, n float64
			for x := 5.0; x < 340; x += 47 {
				for y := 5.0; y < 340; y += 47 {
					p := orb.Point{500_000 + x, 3_000_000 + y}
					z, sd := exact.Predict(p)
					gotZ, gotSD := patched.Predict(p)
					off := (gotZ - z) / sd
					sumZ += off * off
					sumSD += gotSD/sd - 1
					n++
				}
			}
			t.Logf("height off by %.3f deviations, deviation too large by %.2f %%", math.Sqrt(sumZ/n), 100*sumSD/n)
			assert.Less(t, math.Sqrt(sumZ/n), tt.z, "height off by this part of its deviation")
			assert.Less(t, math.Abs(sumSD/n), tt.sd, "deviation off by this part")
		})
	}
}

// Neighbouring patches blend without a step: along a line across many of them
// the surface never moves more between two near points than the ground could.
func TestPatchesBlendWithoutSteps(t *testing.T) {
	shots := scattered(600, 3)
	m, err := fit(shots, Options{}, sizes{100, 300, 100})
	require.NoError(t, err)
	const step = 1e-4 // m
	for i := range 200 {
		p := orb.Point{500_010 + float64(i), 3_000_040 + float64(i)/2}
		a, _ := m.Predict(p)
		b, _ := m.Predict(orb.Point{p[0] + step, p[1]})
		assert.Less(t, math.Abs(b-a), 0.05*step, "at %v", p) // the made ground is nowhere steeper than 2 %
	}
}

func TestMarginSaysHowFarOutsideTheHullIsDrawn(t *testing.T) {
	shots := []Shot{
		{Point: orb.Point{0, 0}, Z: 1}, {Point: orb.Point{10, 0}, Z: 2},
		{Point: orb.Point{10, 10}, Z: 1}, {Point: orb.Point{0, 10}, Z: 3},
	}
	for _, tt := range []struct {
		margin  float64
		at      orb.Point
		covered bool
	}{
		{2, orb.Point{11.9, 5}, true},
		{2, orb.Point{12.1, 5}, false},
		{2, orb.Point{11.4, 11.4}, true},
		{2, orb.Point{11.5, 11.5}, false}, // 2.12 m from the corner
		{0, orb.Point{19, 5}, true},       // one spacing: 10 m, as near as the next shot
		{0, orb.Point{21, 5}, false},
		{-1, orb.Point{9.9, 5}, true},
		{-1, orb.Point{10.1, 5}, false},
	} {
		m, err := Fit(shots, Options{Margin: tt.margin})
		require.NoError(t, err)
		assert.Equal(t, tt.covered, m.Covers(tt.at), "margin %v, %v", tt.margin, tt.at)
	}
}

func frameOf(t testing.TB, shots []Shot, cell float64) terrain.Frame {
	t.Helper()
	f, err := FrameFor(shots, cell)
	require.NoError(t, err)
	return f
}
