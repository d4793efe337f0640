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
		{"a raster that is not there", drain("missing.tif"), `DIR/missing.tif: cannot be found: no such file or directory`},
		{"an empty raster", drain("empty.tif"), `DIR/empty.tif: is empty; a raster of elevations is needed`},
		{"a raster cut short", drain("cut.tif"), `DIR/cut.tif: is damaged or cut short: rows 1 to 240 cannot be read`},
		{"a letter named as a raster", drain("letter.tif"), `DIR/letter.tif: is not a raster that can be read; a single band of elevations in one of these would do: GeoTIFF, ASCII grid (.asc), .img, .bil or .flt with .hdr, flat binary with .hdr, .hgt, USGS DEM (.dem), DTED (.dt0 to .dt2), .sdat, .rst, .map, .grd, JPEG 2000, 16-bit PNG, netCDF classic`},
		{"a raster of voids only", drain("void.asc", "--crs", utm), `DIR/void.asc: has no elevation in any of its 9 cells: all are voids`},
		{"a raster of one cell", drain("one.asc", "--crs", utm), `DIR/one.asc: is 1 column by 1 row; at least 3 by 3 cells are needed`},
		{"a raster that promises more than it holds", drain("huge.asc", "--crs", utm), `DIR/huge.asc: promises 400000 columns by 400000 rows and is too short to hold them (97 bytes)`},
		{"a word among the elevations", drain("small.asc", "--crs", utm), `DIR/small.asc: line 8: "six" is not an elevation (row 2, column 3)`},
		{"a raster that names no system", drain("nocrs.asc"), `DIR/nocrs.asc: does not name its coordinate system; name it beside the file, for example as EPSG:32614`},
		{"a raster said to be in a system that is none", drain("nocrs.asc", "--crs", "EPSG:1"), `DIR/nocrs.asc: "EPSG:1" is not a coordinate system known here; write an authority and a number, such as EPSG:32614 for UTM zone 14 north or EPSG:4326 for longitude and latitude, or the system's well-known text`},
		{"a raster said to be in another system", drain("ground.tif", "--crs", "EPSG:32633"), `DIR/ground.tif: is in EPSG:32614 (WGS 84 / UTM zone 14N) and was said to be in EPSG:32633 (WGS 84 / UTM zone 33N); leave the second out, or correct the file's`},
		{"a network name", []string{"drain", "/vsicurl/http://192.0.2.1/ground.tif"}, `/vsicurl/http://192.0.2.1/ground.tif: is not the name of a file on this machine; copy the raster here and name that file`},
		{"a web address", []string{"drain", "http://192.0.2.1/ground.tif"}, `http://192.0.2.1/ground.tif: is not the name of a file on this machine; copy the raster here and name that file`},
		{"a folder", drain("folder"), `DIR/folder: is a folder; name the raster file in it`},
		{"words, NaN and gaps among spot heights", drain("words.csv", "--crs", utm), `words.csv, line 2, z: "high" is not a plain number such as 12.34` + "\n" +
			`words.csv, line 3, y: "NaN" is not a plain number such as 12.34` + "\n" +
			`words.csv, line 4: 2 values where the header names 3 columns` + "\n" +
			`words.csv, line 5, z: "inf" is not a plain number such as 12.34`},
		{"spot heights without their columns", drain("columns.csv", "--crs", utm), `columns.csv, line 1: no column of x among name,remark; needed are x,y,z or lon,lat,z, each with its unit if not metres, as in z_ft` + "\n" +
			`columns.csv, line 1: no column of y among name,remark; needed are x,y,z or lon,lat,z, each with its unit if not metres, as in z_ft` + "\n" +
			`columns.csv, line 1: no column of z among name,remark; needed are x,y,z or lon,lat,z, each with its unit if not metres, as in z_ft`},
		{"two separators in one table", drain("mixed.csv", "--crs", utm), `mixed.csv, line 2: semicolons between values, but commas in the header; use one kind throughout`},
		{"decimal commas between commas", drain("commas.csv", "--crs", utm), `commas.csv, line 2: 6 values where the header names 3 columns; decimal commas need columns divided by semicolons or tabs`},
		{"two spot heights", drain("two.csv", "--crs", utm), `two.csv: 2 shots; a surface needs at least 3 that are not in a line`},
		{"spot heights all in a line", drain("line.csv", "--crs", utm), `line.csv: all 4 shots lie in a line, within 0 m over 4.24 m; a few to its sides are needed`},
		{"two heights at one place", drain("clash.csv", "--crs", utm), `clash.csv, line 5: height 97.500 m at the place where line 2 has 96.000 m: more than 3 times their error apart; correct one or leave it out`},
		{"spot heights in no system", drain("line.csv"), `line.csv: the columns are x and y, but nothing says in which coordinate system: name it with --crs (crs in a site file), such as EPSG:32614, or give with --origin (origin) the longitude and latitude of the peg they were taped from; or use columns lon and lat`},
		{"a folder for the ground of trees", []string{"assess", "--ground", heronBend, "--trees", heronBend + "positions.csv"}, heronBend + " is a folder; a file is needed"},
		{"a soil nobody knows", append(trees("far.csv"), "--soil", "mud"), `"mud" is not a soil texture; the nearest is "sand", and known are sand, loamy sand, sandy loam, loam, silt loam, silt, sandy clay loam, clay loam, silty clay loam, sandy clay, silty clay and clay`},
		{"positions off the ground", trees("far.csv"), `no planned tree lies on the ground: in WGS 84 / UTM zone 14N the trees are at E 600140 to 600140, N 3200030 to 3200030 and the ground at E 500090 to 500260, N 3099990 to 3100110; is the coordinate system of the positions right?`},
		{"east and north swapped", trees("turned.csv"), `no planned tree lies on the ground: in WGS 84 / UTM zone 14N the trees are at E 3100030 to 3100030, N 500140 to 500140 and the ground at E 500090 to 500260, N 3099990 to 3100110; they would lie on it with x and y the other way round: are the two swapped?`},
		{"degrees where metres are meant", trees("degrees.csv"), `no planned tree lies on the ground: in WGS 84 / UTM zone 14N the trees are at E -99 to -99, N 28 to 28 and the ground at E 500090 to 500260, N 3099990 to 3100110; degrees belong in columns named lon and lat`},
		{"species nobody knows", trees("unknown.csv"), `tree T2: "persimmon" could be Asian persimmon (Diospyros kaki), American persimmon (Diospyros virginiana); write which` + "\n" +
			`tree T3: "zzzz" is not a species in the table, nor like any name in it; the built-in table can be added to with a CSV of your own (--species FILE, or table in [species] of the site file)`},
		{"positions with gaps and doubles", trees("badtrees.csv"), `badtrees.csv, line 2, species: it is empty` + "\n" +
			`badtrees.csv, line 3, x: "x" is not a plain number such as 500100.25`},
		{"a GeoJSON point without coordinates", trees("trees.geojson"), `trees.geojson, feature 1: a position lacks numbers; [longitude, latitude] is needed` + "\n" +
			`trees.geojson, feature 1: has no id, neither as a property nor as its own` + "\n" +
			`trees.geojson, feature 1: has no property species with a name in it`},
		{"positions that are not there", trees("none.csv"), `there is no file "DIR/none.csv"; there is "line.csv"`},
		{"a site with keys that do not exist", site("keys.toml"), `keys.toml:2: "spaceing" is not a known key; the nearest is "spacing" in [[row]]` + "\n" +
			`keys.toml:5: ground: "cel" is not a known key; the nearest is "cell"` + "\n" +
			`keys.toml:7: row "A", line, point 1: [500100, 3100020] is not longitude and latitude in degrees; for other coordinates give the site a crs, such as "EPSG:32614"` + "\n" +
			`keys.toml:8: row "A", spacing: "2.5 furlongs" is not a length: use a number and a unit, such as 15 ft, 4.5 m, 6 in or 150 mm`},
		{"a site that is not TOML", site("syntax.toml"), `syntax.toml:1: strings cannot contain newlines`},
		{"a site whose ground is misspelt", site("nofile.toml"), `nofile.toml:3: ground, dem: there is no file "grund.tif"; there is "ground.tif"`},
		{"a site in another system than its ground", site("mismatch.toml"), `no planned tree lies on the ground: in WGS 84 / UTM zone 14N the trees are at E 7622678 to 7622838, N 14147388 to 14147447 and the ground at E 500090 to 500260, N 3099990 to 3100110; is the coordinate system of the positions right?`},
		{"metres where longitude and latitude are meant", site("lonlat.toml"), `lonlat.toml:4: row "A", line, point 1: [500100, 3100020] is not longitude and latitude in degrees; for other coordinates give the site a crs, such as "EPSG:32614"`},
		{"conditions that cannot be", site("conditions.toml"), `conditions.toml:5: storm, month: found "Smarch"; a month is needed, such as "January"` + "\n" +
			`conditions.toml:6: storm, soil_temperature: "hot" is not a temperature: use a number and a unit, such as 12 °C or 54 °F` + "\n" +
			`conditions.toml:7: storm, dormant: found "no"; true or false is needed, without quotes` + "\n" +
			`conditions.toml:9: soil: "rootrot" is not a known key; the nearest is "root_rot"` + "\n" +
			`conditions.toml:14: row "A", age: "-1 year" is not an age: it is below zero`},
		{"rootstocks of no species, and of one twice", site("rootstocks.toml"), `rootstocks.toml:9: species, rootstock, "pecan": is Carya illinoinensis, whose rootstock is named as that of "Carya illinoinensis" already` + "\n" +
			`rootstocks.toml:11: species, rootstock, "zzzz": "zzzz" is not a species in the table, nor like any name in it`},
		{"ages that are none", trees("badages.csv"), `badages.csv, line 2, age: "old" is not an age: use a number and a unit, such as 5 years or 18 months` + "\n" +
			`badages.csv, line 3, age: "-3" is not an age: it is below zero`},
		{"an empty site", site("empty.toml"), `empty.toml: names no ground; give [ground] a dem, spot_heights or both` + "\n" +
			`empty.toml: names no trees; give it a [[row]], or [trees] positions`},
		{"a site that is not there", site("none.toml"), `there is no file "DIR/none.toml"; there is "nofile.toml"`},
	}
}
