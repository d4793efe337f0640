package site

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"wetfeet/cmd/internal/fault"
	"wetfeet/hydro/season"
	"wetfeet/hydro/soil"
	"wetfeet/hydro/weather"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const wet = `crs = "EPSG:32614"
[soil]
texture    = "loam"
moisture   = "Wet"
drained    = true
model      = "Green-Ampt"
impervious = "5 %"
curve_number = 72
[[soil.test]]
kind = "percolation hole"
diameter = "20 cm"
depth = "30 cm"
drop = "4 cm"
time = "30 min"
[[soil.zone]]
name = "Yard"
area = "yard.geojson"
impervious = 1
[[soil.zone]]
area = "yard.geojson"
hydrologic_group = "b/d"
cover = "pasture, fair"
  [[soil.zone.test]]
  kind = "double ring"
  diameter = "30 cm"
  water = "3.5 l"
  time = "1 h"
  [[soil.zone.test]]
  kind = "single ring"
  diameter = "20 cm"
  depth = "5 cm"
  insertion = "5 cm"
  rate = "45 mm/h"
  [[soil.zone.test]]
  kind = "auger hole"
  diameter = "8 cm"
  depth = "60 cm"
  drop = "20 cm"
  time = "1 h"
[storm]
frequency = "table.csv"
return_period = "10 years"
distribution = "type III"
[season]
rain = "rain.csv"
growing = ["04-01", "10-31"]
gaps = "refuse"
return_period = 5
[[link]]
name = "Culvert"
kind = "culvert"
from = [500000, 3100000]
to = "off the site"
depth = "30 cm"
capacity = "20 l/s"
[[link]]
kind = "ditch"
line = [[500000, 3100000], [500010, 3100000], [500010, 3100020]]
invert = "95.40 m"
outlet = -1.5
[[well]]
name = "Auger 1"
at = [500001.0, 3100001.0]
depth = 0
date = 2024-03-01
[[well]]
at = [500002.0, 3100001.0]
depth = "60 cm"
date = "2024-03-02"
`

func wetFolder(t testing.TB) string {
	dir := t.TempDir()
	for _, name := range []string{"yard.geojson", "table.csv", "rain.csv", "gauge.csv"} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte("x"), 0o644))
	}
	return dir
}

func TestWaterOfASiteIsRead(t *testing.T) {
	dir := wetFolder(t)
	s, err := Read(write(t, dir, wet))
	require.NoError(t, err)
	file := func(name string) File { return File{filepath.Join(dir, name), name} }
	share, all := 0.05, 1.0
	hole := soil.PercolationHole{Diameter: 200, Depth: 300, Drop: 40, Hours: 0.5}
	double := soil.DoubleRing{Diameter: 300, Litres: 3.5, Hours: 1}
	single := soil.SingleRing{Steady: 45, Head: 50, Insertion: 50, Radius: 100}
	auger := soil.AugerHole{Radius: 40, Start: 600, End: 400, Hours: 1}
	assert.Equal(t, Soil{
		Known:    Known{Texture: "loam", CurveNumber: 72, Impervious: &share, Tests: []soil.Rate{hole.Rate()}},
		Moisture: soil.WetBefore, Drained: true, GreenAmpt: true,
		Zones: []Zone{
			{Known{Impervious: &all}, "Yard", file("yard.geojson")},
			{Known{HydrologicGroup: "B/D", Cover: "pasture, fair", Tests: []soil.Rate{double.Rate(), single.Rate(), auger.Rate()}}, "2", file("yard.geojson")},
		},
	}, s.Soil)
	assert.Equal(t, Storm{Shape: weather.TypeIII, Frequency: file("table.csv"), ReturnPeriod: 10}, s.Storm)
	assert.Equal(t, Season{Rain: file("rain.csv"), RefuseGaps: true, ReturnPeriod: 5,
		Growing: &season.Growing{First: season.Date{Month: time.April, Day: 1}, Last: season.Date{Month: time.October, Day: 31}, How: "as given"}}, s.Season)
	invert, outlet := 95.4, -1.5
	assert.Equal(t, []Link{
		{Name: "Culvert", Where: `site.toml:` + lineOf(wet, "[[link]]\nname") + `: link "Culvert"`, Line: orb.LineString{{500000, 3100000}}, Depth: 0.3, Capacity: 0.02},
		{Name: "2", Where: `site.toml:` + lineOf(wet, "[[link]]\nkind") + `: link "2"`, Ditch: true, Line: orb.LineString{{500000, 3100000}, {500010, 3100000}, {500010, 3100020}}, Invert: &invert, Outlet: &outlet},
	}, s.Links)
	assert.Equal(t, []Well{
		{"Auger 1", `site.toml:` + lineOf(wet, "[[well]]\nname") + `: well "Auger 1"`, orb.Point{500001, 3100001}, 0, time.Date(2024, 3, 1, 0, 0, 0, 0, time.UTC)},
		{"2", `site.toml:` + lineOf(wet, "[[well]]\nat") + `: well "2"`, orb.Point{500002, 3100001}, 0.6, time.Date(2024, 3, 2, 0, 0, 0, 0, time.UTC)},
	}, s.Wells)

	s, err = Read(write(t, dir, "[storm]\ngauge = \"gauge.csv\"\nrain = \"80 mm\"\n"))
	require.NoError(t, err)
	assert.Equal(t, Storm{Gauge: file("gauge.csv"), Rain: 80}, s.Storm)
}

