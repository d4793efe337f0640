package weather

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func record(t testing.TB, text string) *Record {
	t.Helper()
	r, err := ReadRecord(strings.NewReader(text), "rain.csv", RecordOptions{})
	require.NoError(t, err)
	return r
}

func TestReadRecordByDays(t *testing.T) {
	r := record(t, "# a gauge on a post\ndate,rain_mm,note\n2004-02-28,0,\n2004-02-29,12.5,leap day\n2004-03-01,T,\n\n")
	assert.Equal(t, time.Date(2004, 2, 28, 0, 0, 0, 0, time.UTC), r.Start)
	assert.Equal(t, day, r.Step)
	assert.Equal(t, []float64{0, 12.5, 0}, r.Rain)
	assert.Nil(t, r.ET)
	assert.Empty(t, r.Gaps)
	assert.Equal(t, []string{"traces of rain (T) are taken as 0: 1"}, r.Remarks)
	assert.Equal(t, time.Date(2004, 3, 2, 0, 0, 0, 0, time.UTC), r.End())
}

func TestReadRecordByHoursAndInOtherUnits(t *testing.T) {
	r := record(t, "Time;Rain (in);ET (mm);TMin_F;TMax_F;RH_min_pct;RH_max_pct;wind_m_s;sun_h\n"+
		"2004-02-28T23:00;0,5;0,1;50;68;40;90;2;0\n2004-02-29 00:00;0;0;50;68;40;90;2;0\n")
	assert.Equal(t, time.Hour, r.Step)
	assert.InDeltaSlice(t, []float64{12.7, 0}, r.Rain, 1e-12)
	assert.InDeltaSlice(t, []float64{0.1, 0}, r.ET, 1e-12)
	assert.InDeltaSlice(t, []float64{10, 10}, r.TMin, 1e-12)
	assert.InDeltaSlice(t, []float64{20, 20}, r.TMax, 1e-12)
	assert.Equal(t, []float64{40, 40}, r.RHMin)
	assert.Equal(t, []float64{90, 90}, r.RHMax)
	assert.Equal(t, []float64{2, 2}, r.Wind)
	assert.Equal(t, []float64{0, 0}, r.Sun)

	zoned := record(t, "time,rain_mm\n2004-02-28T23:00-06:00,1\n2004-02-29T06:00Z,2\n")
	assert.Equal(t, 5, zoned.Start.Hour(), "kept as UTC")
	assert.Equal(t, []float64{1, 2}, zoned.Rain)
}

