package survey

import (
	"bytes"
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Whatever the bytes, a table comes out that is sound, or an error that says
// whose fault it is; and a small table makes a surface or says why not.
func FuzzReadShots(f *testing.F) {
	for _, seed := range []string{
		"x,y,z\n500100.5,3100020,12.34\n500110,3100020,12.5\n500105,3100030,12.1\n",
		"\ufeffname;Easting_ft;Northing_ft;Elev (usft);sd_cm;note\r\nP1;1,5;2;3;1;\"a;b\"\r\nP1;1,5;2;3;1;\r\n",
		"lat\tlon\theight\n36.25\t-81.5\t700\n91\t181\t1e9\n",
		"x;y,z\n1;2,3\n", "x,y,z\n1,2,NaN\n1,2,\n", "# remark\n\n,,,\nx,y,z\n,,\n1,2,3\n1,2,9\n1,2,3\n",
		"x,y,z\r1,2,3\r", "\xff\xfex\x00", "x,y,z\n\"1,2,3\n", "z_cubits,x,y\n1,2,3\n",
	} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		table, err := ReadShots(bytes.NewReader(data), "f.csv")
		if err != nil {
			require.ErrorIs(t, err, ErrInput)
			file, ok := errors.AsType[*FileError](err)
			require.True(t, ok)
			assert.NotEmpty(t, file.Mistakes)
			assert.LessOrEqual(t, len(file.Mistakes), mistakesShown)
			return
		}
		require.NotEmpty(t, table.Shots)
		seen := map[[2]float64]bool{}
		line := 0
		for _, s := range table.Shots {
			for _, v := range []float64{s.Point[0], s.Point[1], s.Z, s.Error} {
				require.False(t, math.IsNaN(v) || math.IsInf(v, 0))
			}
			assert.GreaterOrEqual(t, s.Error, 0.0)
			assert.Len(t, s.Extra, len(table.Columns))
			assert.Greater(t, s.Line, line, "in the order of the file")
			line = s.Line
			assert.False(t, seen[s.Point], "one shot at each place")
			seen[s.Point] = true
		}
		if len(table.Shots) > 40 {
			return
		}
		m, err := Fit(table.Shots, Options{})
		if err != nil {
			require.ErrorIs(t, err, ErrInput)
			return
		}
		z, sd := m.Predict(table.Shots[0].Point)
		assert.False(t, math.IsNaN(z) || math.IsInf(z, 0) || sd < 0)
	})
}
