package reliability

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Newcombe (1998), Two-sided confidence intervals for the single proportion,
// Statistics in Medicine 17, 857–872, table I, method 3, 95 %: from memory, and
// more digits from prop.test without correction in R 4.2.2.
func TestWilsonAgreesWithNewcombe(t *testing.T) {
	for _, tt := range []struct {
		k, n   int
		lo, hi float64
	}{
		{81, 263, 0.255288519878, 0.366209576983}, // 0.2553 to 0.3662
		{15, 148, 0.0623863995307, 0.1604872417233},
		{0, 20, 0, 0.161125158053},
		{1, 29, 0.00611321429276, 0.17175521879320},
	} {
		got := wilson(float64(tt.k)/float64(tt.n), float64(tt.n), 1.959963984540054)
		assert.InDelta(t, tt.lo, got.Lo, 1e-9)
		assert.InDelta(t, tt.hi, got.Hi, 1e-9)
		assert.Equal(t, tt.n, got.Count)
	}
}

func TestCoverageCountsEnds(t *testing.T) {
	got := Coverage([]float64{0, 0, 0, 2}, []float64{1, 1, 1, 3}, []float64{0, 1, 1.5, 2.5}, nil)
	assert.InDelta(t, 0.75, got.Value, 1e-15)
	assert.True(t, got.Lo < 0.75 && got.Hi > 0.75)
}

// Ratio less one and its standard error by R 4.2.2, from the formula of
// Cochran (1977), equation 6.4, without the finite population.
func TestBiasAgreesWithR(t *testing.T) {
	got := Bias([]float64{12.1, 8.4, 15.2, 9.9, 20.3, 7.7}, []float64{11, 9, 14, 10.5, 19, 8.2}, nil)
	assert.InDelta(t, 0.026499302650, got.Value, 1e-12)
	assert.InDelta(t, 0.030419563805, (got.Hi-got.Lo)/2/z90, 1e-12)
}

// Of many trials with a known bias, nine intervals in ten hold it.
func TestIntervalOfBiasHoldsIt(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 6))
	const trials, sites, bias = 1000, 100, -0.2
	held := 0
	for range trials {
		e, v := make([]float64, sites), make([]float64, sites)
		for i := range v {
			v[i] = math.Exp(0.8 * r.NormFloat64())
			e[i] = (1 + bias) * v[i] * (1 + 0.3*r.NormFloat64())
		}
		if b := Bias(e, v, nil); b.Lo <= bias && bias <= b.Hi {
			held++
		}
	}
	assert.InDelta(t, 0.9, float64(held)/trials, 0.03)
}

// Hollows of a site go together: with ten alike in every site the intervals
// are those of the sites, and those that take each for itself hold too few.
func TestIntervalsOfGroupsHold(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 6))
	const trials, sites, each, bias, share = 1000, 150, 8, 0.1, 0.8
	held, alone, covered, coveredAlone := 0, 0, 0, 0
	for range trials {
		var e, v, lo, hi, truth []float64
		var site []int
		for s := range sites {
			off, in := 1+bias+0.3*r.NormFloat64(), r.Float64() < share
			for range each {
				one := math.Exp(0.5 * r.NormFloat64())
				e, v, site = append(e, one*off), append(v, one), append(site, s)
				lo, hi, truth = append(lo, 0), append(hi, 1), append(truth, 0.5)
				if !in {
					truth[len(truth)-1] = 2
				}
			}
		}
		count := func(n *int, e Estimate, true float64) {
			if e.Lo <= true && true <= e.Hi {
				*n++
			}
		}
		count(&held, Bias(e, v, site), bias)
		count(&alone, Bias(e, v, nil), bias)
		count(&covered, Coverage(lo, hi, truth, site), share)
		count(&coveredAlone, Coverage(lo, hi, truth, nil), share)
	}
	assert.InDelta(t, 0.9, float64(held)/trials, 0.03)
	assert.InDelta(t, 0.9, float64(covered)/trials, 0.03)
	assert.Less(t, float64(alone)/trials, 0.6)
	assert.Less(t, float64(coveredAlone)/trials, 0.6)

	all := Coverage([]float64{0, 0, 0}, []float64{1, 1, 1}, []float64{0, 0, 0}, []int{4, 4, 9})
	assert.Equal(t, 1.0, all.Value)
	assert.InDelta(t, 2/(2+z90*z90), all.Lo, 1e-12, "as of the two groups")
	assert.Equal(t, 3, all.Count)
}
