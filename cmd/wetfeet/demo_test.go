package main

import (
	"encoding/csv"
	"encoding/json"
	"flag"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"

	"wetfeet/cmd/internal/geopackage"
	"wetfeet/terrain/quantity"
	"wetfeet/terrain/raster"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/geojson"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// assessOnce runs a site once for all tests that read its answer.
func assessOnce(site string) func(t *testing.T) string {
	var once sync.Once
	var dir, stdout, stderr string
	var status int
	return func(t *testing.T) string {
		t.Helper()
		once.Do(func() {
			parent, err := os.MkdirTemp("", "wetfeet")
			require.NoError(t, err)
			leftovers = append(leftovers, parent)
			dir = filepath.Join(parent, "out")
			status, stdout, stderr = wetfeet(t, "assess", site, "-o", dir)
		})
		require.Equal(t, exitOK, status, stderr)
		require.NotEmpty(t, stdout)
		told[dir] = stdout
		return dir
	}
}

var (
	demo      = assessOnce(heronBend + "heron-bend.toml")
	demoShots = assessOnce(heronBend + "heron-bend-shots.toml")
	plain     = assessOnce(meuse + "meuse.toml")
)

// told is what a run that wrote a folder had to say.
var told = map[string]string{}

// leftovers are folders shared by tests, to be cleared away after the last.
var leftovers []string

func TestMain(m *testing.M) {
	status := m.Run()
	for _, dir := range leftovers {
		os.RemoveAll(dir)
	}
	os.Exit(status)
}

func read(t *testing.T, dir, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(dir, name))
	require.NoError(t, err)
	return b
}

// features reads a GeoJSON file and holds it to RFC 7946: WGS 84 positions of
// at most seven decimals within a bbox that is given, closed rings wound by
// the right-hand rule.
func features(t *testing.T, dir, name string) []*geojson.Feature {
	t.Helper()
	text := read(t, dir, name)
	c, err := geojson.UnmarshalFeatureCollection(text)
	require.NoError(t, err)
	if len(c.Features) == 0 {
		return nil
	}
	require.Len(t, c.BBox, 4, "%s: bbox", name)
	box := orb.Bound{Min: orb.Point{c.BBox[0], c.BBox[1]}, Max: orb.Point{c.BBox[2], c.BBox[3]}}
	var ring func(r orb.Ring, want orb.Orientation)
	point := func(p orb.Point) {
		for _, v := range p {
			require.InDelta(t, math.Round(v*1e7), v*1e7, 1e-4, "%s: %v has more than seven decimals", name, p)
		}
		require.True(t, math.Abs(p[0]) <= 180 && math.Abs(p[1]) <= 90, "%s: %v", name, p)
		require.True(t, box.Contains(p), "%s: %v lies outside the bbox", name, p)
	}
	ring = func(r orb.Ring, want orb.Orientation) {
		require.GreaterOrEqual(t, len(r), 4)
		require.Equal(t, r[0], r[len(r)-1], "%s: a ring is open", name)
		require.Equal(t, want, r.Orientation(), "%s: a ring is wound the wrong way", name)
		for _, p := range r {
			point(p)
		}
	}
	polygon := func(p orb.Polygon) {
		for i, r := range p {
			if i == 0 {
				ring(r, orb.CCW)
			} else {
				ring(r, orb.CW)
			}
		}
	}
	for _, f := range c.Features {
		switch g := f.Geometry.(type) {
		case orb.Point:
			point(g)
		case orb.LineString:
			require.GreaterOrEqual(t, len(g), 2)
			for _, p := range g {
				point(p)
			}
		case orb.Polygon:
			polygon(g)
		case orb.MultiPolygon:
			for _, p := range g {
				polygon(p)
			}
		default:
			t.Fatalf("%s: %T", name, g)
		}
	}
	return c.Features
}

var answer = flag.String("answer", "", "a folder written by wetfeet assess, to be held to what the tests' own are held to, in their place")

// answers are the folders every answer is held to.
func answers(t *testing.T) []string {
	t.Helper()
	if *answer != "" {
		return []string{*answer}
	}
	return []string{demo(t), demoShots(t), plain(t)}
}

