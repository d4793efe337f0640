package quantity

import (
	"math"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestLengthReadsWhatPeopleType(t *testing.T) {
	for _, tt := range []struct {
		typed string
		bare  Units
		want  float64 // m
	}{
		{"15 ft", Metric, 4.572},
		{"4.5 m", Feet, 4.5},
		{"4.5m", Feet, 4.5},
		{"4,5 m", Metric, 4.5},
		{"0,125 m", Metric, 0.125},
		{"6 in", Metric, 0.1524},
		{"150 mm", Metric, 0.15},
		{"2 cm", Metric, 0.02},
		{"1.2 km", Metric, 1200},
		{".5 m", Metric, 0.5},
		{"5. m", Metric, 5},
		{"1e3 mm", Metric, 1},
		{"12 Feet", Metric, 3.6576},
		{"12 ft.", Metric, 3.6576},
		{"3 yd", Metric, 2.7432},
		{"1 mile", Metric, 1609.344},
		{"7.5", Metric, 7.5},
		{"7.5", Feet, 2.286},
		{" 7.5'  ", Metric, 2.286},
		{`6"`, Metric, 0.1524},
		{`5' 7 1/4"`, Metric, 1.70815},
		{`5'7 1/4"`, Metric, 1.70815},
		{`5'-7 1/4"`, Metric, 1.70815},
		{`5'-7-1/4"`, Metric, 1.70815},
		{`5' 7¼"`, Metric, 1.70815},
		{"5\u2032 7\u00bc\u2033", Metric, 1.70815},
		{"5\u2019 7 1/4\u201d", Metric, 1.70815},
		{"5' 7 1/4''", Metric, 1.70815},
		{"5 ft 7 1/4 in", Metric, 1.70815},
		{"5 ft 7.25 in", Metric, 1.70815},
		{"5 feet 7 inches", Metric, 1.7018},
		{"5'7", Metric, 1.7018},
		{"5' 0\"", Metric, 1.524},
		{"1/2 in", Metric, 0.0127},
		{"3/4\"", Metric, 0.01905},
		{"7½ ft", Metric, 2.286},
		{"0", Feet, 0},
		{"100\u00a0m", Metric, 100},
		{"1 usft", Metric, 1200.0 / 3937},
		{"1 US survey foot", Metric, 1200.0 / 3937},
		{"2000000 usft", Metric, 2000000 * 1200.0 / 3937},
	} {
		t.Run(tt.typed+" with bare numbers in "+tt.bare.String(), func(t *testing.T) {
			got, err := Length(tt.typed, tt.bare)
			require.NoError(t, err)
			// One unit in the last place: feet and inches are two roundings.
			assert.InDelta(t, tt.want, got, 2.3e-16*max(1, tt.want))
		})
	}
}

func TestLengthRefusesAndSaysWhatItTakes(t *testing.T) {
	const advice = "use a number and a unit, such as 15 ft, 4.5 m, 6 in or 150 mm"
	for typed, want := range map[string]string{
		"5 furlongs":   `"5 furlongs" is not a length: ` + advice,
		"":             `"" is not a length: ` + advice,
		"m":            `"m" is not a length: ` + advice,
		"NaN":          `"NaN" is not a length: ` + advice,
		"inf m":        `"inf m" is not a length: ` + advice,
		"0x10 m":       `"0x10 m" is not a length: ` + advice,
		"4,5":          `"4,5" is not a length: ` + advice,
		"1.2.3 m":      `"1.2.3 m" is not a length: ` + advice,
		"1.200,5 m":    `"1.200,5 m" is not a length: ` + advice,
		"3 m 20 cm":    `"3 m 20 cm" is not a length: ` + advice,
		"5 ft 3 ft":    `"5 ft 3 ft" is not a length: ` + advice,
		"5 in 3 ft":    `"5 in 3 ft" is not a length: ` + advice,
		"5 ft - 3 in":  `"5 ft - 3 in" is not a length: ` + advice,
		"7 1/0 in":     `"7 1/0 in" is not a length: ` + advice,
		"1/0 in":       `"1/0 in" is not a length: ` + advice,
		"7 5/4 in":     `"7 5/4 in" is not a length: ` + advice,
		"5 ft 12 in":   `"5 ft 12 in" is not a length: 12 inches are a foot or more; write the feet and what is left, or inches alone`,
		"1,200 m":      `"1,200 m" is not a length: its comma could mean thousands or decimals, so write 1200 or 1.2`,
		"-3 m":         `"-3 m" is not a length: it is below zero`,
		"\u22123 m":    `"` + "\u2212" + `3 m" is not a length: it is below zero`,
		"1e9 km":       `"1e9 km" is not a length: it is far too large`,
		"1e308 km":     `"1e308 km" is not a length: it is far too large`,
		"1e999 m":      `"1e999 m" is not a length: ` + advice,
		"2 mm/h":       `"2 mm/h" is not a length: ` + advice,
		"2 m2":         `"2 m2" is not a length: ` + advice,
		"3 \xff m":     `"3 \xff m" is not a length: ` + advice,
		"4 m 5 ft bad": `"4 m 5 ft bad" is not a length: ` + advice,
	} {
		_, err := Length(typed, Metric)
		assert.EqualError(t, err, want)
	}
}

// NIST, final notice 85 FR 62698 (2020): the international foot is 0.3048 m
// exactly, the US survey foot 1200/3937 m, printed as 0.304800609601 m.
func TestTwoFeetAsNISTPrintsThem(t *testing.T) {
	foot, err := Length("1 ft", Metric)
	require.NoError(t, err)
	survey, err := Length("1 usft", Metric)
	require.NoError(t, err)
	assert.Equal(t, 0.3048, foot)
	assert.InDelta(t, 0.304800609601, survey, 0.5e-12)
	assert.InDelta(t, 1.000002, survey/foot, 0.5e-6, "two parts in a million")

	// A state-plane easting of two million feet, read with the wrong foot.
	right, err := Length("2000000 usft", Metric)
	require.NoError(t, err)
	wrong, err := Length("2000000 ft", Metric)
	require.NoError(t, err)
	assert.InDelta(t, 1.219202, right-wrong, 0.5e-6)
	mile := 5280 * (survey - foot) / foot
	assert.InDelta(t, 0.01056002, mile, 0.5e-8)
}

// NIST Special Publication 811 (2008), appendix B.8, as printed, seven
// figures: recalled from the tables, each checked against its definition
// (yard 0.9144 m, 1959; acre 43,560 square feet).
func TestConversionsAsNISTSP811PrintsThem(t *testing.T) {
	for _, tt := range []struct {
		typed string
		read  func(string, Units) (float64, error)
		want  float64
		half  float64 // half of the last digit printed; 0 where the table is bold, that is, exact
	}{
		{"1 in", Length, 2.54e-2, 0},
		{"1 ft", Length, 3.048e-1, 0},
		{"1 yd", Length, 9.144e-1, 0},
		{"1 mi", Length, 1.609344e3, 0},
		{"1 ft2", Area, 9.290304e-2, 0},
		{"1 yd2", Area, 8.361274e-1, 0.5e-7},
		{"1 ha", Area, 1e4, 0},
		{"1 in", Rain, 25.4, 0},
		{"1 ft", Rain, 304.8, 0},
		{"1 in/h", Rate, 25.4, 0},
		{"1 ft/d", Rate, 12.7, 0},
	} {
		got, err := tt.read(tt.typed, Metric)
		require.NoError(t, err)
		assert.InDelta(t, tt.want, got, max(tt.half, 1e-15*tt.want), tt.typed)
	}
}

// A hectare in acres of 43,560 square international feet, worked out from the
// definitions: 10,000 / (43,560 × 0.3048²).
func TestAcresInAHectare(t *testing.T) {
	acre, err := Area("1 ac", Metric)
	require.NoError(t, err)
	assert.InDelta(t, 4046.8564224, acre, 1e-9)
	assert.InDelta(t, 2.471053814671653, 10000/acre, 1e-9)
}

func TestElevationMayBeBelowZero(t *testing.T) {
	for typed, want := range map[string]float64{"-1.5 m": -1.5, "-5' 6\"": -1.6764, "\u22122 ft": -0.6096, "0": 0} {
		got, err := Elevation(typed, Metric)
		require.NoError(t, err)
		assert.InDelta(t, want, got, 1e-15)
		assert.False(t, got == 0 && math.Signbit(got))
	}
}

func TestRainRateAreaAndTime(t *testing.T) {
	for _, tt := range []struct {
		typed string
		bare  Units
		read  func(string, Units) (float64, error)
		want  float64
	}{
		{"150 mm", Metric, Rain, 150},
		{"150", Metric, Rain, 150},
		{"6", Feet, Rain, 152.4},
		{"6 in", Metric, Rain, 152.4},
		{`6"`, Metric, Rain, 152.4},
		{"15 cm", Metric, Rain, 150},
		{"12 mm/h", Metric, Rate, 12},
		{"12", Metric, Rate, 12},
		{"0.3", Feet, Rate, 7.62},
		{"0.3 in/h", Metric, Rate, 7.62},
		{"0.3 in/hr", Metric, Rate, 7.62},
		{"0.3 inches per hour", Metric, Rate, 7.62},
		{"1/4 in/h", Metric, Rate, 6.35},
		{"2 cm/d", Metric, Rate, 20.0 / 24},
		{"10 um/s", Metric, Rate, 36},
		{"10 µm/s", Metric, Rate, 36},
		{"1 mm/min", Metric, Rate, 60},
		{"400 m2", Metric, Area, 400},
		{"400 m²", Metric, Area, 400},
		{"400 m^2", Metric, Area, 400},
		{"400 sq m", Metric, Area, 400},
		{"1.5 ha", Metric, Area, 15000},
		{"2 ac", Metric, Area, 8093.7128448},
		{"100 sq ft", Metric, Area, 9.290304},
		{"100 sq. ft", Metric, Area, 9.290304},
		{"100", Feet, Area, 9.290304},
		{"1 km2", Metric, Area, 1e6},
	} {
		got, err := tt.read(tt.typed, tt.bare)
		require.NoError(t, err)
		assert.InDelta(t, tt.want, got, 4e-16*tt.want, "%s, bare in %v", tt.typed, tt.bare)
	}
	for typed, want := range map[string]time.Duration{
		"24 h": 24 * time.Hour, "90 min": 90 * time.Minute, "2 d": 48 * time.Hour, "36 hours": 36 * time.Hour,
		"1 h 30 min": 90 * time.Minute, "1 1/2 h": 90 * time.Minute, "45 s": 45 * time.Second, "1 week": 168 * time.Hour,
	} {
		got, err := Duration(typed)
		require.NoError(t, err)
		assert.Equal(t, want, got, typed)
	}
}

// NRCS soil surveys print 1 µm/s as 0.1417 in/h.
func TestPermeabilityInInchesAnHour(t *testing.T) {
	got, err := Rate("1 um/s", Metric)
	require.NoError(t, err)
	assert.InDelta(t, 3.6, got, 1e-15)
	assert.InDelta(t, 0.1417, got/25.4, 0.00005)
}

func TestEveryKindNamesItselfWhenItRefuses(t *testing.T) {
	_, err := Rain("heavy", Metric)
	assert.EqualError(t, err, `"heavy" is not a depth of rain: use a number and a unit, such as 150 mm, 15 cm or 6 in`)
	_, err = Rain("-1 in", Metric)
	assert.EqualError(t, err, `"-1 in" is not a depth of rain: it is below zero`)
	_, err = Rate("12 mm", Metric)
	assert.EqualError(t, err, `"12 mm" is not a rate: use a number and a unit, such as 12 mm/h, 0.3 in/h or 2 cm/d`)
	_, err = Rate("5 mm/h 3 mm/d", Metric)
	assert.Error(t, err)
	_, err = Area("2 acre feet", Metric)
	assert.EqualError(t, err, `"2 acre feet" is not an area: use a number and a unit, such as 400 m2, 1.5 ha, 2 ac or 4300 sq ft`)
	_, err = Elevation("high", Metric)
	assert.EqualError(t, err, `"high" is not an elevation: use a number and a unit, such as 612.4 ft or 186.66 m`)
	_, err = Duration("24")
	assert.EqualError(t, err, `"24" is not a length of time: use a number and a unit, such as 24 h, 90 min or 2 d`)
	_, err = Duration("90 m")
	assert.Error(t, err, "m means metres")
	_, err = Duration("30 min 1 h")
	assert.EqualError(t, err, `"30 min 1 h" is not a length of time: its part in "h" is not smaller than one of the unit before it`)
	_, err = Duration("1e12 h")
	assert.EqualError(t, err, `"1e12 h" is not a length of time: it is far too large`)
	_, err = ParseUnits("imperial")
	assert.EqualError(t, err, `"imperial" is not a family of units: use "metric" or "feet"`)
}

func TestUnitsReadTheirOwnName(t *testing.T) {
	for _, u := range []Units{Metric, Feet} {
		got, err := ParseUnits(u.String())
		require.NoError(t, err)
		assert.Equal(t, u, got)
	}
}

func TestColumnUnitTakesTheUnitOffAHeading(t *testing.T) {
	for _, tt := range []struct {
		heading, base string
		factor        float64
		ok            bool
	}{
		{"z_ft", "z", 0.3048, true},
		{"z_usft", "z", 1200.0 / 3937, true},
		{"along_m", "along", 1, true},
		{"depth_cm", "depth", 0.01, true},
		{"depth_mm", "depth", 0.001, true},
		{"staff_in", "staff", 0.0254, true},
		{" Z_FT ", "Z", 0.3048, true},
		{"z (ft)", "z", 0.3048, true},
		{"z [usft]", "z", 1200.0 / 3937, true},
		{"water_table_m", "water_table", 1, true},
		{"z", "z", 1, false},
		{"ft", "ft", 1, false},
		{"_ft", "_ft", 1, false},
		{"(ft)", "(ft)", 1, false},
		{"z (ft", "z (ft", 1, false},
		{"rim_x", "rim_x", 1, false},
		{"z_", "z_", 1, false},
		{"", "", 1, false},
		{`z_"`, `z_"`, 1, false},
	} {
		base, factor, ok := ColumnUnit(tt.heading)
		assert.Equal(t, tt.base, base, tt.heading)
		assert.Equal(t, tt.factor, factor, tt.heading)
		assert.Equal(t, tt.ok, ok, tt.heading)
	}
}

func TestFormatsForReports(t *testing.T) {
	for want, got := range map[string]string{
		"2.29 m":    FormatLength(2.286, Metric),
		"7.50 ft":   FormatLength(2.286, Feet),
		"-0.30 m":   FormatLength(-0.3, Metric),
		"0.00 m":    FormatLength(-0.001, Metric),
		"180.6 m":   FormatDistance(180.594, Metric),
		"592.5 ft":  FormatDistance(180.594, Feet),
		"12.35 km":  FormatDistance(12345, Metric),
		"2.34 mi":   FormatDistance(2.34*1609.344, Feet),
		"0.4 cm":    FormatDepth(0.004, Metric),
		"9.9 cm":    FormatDepth(0.0994, Metric),
		"10 cm":     FormatDepth(0.0996, Metric),
		"12 cm":     FormatDepth(0.12, Metric),
		"35 cm":     FormatMound(0.35, Metric),
		"36 cm":     FormatMound(0.3501, Metric),
		"8 in":      FormatMound(0.20, Feet),
		"9 in":      FormatMound(9*0.0254, Feet),
		"16 in":     FormatMound(0.40, Feet),
		"5 cm":      FormatMound(0.05, Metric),
		"1.10 m":    FormatMound(1.1, Metric),
		"unknown":   FormatMound(math.NaN(), Metric),
		"4.7 in":    FormatDepth(0.12, Feet),
		"150 mm":    FormatRain(150, Metric),
		"5.9 in":    FormatRain(150, Feet),
		"1.0 in":    FormatRain(25.4, Feet),
		"0.16 in":   FormatRain(4, Feet),
		"12 mm/h":   FormatRate(12, Metric),
		"0.47 in/h": FormatRate(12, Feet),
		"85 m²":     FormatArea(85, Metric),
		"1.50 ha":   FormatArea(15000, Metric),
		"915 sq ft": FormatArea(85, Feet),
		"2.00 ac":   FormatArea(8093.7128448, Feet),
		"7.5 m³":    FormatVolume(7.5, Metric),
		"9.8 yd³":   FormatVolume(7.5, Feet),
		"157 yd³":   FormatVolume(120, Feet),
	} {
		assert.Equal(t, want, got)
	}
	assert.Equal(t, "unknown", FormatDepth(math.NaN(), Metric))
	assert.Equal(t, "unknown", FormatArea(math.Inf(1), Feet))
}

// What a report prints can be typed back in, to half of its last digit.
func TestReportsReadBack(t *testing.T) {
	for i := range 400 {
		m := 0.0037 * math.Pow(1.03, float64(i))
		for _, u := range []Units{Metric, Feet} {
			unit := map[Units]float64{Metric: 1, Feet: 0.3048}[u]
			back, err := Length(FormatLength(m, u), Metric)
			require.NoError(t, err)
			assert.InDelta(t, m, back, 0.00500001*unit)
			back, err = Length(FormatDepth(m, u), Metric)
			require.NoError(t, err)
			assert.InDelta(t, m, back, 0.0127001)
			back, err = Area(FormatArea(m, u), Metric)
			require.NoError(t, err)
			assert.InDelta(t, m, back, max(0.5001, 0.0051*m))
			back, err = Length(FormatDistance(m, u), Metric)
			require.NoError(t, err)
			assert.InDelta(t, m, back, max(0.0500001*unit, 0.0052*1609.344*math.Floor(min(1, m/3048))))
		}
	}
}

func FuzzLength(f *testing.F) {
	for _, s := range []string{"15 ft", "4,5 m", `5' 7 1/4"`, "5\u2032-7¼\u2033", "1200 usft", "1,200 m", "7.5", "-3 in", "1e308 km", "2 m^2", "5'7", "1/2", "0/0 m"} {
		f.Add(s, false)
		f.Add(s, true)
	}
	f.Fuzz(func(t *testing.T, s string, feet bool) {
		bare := Metric
		if feet {
			bare = Feet
		}
		m, err := Length(s, bare)
		if err != nil {
			assert.Zero(t, m)
			assert.Less(t, len(err.Error()), 600)
			return
		}
		assert.GreaterOrEqual(t, m, 0.0)
		assert.LessOrEqual(t, m, 1e8)
		assert.False(t, math.Signbit(m))
		z, err := Elevation(s, bare)
		assert.NoError(t, err)
		assert.Equal(t, m, z, "a length is an elevation too")
		// The number itself, written out in metres, reads back to the bit.
		again, err := Length(strconv.FormatFloat(m, 'g', -1, 64)+" m", bare)
		assert.NoError(t, err)
		assert.Equal(t, m, again)
	})
}
