package field

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/mat"
)

// seenRose is energies of a few waves in each sector of four steps, about a
// known ground and error.
func seenRose(random *rand.Rand) *rose {
	o := &rose{lowest: -3, longest: 0.01, steps: 4}
	for at := range o.steps * directions {
		step := float64(at / directions)
		n := 3 * math.Pow(2, step)
		ground, noise := 2*math.Exp(-0.9*step), 0.5*math.Exp(-0.2*step)
		seen := 0.0
		for range int(n) {
			seen += random.ExpFloat64() * (ground + noise) / n
		}
		o.count, o.seen, o.noise = append(o.count, n), append(o.seen, seen), append(o.noise, noise)
	}
	o.count[7] = 0 // a sector without a wave
	return o
}

// plainly is elliptical slice sampling against what is believed before, as
// Murray, Adams and MacKay (2010) print it: the slow way, which needs no mode.
func plainly(o *rose, steps int, random *rand.Rand) (mean, sd []float64) {
	before, k := o.prior()
	n := len(before)
	var c mat.Cholesky
	c.Factorize(k)
	var lower mat.TriDense
	c.LTo(&lower)
	f, next := append([]float64(nil), before...), make([]float64, n)
	white, way := mat.NewVecDense(n, nil), mat.NewVecDense(n, nil)
	mean, sd = make([]float64, n), make([]float64, n)
	kept := 0.0
	for step := range steps {
		for i := range n {
			white.SetVec(i, random.NormFloat64())
		}
		way.MulVec(&lower, white)
		bar := o.fit(f, nil, nil) + math.Log(1-random.Float64())
		angle := 2 * math.Pi * random.Float64()
		lo, hi := angle-2*math.Pi, angle
		for {
			for i := range n {
				next[i] = before[i] + (f[i]-before[i])*math.Cos(angle) + way.AtVec(i)*math.Sin(angle)
			}
			if o.fit(next, nil, nil) > bar {
				break
			}
			if angle < 0 {
				lo = angle
			} else {
				hi = angle
			}
			angle = lo + (hi-lo)*random.Float64()
		}
		copy(f, next)
		if step >= steps/10 {
			kept++
			for i, v := range f {
				mean[i] += v
				sd[i] += v * v
			}
		}
	}
	for i := range n {
		mean[i] /= kept
		sd[i] = math.Sqrt(sd[i]/kept - mean[i]*mean[i])
	}
	return mean, sd
}

func TestLikelySpectraAgreeWithPlainSampling(t *testing.T) {
	if testing.Short() {
		t.Skip("samples long chains")
	}
	o := seenRose(rand.New(rand.NewPCG(1, 2)))
	want, wantSD := plainly(o, 150000, rand.New(rand.NewPCG(3, 4)))
	list, mean := o.likely(2000, rand.New(rand.NewPCG(5, 6)))
	for i := range want {
		sd := 0.0
		for _, f := range list {
			sd += (f[i] - mean[i]) * (f[i] - mean[i]) / float64(len(list))
		}
		sd = math.Sqrt(sd)
		assert.InDelta(t, want[i], mean[i], 0.15*wantSD[i], "mean of sector %d", i)
		assert.InEpsilon(t, wantSD[i], sd, 0.15, "deviation of sector %d", i)
	}
}

// Where waves are many and the error small, there is little to doubt; where
// none is seen, much.
func TestLikelySpectraAreAsSureAsTheyMayBe(t *testing.T) {
	o := seenRose(rand.New(rand.NewPCG(7, 8)))
	for at := range o.count {
		o.count[at] *= 1e4
		o.seen[at] = 2*math.Exp(-0.9*float64(at/directions)) + o.noise[at]
	}
	for at := 3 * directions; at < len(o.count); at++ {
		o.count[at] = 0
	}
	list, _ := o.likely(200, rand.New(rand.NewPCG(9, 10)))
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, f := range list {
		for at := range 3 * directions {
			if o.count[at] == 0 {
				continue
			}
			assert.InDelta(t, math.Log(2)-0.9*float64(at/directions), f[at], 0.06)
		}
		lo, hi = min(lo, f[len(f)-1]), max(hi, f[len(f)-1])
	}
	assert.Greater(t, hi-lo, 0.3)
}

func TestBearingsOfWaves(t *testing.T) {
	round := torus{rows: 8, cols: 8}
	assert.Zero(t, round.bearing(1, 0))
	assert.InDelta(t, math.Pi/4, round.bearing(1, 1), 1e-12)
	assert.InDelta(t, math.Pi/2, round.bearing(0, 1), 1e-12)
	assert.InDelta(t, 3*math.Pi/4, round.bearing(1, 7), 1e-12)
	for k := range round.half() {
		for row := range round.rows {
			b := round.bearing(k, row)
			assert.True(t, b >= 0 && b < math.Pi)
		}
	}
}

// Draws follow from the seed and the number of the pair, whatever was drawn
// before in the same room, though pairs go by different spectra.
func TestPairsDoNotKnowOfEachOther(t *testing.T) {
	_, z := hilly(t, 20, Error{SD: 0.05, Range: 6, CellNoise: 0.01}, 2)
	d, err := OfRaster(z, Error{SD: 0.05, Range: 6, CellNoise: 0.01}, 9)
	assert.NoError(t, err)
	draw := func(r *Room, k int) []float32 {
		a, b := make([]float32, z.Len()), make([]float32, z.Len())
		r.Pair(k, a, b)
		return append(a, b...)
	}
	room := d.NewRoom()
	first := draw(room, 5)
	draw(room, 2)
	assert.Equal(t, first, draw(room, 5))
	assert.Equal(t, first, draw(d.NewRoom(), 5))
	assert.NotEqual(t, first, draw(room, 5+len(d.guesses)), "the same spectrum, another field")
}