func TestAnswerHasItsFiles(t *testing.T) {
	want := []string{
		".wetfeet-manifest", "field.pdf", "flow-lines.geojson",
		"grids/brim-depth.tif", "grids/filled.tif", "grids/ground.tif", "grids/height-above-water.tif", "grids/ponding-probability.tif", "grids/slope.tif",
		"grids/storm-depth.tif", "grids/upslope-area.tif", "grids/wet-hours.tif", "grids/wetness-index.tif",
		"map.png", "ponds.geojson", "report.html", "risk.geojson", "risk.gpkg", "risk.kml", "stakes.csv", "stakes.gpx", "summary.json",
	}
	for _, dir := range answers(t) {
		assert.Equal(t, want, written(t, dir))
	}
}

func TestFilesAgreeWithEachOther(t *testing.T) {
	for _, dir := range answers(t) {
		risk := features(t, dir, "risk.geojson")
		counts := map[string]int{"low": 0, "moderate": 0, "high": 0, "severe": 0, "unknown": 0}
		flagged := 0
		for _, f := range risk {
			counts[f.Properties["risk"].(string)]++
			if f.Properties["flagged"].(bool) {
				flagged++
				assert.Contains(t, []string{"high", "severe"}, f.Properties["risk"])
			}
		}
		var sum struct {
			Trees, Flagged int
			Risk           map[string]int
			Hollows        struct{ Kept int }
			WaterBalance   map[string]float64 `json:"water_balance"`
			Inputs         []struct{ Role, Name, SHA256 string }
			Seconds        map[string]float64
			Assumptions    []string
		}
		require.NoError(t, json.Unmarshal(read(t, dir, "summary.json"), &sum))
		assert.Equal(t, len(risk), sum.Trees)
		assert.Equal(t, flagged, sum.Flagged)
		assert.Equal(t, counts, sum.Risk)
		assert.NotEmpty(t, sum.Inputs)
		assert.NotEmpty(t, sum.Assumptions)
		assert.NotEmpty(t, sum.Seconds)
		b := sum.WaterBalance
		went := b["ponded_m3"] + b["left_m3"] + b["soaked_m3"] + b["evaporated_m3"]
		assert.InDelta(t, b["in_m3"], went, 1e-9*b["in_m3"])
		assert.InDelta(t, b["in_m3"]-went, b["error_m3"], 1e-9*b["in_m3"])
		assert.Positive(t, b["soaked_m3"])
		assert.InDelta(t, b["rain_m3"], b["in_m3"]+b["soaked_where_it_fell_m3"], 1e-9*b["rain_m3"])

		ponds := features(t, dir, "ponds.geojson")
		assert.Len(t, ponds, sum.Hollows.Kept)
		for _, p := range ponds {
			assert.Positive(t, p.Properties["fills_at_mm"], "the rain that fills a hollow of its own catchment")
			held := func(name string) float64 { return p.Properties["volume_"+name+"_m3"].(float64) }
			assert.IsNonDecreasing(t, []float64{0, held("p10"), held("p50"), held("p90")})
			assert.Positive(t, held("expected"))
			holds := quantity.FormatVolume(held("expected"), quantity.Metric)
			assert.Contains(t, string(read(t, dir, "report.html")), holds, "hollow %v", p.Properties["id"])
			if p.Properties["part_of"] == nil {
				assert.Contains(t, string(read(t, dir, "risk.kml")), "It is expected to hold "+holds+";")
			}
		}
		features(t, dir, "flow-lines.geojson")

		rows, err := csv.NewReader(strings.NewReader(string(read(t, dir, "stakes.csv")))).ReadAll()
		require.NoError(t, err)
		column := map[string]int{}
		for i, name := range rows[0] {
			column[name] = i
		}
		require.Len(t, rows, len(risk)+1)
		page := strings.NewReplacer(`<span class="together">`, "", "</span>", "", "<wbr>", "").Replace(string(read(t, dir, "report.html")))
		for i, f := range risk {
			row := rows[i+1]
			assert.Equal(t, strconv.Itoa(i+1), row[column["stake"]])
			for _, name := range []string{"id", "species", "common_name", "risk", "why"} {
				assert.Equal(t, f.Properties[name], row[column[name]])
			}
			for _, name := range []string{"ground_m", "brim_depth_m", "storm_depth_m", "wet_hours", "wetness_index", "wetness_percentile", "along_m", "mound_m"} {
				if v, known := f.Properties[name].(float64); known {
					got, err := strconv.ParseFloat(row[column[name]], 64)
					require.NoError(t, err)
					assert.Equal(t, v, got, name)
				} else {
					assert.Empty(t, row[column[name]], name)
				}
			}
			assert.True(t, strings.Contains(page, ">"+f.Properties["id"].(string)+"<"), "the page names %s", f.Properties["id"])
		}
	}
}

