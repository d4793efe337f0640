package begin

import (
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/planting"
	"wetfeet/cmd/internal/site"
	"wetfeet/species"
	"wetfeet/terrain/quantity"
	"wetfeet/terrain/raster"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const bend = "../../../testdata/heron-bend/"

// look is files of the demo, or files made of name and text by turns.
func look(t *testing.T, names ...string) []*Found {
	t.Helper()
	var out []*Found
	for _, name := range names {
		f, err := Look(name, filepath.Base(name), species.BuiltIn())
		require.NoError(t, err)
		out = append(out, f)
	}
	return out
}

func file(t *testing.T, name, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.WriteFile(path, []byte(text), 0o666))
	return path
}

func TestFilesAreToldByWhatIsInThem(t *testing.T) {
	for path, want := range map[string]Kind{
		bend + "ground.tif":                                      Raster,
		bend + "survey.csv":                                      Heights,
		bend + "level-book.csv":                                  Book,
		bend + "positions.csv":                                   Positions,
		bend + "boundary.geojson":                                Boundary,
		bend + "my-species.csv":                                  Own,
		"../../../testdata/rasters/area.tif":                     Raster,
		file(t, "a", "pecan\nfig\n# not yet\nAsimina triloba\n"): Plants,
		file(t, "b.tif", "Species;Notes\npecan;two\nfig;one\n"):  Plants,
		file(t, "c.csv", "lon,lat,Elevation (ft)\n-99.25,29.5,100\n-99.2501,29.5,101\n-99.25,29.5001,99"):                                        Heights,
		file(t, "d.dat", `{"type":"Feature","id":"a","properties":{"species":"pecan"},"geometry":{"type":"Point","coordinates":[-99.25,29.5]}}`): Positions,
	} {
		f, err := Look(path, filepath.Base(path), species.BuiltIn())
		if assert.NoError(t, err, path) {
			assert.Equal(t, want, f.Kind, path)
			assert.NotEmpty(t, f.Words, path)
		}
	}
}

func TestAFileThatCannotBeUsedIsTold(t *testing.T) {
	for text, want := range map[string]string{
		"":                              "there is nothing in it",
		"PK\x03\x04rest":                "spreadsheet",
		"%PDF-1.7":                      "PDF",
		"\xff\xfex\x00":                 "UTF-16",
		"<kml/>":                        "XML",
		`{"a": 1}`:                      "JSON without points",
		"1,2,3\n4,5,6\n":                "must name the columns",
		"x,y,colour\n1,2,red\n":         "neither heights (a column z) nor species",
		"date,rain_mm\n2001-01-01,3\n":  "has the columns",
		"[ground]\ndem = \"a.tif\"\n":   "is a site file already",
		"\x00\x01\x02 not a raster":     "is not a raster that can be read",
		"pecan\nelderbery\nblue gumm\n": "line 3: \"blue gumm\" is not a species in the table; nearest: ",
		"x,y,z\n1,2,tall\n":             "tall",
	} {
		_, err := Look(file(t, "given.csv", text), "given.csv", species.BuiltIn())
		if assert.Error(t, err, text) {
			assert.Contains(t, err.Error(), want)
			assert.Contains(t, err.Error(), "given.csv")
			assert.True(t, fault.IsInput(err))
		}
	}
	_, err := Look(t.TempDir(), "folder", species.BuiltIn())
	assert.ErrorContains(t, err, "folder: is not a regular file")
	_, err = Look("/nowhere/at/all.csv", "all.csv", species.BuiltIn())
	assert.ErrorContains(t, err, "all.csv: no such file")

	big := filepath.Join(t.TempDir(), "big.tif")
	f, err := os.Create(big)
	require.NoError(t, err)
	_, _ = f.Write([]byte("II*\x00\x08\x00\x00\x00"))
	require.NoError(t, f.Truncate(2<<30)) // a hole in the disk
	require.NoError(t, f.Close())
	_, err = Look(big, "big.tif", species.BuiltIn())
	assert.ErrorContains(t, err, "big.tif has 2048 MB; up to 512 MB are taken")
}

func TestNamesOfCopiesStayInTheFolder(t *testing.T) {
	for given, want := range map[string]string{
		"../../etc/passwd": "passwd.csv", `C:\fields\my heights.CSV`: "my-heights.CSV", ".hidden": "hidden.csv",
		"": "spot-heights.csv", "Höhen.txt": "Höhen.txt", "site.toml": "site.toml.csv", "..": "spot-heights.csv", "a\nb.csv": "a-b.csv",
	} {
		assert.Equal(t, want, properName(given, Heights, []byte("x,y,z")), given)
	}
	assert.LessOrEqual(t, len(properName(strings.Repeat("ä", 500)+".csv", Heights, nil)), 130)
}

