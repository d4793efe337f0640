package species

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func with(t *testing.T, text string) *Table {
	t.Helper()
	table, err := BuiltIn().With(strings.NewReader(text), "own.csv")
	require.NoError(t, err)
	return table
}

func TestWithOverridesOnlyWhatIsGiven(t *testing.T) {
	table := with(t, "scientific_name,days_likely,spacing_m,note,common_names\nCarya illinoensis,40,,\"seen in 2019, low corner\",nogal\n")
	got, err := table.Find("pecan")
	require.NoError(t, err)
	was := find(t, "pecan")
	assert.True(t, got.Own)
	assert.Equal(t, "Carya illinoinensis", got.Scientific, "the name in use stays")
	assert.Equal(t, WetSeason, got.Class)
	assert.Equal(t, Range{14, 40, 180}, got.Days)
	assert.Equal(t, Grower, got.DaysBasis)
	assert.Equal(t, append([]string{"nogal"}, was.Common...), got.Common)
	assert.Equal(t, was.Spacing, got.Spacing)
	assert.Equal(t, was.Height, got.Height)
	assert.Equal(t, was.Facts, got.Facts[3:])
	assert.Equal(t, Fact{"days_likely", "40", "days", Grower, "own table: own.csv", "line 2"}, got.Facts[0])
	source, ok := table.Source("own table: own.csv")
	require.True(t, ok)
	assert.Equal(t, "The grower's own table, own.csv", source.Citation)
	byName, err := table.Find("nogal")
	require.NoError(t, err)
	assert.Same(t, got, byName)

	assert.Len(t, table.All(), len(BuiltIn().All()))
	assert.False(t, find(t, "pecan").Own, "the table laid under is as it was")
	assert.Equal(t, WetSpell, find(t, "pecan").Class)
}

func TestWithAddsASpecies(t *testing.T) {
	table := with(t, strings.Join([]string{
		"Scientific_Name,Common_Names,Class,depth_ft,water_table_m,stratum,uses,spacing_ft,height_m,hardiness,salt,invasive",
		"Symphytum officinale,comfrey; knitbone,Short-Soak,0.5,0.6–0.9,LOW,Fodder; biomass,2-3,1,3-9,low,none",
	}, "\r\n"))
	e, err := table.Find("Knitbone")
	require.NoError(t, err)
	assert.Equal(t, ShortSoak, e.Class)
	assert.Equal(t, Range{1, 4, 14}, e.Days)
	assert.Equal(t, "medium", e.Confidence)
	assert.InDelta(t, 0.1524, *e.Depth, 1e-12)
	assert.Equal(t, &Range{0.6, 0.75, 0.9}, e.WaterTable)
	assert.Equal(t, "low", e.Stratum)
	assert.Equal(t, []string{"fodder", "biomass"}, e.Uses)
	assert.InDelta(t, 0.6096, e.Spacing.Low, 1e-12)
	assert.InDelta(t, 0.9144, e.Spacing.High, 1e-12)
	assert.Equal(t, &Range{1, 1, 1}, e.Height)
	assert.Equal(t, "3-9", e.Hardiness)
	assert.Empty(t, e.Invasive)
	assert.Len(t, table.All(), len(BuiltIn().All())+1)
	for _, f := range e.Facts {
		assert.Equal(t, Grower, f.Basis)
	}
}

func TestWithFindsItsClassAndDaysTogether(t *testing.T) {
	for _, tt := range []struct {
		name, row string
		class     Class
		days      Range
	}{
		{"class alone", "Aus bus,wet spell,,,", WetSpell, Range{4, 14, 45}},
		{"likely alone", "Aus bus,,,20,", WetSpell, Range{4, 20, 45}},
		{"all of them", "Aus bus,wet spell,10,20,25", WetSpell, Range{10, 20, 25}},
		{"between two bands", "Aus bus,,,2.5,", NoWetFeet, Range{0, 2.5, 4}},
		{"none for a known species", "Mangifera indica,,,,", ShortSoak, Range{1, 4, 14}},
		{"the low of a known species", "Mangifera indica,,2,,", ShortSoak, Range{2, 4, 14}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			table := with(t, "scientific_name,class,days_low,days_likely,days_high\n"+tt.row+"\n")
			name, _, _ := strings.Cut(tt.row, ",")
			e, err := table.Find(name)
			require.NoError(t, err)
			assert.Equal(t, tt.class, e.Class)
			assert.Equal(t, tt.days, e.Days)
		})
	}
}

