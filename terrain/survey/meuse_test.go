package survey

import (
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/require"
)

// meuse is the flood plain of ../../testdata/meuse, where its papers are:
// heights above the local river bed, and a column of the rest as numbers.
func meuse(t testing.TB) *Table {
	t.Helper()
	f, err := os.Open("../../testdata/meuse/meuse.csv")
	require.NoError(t, err)
	defer f.Close()
	table, err := ReadShots(f, "meuse.csv")
	require.NoError(t, err)
	require.Len(t, table.Shots, 155)
	return table
}

// numbersIn is one of the other columns of a table.
func numbersIn(t testing.TB, table *Table, name string) []float64 {
	t.Helper()
	var values []float64
	for _, s := range table.Shots {
		for i, c := range table.Columns {
			if c == name {
				v, err := strconv.ParseFloat(s.Extra[i], 64)
				require.NoError(t, err)
				values = append(values, v)
			}
		}
	}
	require.Len(t, values, len(table.Shots), name)
	return values
}

// logZinc is the Meuse with the log of zinc for its height, as published
// examples of kriging have it.
func logZinc(t testing.TB) []Shot {
	table := meuse(t)
	shots := table.Shots
	for i, v := range numbersIn(t, table, "zinc_mg_kg") {
		shots[i].Z = math.Log(v)
	}
	return shots
}

// meuseAt are the eight places that check values are given for: five cells of
// the grid published with the data, and three others.
var meuseAt = []orb.Point{
	{181180, 333740}, {180940, 333300}, {179660, 331860}, {178820, 330740},
	{179220, 329620}, {179000, 330000}, {180000, 331000}, {181000, 332500},
}

// given is a model with a covariance that is not fitted and a level trend,
// which makes it ordinary kriging.
func given(t testing.TB, shots []Shot, c Covariance) *Model {
	t.Helper()
	m, err := Fit(shots, Options{Trend: Constant, Covariance: &c})
	require.NoError(t, err)
	return m
}