// made is a draft written out and read again.
func made(t *testing.T, files []*Found, a Answers) (*Draft, *site.Site, string) {
	t.Helper()
	l, err := Survey(t.Context(), files, a)
	require.NoError(t, err)
	d, err := l.Draft(a)
	require.NoError(t, err)
	dir := filepath.Join(t.TempDir(), "new")
	require.NoError(t, d.Write(dir))
	s, err := site.Read(filepath.Join(dir, SiteName))
	require.NoError(t, err)
	require.NoError(t, s.Check())
	return d, s, dir
}

// trees counts those of rows as they are planted when the site is assessed.
func trees(t *testing.T, s *site.Site, to string) int {
	t.Helper()
	from := s.CRS
	if s.Origin != nil {
		from = raster.LocalCRS(s.Origin[0], s.Origin[1])
	} else if from == "" {
		from = raster.LonLatCRS
	}
	n := 0
	for _, row := range s.Rows {
		if from != to {
			way, err := raster.NewTransform(from, to)
			require.NoError(t, err)
			require.NoError(t, way.Points(row.Line))
			way.Close()
		}
		places, err := planting.Lay(row)
		require.NoError(t, err)
		n += len(places)
	}
	return n
}

func TestSpotHeightsAndAListBecomeASite(t *testing.T) {
	list := file(t, "plants.txt", "pecan\nAmerican elderberry\nAsimina triloba\n")
	files := look(t, bend+"survey.csv", list)
	_, err := Survey(t.Context(), files, Answers{})
	assert.ErrorContains(t, err, "where: x and y of survey.csv do not tell where they lie")

	d, s, dir := made(t, files, Answers{CRS: "EPSG:32614", Name: "  My\norchard "})
	assert.Equal(t, "My orchard", s.Name)
	assert.Equal(t, "loam", s.Soil.Texture)
	assert.Equal(t, 100.0, s.Storm.Rain)
	assert.Equal(t, 24*time.Hour, s.Storm.Duration)
	assert.Equal(t, []string{"Carya illinoinensis", "Sambucus canadensis", "Asimina triloba"}, s.Rows[0].Pattern)
	assert.Greater(t, d.Trees, 30)
	assert.Equal(t, d.Trees, trees(t, s, "EPSG:32614"))
	for _, want := range []string{"soil is taken as loam", "storm is taken as 100 mm", "evenly over 24 h", "Plants stand", "Rows are"} {
		assert.Contains(t, strings.Join(d.Told, "\n"), want)
	}
	assert.FileExists(t, filepath.Join(dir, "survey.csv"))
	assert.NoFileExists(t, filepath.Join(dir, "plants.txt"), "the list is in the rows")

	// Each tree is on the ground, and its row keeps half the distance of rows
	// to the edge.
	for _, row := range d.Rows {
		for _, p := range row.Line {
			assert.True(t, inside(d.Outline, p))
		}
	}
}

func TestEveryKeyThatCouldBeUsedIsOne(t *testing.T) {
	for _, u := range []quantity.Units{quantity.Metric, quantity.Feet} {
		d, _, dir := made(t, look(t, bend+"ground.tif", file(t, "l.txt", "pecan")), Answers{Units: u})
		text := regexp.MustCompile(`(?m)^# ([a-z_]+ = )`).ReplaceAllString(d.Text, "$1")
		assert.NotEqual(t, d.Text, text)
		path := filepath.Join(dir, "all.toml")
		require.NoError(t, os.WriteFile(path, []byte(text), 0o666))
		s, err := site.Read(path)
		require.NoError(t, err)
		assert.Len(t, s.Rows[0].Gaps, 1)
		assert.NotZero(t, s.Ground.Cell)
		assert.NotNil(t, s.Soil.WaterTable)
		assert.True(t, *s.Soil.RootRot && *s.Storm.Dormant && s.Storm.Moving)
		assert.InDelta(t, 10, *s.Storm.SoilTemperature, 1e-9)
		assert.Equal(t, 5.0, *s.Rows[0].Age)
	}
}

