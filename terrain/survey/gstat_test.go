package survey

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// gstatCases are the models of testdata/gstat, where the script is.
func gstatCases(t *testing.T) map[string]*Model {
	t.Helper()
	shots := meuse(t).Shots
	round := Covariance{Spherical, 0.8603, 1573.3, 0.6269}
	rough := Covariance{Exponential, 0.9, 300, 0.2}
	cases := map[string]*Model{}
	for name, o := range map[string]Options{
		"level":       {Trend: Constant, Covariance: &round},
		"plane":       {Trend: Planar, Covariance: &round},
		"long":        {Trend: Constant, Covariance: &round, Anisotropy: Anisotropy{Ratio: 0.4, Bearing: 30}},
		"exponential": {Trend: Constant, Covariance: &rough, Anisotropy: Anisotropy{Ratio: 0.6, Bearing: 120}},
	} {
		m, err := Fit(shots, o)
		require.NoError(t, err)
		cases[name] = m
	}
	return cases
}

// table reads a file of testdata/gstat without its header.
func table(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open("testdata/gstat/" + name)
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	return rows[1:]
}

func numbers(t *testing.T, row []string) []float64 {
	t.Helper()
	var values []float64
	for _, text := range row {
		v, err := strconv.ParseFloat(text, 64)
		require.NoError(t, err)
		values = append(values, v)
	}
	return values
}

// gstat 2.1-0: see testdata/gstat. Its range of an anisotropic model is that
// along the bearing, as ours.
func TestKrigingOfMeuseHeightsIsThatOfGstat(t *testing.T) {
	cases := gstatCases(t)
	for _, row := range table(t, "kriging.csv") {
		v := numbers(t, row[1:])
		t.Run(row[0], func(t *testing.T) {
			assertKriging(t, cases[row[0]], orb.Point{v[0], v[1]}, v[2], v[3], 1e-6)
		})
	}
}

func TestLeaveOneOutIsThatOfGstat(t *testing.T) {
	cases := gstatCases(t)
	for _, row := range table(t, "leave-one-out.csv") {
		v := numbers(t, row[1:])
		got := cases[row[0]].LeaveOneOut()
		assert.InDelta(t, v[0], got.RMSE, 1e-6, row[0])
		assert.InDelta(t, v[1], got.MSDR, 1e-6, row[0])
	}
	assert.InDelta(t, 0.7934, cases["level"].LeaveOneOut().RMSE, 1e-4)
}