// Every kind of bad record, and what is said about it.
func TestBadRecordsAreExplained(t *testing.T) {
	const head = "date,rain_mm\n"
	for _, tt := range []struct{ name, text, want string }{
		{"empty", "", "rain.csv: the file is empty; needed are a line that names the columns, date,rain_mm, and a line for each value"},
		{"header alone", head, "rain.csv: found no rows under the header; one each day or hour is needed"},
		{"no header", "2004-01-01,3\n", "rain.csv, line 1: no column of dates among \"2004-01-01,3\"; needed are date,rain_mm"},
		{"no unit", "date,rain\n2004-01-01,3\n", "rain.csv, line 1, rain: has no unit known here; name it rain_mm or rain_in"},
		{"no rain", "date,et_mm\n2004-01-01,3\n", `rain.csv, line 1: no column of rain among "date,et_mm"; needed are date,rain_mm`},
		{"one temperature", "date,rain_mm,tmax_c\n2004-01-01,3,3\n", "rain.csv, line 1: found only one of tmin and tmax; both or neither are needed"},
		{"two rains", "date,rain_mm,precip_in\n2004-01-01,3,3\n", `rain.csv, line 1, precip_in: is a second column of rain beside "rain_mm"; keep one`},
		{"rain below zero", head + "2004-01-01,-3\n", `rain.csv, line 2, rain_mm: "-3" is below zero; a depth of rain, 0 or more is needed, and a missing value is left empty`},
		{"a word", head + "2004-01-01,wet\n", `rain.csv, line 2, rain_mm: "wet" is not a plain number such as 12.3`},
		{"a missing value", head + "2004-01-01,\n2004-01-02,-9999\n", "rain.csv, line 2, rain_mm: the value is missing (\"\"); fill it in, with 0 only where no rain fell\n" +
			"rain.csv, line 3, rain_mm: the value is missing (\"-9999\"); fill it in, with 0 only where no rain fell"},
		{"a missing day", head + "2004-02-28,1\n2004-03-01,1\n", "rain.csv, line 3, date: missing before it: 1 day, 2004-02-29; add every step, with 0 where no rain fell"},
		{"missing days", head + "2004-02-27,1\n2004-03-01,1\n", "rain.csv, line 3, date: missing before it: 2 days, 2004-02-28 to 2004-02-29; add every step, with 0 where no rain fell"},
		{"missing hours", head + "2004-02-27T22:00,1\n2004-02-28T01:00,1\n", "rain.csv, line 3, date: missing before it: 2 hours, 2004-02-27T23:00 to 2004-02-28T00:00; add every step, with 0 where no rain fell"},
		{"a day twice", head + "2004-02-27,1\n2004-02-28,2\n2004-02-27,1\n", `rain.csv, line 4, date: "2004-02-27" is there twice, first in line 2`},
		{"an hour twice", head + "2004-10-31T01:00,1\n2004-10-31T01:00,2\n", `rain.csv, line 3, date: "2004-10-31T01:00" is there twice, first in line 2; if clocks went back there, use standard time throughout`},
		{"days out of order", head + "2004-02-27,1\n2004-02-25,2\n", `rain.csv, line 3, date: "2004-02-25" comes after a later date in line 2; sort the rows by time`},
		{"days and hours", head + "2004-02-27,1\n2004-02-28T00:00,2\n", `rain.csv, line 3, date: "2004-02-28T00:00" has an hour, but line 2 has none; use days or hours throughout`},
		{"a day that never was", head + "2003-02-29,1\n", `rain.csv, line 2, date: "2003-02-29" is no day or hour of the calendar`},
		{"a date in another order", head + "02/03/2004,1\n", `rain.csv, line 2, date: "02/03/2004" is not a date such as 2004-02-29 or a time such as 2004-02-29T13:00; day and month could be swapped, so write year-month-day`},
		{"minutes", head + "2004-01-01T10:10,1\n", `rain.csv, line 2, date: "2004-01-01T10:10" is not on the hour; sum the readings to hours, or give one storm of them as a gauge file`},
		{"another age", head + "0204-01-01,1\n", `rain.csv, line 2, date: "0204-01-01" is not between the years 1700 and 2200`},
		{"a distant typing error", head + "1704-01-01T00:00,1\n2104-01-01T00:00,1\n", `rain.csv, line 3, date: "2104-01-01T00:00" is 3506328 steps after line 2; at most 2000000 are read`},
		{"inches that were millimetres", "date,rain_in\n2004-01-01,150\n", `rain.csv, line 2, rain_in: "150" is 3810 mm in 24 h, more than ever fell on earth (1825 mm); did you mean mm?`},
		{"more rain than ever fell", head + "2004-01-01,5000\n", `rain.csv, line 2, rain_mm: "5000" is 5000 mm in 24 h, more than ever fell on earth (1825 mm)`},
		{"more evaporation than there is", "date,rain_mm,et_mm\n2004-01-01,5,45\n", `rain.csv, line 2, et_mm: "45" is 45 mm in 24 h, more than evaporates (30 mm)`},
		{"Fahrenheit", "date,rain_mm,tmin_c,tmax_c\n2004-07-01,5,66,91\n", "rain.csv, line 2, tmin_c: \"66\" is not an air temperature from -90 to 60 °C; did you mean °F? then name the column tmin_f\n" +
			"rain.csv, line 2, tmax_c: \"91\" is not an air temperature from -90 to 60 °C; did you mean °F? then name the column tmax_f"},
		{"temperatures swapped", "date,rain_mm,tmin_c,tmax_c\n2004-07-01,5,21,11\n", "rain.csv, line 2: tmin is above tmax; are the columns swapped?"},
		{"too many values", head + "2004-01-01,1,5\n", "rain.csv, line 2: 3 values where the header names 2 columns; decimal commas need columns divided by semicolons or tabs"},
		{"many at once", head + "2004-01-01,-1\n2004-01-02,x\n2004-01-02,1\n2004-01-05,\n", "rain.csv, line 2, rain_mm: \"-1\" is below zero; a depth of rain, 0 or more is needed, and a missing value is left empty\n" +
			"rain.csv, line 3, rain_mm: \"x\" is not a plain number such as 12.3\n" +
			"rain.csv, line 4, date: \"2004-01-02\" is there twice, first in line 3\n" +
			"rain.csv, line 5, date: missing before it: 2 days, 2004-01-03 to 2004-01-04; add every step, with 0 where no rain fell\n" +
			"rain.csv, line 5, rain_mm: the value is missing (\"\"); fill it in, with 0 only where no rain fell"},
		{"no names", ",,\n1,2,3\n", "rain.csv, line 1: 0 columns are named; 1 to 200 can be, date,rain_mm among them"},
		{"not text", "date,rain_mm\x00", "rain.csv, line 1: this is not plain text; save the table as CSV in UTF-8"},
		{"a line without end", head + strings.Repeat("9", 5000), "rain.csv, line 2: the line is longer than 4096 bytes; is this a table?"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r, err := ReadRecord(strings.NewReader(tt.text), "rain.csv", RecordOptions{})
			assert.Nil(t, r)
			assert.EqualError(t, err, tt.want)
			assert.ErrorIs(t, err, ErrInput)
		})
	}
}

