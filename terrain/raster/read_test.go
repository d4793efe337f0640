package raster

import (
	"math"
	"os"
	"strings"
	"sync"
	"testing"

	"github.com/airbusgeo/godal"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// one is plane with another value in the cell of row 2 and column 1.
func one(v float64) func(row, col int) float64 {
	return func(row, col int) float64 {
		if row == 2 && col == 1 {
			return v
		}
		return plane(row, col)
	}
}

func noData(v float64) func(testing.TB, *godal.Dataset) {
	return func(t testing.TB, ds *godal.Dataset) { require.NoError(t, ds.SetNoData(v)) }
}

func TestEveryTypeOfNumberIsRead(t *testing.T) {
	for _, dtype := range []godal.DataType{godal.Byte, godal.UInt16, godal.Int16, godal.UInt32, godal.Int32, godal.Float32, godal.Float64, uint64s, int64s} {
		t.Run(dtype.String(), func(t *testing.T) {
			g := mustOpen(t, fixture{dtype: dtype}.save(t, "z.tif"), Options{})
			assert.Equal(t, wanted(5, 4, plane), cellsOf(g.Grid))
			assert.Empty(t, g.Remarks)
			assert.Zero(t, g.Voids)
		})
	}
}

// GDAL's numbers for two types that godal has no names for (gdal.h, 3.5).
const uint64s, int64s = godal.DataType(12), godal.DataType(13)

func TestVoidsInAllTheirForms(t *testing.T) {
	const flt = math.MaxFloat32
	nan := math.NaN()
	for name, tt := range map[string]struct {
		dtype          godal.DataType
		stored, marked float64
	}{
		"a whole number":                            {godal.Int16, -32768, -32768},
		"a whole number of 64 bits":                 {int64s, -9999, -9999},
		"-9999 in decimals":                         {godal.Float32, -9999, -9999},
		"the number of the USGS":                    {godal.Float32, -999999, -999999},
		"NaN, declared":                             {godal.Float32, nan, nan},
		"NaN among voids of another value":          {godal.Float32, nan, -9999},
		"a decimal that float32 rounds":             {godal.Float32, -9999.9, -9999.9},
		"the most negative float":                   {godal.Float32, -flt, -flt},
		"the most negative float, short of digits":  {godal.Float32, -flt, -3.40282e38},
		"the most negative float in wide numbers":   {godal.Float64, -1.7976931348623157e308, -1.797693134862e308},
		"a void that looks like an elevation":       {godal.Float32, 0, 0},
		"a wide number whose text lost some digits": {godal.Float64, -9999.00000001, -9999},
	} {
		t.Run(name, func(t *testing.T) {
			path := fixture{dtype: tt.dtype, z: one(tt.stored), edit: noData(tt.marked)}.save(t, "z.tif")
			g := mustOpen(t, path, Options{})
			assert.Equal(t, wanted(5, 4, one(nan)), cellsOf(g.Grid))
			assert.Equal(t, 1, g.Voids)
		})
	}
}

// GeoTIFF writes a void as text, in tag 42113 (check N09), and other programs
// write it in ways of their own. Each is patched into the bytes of a file over
// a text of the same length.
func TestVoidsWrittenAsText(t *testing.T) {
	patched := func(t *testing.T, text string) string {
		path := fixture{z: one(-9999), edit: noData(-9999.25)}.save(t, "z.tif")
		b, err := os.ReadFile(path)
		require.NoError(t, err)
		copy(b[indexOnce(t, b, []byte("-9999.25\x00")):], text+strings.Repeat("\x00", 9-len(text)))
		require.NoError(t, os.WriteFile(path, b, 0o644))
		return path
	}
	for _, text := range []string{"-9999", "-9999.00", "-9.999e3", "-9999.0 ", " -9999"} {
		t.Run(text, func(t *testing.T) {
			g := mustOpen(t, patched(t, text), Options{})
			assert.Equal(t, wanted(5, 4, one(math.NaN())), cellsOf(g.Grid))
		})
	}
	for _, text := range []string{"nan", "-32768", "none"} {
		t.Run("-9999 where the file says "+text, func(t *testing.T) {
			_, err := Open(patched(t, text), Options{})
			require.ErrorIs(t, err, ErrInput)
			assert.ErrorContains(t, err, "row 3, column 2 (counted from 1 at the top left): -9999 looks like a void that the file does not declare")
		})
	}
}

func TestMasksAndAlphaMakeVoids(t *testing.T) {
	hide := func(t testing.TB, b godal.Band, most byte) {
		valid := make([]byte, 20)
		for i := range valid {
			valid[i] = most
		}
		valid[2*4+1] = 0
		require.NoError(t, b.Write(0, 0, valid, 4, 5))
	}
	// What lies under a mask may be anything at all.
	junk := one(1e30)
	t.Run("a mask inside the file", func(t *testing.T) {
		path := fixture{z: junk, edit: func(t testing.TB, ds *godal.Dataset) {
			m, err := ds.CreateMaskBand(2, godal.ConfigOption("GDAL_TIFF_INTERNAL_MASK=YES"))
			require.NoError(t, err)
			hide(t, m, 255)
		}}.save(t, "z.tif")
		assert.Equal(t, wanted(5, 4, one(math.NaN())), cellsOf(mustOpen(t, path, Options{}).Grid))
	})
	t.Run("a mask in a file beside it", func(t *testing.T) {
		path := fixture{z: junk, edit: func(t testing.TB, ds *godal.Dataset) {
			m, err := ds.CreateMaskBand(2, godal.ConfigOption("GDAL_TIFF_INTERNAL_MASK=NO"))
			require.NoError(t, err)
			hide(t, m, 255)
		}}.save(t, "z.tif")
		require.FileExists(t, path+".msk")
		assert.Equal(t, wanted(5, 4, one(math.NaN())), cellsOf(mustOpen(t, path, Options{}).Grid))
	})
	t.Run("an alpha band", func(t *testing.T) {
		path := fixture{dtype: godal.Float32, bands: 2, z: plane, create: []string{"ALPHA=YES"}}.save(t, "z.tif")
		ds, err := godal.Open(path, godal.Update())
		require.NoError(t, err)
		alpha := make([]float32, 20)
		for i := range alpha {
			alpha[i] = 255
		}
		alpha[2*4+1] = 0
		require.NoError(t, ds.Bands()[1].Write(0, 0, alpha, 4, 5))
		require.NoError(t, ds.Close())
		assert.Equal(t, wanted(5, 4, one(math.NaN())), cellsOf(mustOpen(t, path, Options{}).Grid))
	})
	t.Run("a mask and a declared void together", func(t *testing.T) {
		z := func(row, col int) float64 {
			if row == 0 && col == 0 {
				return -9999
			}
			return junk(row, col)
		}
		path := fixture{z: z, edit: func(t testing.TB, ds *godal.Dataset) {
			require.NoError(t, ds.SetNoData(-9999))
			m, err := ds.CreateMaskBand(2, godal.ConfigOption("GDAL_TIFF_INTERNAL_MASK=YES"))
			require.NoError(t, err)
			hide(t, m, 255)
		}}.save(t, "z.tif")
		g := mustOpen(t, path, Options{})
		assert.Equal(t, 2, g.Voids)
	})
}

// Trap: GDAL's reading applies neither scale nor offset.
func TestScaleAndOffsetAreApplied(t *testing.T) {
	path := fixture{dtype: godal.Int16, z: one(-9999), edit: func(t testing.TB, ds *godal.Dataset) {
		require.NoError(t, ds.SetScaleOffset(0.125, 5))
		require.NoError(t, ds.SetNoData(-9999)) // in stored numbers
	}}.save(t, "z.tif")
	g := mustOpen(t, path, Options{})
	assert.Equal(t, wanted(5, 4, func(r, c int) float64 { return one(math.NaN())(r, c)*0.125 + 5 }), cellsOf(g.Grid))
	assert.Equal(t, []string{"its elevations are stored with a scale of 0.125 and an offset of 5, which were applied"}, g.Remarks)
}

// noteUnit writes the unit of a raster's values into the notes beside it.
func noteUnit(t testing.TB, path, unit string) {
	t.Helper()
	notes := `<PAMDataset><PAMRasterBand band="1"><UnitType>` + unit + `</UnitType></PAMRasterBand></PAMDataset>`
	require.NoError(t, os.WriteFile(path+".aux.xml", []byte(notes), 0o644))
}

// NIST and NGS, Federal Register, 5 October 2020: the international foot is
// 0.3048 m exactly, the US survey foot 1200/3937 m (check N12).
func TestFeetBecomeMetres(t *testing.T) {
	for name, tt := range map[string]struct {
		f      fixture
		band   string
		o      Options
		metres float64
	}{
		"feet said by the band":                          {band: "ft", metres: 0.3048},
		"survey feet said by the band":                   {band: "US survey foot", metres: 1200.0 / 3937},
		"metres said by the band":                        {band: "metre", metres: 1},
		"centimetres said by the band":                   {band: "cm", metres: 0.01},
		"feet said by a compound system":                 {f: fixture{crs: "EPSG:32614+8228"}, metres: 0.3048},
		"survey feet said by a compound system":          {f: fixture{crs: "EPSG:32614+6360"}, metres: 1200.0 / 3937},
		"metres said by a compound system":               {f: fixture{crs: "EPSG:32614+5703"}, metres: 1},
		"nothing said":                                   {f: fixture{}, metres: 1},
		"feet said by the caller":                        {f: fixture{}, o: Options{ElevationUnit: 0.3048}, metres: 0.3048},
		"the caller against the band":                    {band: "metre", o: Options{ElevationUnit: 0.3048}, metres: 0.3048},
		"feet said by the band, numbers of whole metres": {f: fixture{dtype: godal.Int16}, band: "foot", metres: 0.3048},
	} {
		t.Run(name, func(t *testing.T) {
			path := tt.f.save(t, "z.tif")
			if tt.band != "" {
				noteUnit(t, path, tt.band)
			}
			g := mustOpen(t, path, tt.o)
			assert.Equal(t, wanted(5, 4, func(r, c int) float64 { return plane(r, c) * tt.metres }), cellsOf(g.Grid))
			assert.InDelta(t, tt.metres, g.UnitMetres, 1e-12)
			assert.Equal(t, "EPSG:32614", g.Grid.CRS, "the vertical part is left behind")
			if tt.metres != 1 {
				assert.NotEmpty(t, g.Remarks)
			}
		})
	}
}

func TestNamesOfUnits(t *testing.T) {
	for name, want := range map[string]float64{
		"m": 1, "Metre": 1, "meters": 1, " M ": 1, "ft": foot, "FEET": foot, "foot": foot, "International Foot": foot,
		"US survey foot": surveyFoot, "US_survey_feet": surveyFoot, "ftUS": surveyFoot, "us-ft": surveyFoot, "sft": surveyFoot, "Foot_US": surveyFoot,
		"cm": 0.01, "centimetre": 0.01, "mm": 0.001, "dm": 0.1, "km": 1000,
	} {
		got, ok := unitMetres(name)
		assert.True(t, ok, name)
		assert.Equal(t, want, got, name)
	}
	for _, name := range []string{"", "fathom", "degree", "K"} {
		_, ok := unitMetres(name)
		assert.False(t, ok, name)
	}
}

func TestAUnitNotKnownIsSaid(t *testing.T) {
	path := fixture{}.save(t, "z.tif")
	noteUnit(t, path, "fathom")
	g := mustOpen(t, path, Options{})
	assert.Equal(t, []string{`it gives its elevations in "fathom", a unit not known here, and they were taken as metres`}, g.Remarks)
}

// Rows are read some at a time; none may be lost or doubled where one run
// ends and the next begins, whatever the blocks of the file.
func TestRowsReadInRunsAreWhole(t *testing.T) {
	const rows, cols = 4100, 1201
	z := func(row, col int) float64 { return float64((row*7919 + col) % 9001) }
	for name, create := range map[string][]string{
		"strips":     nil,
		"tiles":      {"TILED=YES", "COMPRESS=DEFLATE"},
		"one strip":  {"BLOCKYSIZE=4100"},
		"odd strips": {"BLOCKYSIZE=1009"},
	} {
		t.Run(name, func(t *testing.T) {
			g := mustOpen(t, fixture{rows: rows, cols: cols, z: z, create: create, dtype: godal.Int16}.save(t, "z.tif"), Options{})
			for i, v := range g.Grid.Cells {
				if row, col := g.Grid.Cell(i); v != float32(z(row, col)) {
					require.Equal(t, z(row, col), v, "row %d, column %d", row, col)
				}
			}
		})
	}
}

// Trap: one dataset shared between goroutines ends the process. Each Open has
// its own, so many at once are safe.
func TestManyOpensAtOnce(t *testing.T) {
	path := fixture{rows: 300, cols: 200, create: []string{"TILED=YES", "COMPRESS=DEFLATE"}}.save(t, "z.tif")
	want := mustOpen(t, path, Options{}).Grid.Cells
	coarse := mustOpen(t, path, Options{CellSize: 20}).Grid.Cells
	toLonLat, err := LonLat("EPSG:32614")
	require.NoError(t, err)
	there, err := toLonLat([2]float64{500000, 4000000})
	require.NoError(t, err)
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			for range 4 {
				g, err := Open(path, Options{})
				if assert.NoError(t, err) {
					assert.Equal(t, want, g.Grid.Cells)
				}
				g, err = Open(path, Options{CellSize: 20})
				if assert.NoError(t, err) {
					assert.Equal(t, coarse, g.Grid.Cells)
				}
				ll, err := toLonLat([2]float64{500000, 4000000})
				assert.NoError(t, err)
				assert.Equal(t, there, ll)
			}
		})
	}
	wg.Wait()
}

// godal v0.0.18 hides the C objects that two of GDAL's functions need. They
// are taken from the first field of its wrappers; this holds it to that.
func TestGodalKeepsItsHandleFirst(t *testing.T) {
	path := fixture{}.save(t, "z.tif")
	noteUnit(t, path, "ft")
	ds, err := godal.Open(path, godal.SiblingFiles())
	require.NoError(t, err)
	defer ds.Close()
	assert.Equal(t, "ft", bandUnit(ds.Bands()[0]))
	sr, err := parseCRS("EPSG:2277")
	require.NoError(t, err)
	defer sr.Close()
	u, name := linearUnit(sr)
	assert.InDelta(t, surveyFoot, u, 1e-15)
	assert.Equal(t, "US survey foot", name)
}