func TestWithStatesAClashWithTheTable(t *testing.T) {
	e, err := with(t, "scientific_name,class\nMangifera indica,wet season\n").Find("mango")
	require.NoError(t, err)
	assert.Equal(t, `your own table says "wet season", yet the table of the program says "short soak"`, e.Clash)
}

func TestWithTakesANameForTheGrowersSpecies(t *testing.T) {
	table := with(t, "scientific_name,common_names\nDiospyros kaki,persimmon\n")
	e, err := table.Find("persimmons")
	require.NoError(t, err)
	assert.Equal(t, "Diospyros kaki", e.Scientific)
}

func TestWithIsSilentOnBOMBlankLinesAndSpaces(t *testing.T) {
	e, err := with(t, "\ufeffscientific_name , class\r\n\r\n  Aus   bus , swamp \r\n,\r\n").Find("aus bus")
	require.NoError(t, err)
	assert.Equal(t, "Aus bus", e.Scientific)
	assert.Equal(t, Swamp, e.Class)
}

func TestWithReportsEveryMistake(t *testing.T) {
	const columnList = "scientific_name, common_names, class, days_low, days_likely, days_high, depth_m, water_table_m, stratum, uses, spacing_m, height_m, hardiness, salt, invasive, note"
	for _, tt := range []struct {
		name, text string
		want       []string
	}{
		{"an empty file", "", []string{"own.csv, line 1: the file is empty; the first line names the columns, such as scientific_name,class,days_likely"}},
		{"semicolons", "scientific_name;class\nAus bus;swamp\n", []string{`own.csv, line 1: the columns are separated by ";"; separate them by commas, and write decimals with a point`}},
		{"tabs", "scientific_name\tclass\n", []string{`own.csv, line 1: the columns are separated by "\t"; separate them by commas, and write decimals with a point`}},
		{"UTF-16", "\xff\xfes\x00c\x00", []string{"own.csv, line 1: the file is not text in UTF-8; save it as CSV UTF-8"}},
		{"Latin-1", "scientific_name,note\nAus bus,caf\xe9\n", []string{"own.csv, line 2: the file is not text in UTF-8; save it as CSV UTF-8"}},
		{"an unknown column", "scientific_name,clas\n", []string{`own.csv, line 1: there is no column "clas"; the nearest is class, and the columns are ` + columnList}},
		{"a length without a unit", "scientific_name,depth\n", []string{`own.csv, line 1: there is no column "depth"; the nearest is depth_m, and the columns are ` + columnList}},
		{"a column twice", "scientific_name,height_m,height_ft\n", []string{"own.csv, line 1: the column height_m is there twice"}},
		{"no names", "class\nswamp\n", []string{"own.csv, line 1: there is no column scientific_name, which every table needs"}},
		{"a row too long", "scientific_name,class\nAus bus,swamp,1\n", []string{"own.csv, line 2: 3 values under 2 columns; put quotes around a value that has a comma in it"}},
		{"a quote left open", "scientific_name,class\n\"Aus bus,swamp\n", []string{"own.csv, line 2: extraneous or missing \" in quoted-field; quotes go around a whole value and are doubled inside it"}},
		{"text and worse for numbers", "scientific_name,class,days_low,days_high,depth_m,spacing_m\n" +
			"Aus bus,soggy,few,NaN,Inf,4-\n,swamp,,,,\nAus cus,swamp,-1,1e2,0x1p2,6-4\nAus dus,,,,,\nAus eus,swamp,,366,11,\"4,5\"\n",
			[]string{
				`own.csv, line 2, class: "soggy" is not one of no wet feet, short soak, wet spell, wet season, swamp`,
				`own.csv, line 2, days_low: "few" is not a number of days from 0 to 365`,
				`own.csv, line 2, days_high: "NaN" is not a number of days from 0 to 365`,
				`own.csv, line 2, depth_m: "Inf" is not a number from 0 to 10`,
				`own.csv, line 2, spacing_m: "4-" is not a number from 0.05 to 100, or a range such as 4-6`,
				`own.csv, line 2: Aus bus is new to the table and needs a class or days_likely`,
				`own.csv, line 3, scientific_name: "" is not a scientific name such as Carya illinoinensis`,
				`own.csv, line 4, days_low: "-1" is not a number of days from 0 to 365`,
				`own.csv, line 4, days_high: "1e2" is not a number of days from 0 to 365`,
				`own.csv, line 4, depth_m: "0x1p2" is not a number from 0 to 10`,
				`own.csv, line 4, spacing_m: "6-4" is not a number from 0.05 to 100, or a range such as 4-6`,
				`own.csv, line 5: Aus dus is new to the table and needs a class or days_likely`,
				`own.csv, line 6, days_high: "366" is not a number of days from 0 to 365`,
				`own.csv, line 6, depth_m: "11" is not a number from 0 to 10`,
				`own.csv, line 6, spacing_m: "4,5" is not a number from 0.05 to 100, or a range such as 4-6`,
			}},
		{"words that are none", "scientific_name,class,stratum,hardiness,salt,note\nAus bus,swamp,tall,warm,some,\"bell \a\"\n",
			[]string{
				`own.csv, line 2, stratum: "tall" is not one of low, medium, high, emergent`,
				`own.csv, line 2, hardiness: "warm" is not a USDA zone from 1 to 13, a range such as 5b-9, or annual`,
				`own.csv, line 2, salt: "some" is not one of none, low, medium, high`,
				`own.csv, line 2, note: "bell \a" is not one line of text`,
			}},
		{"bounds in the unit of the column", "scientific_name,class,depth_ft\nAus bus,swamp,40\n", []string{`own.csv, line 2, depth_ft: "40" is not a number from 0 to 32.808`}},
		{"class and days that part", "scientific_name,class,days_likely\nAus bus,short soak,90\n", []string{`own.csv, line 2, days_likely: 90 days is not within "short soak", which is 3 to 7 days; leave one of the two empty`}},
		{"days out of order", "scientific_name,days_low,days_likely\nAus bus,9,8\nMangifera indica,20,\n", []string{
			"own.csv, line 2: days of 9, 8 and 45 are not in order from low to high; days_likely may be missing",
			"own.csv, line 3: days of 20, 4 and 14 are not in order from low to high; days_likely may be missing",
		}},
		{"a species twice", "scientific_name,class\nVaccinium ashei,swamp\nVaccinium virgatum,swamp\n", []string{`own.csv, line 3, scientific_name: "Vaccinium virgatum" is the species of line 2 again`}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := BuiltIn().With(strings.NewReader(tt.text), "own.csv")
			assert.EqualError(t, err, strings.Join(tt.want, "\n"))
			var row *RowError
			assert.ErrorAs(t, err, &row)
		})
	}
}