// A taped grid in feet from a peg: what is written is in feet from the peg.
func TestASiteFromAPeg(t *testing.T) {
	var b strings.Builder
	b.WriteString("x_ft,y_ft,z_ft\n")
	for i := range 8 {
		for j := range 4 {
			b.WriteString(strings.Join([]string{decimal(float64(i)*40, 0), decimal(float64(j)*40, 0), decimal(100+float64((i*7+j*3)%5)/10, 2)}, ",") + "\n")
		}
	}
	files := look(t, file(t, "taped.csv", b.String()), file(t, "l.csv", "species\npecan\n"))
	o := orb.Point{-99.25, 29.5}
	d, s, _ := made(t, files, Answers{Origin: &o, Units: quantity.Feet, Spacing: 20 * 0.3048, Apart: 30 * 0.3048, Soil: "long ribbon, smooth", Rain: 152.4, Duration: 12 * time.Hour})
	assert.Equal(t, o, *s.Origin)
	assert.Equal(t, "silty clay", s.Soil.Texture)
	assert.InDelta(t, 152.4, s.Storm.Rain, 1e-9)
	assert.Equal(t, 12*time.Hour, s.Storm.Duration)
	assert.NotContains(t, d.Text, "TAKEN")
	// 280 by 120 ft: 4 rows, from 15 to 265 ft, of 13 trees 20 ft apart.
	require.Len(t, s.Rows, 4)
	assert.Equal(t, 4*13, d.Trees)
	assert.Equal(t, d.Trees, trees(t, s, raster.LocalCRS(o[0], o[1])))
	line := s.Rows[0].Line
	assert.InDelta(t, 15*0.3048, line[0][0], 0.3)
	assert.InDelta(t, 105*0.3048, line[0][1], 0.3)
	assert.InDelta(t, 255*0.3048, line[1][0], 0.3)
}

// A spacing that is rounded to tenths of a foot in the site file must not cost
// a row its last plant.
func TestRowsInFeetKeepTheirLastPlant(t *testing.T) {
	var b strings.Builder
	b.WriteString("x_ft,y_ft,z_ft\n")
	for i := range 10 {
		for j := range 6 {
			b.WriteString(strings.Join([]string{decimal(float64(i)*20, 0), decimal(float64(j)*20, 0), decimal(312+float64((i*7+j*3)%5)/10, 2)}, ",") + "\n")
		}
	}
	files := look(t, file(t, "taped.csv", b.String()))
	o := orb.Point{-97.25, 30.5}
	for _, spacing := range []float64{0, 1.01, 2.5, 3.33} {
		d, s, _ := made(t, files, Answers{Origin: &o, Units: quantity.Feet, Spacing: spacing, Plants: []string{"pecan", "fig", "Asimina triloba", "apple"}})
		require.NotEmpty(t, s.Rows)
		assert.Equal(t, d.Spacing, s.Rows[0].Spacing)
		assert.Equal(t, d.Trees, trees(t, s, raster.LocalCRS(o[0], o[1])), "at %g m", spacing)
	}
}

func TestAnswersThatCannotBeAreToldTogether(t *testing.T) {
	o := orb.Point{190, 29.5}
	a := Answers{Origin: &o, Soil: "mud", Rain: -3, Spacing: 0.01, Apart: 9999, Rows: -1}
	err := a.check()
	for _, want := range []string{"longitude from -180", `"mud" is not a soil texture`, "short ribbon, gritty", "above zero", "0.01 m apart", "rows 9999 m apart", "found -1 rows"} {
		assert.ErrorContains(t, err, want)
	}
	assert.True(t, fault.IsInput(err))
	assert.ErrorContains(t, (&Answers{CRS: "EPSG:banana"}).check(), "where: ")
}

func TestWhatFilesDoNotSayIsAskedFor(t *testing.T) {
	bare := file(t, "bare.asc", "ncols 4\nnrows 4\nxllcorner 0\nyllcorner 0\ncellsize 10\n1 1 1 1\n1 2 2 1\n1 2 2 1\n1 1 1 1\n")
	list := file(t, "l.txt", "pecan")
	refused := func(want string, a Answers, files ...string) {
		t.Helper()
		l, err := Survey(t.Context(), look(t, files...), a)
		if err == nil {
			_, err = l.Draft(a)
		}
		assert.ErrorContains(t, err, want)
		assert.True(t, fault.IsInput(err))
	}
	refused("bare.asc names no coordinate system; name it", Answers{}, bare, list)
	refused("no file tells the ground", Answers{}, list)
	refused("no species is named", Answers{}, bend+"ground.tif")
	refused("both hold elevation raster", Answers{}, bend+"ground.tif", bend+"ground.tif", list)
	refused("both hold spot heights", Answers{}, bend+"survey.csv", bend+"level-book.csv", list)
	refused("the system there is EPSG:32614", Answers{Origin: &orb.Point{-99.25, 29.5}}, bend+"survey.csv", list)
	refused("in a line", Answers{Origin: &orb.Point{-99.25, 29.5}}, file(t, "line.csv", "x,y,z\n0,0,1\n10,10,2\n20,20,1\n30,30,2\n"), list)
	refused("500 rows", Answers{Rows: 500}, bend+"ground.tif", list)
	refused("the known ground has room for", Answers{Rows: 150}, bend+"ground.tif", list)
	refused("fits on the known ground", Answers{Apart: 499}, bend+"ground.tif", list)
	refused("none of its 1 position lies on the ground", Answers{}, bend+"ground.tif", file(t, "p.csv", "id,lon,lat,species\na,-90,29.5,pecan\n"))
	refused("nearest: ", Answers{}, bend+"ground.tif", file(t, "p.csv", "id,x,y,species\na,500200,3100050,pekann tree\n"))
}

