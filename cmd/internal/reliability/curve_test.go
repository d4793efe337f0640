package reliability

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// table reads a file of testdata, its header left out.
func table(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open("testdata/sklearn/" + name)
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	return rows[1:]
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return v
}

// Five sets of odds by scikit-learn: testdata/README.md says how they were
// made.
func TestCurveAgreesWithScikitLearn(t *testing.T) {
	odds, happened, share := map[string][]float64{}, map[string][]bool{}, map[string][]float64{}
	for _, row := range table(t, "curves.csv") {
		set := row[0]
		odds[set] = append(odds[set], number(t, row[1]))
		happened[set] = append(happened[set], row[2] == "1")
		share[set] = append(share[set], number(t, row[3]))
	}
	scores := table(t, "scores.csv")
	require.Len(t, scores, 5)
	for _, row := range scores {
		c := Corp(odds[row[0]], happened[row[0]])
		assert.InDelta(t, number(t, row[1]), c.Brier, 1e-12, row[0])
		assert.InDelta(t, number(t, row[2]), c.Miscalibration, 1e-12, row[0])
		assert.InDelta(t, number(t, row[3]), c.Discrimination, 1e-12, row[0])
		assert.InDelta(t, number(t, row[4]), c.Uncertainty, 1e-12, row[0])
		at := map[float64]float64{}
		for _, p := range c.Points {
			at[p.Odds] = p.Share
		}
		for i, p := range odds[row[0]] {
			assert.InDelta(t, share[row[0]][i], at[p], 1e-12, "%s, odds %v", row[0], p)
		}
	}
}

// The parts add up to the score, none is below 0, and odds read through their
// own curve have nothing left to correct.
func TestPartsOfTheScore(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 2))
	for range 300 {
		n := 1 + r.IntN(200)
		odds, happened := make([]float64, n), make([]bool, n)
		for i := range odds {
			odds[i], happened[i] = float64(r.IntN(11))/10, r.IntN(3) == 0
		}
		c := Corp(odds, happened)
		assert.InDelta(t, Brier(odds, happened), c.Brier, 1e-12)
		assert.InDelta(t, c.Brier, c.Miscalibration-c.Discrimination+c.Uncertainty, 1e-12)
		assert.GreaterOrEqual(t, c.Miscalibration, -1e-12)
		assert.GreaterOrEqual(t, c.Discrimination, -1e-12)
		count := 0
		share := map[float64]float64{}
		for k, p := range c.Points {
			count += p.Count
			share[p.Odds] = p.Share
			if k > 0 {
				assert.Greater(t, p.Odds, c.Points[k-1].Odds)
				assert.GreaterOrEqual(t, p.Share, c.Points[k-1].Share)
			}
		}
		assert.Equal(t, n, count)
		read := make([]float64, n)
		for i, p := range odds {
			read[i] = min(max(share[p], 0), 1)
		}
		again := Corp(read, happened)
		assert.InDelta(t, 0, again.Miscalibration, 1e-12)
		assert.InDelta(t, c.Discrimination, again.Discrimination, 1e-12)
	}
}

func TestCurveOfPlainCases(t *testing.T) {
	odds := []float64{0.2, 0.8, 0.2, 0.2, 0.8, 0.2, 0.2, 0.8, 0.8, 0.8}
	seen := []bool{true, true, false, false, true, false, false, true, true, false}
	right := Corp(odds, seen) // one in five of the first, four in five of the second
	assert.Equal(t, []Point{{0.2, 5, 1, 0.2}, {0.8, 5, 4, 0.8}}, right.Points)
	assert.InDelta(t, 0, right.Miscalibration, 1e-15)
	assert.InDelta(t, 0.16, right.Brier, 1e-15)
	assert.InDelta(t, 0.09, right.Discrimination, 1e-15)
	assert.InDelta(t, 0.25, right.Uncertainty, 1e-15)

	flat := Corp([]float64{0.5, 0.5, math.Copysign(0, -1), 0}, []bool{false, false, true, true})
	assert.Len(t, flat.Points, 2, "signed zeros are equal")
	assert.InDelta(t, 0, flat.Discrimination, 1e-15, "odds the wrong way round tell nothing")
	assert.InDelta(t, 0.375-0.25, flat.Miscalibration-(flat.Brier-0.375), 1e-15)
}