func TestWithCountsMistakesBeyondAHundred(t *testing.T) {
	_, err := BuiltIn().With(strings.NewReader("scientific_name,class\n"+strings.Repeat(",x\n", 130)), "own.csv")
	require.Error(t, err)
	lines := strings.Split(err.Error(), "\n")
	require.Len(t, lines, maxFaults+1)
	assert.Equal(t, "own.csv: and 30 more mistakes", lines[maxFaults])
}

func TestWithRefusesAHugeFile(t *testing.T) {
	_, err := BuiltIn().With(strings.NewReader(strings.Repeat("x", maxTable+1)), "own.csv")
	assert.EqualError(t, err, "own.csv, line 1: the file is over 4 MiB, more than a table of species takes")
}

func FuzzWith(f *testing.F) {
	for _, s := range []string{
		"", "scientific_name,class\nAus bus,swamp\n", "\ufeffscientific_name;class", "scientific_name,days_likely\nCarya illinoinensis,NaN\n",
		"scientific_name,depth_ft,spacing_m\nMangifera indica,1,4-6\n", "scientific_name\n\"\"\"\n", "scientific_name,common_names,uses\nAus bus,;,;\n",
		"scientific_name,class,note\n'x',swamp,\x1b[2J\n",
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		table, err := BuiltIn().With(strings.NewReader(string(text)), "own.csv")
		if (table == nil) == (err == nil) {
			t.Fatalf("gave %v and %v", table, err)
		}
		if err != nil {
			return
		}
		for _, e := range table.All() {
			if !(e.Days.Low >= 0 && e.Days.Low <= e.Days.Likely && e.Days.Likely <= e.Days.High && e.Days.High <= yearRound) {
				t.Fatalf("%s: %v days", e.Scientific, e.Days)
			}
			if e.Own {
				table.Judge(pond(1, 100), e)
				if err := table.Explain(&strings.Builder{}, e, ExplainOptions{}); err != nil {
					t.Fatal(err)
				}
			}
		}
	})
}
