package main

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// What growers get wrong about rain, soil and water, each with exactly what is
// answered. Extra is added to a good site file of the demo's ground, whose
// hollow 1 has its rim at 96.387 m and its floor at 96.093 m; its first line
// is line 9.
func TestBadWaterIsToldExactly(t *testing.T) {
	f := newBadFolder(t)
	f.write(t, "rain.csv", "date,rain_mm\n2001-01-01,3\n2001-01-02,-4\n2001-01-02,5\n2001-02-30,1\n2001-01-03,x\n")
	f.write(t, "gaps.csv", "date,rain_mm\n2001-01-01,3\n2001-01-04,5\n")
	f.write(t, "inches.csv", "date,rain_mm\n2001-01-01,3\n2001-01-02,9000\n")
	short := &strings.Builder{}
	short.WriteString("date,rain_mm,et_mm\n")
	for year := 2001; year <= 2003; year++ {
		for month := 1; month <= 12; month++ {
			for day := 1; day <= [...]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}[month-1]; day++ {
				short.WriteString(strings.Join([]string{digits(year, 4), digits(month, 2), digits(day, 2)}, "-") + ",1,2\n")
			}
		}
	}
	f.write(t, "short.csv", short.String())
	f.write(t, "month.csv", "date,rain_mm,et_mm\n2001-01-01,3,1\n2001-01-02,3,1\n")
	f.write(t, "gauge.csv", "hours,rain_mm\n0,0\n2,5\n1,5\n3,-1\n")
	f.write(t, "idf.csv", "duration_mm,2,5,10\n24 h,90,118,110\n")
	f.write(t, "idf-good.csv", "duration_mm,2,5,10\n24 h,90,118,140\n")
	f.write(t, "zone.geojson", `{"type":"Polygon","coordinates":[[[-98.5,28],[-98.4,28],[-98.4,28.1],[-98.5,28]]]}`)
	f.write(t, "bow.geojson", `{"type":"Polygon","coordinates":[[[0,0],[4,4],[4,0],[0,4],[0,0]]]}`)
	const head = "crs = \"EPSG:32614\"\n[ground]\ndem = \"ground.tif\"\nvertical_error = \"3 cm\"\n[[row]]\nline = [[500105.0, 3100028.0], [500245.0, 3100030.8]]\nspacing = \"25 m\"\npattern = [\"Carya illinoinensis\"]\n"
	for _, tt := range []struct{ name, extra, want string }{
		{"a negative rain", "[storm]\nrain = \"-5 mm\"\n",
			`water.toml:10: storm, rain: "-5 mm" is not a depth of rain: it is below zero`},
		{"a storm in inches that was in millimetres", "[storm]\nrain = \"150 in\"\n",
			`water.toml:10: storm, rain: 3810 mm (150 in) of rain in 24 h is more than ever fell on earth, about 1825 mm; did you mean 150 mm?`},
		{"a soil nobody knows", "[soil]\ntexture = \"sandy lome\"\n",
			`water.toml:10: soil, texture: "sandy lome" is not a soil texture; the nearest is "sandy loam", and known are sand, loamy sand, sandy loam, loam, silt loam, silt, sandy clay loam, clay loam, silty clay loam, sandy clay, silty clay and clay`},
		{"a curve number that is none", "[soil]\ncurve_number = 101\n",
			`water.toml:10: soil, curve_number: curve number 101 is not from 30 to 100; 58 is grassed orchard on group B, 98 is pavement`},
		{"a record with days twice, out of the calendar and below zero", "[season]\nrain = \"rain.csv\"\n",
			`rain.csv, line 3, rain_mm: "-4" is below zero; a depth of rain, 0 or more is needed, and a missing value is left empty` + "\n" +
				`rain.csv, line 4, date: "2001-01-02" is there twice, first in line 3` + "\n" +
				`rain.csv, line 5, date: "2001-02-30" is no day or hour of the calendar` + "\n" +
				`rain.csv, line 6, rain_mm: "x" is not a plain number such as 12.3`},
		{"a record with gaps where none are wanted", "[season]\nrain = \"gaps.csv\"\ngaps = \"refuse\"\n",
			`gaps.csv, line 3, date: missing before it: 2 days, 2001-01-02 to 2001-01-03; add every step, with 0 where no rain fell`},
		{"more rain than ever fell", "[season]\nrain = \"inches.csv\"\n",
			`inches.csv, line 3, rain_mm: "9000" is 9000 mm in 24 h, more than ever fell on earth (1825 mm)`},
		{"a record too short for the return period asked", "[season]\nrain = \"short.csv\"\nreturn_period = \"20 years\"\n",
			`short.csv: holds 3 whole years, too few for a return period; 5 are the least`},
		{"years on every draw without a record of them", "[odds]\nseason = true\n",
			`odds, season: the years of weather were asked for on every draw, and there is no record of them; give one in the site file, as rain in [season], or leave the odds to the storm`},
		{"a record without a whole year", "[season]\nrain = \"month.csv\"\n",
			`month.csv: no calendar year of the record is whole, so no wet spell of a year can be told; at least one year without gaps is needed`},
		{"a gauge that runs backwards", "[storm]\ngauge = \"gauge.csv\"\n",
			`gauge.csv, line 4, hours: "1" is not after the time in line 3` + "\n" +
				`gauge.csv, line 5, rain_mm: "-1" is below zero`},
		{"a table of rain that falls", "[storm]\nfrequency = \"idf.csv\"\nreturn_period = 10\n",
			`idf.csv: 110 mm in 24 h once in 10 years is not more than 118 once in 5`},
		{"a return period beyond the table", "[storm]\nfrequency = \"idf-good.csv\"\nreturn_period = 100\n",
			`idf-good.csv: a return period of 100 years is too far outside the table, which holds 2 to 10 and is carried on to 1.33 and 15`},
		{"a pipe with its outlet above its inlet", "[[link]]\nname = \"P\"\nfrom = [500142.0, 3100030.0]\nto = \"off the site\"\ninvert = 96.2\noutlet = 96.3\n",
			`water.toml:9: link "P": runs uphill, from 96.20 m to 96.30 m`},
		{"a pipe into higher ground", "[[link]]\nname = \"P\"\nfrom = [500142.0, 3100030.0]\nto = [500228.0, 3100059.0]\ninvert = 96.2\n",
			`water.toml:9: link "P": runs uphill, from 96.200 m to the floor of hollow 5 at 96.295 m`},
		{"a pipe from dry ground", "[[link]]\nname = \"P\"\nfrom = [500110.0, 3100085.0]\nto = \"off the site\"\ndepth = \"20 cm\"\n",
			`water.toml:9: link "P": there is no hollow at its upper end that is deeper than the error of the ground; the nearest is hollow 1, 54.46 m away at E 500129.8, N 3100034.2`},
		{"a pipe under the floor", "[[link]]\nfrom = [500142.0, 3100030.0]\nto = \"off the site\"\ninvert = 90\n",
			`water.toml:9: link "1": starts at 90.000 m, no higher than the floor of hollow 3 at 96.093 m: give its level where water enters`},
		{"a water table above the ground", "[[well]]\nname = \"W\"\nat = [500142.0, 3100030.0]\ndepth = \"-5 cm\"\n",
			`water.toml:12: well "W", depth: puts the water table 0.05 m above the ground; its depth below the ground is needed, and 0 where it stands at the surface`},
		{"a well off the ground", "[[well]]\nname = \"W\"\nat = [600142.0, 3100030.0]\ndepth = \"50 cm\"\n",
			`well "W" at 600142.0, 3100030.0 does not stand on known ground, which lies within 500090.0 to 500260.0 and 3099990.0 to 3100110.0`},
		{"a zone elsewhere", "[[soil.zone]]\nname = \"Yard\"\narea = \"zone.geojson\"\n",
			`soil zone "Yard": its area covers no cell of the ground; is it in longitude and latitude?`},
		{"a zone that crosses itself", "[[soil.zone]]\nname = \"Yard\"\narea = \"bow.geojson\"\n",
			`bow.geojson, polygon 1, ring 1: its side from [0, 0] to [4, 4] meets the one from [4, 0] to [0, 4]; no ring may cross or touch itself`},
		{"several files at once", "[storm]\nfrequency = \"idf.csv\"\nreturn_period = 10\n[season]\nrain = \"gaps.csv\"\ngaps = \"refuse\"\n",
			`idf.csv: 110 mm in 24 h once in 10 years is not more than 118 once in 5` + "\n" +
				`gaps.csv, line 3, date: missing before it: 2 days, 2001-01-02 to 2001-01-03; add every step, with 0 where no rain fell`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			f.write(t, "water.toml", head+tt.extra)
			status, stdout, stderr := wetfeet(t, "assess", f.path("water.toml"), "-o", f.path("out"))
			got := strings.ReplaceAll(strings.TrimSuffix(stderr, "\n"), f.dir+string(filepath.Separator), "DIR/")
			assert.Equal(t, "wetfeet: "+tt.want, got)
			assert.Equal(t, exitInput, status)
			assert.Empty(t, stdout)
		})
	}
}

// digits writes a number with so many digits.
func digits(v, n int) string {
	s := []byte(strings.Repeat("0", n))
	for i := n - 1; i >= 0; i, v = i-1, v/10 {
		s[i] = byte('0' + v%10)
	}
	return string(s)
}
