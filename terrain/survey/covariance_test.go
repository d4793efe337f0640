package survey

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// gstat 2.1-0, variogramLine(). The exponential kernel has its range
// parameter, not its practical range, in both.
func TestVariogramValuesAreThoseOfGstat(t *testing.T) {
	at := []float64{1, 5, 7.5, 10, 15, 20}
	for _, tt := range []struct {
		c    Covariance
		want []float64
	}{
		{Covariance{Spherical, 0.2, 15, 0.01}, []float64{0.02997037, 0.1062963, 0.1475, 0.1803704, 0.21, 0.21}},
		{Covariance{Exponential, 0.2, 5, 0.01}, []float64{0.04625385, 0.1364241, 0.165374, 0.1829329, 0.2000426, 0.2063369}},
	} {
		assert.Zero(t, tt.c.Variogram(0))
		for i, h := range at {
			assert.InEpsilon(t, tt.want[i], tt.c.Variogram(h), 5e-7, "%v at %v", tt.c.Kernel, h)
		}
	}
}

// Rasmussen & Williams (2006), equation 4.17: k(r) = (1 + √3 r/ℓ) exp(-√3 r/ℓ).
func TestMatern32IsThatOfTheBook(t *testing.T) {
	c := Covariance{Matern32, 2, 10, 0}
	assert.Equal(t, 2.0, c.At(0))
	for _, h := range []float64{0.1, 1, 10, 100} {
		u := math.Sqrt(3) * h / 10
		assert.InEpsilon(t, 2*(1+u)*math.Exp(-u), c.At(h), 1e-12, "%v", h)
	}
}

func TestReachIsWhereCorrelationIsATwentieth(t *testing.T) {
	for _, k := range []Kernel{Matern32, Exponential} {
		c := Covariance{k, 1, 7, 0}
		assert.InDelta(t, 0.05, c.At(c.Reach()), 1e-7, "%v", k)
	}
	c := Covariance{Spherical, 1, 7, 0}
	assert.Zero(t, c.At(c.Reach()))
}
