package weather

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Applied Hydrology (1988), example 14.4.1: Denver, once in ten years, i =
// 96.6/(T^0.97 + 13.90) in/h, two hours in steps of ten minutes. The book's
// blocks, from memory, all within 0.0012 in when worked out again.
func TestAlternatingBlocksOfAppliedHydrologyExample1441(t *testing.T) {
	f := &Frequency{Years: []float64{10}}
	for i := 1; i <= 12; i++ {
		minutes := float64(10 * i)
		f.Durations = append(f.Durations, minutes/60)
		f.Depth = append(f.Depth, []float64{25.4 * minutes / 60 * 96.6 / (math.Pow(minutes, 0.97) + 13.90)})
	}
	require.Empty(t, f.Check())
	h, err := f.AlternatingBlocks(10*time.Minute, 12, 10)
	require.NoError(t, err)
	for i, want := range []float64{.024, .033, .050, .084, .178, .693, .308, .117, .063, .040, .028, .021} {
		assert.InDelta(t, want, h.Rain[i]/25.4, 0.0013, "block %d", i+1)
	}
	for i, want := range []float64{0.02423311, 0.03338533, 0.04970585, 0.08376619, 0.1777471, 0.6929934, 0.3075981, 0.1171885, 0.0632551, 0.04025638, 0.02822087, 0.02108431} {
		assert.InDelta(t, want, h.Rain[i]/25.4, 5e-7, "block %d", i+1)
	}
	assert.InDelta(t, 1.639434, h.Depth()/25.4, 5e-7)

	_, err = f.AlternatingBlocks(10*time.Minute, 13, 10)
	assert.EqualError(t, err, "a duration of 2.167 h is outside the table, which holds 10 min to 2 h")
	_, err = f.AlternatingBlocks(0, 13, 10)
	assert.EqualError(t, err, "13 steps of 0s: there must be 1 to 2000000 that take time")
}

// Published questions on the risk of at least one exceedance: 18.3 % for 50
// years in 10, 0.487 for 8 in 5, 17.9 years for 25 % in 5; the others by the
// same formula.
func TestRiskOfAnExceedance(t *testing.T) {
	for in, want := range map[[2]float64]float64{{25, 10}: 0.3351674, {50, 10}: 0.1829272, {8, 5}: 0.4870911, {100, 50}: 0.3949939} {
		assert.InDelta(t, want, Risk(in[0], in[1]), 1e-6)
		assert.InEpsilon(t, in[0], ReturnPeriodOfRisk(Risk(in[0], in[1]), in[1]), 1e-9)
	}
	assert.InDelta(t, 17.88509, ReturnPeriodOfRisk(0.25, 5), 0.05)
	assert.InDelta(t, 95.41309, ReturnPeriodOfRisk(0.1, 10), 0.05)
}

// invented numbers in the manner of an atlas
const atlas = "duration_mm,2,5,10,25,50,100\n1 h,40,50,60,72,82,92\n24 h,90,115,140,170,195,220\n"

func TestDepthAndReturnPeriodOfATable(t *testing.T) {
	f, err := ReadFrequency(strings.NewReader(atlas), "ddf.csv")
	require.NoError(t, err)
	for years, want := range map[float64]float64{2: 90, 10: 140, 100: 220, 20: 140 + 30*math.Log(2)/math.Log(2.5), 150: 220 + 25*math.Log2(1.5)} {
		got, err := f.Rain(day, years)
		require.NoError(t, err)
		assert.InDelta(t, want, got, 1e-9, "%g years", years)
		back, err := f.ReturnPeriod(day, got)
		require.NoError(t, err)
		assert.InEpsilon(t, years, back, 1e-9)
	}
	// Between the rows by logarithms: the square root of 24 h lies halfway.
	got, err := f.Rain(time.Duration(math.Sqrt(24)*float64(time.Hour)), 10)
	require.NoError(t, err)
	assert.InDelta(t, math.Sqrt(60*140), got, 1e-6)

	for want, ask := range map[string]func() (float64, error){
		"a return period of 200 years is too far outside the table, which holds 2 to 100 and is carried on to 1.33 and 150": func() (float64, error) { return f.Rain(day, 200) },
		"a return period of 1.1 years is too far outside the table, which holds 2 to 100 and is carried on to 1.33 and 150": func() (float64, error) { return f.Rain(day, 1.1) },
		"a duration of 30 min is outside the table, which holds 1 h to 24 h":                                                func() (float64, error) { return f.Rain(30*time.Minute, 10) },
		"300 mm in 24 h is outside the table, which holds 90 mm once in 2 years to 220 mm once in 100":                      func() (float64, error) { return f.ReturnPeriod(day, 300) },
		"10 mm in 24 h is outside the table, which holds 90 mm once in 2 years to 220 mm once in 100":                       func() (float64, error) { return f.ReturnPeriod(day, 10) },
	} {
		_, err := ask()
		assert.EqualError(t, err, want)
		assert.ErrorIs(t, err, ErrInput)
	}
}

