package trial

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// rated spells out a table of ratings: how many of each kind got rating 1, 2
// and so on.
func rated(dry, wet []int) (score []float64, seen []bool) {
	for rating := range dry {
		for range dry[rating] {
			score, seen = append(score, float64(rating+1)), append(seen, false)
		}
		for range wet[rating] {
			score, seen = append(score, float64(rating+1)), append(seen, true)
		}
	}
	return score, seen
}

// Hanley and McNeil (1982), table I: 109 scans rated 1 to 5, of which 58
// were normal and 51 were not; the paper's area is 0.893 and its standard
// error 0.032. Counts, area and error are from memory of the paper; they bear
// each other out, as 2642/2958 = 0.89317 and the paper's own formula, written
// here, gives 0.0320. That formula takes ties for an order the scale was too
// coarse to show, a third for two ties at once where DeLong et al. (1988)
// have a quarter, so its error is the larger. For the latter the reference
// is pROC 1.18.0 in R: 0.0307244083794.
func TestAreaOfTheRatingsOfHanleyAndMcNeil(t *testing.T) {
	dry, wet := []int{33, 6, 6, 11, 2}, []int{3, 2, 2, 11, 33}
	got := AUC(rated(dry, wet))
	assert.InDelta(t, 0.893, got.Value, 0.0005)
	assert.InDelta(t, 2642.0/2958, got.Value, 1e-12)
	assert.InDelta(t, 0.0307244083794, got.Error, 1e-12)

	theta, q1, q2 := got.Value, 0.0, 0.0
	for r := range dry {
		lower, equal, higher, same := 0.0, float64(dry[r]), 0.0, float64(wet[r])
		for s := range dry {
			if s < r {
				lower += float64(dry[s])
			}
			if s > r {
				higher += float64(wet[s])
			}
		}
		q2 += same * (lower*lower + lower*equal + equal*equal/3) / (51 * 58 * 58)
		q1 += equal * (higher*higher + higher*same + same*same/3) / (51 * 51 * 58)
	}
	paper := math.Sqrt((theta*(1-theta) + 50*(q1-theta*theta) + 57*(q2-theta*theta)) / (51 * 58))
	assert.InDelta(t, 0.032, paper, 0.0005)
	assert.Less(t, got.Error, paper)
}

// Small sets that can be counted on fingers: of all pairs of a wet and a dry
// spot, the share in which the wet one scores higher.
func TestAreaCountsPairs(t *testing.T) {
	for _, tt := range []struct {
		name     string
		wet, dry []float64
		want     float64
	}{
		{"every wet spot above every dry one", []float64{3, 4}, []float64{1, 2}, 1},
		{"every wet spot below every dry one", []float64{1, 2}, []float64{3, 4}, 0},
		{"all spots alike", []float64{5, 5}, []float64{5, 5, 5}, 0.5},
		{"three of four pairs", []float64{2, 4}, []float64{1, 3}, 0.75},
		{"a tie counts half", []float64{2, 4}, []float64{2, 3}, 0.625},
		{"signed zeros are equal", []float64{0, 1}, []float64{math.Copysign(0, -1), -1}, 0.875},
	} {
		t.Run(tt.name, func(t *testing.T) {
			score, seen := append(tt.wet[:len(tt.wet):len(tt.wet)], tt.dry...), make([]bool, len(tt.wet)+len(tt.dry))
			for i := range tt.wet {
				seen[i] = true
			}
			assert.InDelta(t, tt.want, AUC(score, seen).Value, 1e-15)
		})
	}
}

// The definition, pair by pair, and the structural components of DeLong et
// al. (1988), equations 4 to 7, written as they are printed.
func TestAreaAndErrorAgreeWithTheDefinition(t *testing.T) {
	for seed := range uint64(30) {
		r := rand.New(rand.NewPCG(seed, 7))
		var score []float64
		var seen []bool
		for i := range 12 + r.IntN(40) {
			score = append(score, float64(r.IntN(9))) // few values, many ties
			seen = append(seen, i%3 == 0)
		}
		var x, y []float64
		for i, s := range score {
			if seen[i] {
				x = append(x, s)
			} else {
				y = append(y, s)
			}
		}
		psi := func(x, y float64) float64 {
			switch {
			case x > y:
				return 1
			case x == y:
				return 0.5
			}
			return 0
		}
		m, n := float64(len(x)), float64(len(y))
		theta := 0.0
		for _, a := range x {
			for _, b := range y {
				theta += psi(a, b) / (m * n)
			}
		}
		s10, s01 := 0.0, 0.0
		for _, a := range x {
			v := 0.0
			for _, b := range y {
				v += psi(a, b) / n
			}
			s10 += (v - theta) * (v - theta) / (m - 1)
		}
		for _, b := range y {
			v := 0.0
			for _, a := range x {
				v += psi(a, b) / m
			}
			s01 += (v - theta) * (v - theta) / (n - 1)
		}
		got := AUC(score, seen)
		assert.InDelta(t, theta, got.Value, 1e-12, "seed %d", seed)
		assert.InDelta(t, math.Sqrt(s10/m+s01/n), got.Error, 1e-12, "seed %d", seed)
	}
}

// Drawing the spots again, with replacement and each kind by itself, spreads
// the area and the gain as far as their stated errors say.
func TestErrorAgreesWithDrawingAgain(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	const n, draws = 150, 2000
	a, b, seen := make([]float64, n), make([]float64, n), make([]bool, n)
	for i := range n {
		seen[i] = i%2 == 0
		both := r.NormFloat64()
		if seen[i] {
			both += 1.2
		}
		a[i], b[i] = both+0.5*r.NormFloat64(), both+r.NormFloat64()
	}
	var areas, gains []float64
	for range draws {
		var da, db []float64
		var ds []bool
		for i := range n {
			j := 2*r.IntN(n/2) + i%2
			da, db, ds = append(da, a[j]), append(db, b[j]), append(ds, seen[j])
		}
		areas = append(areas, AUC(da, ds).Value)
		gains = append(gains, Gain(da, db, ds).Value)
	}
	// 2,000 draws know a standard deviation to 1.6 %, one standard error.
	assert.InEpsilon(t, math.Sqrt(variance(areas)), AUC(a, seen).Error, 0.06)
	assert.InEpsilon(t, math.Sqrt(variance(gains)), Gain(a, b, seen).Error, 0.06)
}

func TestGainIsTheDifferenceOfTheAreas(t *testing.T) {
	a, b := []float64{1, 5, 2, 8, 3, 3}, []float64{2, 2, 9, 1, 4, 7}
	seen := []bool{true, false, true, true, false, false}
	assert.InDelta(t, AUC(a, seen).Value-AUC(b, seen).Value, Gain(a, b, seen).Value, 1e-15)
	assert.Zero(t, Gain(a, a, seen), "a measure gains nothing on itself, and that is certain")
}

func TestAreaRefusesWhatItCannotRank(t *testing.T) {
	assert.PanicsWithValue(t, "trial: 1 scores for 2 spots", func() { AUC([]float64{1}, []bool{true, false}) })
	assert.PanicsWithValue(t, "trial: spot 1 has no score", func() { AUC([]float64{1, math.NaN()}, []bool{true, false}) })
	assert.True(t, math.IsNaN(AUC([]float64{1, 2}, []bool{true, true}).Value), "no dry spot to compare with")
}
