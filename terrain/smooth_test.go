package terrain

import (
	"math"
	"math/rand/v2"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func smooth(z *Grid[float32], length float64) *Grid[float32] {
	s := NewGrid[float32](z.Frame)
	Smooth(s, z, length)
	return s
}

// whiteNoise adds noise of one standard deviation to every known cell.
func whiteNoise(z *Grid[float32], sd float64, seed uint64) {
	rng := rand.New(rand.NewPCG(seed, 1))
	for i := range z.Cells {
		z.Cells[i] += float32(sd * rng.NormFloat64())
	}
}

func TestSmoothKeepsAPlane(t *testing.T) {
	z := made(60, 45, 2, func(x, y float64) float64 { return 312 + 0.004*x - 0.007*y })
	for i := range z.Cells { // a ragged site, as a boundary cuts it
		if r, c := z.Cell(i); c > 30+r/7 || math.Hypot(float64(r-20), float64(c-12)) < 5 || i%97 == 0 {
			z.Cells[i] = Void()
		}
	}
	for _, length := range []float64{0.5, 2, 7, 30} {
		for i, s := range smooth(z, length).Cells {
			require.Equal(t, IsVoid(z.Cells[i]), IsVoid(s))
			if !IsVoid(s) {
				require.InDelta(t, z.Cells[i], s, 4e-5, "smoothed over %g m, cell %d: float32 steps by 3e-5 m at 312 m", length, i)
			}
		}
	}
}

// A mean over the known cells alone pulls the foot of a slope up and its head
// down, which turns the water at the rim inwards. What Smooth makes of a noisy
// slope falls off the site everywhere along its lower rim.
func TestSmoothLeavesTheRimLeaningOutwards(t *testing.T) {
	z := made(80, 80, 1, func(x, y float64) float64 { return 20 - 0.01*x })
	whiteNoise(z, 0.01, 3)
	s := smooth(z, 4)
	var east, west float64
	for r := range s.Rows {
		east += float64(s.At(r, 79)-s.At(r, 75)) / 4 / 80
		west += float64(s.At(r, 4)-s.At(r, 0)) / 4 / 80
	}
	// Means of 80 cells of noise 0.01 smoothed over 4: good to about 0.001.
	assert.InDelta(t, -0.01, east, 0.001)
	assert.InDelta(t, -0.01, west, 0.001)
}

// A Gaussian of standard deviation s turns a wave of length L into the same
// wave, exp(−2 π² s² / L²) as high.
func TestSmoothLowersWavesAsAGaussianDoes(t *testing.T) {
	const length, s = 24.0, 3.0
	wave := func(x, y float64) float64 { return math.Cos(2*math.Pi*x/length) + math.Cos(2*math.Pi*y/length) }
	z := made(97, 97, 1, wave)
	got := smooth(z, s)
	left := math.Exp(-2 * math.Pi * math.Pi * s * s / length / length)
	for r := 12; r < 85; r++ {
		for c := 12; c < 85; c++ {
			require.InDelta(t, left*float64(z.At(r, c)), got.At(r, c), 2e-4, "row %d, column %d", r, c)
		}
	}
}

// White noise smoothed over s cells keeps 1 / (2 √π s) of its standard
// deviation, which follows from the integral of the squared Gaussian.
func TestSmoothQuietsNoise(t *testing.T) {
	z := made(400, 400, 1, func(x, y float64) float64 { return 0 })
	whiteNoise(z, 1, 7)
	for _, s := range []float64{1.5, 3} {
		got := smooth(z, s)
		var square float64
		n := 0
		for r := 15; r < 385; r++ {
			for c := 15; c < 385; c++ {
				square += float64(got.At(r, c)) * float64(got.At(r, c))
				n++
			}
		}
		// Neighbours share their noise: about n / (4 π s²) are independent.
		independent := float64(n) / (4 * math.Pi * s * s)
		assert.InEpsilon(t, 1/(2*math.Sqrt(math.Pi)*s), math.Sqrt(square/float64(n)), 3/math.Sqrt(2*independent))
	}
}

// smoothSlowly fits the line by its definition, for one line of cells at a
// time.
func smoothSlowly(z *Grid[float32], length float64) *Grid[float32] {
	s := length / z.CellSize
	pass := func(line []float64) []float64 {
		out := make([]float64, len(line))
		for i, v := range line {
			var n, x, y, xx, xy float64
			for k, u := range line {
				if math.IsNaN(u) || math.Abs(float64(k-i)) > math.Ceil(smoothReach*s) {
					continue
				}
				d := float64(k - i)
				w := math.Exp(-d * d / (2 * s * s))
				n, x, y, xx, xy = n+w, x+w*d, y+w*u, xx+w*d*d, xy+w*d*u
			}
			switch {
			case math.IsNaN(v):
				out[i] = v
			case xx == 0:
				out[i] = v
			default: // the intercept of the weighted regression line
				fall := (n*xy - x*y) / (n*xx - x*x)
				out[i] = y/n - fall*x/n
			}
		}
		return out
	}
	half := make([][]float64, z.Rows)
	for r := range half {
		line := make([]float64, z.Cols)
		for c := range line {
			line[c] = float64(z.At(r, c))
		}
		half[r] = pass(line)
	}
	out := NewGrid[float32](z.Frame)
	for c := range z.Cols {
		line := make([]float64, z.Rows)
		for r := range line {
			line[r] = half[r][c]
		}
		for r, v := range pass(line) {
			out.Set(r, c, float32(v))
		}
	}
	return out
}

func TestSmoothAgreesWithTheDefinition(t *testing.T) {
	for seed := range uint64(60) {
		rng := rand.New(rand.NewPCG(seed, 2))
		z := NewGrid[float32](Frame{Rows: 1 + rng.IntN(30), Cols: 1 + rng.IntN(30), CellSize: 0.5})
		voids := []float64{0, 0.02, 0.5}[seed%3]
		for i := range z.Cells {
			if z.Cells[i] = rng.Float32(); rng.Float64() < voids {
				z.Cells[i] = Void()
			}
		}
		length := rng.Float64() * 3
		got, want := smooth(z, length), smoothSlowly(z, length)
		for i, w := range want.Cells {
			require.Equal(t, IsVoid(w), IsVoid(got.Cells[i]), "seed %d", seed)
			if !IsVoid(w) {
				require.InDelta(t, w, got.Cells[i], 1e-5, "seed %d, cell %d", seed, i)
			}
		}
	}
}

func TestSmoothDoesNotShowItsThreads(t *testing.T) {
	z := made(130, 90, 1, func(x, y float64) float64 { return 0.01 * x })
	whiteNoise(z, 0.05, 1)
	z.Set(40, 40, Void())
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	runtime.GOMAXPROCS(1)
	want := smooth(z, 3)
	for _, n := range []int{2, 8} {
		runtime.GOMAXPROCS(n)
		for i, v := range smooth(z, 3).Cells {
			require.Equal(t, math.Float32bits(want.Cells[i]), math.Float32bits(v))
		}
	}
}

func TestSmoothOverNoLengthCopies(t *testing.T) {
	z := made(4, 4, 1, func(x, y float64) float64 { return x * y })
	assert.Equal(t, z, smooth(z, 0))
	assert.Equal(t, z, smooth(z, -1))
	assert.Equal(t, z.Cells, smooth(z, 1e-3).Cells, "too short to reach a neighbour")
	assert.Panics(t, func() { Smooth(NewGrid[float32](Frame{Rows: 1, Cols: 1}), z, 1) })
}

func TestSmoothingKernel(t *testing.T) {
	assert.Equal(t, []float64{1}, SmoothingKernel(0))
	for _, sd := range []float64{0.3, 1, 2.5, 6} {
		w := SmoothingKernel(sd)
		var sum, square float64
		for k, g := range w {
			d := float64(k - len(w)/2)
			sum += g
			square += g * d * d
			assert.InDelta(t, g, w[len(w)-1-k], 1e-15, "even on both sides")
		}
		assert.InDelta(t, 1, sum, 1e-12)
		if sd >= 1 {
			assert.InEpsilon(t, sd, math.Sqrt(square), 1e-3, "the width asked for, but for the tails")
		}
	}
}