func TestPositionsAndOwnSpecies(t *testing.T) {
	own, err := os.ReadFile(bend + "my-species.csv")
	require.NoError(t, err)
	d, s, _ := made(t, look(t, bend+"ground.tif", bend+"positions.csv", bend+"boundary.geojson", file(t, "mine", string(own))), Answers{})
	assert.Equal(t, 6, d.Trees)
	assert.Empty(t, s.Rows)
	assert.Equal(t, "positions.csv", s.Trees.Positions.Name)
	assert.Equal(t, "boundary.geojson", s.Ground.Boundary.Name)
	assert.Equal(t, "mine.csv", s.Species.Table.Name)
	assert.Equal(t, "EPSG:32614", s.CRS)
}

func TestNothingIsOverwrittenAndNothingIsHalfWritten(t *testing.T) {
	files := look(t, bend+"ground.tif", file(t, "l.txt", "pecan"))
	l, err := Survey(t.Context(), files, Answers{})
	require.NoError(t, err)
	d, err := l.Draft(Answers{})
	require.NoError(t, err)
	dir := t.TempDir()
	mine := filepath.Join(dir, "mine.txt")
	require.NoError(t, os.WriteFile(mine, []byte("mine"), 0o666))
	assert.ErrorContains(t, d.Write(dir), "is there already and holds something")
	b, err := os.ReadFile(mine)
	require.NoError(t, err)
	assert.Equal(t, "mine", string(b))

	if os.Geteuid() != 0 {
		locked := t.TempDir()
		require.NoError(t, os.Chmod(locked, 0o500))
		assert.ErrorContains(t, d.Write(filepath.Join(locked, "new")), "may not be written")
	}
	parent := t.TempDir()
	d.files[0].Path = filepath.Join(parent, "gone.tif")
	assert.Error(t, d.Write(filepath.Join(parent, "new")))
	left, err := os.ReadDir(parent)
	require.NoError(t, err)
	assert.Empty(t, left)
	assert.ErrorContains(t, d.Write(filepath.Join(parent, "no", "new")), "is not there")
}

// A raster goes with what lies beside it.
func TestARasterKeepsItsSystem(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "my field.asc")
	require.NoError(t, os.WriteFile(path, []byte("ncols 40\nnrows 30\nxllcorner 500000\nyllcorner 3100000\ncellsize 2\n"+strings.Repeat(strings.Repeat("1.5 ", 39)+"1.4\n", 30)), 0o666))
	wkt, err := raster.WellKnown("EPSG:32614")
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "my field.prj"), []byte(wkt), 0o666))
	_, s, made := made(t, look(t, path, file(t, "l.txt", "fig")), Answers{})
	assert.Equal(t, "EPSG:32614", s.CRS)
	assert.Equal(t, "my-field.asc", s.Ground.DEM.Name)
	assert.FileExists(t, filepath.Join(made, "my-field.prj"))
}

func TestRoomForNeighbours(t *testing.T) {
	likely := func(name string) float64 {
		e, err := species.BuiltIn().Find(name)
		require.NoError(t, err)
		return e.Spacing.Likely
	}
	spacing, apart := room([]string{"pecan", "American elderberry"}, species.BuiltIn())
	assert.InDelta(t, (likely("pecan")+likely("American elderberry"))/2, spacing, 0.5)
	assert.InDelta(t, likely("pecan"), apart, 0.5)
	assert.LessOrEqual(t, math.Abs(spacing*2-math.Round(spacing*2)), 1e-9, "half metres")
}