// The GeoPackage holds what the GeoJSON files hold, in the system of the ground.
func TestGeoPackageAgreesWithGeoJSON(t *testing.T) {
	for _, dir := range answers(t) {
		f, err := geopackage.Open(t.Context(), filepath.Join(dir, "risk.gpkg"))
		require.NoError(t, err)
		defer f.Close()
		for layer, name := range map[string]string{"trees": "risk.geojson", "hollows": "ponds.geojson", "flow_lines": "flow-lines.geojson"} {
			want := features(t, dir, name)
			rows, err := f.DB().Query("SELECT * FROM " + layer + " ORDER BY fid")
			require.NoError(t, err)
			columns, err := rows.Columns()
			require.NoError(t, err)
			n := 0
			for ; rows.Next(); n++ {
				values, into := make([]any, len(columns)), make([]any, len(columns))
				for i := range values {
					into[i] = &values[i]
				}
				require.NoError(t, rows.Scan(into...))
				got := make(map[string]any)
				for i, c := range columns {
					got[c] = values[i]
				}
				shape, _, err := geopackage.Decode(got["geom"].([]byte))
				require.NoError(t, err)
				require.False(t, shape.Bound().IsEmpty())
				for key, v := range want[n].Properties {
					if yes, ok := v.(bool); ok { // SQLite has none of its own
						v = int64(0)
						if yes {
							v = int64(1)
						}
					}
					require.EqualValues(t, v, got[key], "%s %d %s", layer, n, key)
				}
			}
			require.NoError(t, rows.Err())
			assert.Len(t, want, n, layer)
			require.NoError(t, rows.Close())
		}
	}
}

// Odds are shares, and the intervals and the classes of risk agree with them.
func TestOddsAddUp(t *testing.T) {
	some := false
	for _, f := range features(t, demo(t), "risk.geojson") {
		figure := func(name string) float64 {
			v, ok := f.Properties[name].(float64)
			require.True(t, ok, "%s: %s", f.Properties["id"], name)
			return v
		}
		lost, ponded := figure("risk_probability"), figure("ponding_probability")
		some = some || lost > 0.3 && lost < 0.9
		assert.True(t, lost >= 0 && lost <= 1 && ponded >= 0 && ponded <= 1, "%v", f.Properties)
		assert.LessOrEqual(t, figure("depth_p10_m"), figure("depth_p50_m"))
		assert.LessOrEqual(t, figure("depth_p50_m"), figure("depth_p90_m"))
		assert.LessOrEqual(t, figure("wet_hours_p10"), figure("wet_hours_p50"))
		assert.LessOrEqual(t, figure("wet_hours_p50"), figure("wet_hours_p90"))
		if figure("depth_p10_m") > 0.011 {
			assert.GreaterOrEqual(t, ponded, 0.9, "%v", f.Properties)
		}
		for risk, from := range map[string]float64{"severe": 0.6, "high": 0.3, "moderate": 0.1} {
			if lost >= from+0.001 && risk == "severe" {
				assert.Equal(t, risk, f.Properties["risk"], "%v", f.Properties)
			}
			if f.Properties["risk"] == risk {
				assert.GreaterOrEqual(t, lost, from-0.001, "%v", f.Properties)
			}
		}
		if f.Properties["advice"] == "raise" {
			assert.LessOrEqual(t, figure("risk_probability_raised"), 0.2001)
		}
	}
	assert.True(t, some, "some tree is neither safe nor lost")
}