func lineOf(text, part string) string {
	before, _, _ := strings.Cut(text, part)
	n := 1 + strings.Count(before, "\n")
	return strings.TrimSpace(strings.Join([]string{string(rune('0' + n/10)), string(rune('0' + n%10))}, ""))
}

func TestMistakesOfWaterSayWhereAndWhatWouldDo(t *testing.T) {
	dir := wetFolder(t)
	const head = "crs = \"EPSG:32614\"\n"
	for _, tt := range []struct{ name, text, want string }{
		{"inches that were millimetres", "[storm]\nrain = \"150 in\"\n",
			`site.toml:2: storm, rain: 3810 mm (150 in) of rain in 24 h is more than ever fell on earth, about 1825 mm; did you mean 150 mm?`},
		{"bare inches", "units = \"feet\"\n[storm]\nrain = 150\nduration = \"12 h\"\n",
			`site.toml:3: storm, rain: 3810 mm (150 in) of rain in 12 h is more than ever fell on earth, about 1144 mm; did you mean 150 mm?`},
		{"soils, covers and shares that do not exist", "[soil]\ntexture = \"lome\"\ncover = \"orcherd\"\nimpervious = 20\nmoisture = \"damp\"\nmodel = \"horton\"\ninfiltration = \"9 m/h\"\ndrained = \"yes\"\n",
			`site.toml:2: soil, texture: "lome" is not a soil texture; the nearest is "loam", and known are sand, loamy sand, sandy loam, loam, silt loam, silt, sandy clay loam, clay loam, silty clay loam, sandy clay, silty clay and clay` + "\n" +
				`site.toml:3: soil, cover: cover "orcherd": "orcherd" is not a cover known here; the nearest is "woods-grass, fair", and kinds are woods-grass, pasture, meadow, brush, woods, farmstead, open space, fallow, row crops, small grain, rotation meadow, dirt road, gravel road and paved` + "\n" +
				`site.toml:4: soil, impervious: found 20; a share is needed, such as 0.2 or "20 %", from nothing to all` + "\n" +
				`site.toml:5: soil, moisture: found "damp"; one of "average", "dry" and "wet" is needed` + "\n" +
				`site.toml:6: soil, model: found "horton"; one of "curve number" and "green-ampt" is needed` + "\n" +
				`site.toml:7: soil, infiltration: measured infiltration 9000 mm/h is not from 0 to 3600; gravel has about 1000` + "\n" +
				`site.toml:8: soil, drained: found "yes"; true or false is needed, without quotes`},
		{"tests that tell too little, too much or nothing", "[soil]\ninfiltration = 12\n[[soil.test]]\nkind = \"percolation hole\"\ndiameter = \"20 cm\"\ndrop = \"40 cm\"\ndepth = \"30 cm\"\ntime = \"30 min\"\n[[soil.test]]\nkind = \"double ring\"\ndepth = \"3 cm\"\ntime = \"1 h\"\nwater = \"3 mm\"\n[[soil.test]]\n[[soil.test]]\nkind = \"tripple ring\"\n",
			`site.toml:3: soil test 1: the water dropped 400 mm, which is not from 0 to the 300 mm that stood there` + "\n" +
				`site.toml:3: soil, test: the soil has an infiltration and a field test; keep the one you trust` + "\n" +
				`site.toml:9: soil test 2: has no diameter; a double ring is told by diameter, water and time` + "\n" +
				`site.toml:9: soil test 2: has depth, but a double ring is told by diameter, water and time` + "\n" +
				`site.toml:13: soil test 2, water: "3 mm" is not a volume: use a number and a unit, such as 3.5 l, 0.02 m3 or 1 gal` + "\n" +
				`site.toml:14: soil test 3: has no kind; a test says of which kind it is` + "\n" +
				`site.toml:16: soil test 4, kind: found "tripple ring"; one of "auger hole", "double ring", "percolation hole" and "single ring" is needed`},
		{"zones without an area", "[[soil.zone]]\nname = \"Yard\"\ntexure = \"clay\"\n[[soil.zone]]\nname = \"Yard\"\narea = \"yrd.geojson\"\n",
			`site.toml:1: soil zone "Yard": has no area; every zone needs an area` + "\n" +
				`site.toml:3: soil zone "Yard": "texure" is not a known key; the nearest is "texture"` + "\n" +
				`site.toml:4: soil, zone "Yard": has the name of the one of line 1; each needs its own` + "\n" +
				`site.toml:6: soil zone "Yard", area: there is no file "yrd.geojson"; there is "yard.geojson"`},
		{"curve numbers that are none", "[soil]\ncurve_number = 20\n[[soil.zone]]\narea = \"yard.geojson\"\ncurve_number = \"many\"\n",
			`site.toml:2: soil, curve_number: curve number 20 is not from 30 to 100; 58 is grassed orchard on group B, 98 is pavement` + "\n" +
				`site.toml:5: soil zone "1", curve_number: found "many"; a runoff curve number is needed, such as 72`},
		{"a pipe and a ditch under their own names", "[[pipe]]\nline = [[0, 0], [1, 1]]\n[[Ditch]]\nline = [[0, 0], [1, 1]]\n",
			`site.toml:1: "pipe" is not a known key; the nearest is a table headed [[link]] with kind = "pipe", line (or from and to) and depth` + "\n" +
				`site.toml:3: "Ditch" is not a known key; the nearest is a table headed [[link]] with kind = "ditch", line (or from and to) and depth`},
		{"one bracket", "[soil.zone]\nname = \"Yard\"\n[link]\nname = \"x\"\n[well]\nname = \"x\"\n",
			`site.toml:1: soil, zone: is headed [[soil.zone]], with two brackets on each side` + "\n" +
				`site.toml:3: link: is headed [[link]], with two brackets on each side` + "\n" +
				`site.toml:5: well: is headed [[well]], with two brackets on each side`},
		{"no tables at all", "link = [1]\nwell = 3\nstorm = 4\nseason = 5\n[soil]\nzone = [2]\ntest = [\"x\"]\n",
			`site.toml:1: link "1": found 1; a table is needed` + "\n" + `site.toml:2: well: found 3; tables headed [[well]] are needed` + "\n" +
				`site.toml:3: storm: found 4; a table is needed` + "\n" + `site.toml:4: season: found 5; a table is needed` + "\n" +
				`site.toml:6: soil zone "1": found 2; a table is needed` + "\n" + `site.toml:7: soil test 1: found "x"; a table is needed`},
		{"storms that contradict themselves", "[storm]\nhyetograph = \"gauge.csv\"\ngauge = \"gauge.csv\"\nduration = \"6 h\"\ndistribution = \"type II\"\nreturn_period = \"10 years\"\n",
			`site.toml:3: storm, gauge: a storm has one course of rain; give hyetograph or gauge, not both` + "\n" +
				`site.toml:4: storm, duration: the file of the rain has a duration of its own; leave this one out` + "\n" +
				`site.toml:5: storm, distribution: the file of the rain has a course of its own; leave this out` + "\n" +
				`site.toml:6: storm, return_period: the rain is that of a file; give either the file or a return period`},
		{"a return period without a table", "[storm]\nreturn_period = \"10 years\"\n",
			`site.toml:2: storm, return_period: a table of the rain that falls so often is needed: frequency = "table.csv", typed from your local atlas`},
		{"a return period and a rain", "[storm]\nrain = 100\nfrequency = \"table.csv\"\nreturn_period = \"often\"\n",
			`site.toml:4: storm, return_period: found "often"; a number of years above 1 is needed, such as "10 years"` + "\n" +
				`site.toml:4: storm, return_period: the rain is given too; with a frequency table its return period is told, so give one of the two`},
		{"a shape of a day in six hours", "[storm]\nrain = 100\nduration = \"6 h\"\ndistribution = \"type II\"\n",
			`site.toml:4: storm, distribution: the NRCS types are storms of 24 h; leave the duration out, or take "even"`},
		{"a shape nobody knows", "[storm]\nrain = 100\ndistribution = \"type IV\"\n",
			`site.toml:3: storm, distribution: "type IV" is not a shape of storm: use even, type I, type IA, type II or type III`},
		{"seasons that are none", "[season]\ngrowing = [\"04-31\", \"10-31\"]\ngaps = \"fill\"\nreturn_period = 1\n",
			`site.toml:1: season: has no rain; a season needs a record of daily or hourly rain` + "\n" +
				`site.toml:2: season, growing: "04-31" is not a month and a day, as in 04-15` + "\n" +
				`site.toml:3: season, gaps: found "fill"; one of "refuse" and "report" is needed` + "\n" +
				`site.toml:4: season, return_period: found 1; a number of years above 1 is needed, such as "10 years"`},
		{"a season of one day", "[season]\nrain = \"rain.csv\"\ngrowing = [\"04-01\"]\n",
			`site.toml:3: season, growing: found a list of one; the first and the last day are needed, such as ["04-01", "10-31"]`},
		{"pipes that cannot be", head + "[[link]]\nname = \"P\"\nfrom = [1, 2]\nto = [3, 4]\ninvert = 95\noutlet = 95.5\n[[link]]\nline = [[1, 2], [3, 4]]\nto = [3, 4]\ninvert = 95\ndepth = 1\n[[link]]\nfrom = [1, 2]\ncapacity = \"20\"\nslope = 1\n",
			`site.toml:2: link "P": runs uphill, from 95.00 m to 95.50 m` + "\n" +
				`site.toml:8: link "2": has a line and ends; give the line, or from and to` + "\n" +
				`site.toml:8: link "2": give either invert, the level of its bottom where water enters, or depth, how far that lies below the brim of the hollow` + "\n" +
				`site.toml:13: link "3": has no course; give a line, or from = [x, y] and to = [x, y] (or to = "off the site")` + "\n" +
				`site.toml:13: link "3": give either invert, the level of its bottom where water enters, or depth, how far that lies below the brim of the hollow` + "\n" +
				`site.toml:15: link "3", capacity: "20" is not a flow of water: use a number and a unit, such as 20 l/s, 0.02 m3/s, 300 gal/min or 0.7 ft3/s` + "\n" +
				`site.toml:16: link "3": "slope" is not a known key; the nearest is "line", and known here are name, kind, line, from, to, invert, outlet, depth and capacity`},
		{"water above the ground", head + "[soil]\nwater_table = \"-10 cm\"\n[[well]]\nname = \"W\"\nat = [1, 2]\ndepth = -0.2\n[[well]]\nname = \"W\"\ndate = 3\n",
			`site.toml:3: soil, water_table: puts the water table 0.10 m above the ground; its depth below the ground is needed, and 0 where it stands at the surface` + "\n" +
				`site.toml:7: well "W", depth: puts the water table 0.20 m above the ground; its depth below the ground is needed, and 0 where it stands at the surface` + "\n" +
				`site.toml:8: well "W": has the name of the one of line 4; each needs its own` + "\n" +
				`site.toml:8: well "W": has no at; every well needs a place and a depth` + "\n" +
				`site.toml:8: well "W": has no depth; every well needs a place and a depth` + "\n" +
				`site.toml:10: well "W", date: found 3; a day is needed, such as 2024-03-01`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := Read(write(t, dir, tt.text))
			assert.EqualError(t, err, tt.want)
			assert.True(t, fault.IsInput(err))
		})
	}
}