func TestTwentyMistakesAreToldAndTheRestCounted(t *testing.T) {
	var b strings.Builder
	b.WriteString("date,rain_mm\n")
	for i := range 25 {
		fmt.Fprintf(&b, "2004-01-%02d,wet\n", i+1)
	}
	_, err := ReadRecord(strings.NewReader(b.String()), "rain.csv", RecordOptions{})
	lines := strings.Split(err.Error(), "\n")
	assert.Len(t, lines, 21)
	assert.Equal(t, "and 5 more mistakes like these", lines[20])
}

func TestGapsAreNaNAndListed(t *testing.T) {
	r, err := ReadRecord(strings.NewReader("date,rain_mm,et_mm\n2004-01-01,5,1\n2004-01-02,,1\n2004-01-05,7,\n2004-01-06,0,2\n2004-01-07,M,2\n"),
		"rain.csv", RecordOptions{AllowGaps: true})
	require.NoError(t, err)
	require.Equal(t, 7, r.Len())
	for i, want := range []float64{5, math.NaN(), math.NaN(), math.NaN(), 7, 0, math.NaN()} {
		assert.Equal(t, math.IsNaN(want), math.IsNaN(r.Rain[i]), "day %d", i+1)
	}
	assert.True(t, math.IsNaN(r.ET[2]) && math.IsNaN(r.ET[4]))
	require.Len(t, r.Gaps, 2)
	assert.Equal(t, "3 days, 2004-01-02 to 2004-01-04", r.Gaps[0].String())
	assert.Equal(t, "1 day, 2004-01-07", r.Gaps[1].String())
	_, err = r.Hyetograph(0, 3)
	assert.EqualError(t, err, "the rain of 2004-01-02T00:00 is missing")
	h, err := r.Hyetograph(4, 6)
	require.NoError(t, err)
	assert.Equal(t, Hyetograph{[]float64{24, 24}, []float64{7, 0}}, h)
}

// daily writes a record whose rain on each day is given by its number.
func daily(first time.Time, days int, rain func(i int) float64) string {
	var b strings.Builder
	b.WriteString("date,rain_mm\n")
	for i := range days {
		fmt.Fprintf(&b, "%s,%g\n", first.AddDate(0, 0, i).Format(time.DateOnly), rain(i))
	}
	return b.String()
}

