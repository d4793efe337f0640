package main

// A badInput is a command and exactly what it is answered.
type badInput struct {
	name string
	args []string
	want string
}

// badInputs are the mistakes of newBadFolder and their answers.
func badInputs(drain func(name string, more ...string) []string, trees, site func(name string) []string) []badInput {
	return []badInput{
		{"a raster that is not there", drain("missing.tif"), `?`},
		{"an empty raster", drain("empty.tif"), `?`},
		{"a raster cut short", drain("cut.tif"), `?`},
		{"a letter named as a raster", drain("letter.tif"), `?`},
		{"a raster of voids only", drain("void.asc", "--crs", utm), `?`},
		{"a raster of one cell", drain("one.asc", "--crs", utm), `?`},
		{"a raster that promises more than it holds", drain("huge.asc", "--crs", utm), `?`},
		{"a word among the elevations", drain("small.asc", "--crs", utm), `?`},
		{"a raster that names no system", drain("nocrs.asc"), `?`},
		{"a raster said to be in a system that is none", drain("nocrs.asc", "--crs", "EPSG:1"), `?`},
		{"a raster said to be in another system", drain("ground.tif", "--crs", "EPSG:32633"), `?`},
		{"a network name", []string{"drain", "/vsicurl/http://192.0.2.1/ground.tif"}, `?`},
		{"a web address", []string{"drain", "http://192.0.2.1/ground.tif"}, `?`},
		{"a folder", drain("."), `?`},
		{"words, NaN and gaps among spot heights", drain("words.csv", "--crs", utm), `?`},
		{"spot heights without their columns", drain("columns.csv", "--crs", utm), `?`},
		{"two separators in one table", drain("mixed.csv", "--crs", utm), `?`},
		{"decimal commas between commas", drain("commas.csv", "--crs", utm), `?`},
		{"two spot heights", drain("two.csv", "--crs", utm), `?`},
		{"spot heights all in a line", drain("line.csv", "--crs", utm), `?`},
		{"two heights at one place", drain("clash.csv", "--crs", utm), `?`},
		{"spot heights in no system", drain("line.csv"), `?`},
		{"positions off the ground", trees("far.csv"), `?`},
		{"degrees where metres are meant", trees("degrees.csv"), `?`},
		{"species nobody knows", trees("unknown.csv"), `?`},
		{"positions with gaps and doubles", trees("badtrees.csv"), `?`},
		{"a GeoJSON point without coordinates", trees("trees.geojson"), `?`},
		{"positions that are not there", trees("none.csv"), `?`},
		{"a site with keys that do not exist", site("keys.toml"), `?`},
		{"a site that is not TOML", site("syntax.toml"), `?`},
		{"a site whose ground is misspelt", site("nofile.toml"), `?`},
		{"a site in another system than its ground", site("mismatch.toml"), `?`},
		{"metres where longitude and latitude are meant", site("lonlat.toml"), `?`},
		{"an empty site", site("empty.toml"), `?`},
		{"a site that is not there", site("none.toml"), `?`},
	}
}