// More years and more hours never mean less rain.
func TestDepthsGrow(t *testing.T) {
	f, err := ReadFrequency(strings.NewReader(atlas), "ddf.csv")
	require.NoError(t, err)
	rng := rand.New(rand.NewPCG(1, 2))
	at := func(h, y float64) float64 {
		mm, err := f.Rain(time.Duration(h*float64(time.Hour)), y)
		require.NoError(t, err)
		return mm
	}
	for range 1000 {
		h, y := 1+23*rng.Float64(), 1.4+148*rng.Float64()
		assert.GreaterOrEqual(t, at(h, min(150, y*1.01)), at(h, y))
		assert.GreaterOrEqual(t, at(min(24, h*1.01), y), at(h, y)-1e-9)
	}
}

func TestGumbelOfATableAndOfMaxima(t *testing.T) {
	truth := Gumbel{Location: 60, Scale: 18, Longest: math.Inf(1)}
	f := &Frequency{Durations: []float64{24}, Years: []float64{2, 5, 10, 25, 100}, Depth: [][]float64{nil}}
	for _, y := range f.Years {
		v, err := truth.Value(y)
		require.NoError(t, err)
		f.Depth[0] = append(f.Depth[0], v)
		assert.InEpsilon(t, y, truth.Years(v), 1e-9)
	}
	fit, err := f.Gumbel(day)
	require.NoError(t, err)
	assert.InDelta(t, 60, fit.Location, 1e-9)
	assert.InDelta(t, 18, fit.Scale, 1e-9)
	_, err = fit.Value(151)
	assert.EqualError(t, err, "a return period of 151 years is more than 150, to which what is known can be carried on")

	// The distribution's own quantiles at the midpoints come back.
	var maxima []float64
	for i := range 2000 {
		p := (float64(i) + 0.5) / 2000
		maxima = append(maxima, 60-18*math.Log(-math.Log(p)))
	}
	fit, err = FitGumbel(maxima)
	require.NoError(t, err)
	assert.InDelta(t, 60, fit.Location, 0.1)
	assert.InDelta(t, 18, fit.Scale, 0.1)
	assert.Equal(t, 3000.0, fit.Longest)

	_, err = FitGumbel([]float64{1, 2, 3, 4})
	assert.EqualError(t, err, "4 whole years are too short a record for return periods; 5 are the least")
	short, err := FitGumbel([]float64{40, 50, 60, 70, 95})
	require.NoError(t, err)
	_, err = short.Value(100)
	assert.EqualError(t, err, "a return period of 100 years is more than 7.5, to which what is known can be carried on")
	_, err = short.Value(1)
	assert.EqualError(t, err, "a return period of 1 years is not above 1")
	assert.Equal(t, "Gumbel, location 60, scale 18", truth.String())
}

// A place that is never wet has nothing but equal years.
func TestGumbelOfEqualMaxima(t *testing.T) {
	g, err := FitGumbel([]float64{0, 0, 0, 0, 0})
	require.NoError(t, err)
	once, err := g.Value(5)
	require.NoError(t, err)
	assert.Zero(t, once)
	assert.Equal(t, 1.0, g.Years(0))
	assert.Equal(t, math.Inf(1), g.Years(0.1))
}

