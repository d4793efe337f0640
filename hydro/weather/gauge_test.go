package weather

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestReadGauge(t *testing.T) {
	for _, tt := range []struct {
		name, text  string
		hours, rain []float64
	}{
		{"rain since the last reading", "time,rain_mm\n2004-02-29T13:00,0\n2004-02-29T13:05,2\n2004-02-29T13:15,3\n", []float64{1.0 / 12, 1.0 / 6}, []float64{2, 3}},
		{"rain at the first reading", "time,rain_mm\n2004-02-29T13:05,1\n2004-02-29T13:10,2\n", []float64{1.0 / 12, 1.0 / 12}, []float64{1, 2}},
		{"rain since the start", "time,cumulative_mm\n2004-02-29 13:00,4\n2004-02-29 14:00,6\n2004-02-29 16:00,11\n", []float64{1, 2}, []float64{2, 5}},
		{"counted hours and inches", "hours;rain_in\n0,5;0,1\n1;0,2\n", []float64{0.5, 0.5}, []float64{2.54, 5.08}},
		{"counted minutes", "minutes,total_rain_in\n0,0\n30,1\n90,1\n", []float64{0.5, 1}, []float64{25.4, 0}},
		{"elapsed hours", "elapsed_h,Rain (mm)\n0,0\n2,8\n", []float64{2}, []float64{8}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			g, err := ReadGauge(strings.NewReader(tt.text), "gauge.csv")
			require.NoError(t, err)
			assert.InDeltaSlice(t, tt.hours, g.Hours, 1e-9)
			assert.InDeltaSlice(t, tt.rain, g.Rain, 1e-9)
		})
	}
	g, err := ReadGauge(strings.NewReader("time,rain_mm\n2004-02-29T13:05,1\n2004-02-29T13:10,2\n"), "gauge.csv")
	require.NoError(t, err)
	assert.Equal(t, time.Date(2004, 2, 29, 13, 0, 0, 0, time.UTC), g.Start)
}

func TestBadGaugeFilesAreExplained(t *testing.T) {
	for _, tt := range []struct{ name, text, want string }{
		{"empty", "", "gauge.csv: the file is empty; needed are a line that names the columns, time,rain_mm, and a line for each value"},
		{"no columns known", "a,b\n1,2\n", "gauge.csv, line 1: no column of times among \"a,b\"; needed are time,rain_mm or hours,cumulative_mm\n" +
			`gauge.csv, line 1: no column of rain among "a,b"; needed are time,rain_mm or hours,cumulative_mm`},
		{"no unit", "hours,rain\n1,2\n", "gauge.csv, line 1, rain: has no unit known here; name it rain_mm or rain_in"},
		{"two of each", "hours,time,rain_mm,total_mm\n", "gauge.csv, line 1, time: is a second column of times beside \"hours\"; keep one\n" +
			`gauge.csv, line 1, total_mm: is a second column of rain beside "rain_mm"; keep one`},
		{"one reading", "hours,rain_mm\n1,2\n", "gauge.csv: 1 readings; two are the least"},
		{"counted without saying so", "time,rain_mm\n1,2\n", `gauge.csv, line 2, time: "1" is not a time such as 2004-02-29T13:05; if times are counted, name the column hours or minutes`},
		{"rain below zero and a word", "hours,rain_mm\n0,-1\n1,wet\n", "gauge.csv, line 2, rain_mm: \"-1\" is below zero\n" +
			`gauge.csv, line 3, rain_mm: "wet" is not a plain number such as 12.3; a reading that is missing needs no row`},
		{"a sum that falls", "hours,total_mm\n0,5\n1,4\n", `gauge.csv, line 3, total_mm: "4" is less than in line 2; if it is the rain since then, name the column rain_mm`},
		{"time that does not rise", "hours,rain_mm\n1,5\n1,4\n", `gauge.csv, line 3, hours: "1" is not after the time in line 2`},
		{"time below zero", "hours,rain_mm\n-1,5\n", `gauge.csv, line 2, hours: "-1" is not a number from 0 to 366 days`},
		{"years", "time,rain_mm\n2004-01-01T00:00,5\n2006-01-01T00:00,5\n", `gauge.csv, line 3, time: "2006-01-01T00:00" is more than a year from the first reading; a gauge file holds one rain`},
		{"millimetres for inches", "hours,rain_in\n0,0\n24,150\n", "gauge.csv, rain_in: 3810 mm (150 in) of rain in 24 h is more than ever fell on earth, about 1825 mm; did you mean 150 mm?"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := ReadGauge(strings.NewReader(tt.text), "gauge.csv")
			assert.EqualError(t, err, tt.want)
			assert.ErrorIs(t, err, ErrInput)
		})
	}
}

func FuzzReadGauge(f *testing.F) {
	f.Add("time,rain_mm\n2004-02-29T13:00,0\n2004-02-29T13:05,2\n")
	f.Add("hours;cumulative_in\n0,5;0,1\n1;0,2\n")
	f.Add("minutes,rain_mm\n0,1\n5,2\n")
	f.Fuzz(func(t *testing.T, text string) {
		g, err := ReadGauge(strings.NewReader(text), "fuzz.csv")
		if err != nil {
			require.ErrorIs(t, err, ErrInput)
			return
		}
		require.NoError(t, g.Check())
		require.False(t, math.IsNaN(g.Depth()))
	})
}
