package trial

import (
	"encoding/csv"
	"os"
	"slices"
	"strconv"
	"testing"

	"wetfeet/terrain/survey"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// meuse reads the spot heights of the Meuse flood plain; testdata/meuse says
// where they come from. Wet is flooding class 1, once in two years. ToRiver is
// the distance to the river noted in the field, m.
func meuse(t testing.TB) (spots []Spot, toRiver []float64) {
	t.Helper()
	file, err := os.Open("../../../testdata/meuse/meuse.csv")
	require.NoError(t, err)
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	require.Equal(t, []string{"x", "y", "z", "ffreq", "soil", "dist", "dist_m"}, rows[0][:7])
	for _, row := range rows[1:] {
		var v [7]float64
		for i := range v {
			v[i], err = strconv.ParseFloat(row[i], 64)
			require.NoError(t, err)
		}
		spots = append(spots, Spot{Point: orb.Point{v[0], v[1]}, Z: v[2], Wet: v[3] == 1})
		toRiver = append(toRiver, v[6])
	}
	require.Len(t, spots, 155)
	return spots, toRiver
}

// seen is what was seen at each spot.
func seen(spots []Spot) []bool {
	wet := make([]bool, len(spots))
	for i, s := range spots {
		wet[i] = s.Wet
	}
	return wet
}

// shotsAt are the spots as the survey package takes them.
func shotsAt(spots []Spot) []survey.Shot {
	shots := make([]survey.Shot, len(spots))
	for i, s := range spots {
		shots[i] = survey.Shot{Point: s.Point, Z: s.Z}
	}
	return shots
}

// Reference: pROC 1.18.0 in R (Robin, X. et al. (2011), pROC: an open-source
// package for R and S+ to analyze and compare ROC curves, BMC Bioinformatics
// 12, 77), on data(meuse, package = "sp"):
//
//	wet <- meuse$ffreq == 1
//	a <- roc(wet, -residuals(lm(elev ~ x + y, meuse)), direction = "<")
//	b <- roc(wet, -meuse$elev, direction = "<")
//	auc(b); sqrt(var(b)); auc(a); sqrt(var(a))
//	(auc(a) - auc(b)) / roc.test(a, b, method = "delong")$statistic
func TestMeuseAgreesWithReference(t *testing.T) {
	spots, toRiver := meuse(t)
	wet := seen(spots)
	near := make([]float64, len(spots))
	for i, d := range toRiver {
		near[i] = -d
	}
	for _, tt := range []struct {
		name  string
		score []float64
		want  Area
	}{
		{"elevation", Lowness(spots), Area{0.787642521797, 0.0353936452182}},
		{"elevation less its plane", BelowPlane(spots), Area{0.825955734406, 0.0330269215018}},
		{"nearness to the river", near, Area{0.688128772636, 0.0420244540844}},
	} {
		got := AUC(tt.score, wet)
		assert.InDelta(t, tt.want.Value, got.Value, 1e-11, tt.name)
		assert.InDelta(t, tt.want.Error, got.Error, 1e-11, tt.name)
	}
	gain := Gain(BelowPlane(spots), Lowness(spots), wet)
	assert.InDelta(t, 0.0236849165151, gain.Error, 1e-11)
	assert.InDelta(t, 1.617620758, gain.Value/gain.Error, 1e-8)
}

// chosenElsewhere scores every spot with the one of several measures that did
// best on the spots of the other strips, so that no spot has a say in the
// measure it is judged by. The strips lie across the valley and hold a fifth
// of the spots each. The scores of different measures must be comparable.
func chosenElsewhere(spots []Spot, measures [][]float64) []float64 {
	const strips = 5
	order := make([]int, len(spots))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		a, b := spots[i].Point, spots[j].Point
		return slices.Compare([]float64{a[1], a[0]}, []float64{b[1], b[0]})
	})
	score := make([]float64, len(spots))
	for k := range strips {
		lo, hi := k*len(order)/strips, (k+1)*len(order)/strips
		others := slices.Concat(order[:lo], order[hi:])
		best, most := 0, -1.0
		for m, measure := range measures {
			var s []float64
			var w []bool
			for _, i := range others {
				s, w = append(s, measure[i]), append(w, spots[i].Wet)
			}
			if a := AUC(s, w).Value; a > most {
				best, most = m, a
			}
		}
		for _, i := range order[lo:hi] {
			score[i] = measures[best][i]
		}
	}
	return score
}