func TestUnitsMixedUpOverAYear(t *testing.T) {
	first := time.Date(2001, 1, 1, 0, 0, 0, 0, time.UTC)
	// 1000 mm a year typed in inches under mm is a desert.
	r := record(t, daily(first, 365, func(int) float64 { return 0.1 }))
	assert.Equal(t, []string{"the rain comes to 37 mm a year, as in a desert: if the values are inches, name the column rain_in"}, r.Remarks)
	// 2000 mm a year under inches is more than anywhere, though no day is.
	text := strings.Replace(daily(first, 365, func(int) float64 { return 6 }), "rain_mm", "rain_in", 1)
	_, err := ReadRecord(strings.NewReader(text), "rain.csv", RecordOptions{})
	assert.EqualError(t, err, "rain.csv, rain_in: the rain comes to 55663 mm a year, more than anywhere on earth (about 12,000 mm); did you mean mm? then name the column rain_mm")
}

func TestCalendarYearsAndTheirMaxima(t *testing.T) {
	first := time.Date(2003, 7, 1, 0, 0, 0, 0, time.UTC)
	r := record(t, daily(first, 184+366+365, func(i int) float64 { return float64(i % 50) }))
	years := r.Calendar()
	require.Len(t, years, 3)
	assert.Equal(t, Year{2003, 0, 184, false}, years[0])
	assert.Equal(t, Year{2004, 184, 550, true}, years[1])
	assert.Equal(t, Year{2005, 550, 915, true}, years[2])
	assert.Equal(t, []float64{49, 49}, r.AnnualMaxima(1))
	assert.Equal(t, []float64{49 + 48 + 47, 49 + 48 + 47}, r.AnnualMaxima(3))
	assert.InDelta(t, 2.505, r.Years(), 0.001)

	r.Rain[200] = math.NaN()
	assert.Equal(t, []float64{49}, r.AnnualMaxima(1), "a year with a gap has no known maximum")
}

func FuzzReadRecord(f *testing.F) {
	f.Add("date,rain_mm\n2004-02-28,0\n2004-02-29,12.5\n")
	f.Add("Time;Rain (in);tmin_f;tmax_f\n2004-02-28T23:00;0,5;40;60\n2004-02-29T02:00;;;\n")
	f.Add("date,rain_mm\n1700-01-01,1\n2200-01-01,1\n")
	f.Add("date\train_mm\n2004-01-01\t-9999\n")
	f.Fuzz(func(t *testing.T, text string) {
		r, err := ReadRecord(strings.NewReader(text), "fuzz.csv", RecordOptions{AllowGaps: true})
		if err != nil {
			require.ErrorIs(t, err, ErrInput)
			return
		}
		missing := 0
		for _, v := range r.Rain {
			if math.IsNaN(v) {
				missing++
				continue
			}
			require.GreaterOrEqual(t, v, 0.0)
			require.LessOrEqual(t, v, 1825.0+1e-6)
		}
		listed := 0
		for _, g := range r.Gaps {
			listed += g.Steps
			_ = g.String()
		}
		require.Equal(t, listed, missing)
		for _, other := range [][]float64{r.ET, r.TMin, r.TMax, r.RHMin, r.RHMax, r.Wind, r.Sun} {
			require.True(t, other == nil || len(other) == r.Len())
		}
		strict, err := ReadRecord(strings.NewReader(text), "fuzz.csv", RecordOptions{})
		require.Equal(t, err == nil, strict != nil)
		if len(r.Gaps) > 0 {
			require.Error(t, err)
		}
	})
}

func BenchmarkReadThirtyYearsOfDays(b *testing.B) {
	text := daily(time.Date(1991, 1, 1, 0, 0, 0, 0, time.UTC), 10957, func(i int) float64 { return float64(i%70) / 10 })
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		record(b, text)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/10957, "ns/row")
}