// A tree's figures are those of the grids at its place.
func TestTreesReadTheGrids(t *testing.T) {
	dir := demo(t)
	open := func(name string) *raster.Ground {
		g, err := raster.Open(filepath.Join(dir, "grids", name), raster.Options{})
		require.NoError(t, err)
		return g
	}
	ground, brim, wet := open("ground.tif"), open("brim-depth.tif"), open("wetness-index.tif")
	from, err := raster.FromLonLat(ground.Grid.CRS)
	require.NoError(t, err)
	n := 0
	for _, f := range features(t, dir, "risk.geojson") {
		if f.Properties["risk"] == "unknown" {
			continue
		}
		p, err := from(f.Geometry.(orb.Point))
		require.NoError(t, err)
		row, col, ok := ground.Grid.Locate(p)
		require.True(t, ok)
		if fx, fy := math.Mod(p[0], 0.5), math.Mod(p[1], 0.5); min(fx, fy, 0.5-fx, 0.5-fy) < 0.02 {
			continue // seven decimals do not tell which side of a cell's edge it is
		}
		n++
		assert.InDelta(t, ground.Grid.At(row, col), f.Properties["ground_m"], 0.0006)
		assert.InDelta(t, brim.Grid.At(row, col), f.Properties["brim_depth_m"], 0.0006)
		assert.InDelta(t, wet.Grid.At(row, col), f.Properties["wetness_index"], 0.006)
	}
	assert.Greater(t, n, 50)
}

func TestMapIsLargeEnough(t *testing.T) {
	for _, dir := range answers(t) {
		f, err := os.Open(filepath.Join(dir, "map.png"))
		require.NoError(t, err)
		defer f.Close()
		c, err := png.DecodeConfig(f)
		require.NoError(t, err)
		assert.GreaterOrEqual(t, c.Width, 1600)
	}
}

// The page needs no network: nothing in it points anywhere.
func TestPageStandsAlone(t *testing.T) {
	page := string(read(t, demo(t), "report.html"))
	for _, bad := range []string{`src="http`, `href="http`, "@import", "url(http", "//cdn", "<iframe", "<link rel=\"stylesheet\""} {
		assert.NotContains(t, page, bad)
	}
	assert.Contains(t, page, "An invented place")
	assert.Contains(t, page, "Before you dig")
	assert.Contains(t, page, "<svg")
}

// A name from a file is text wherever it is shown.
func TestHostileNamesStayText(t *testing.T) {
	dir := t.TempDir()
	raw := read(t, heronBend, "ground.tif")
	require.NoError(t, os.WriteFile(filepath.Join(dir, "ground.tif"), raw, 0o644))
	site := filepath.Join(dir, "site.toml")
	require.NoError(t, os.WriteFile(site, []byte(`name = "<script>alert(1)</script>"
crs = "EPSG:32614"
[ground]
dem = "ground.tif"
[[row]]
name = "<img src=x onerror=alert(2)>"
line = [[500120.0, 3100028.0], [500160.0, 3100028.0]]
spacing = "5 m"
pattern = ["Ficus carica"]
`), 0o644))
	out := filepath.Join(dir, "out")
	status, _, stderr := wetfeet(t, "assess", site, "-o", out)
	require.Equal(t, exitOK, status, stderr)
	page := string(read(t, out, "report.html"))
	assert.NotContains(t, page, "<script>alert")
	assert.NotContains(t, page, "<img src=x")
	assert.Contains(t, page, "&lt;script&gt;alert(1)")
}

// Same input, same bytes, at any number of threads; only the seconds differ.
func TestAnswerIsTheSameEveryTime(t *testing.T) {
	first := demo(t)
	again := filepath.Join(t.TempDir(), "out")

	defer restoreThreads(1)()
	status, _, stderr := wetfeet(t, "assess", heronBend+"heron-bend.toml", "-o", again)
	require.Equal(t, exitOK, status, stderr)
	for _, name := range written(t, first) {
		if name == "summary.json" || name == ".wetfeet-manifest" {
			continue
		}
		assert.Equal(t, read(t, first, name), read(t, again, name), name)
	}
}