func TestReadFrequencyInInches(t *testing.T) {
	f, err := ReadFrequency(strings.NewReader("duration_in;2 yr;10 years\n10 min;0,5;0,8\n2 d;4;6\n"), "ddf.csv")
	require.NoError(t, err)
	assert.Equal(t, []float64{2, 10}, f.Years)
	assert.InDeltaSlice(t, []float64{1.0 / 6, 48}, f.Durations, 1e-9)
	assert.InDeltaSlice(t, []float64{12.7, 20.32}, f.Depth[0], 1e-9)
}

func TestBadFrequencyTablesAreExplained(t *testing.T) {
	for _, tt := range []struct{ name, text, want string }{
		{"empty", "", "ddf.csv: the file is empty; needed are a line that names the columns, duration_mm,2,5,10,25,50,100, and a line for each value"},
		{"no unit", "duration,2\n1 h,40\n", `ddf.csv, line 1: the first column is "duration", where duration_mm or duration_in is needed, as in duration_mm,2,5,10,25,50,100`},
		{"a period in words", "duration_mm,often\n1 h,40\n", "ddf.csv, line 1, often: is not a return period in years, as in duration_mm,2,5,10,25,50,100"},
		{"no rows", "duration_mm,2\n", "ddf.csv: the table of depth, duration and frequency is empty; one duration and one return period are needed"},
		{"rain that falls with time", "duration_mm,2,5\n1 h,40,50\n2 h,30,60\n", "ddf.csv: 30 mm in 2 h once in 2 years is less than 40 in 1 h"},
		{"rain that falls with years", "duration_mm,2,5\n1 h,40,35\n", "ddf.csv: 35 mm in 1 h once in 5 years is not more than 40 once in 2"},
		{"periods out of order", "duration_mm,5,2,1\n1 h,40,50,60\n", "ddf.csv: return period 2 years stands after 5; they must rise\nddf.csv: return period 1 is not above 1 year and up to 1,000,000"},
		{"durations out of order", "duration_mm,2\n2 h,40\n1 h,30\n", "ddf.csv: duration 1 h stands after 2 h; they must rise"},
		{"millimetres for inches", "duration_in,2\n24 h,90\n", "ddf.csv: 2286 mm (90 in) of rain in 24 h is more than ever fell on earth, about 1825 mm; did you mean 90 mm?"},
		{"a duration without a unit, a word and a zero", "duration_mm,2,5\n24,90,100\n48 h,x,0\n", "ddf.csv, line 2, duration_mm: \"24\" is not a length of time: use a number and a unit, such as 24 h, 90 min or 2 d\n" +
			`ddf.csv, line 3, 2: "x" is not a depth of rain such as 84.5`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := ReadFrequency(strings.NewReader(tt.text), "ddf.csv")
			assert.EqualError(t, err, tt.want)
			assert.ErrorIs(t, err, ErrInput)
		})
	}
	assert.EqualError(t, errors.Join((&Frequency{Durations: []float64{1, 2}, Years: []float64{2}, Depth: [][]float64{{5}}}).Check()...),
		"the table has 2 durations but 1 rows of depths")
	assert.EqualError(t, errors.Join((&Frequency{Durations: []float64{1}, Years: []float64{2}, Depth: [][]float64{{5, 6}}}).Check()...),
		"the row of 1 h has 2 depths where there are 1 return periods")
}

func FuzzReadFrequency(f *testing.F) {
	f.Add(atlas)
	f.Add("duration_in;2 yr;10 years\n10 min;0,5;0,8\n2 d;4;6\n")
	f.Fuzz(func(t *testing.T, text string) {
		table, err := ReadFrequency(strings.NewReader(text), "fuzz.csv")
		if err != nil {
			require.ErrorIs(t, err, ErrInput)
			return
		}
		require.Empty(t, table.Check())
		for _, h := range table.Durations {
			for _, y := range table.Years {
				mm, err := table.Rain(time.Duration(math.Round(h*float64(time.Hour))), y)
				require.NoError(t, err)
				require.Greater(t, mm, 0.0)
			}
		}
	})
}
