package raster

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"wetfeet/terrain"

	"github.com/airbusgeo/godal"
	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestAMetricNorthUpRasterIsCopied(t *testing.T) {
	g := mustOpen(t, fixture{}.save(t, "z.tif"), Options{})
	assert.Equal(t, terrain.Frame{Rows: 5, Cols: 4, West: 500000, North: 4000000, CellSize: 10, CRS: "EPSG:32614"}, g.Grid.Frame)
	assert.Equal(t, wanted(5, 4, plane), cellsOf(g.Grid))
	assert.Equal(t, "GTiff", g.Driver)
	assert.Equal(t, "EPSG:32614 (WGS 84 / UTM zone 14N)", g.SourceCRS)
	assert.False(t, g.Resampled)
	assert.Empty(t, g.Remarks)
}

func TestRastersStoredUpsideDownAreTurned(t *testing.T) {
	want := mustOpen(t, fixture{}.save(t, "z.tif"), Options{}).Grid
	for name, tt := range map[string]fixture{
		"the south first": {
			gt: [6]float64{500000, 10, 0, 3999950, 0, 10},
			z:  func(r, c int) float64 { return plane(4-r, c) },
		},
		"the east first": {
			gt: [6]float64{500040, -10, 0, 4000000, 0, -10},
			z:  func(r, c int) float64 { return plane(r, 3-c) },
		},
		"both": {
			gt: [6]float64{500040, -10, 0, 3999950, 0, 10},
			z:  func(r, c int) float64 { return plane(4-r, 3-c) },
		},
	} {
		t.Run(name, func(t *testing.T) {
			path := tt.save(t, "z.tif")
			g := mustOpen(t, path, Options{})
			assert.Equal(t, want, g.Grid)
			box := Options{Boundary: rectangle(500010, 3999960, 500040, 3999990), BoundaryCRS: "EPSG:32614"}
			part := mustOpen(t, path, box).Grid
			assert.Equal(t, mustOpen(t, fixture{}.save(t, "z.tif"), box).Grid, part)
		})
	}
}

// A State Plane raster in feet keeps its cells: metres replace feet in the
// projection, and the place on Earth stays to a tenth of a millimetre.
func TestAProjectionInFeetGetsMetres(t *testing.T) {
	const ftUS = 1200.0 / 3937
	f := fixture{crs: "EPSG:2277", gt: [6]float64{3100000, 3, 0, 10100000, 0, -3}, rows: 5, cols: 4}
	g := mustOpen(t, f.save(t, "z.tif"), Options{})
	assert.Equal(t, wanted(5, 4, plane), cellsOf(g.Grid), "the values are the file's own")
	assert.InDelta(t, 3*ftUS, g.Grid.CellSize, 1e-12)
	assert.InDelta(t, 3100000*ftUS, g.Grid.West, 1e-6)
	assert.False(t, g.Resampled)
	assert.Equal(t, []string{
		"its coordinates are in units of one US survey foot but it does not say the unit of its elevations, which were taken as metres; if they are feet, every depth is 3.28 times too large: set the unit of the band in the file to ft, or us-ft for the US survey foot, and read it again",
		"its coordinates are in units of one US survey foot (0.3048006096 m) and were scaled to metres of the same projection; no cell was moved or resampled for it",
	}, g.Remarks)

	info, err := Describe(g.Grid.CRS)
	require.NoError(t, err)
	assert.Equal(t, CRSInfo{Name: "NAD83 / Texas Central (ftUS), in metres", Unit: 1, UnitName: "metre"}, info)
	feet, err := LonLat("EPSG:2277")
	require.NoError(t, err)
	metres, err := LonLat(g.Grid.CRS)
	require.NoError(t, err)
	a, err := feet(orb.Point{3100000, 10100000})
	require.NoError(t, err)
	b, err := metres(orb.Point{g.Grid.West, g.Grid.North})
	require.NoError(t, err)
	assert.Less(t, metresBetween(a, b), 1e-4)

	t.Run("and can be written and read again", func(t *testing.T) {
		path := filepath.Join(t.TempDir(), "again.tif")
		require.NoError(t, Write(path, g.Grid))
		again := mustOpen(t, path, Options{})
		assert.Equal(t, cellsOf(g.Grid), cellsOf(again.Grid))
		assert.InDelta(t, g.Grid.West, again.Grid.West, 1e-6)
		there, err := LonLat(again.Grid.CRS)
		require.NoError(t, err)
		c, err := there(orb.Point{again.Grid.West, again.Grid.North})
		require.NoError(t, err)
		assert.Less(t, metresBetween(a, c), 1e-4)
	})
	t.Run("its survey-foot elevations too, from a compound system", func(t *testing.T) {
		f := f
		f.crs = "EPSG:2277+6360"
		g := mustOpen(t, f.save(t, "z.tif"), Options{})
		assert.Equal(t, wanted(5, 4, func(r, c int) float64 { return plane(r, c) * ftUS }), cellsOf(g.Grid))
	})
}

// plain3d is a plane in space over UTM coordinates; bilinear resampling keeps
// a plane a plane, so it can be asked for at any point.
func plain3d(p orb.Point) float64 { return 50 + 0.01*(p[0]-500000) - 0.02*(p[1]-4000000) }

// onPlane checks that every cell away from voids lies on plain3d. A float32
// near 50 m is known to 4e-6 m.
func onPlane(t *testing.T, z *terrain.Grid[float32], tolerance float64) {
	t.Helper()
	checked := 0
	for row := range z.Rows {
		for col := range z.Cols {
			v := z.At(row, col)
			whole := true
			for r := row - 2; r <= row+2; r++ {
				for c := col - 2; c <= col+2; c++ {
					whole = whole && z.Holds(r, c) && !terrain.IsVoid(z.At(r, c))
				}
			}
			if whole {
				require.InDelta(t, plain3d(z.Centre(row, col)), v, tolerance, "row %d, column %d", row, col)
				checked++
			}
		}
	}
	require.Greater(t, checked, 50)
}

func TestOblongAndTurnedCellsAreResampled(t *testing.T) {
	sin, cos := math.Sincos(20 * math.Pi / 180)
	for name, tt := range map[string]struct {
		gt     [6]float64
		cell   float64
		remark string
	}{
		"oblong cells": {[6]float64{500000, 2, 0, 4000000, 0, -1}, 1.41,
			"its cells are oblong (2 by 1 m); they were resampled to upright squares of 1.41 m"},
		"a raster turned by 20 degrees": {[6]float64{500000, 2 * cos, 2 * sin, 4000000, 2 * sin, -2 * cos}, 2,
			"its cells are turned by 20 degrees; they were resampled to upright squares of 2 m"},
	} {
		t.Run(name, func(t *testing.T) {
			pl := &place{gt: tt.gt}
			f := fixture{rows: 60, cols: 50, gt: tt.gt, dtype: godal.Float64,
				z: func(r, c int) float64 { return plain3d(pl.at(float64(c)+0.5, float64(r)+0.5)) }}
			g := mustOpen(t, f.save(t, "z.tif"), Options{})
			assert.Equal(t, tt.cell, g.Grid.CellSize)
			assert.Equal(t, []string{tt.remark}, g.Remarks)
			assert.True(t, g.Resampled)
			whole := g.Grid.West / tt.cell
			assert.InDelta(t, math.Round(whole), whole, 1e-6, "grid lines lie on whole multiples of the cell")
			onPlane(t, g.Grid, 1e-5)
		})
	}
}

func TestCellsNearlySquareAreLeftAlone(t *testing.T) {
	g := mustOpen(t, fixture{gt: [6]float64{500000, 1.0000001, 1e-9, 4000000, 0, -0.9999999}}.save(t, "z.tif"), Options{})
	assert.False(t, g.Resampled)
	assert.InDelta(t, 1, g.Grid.CellSize, 1e-12)
}

func TestTheCellSizeAskedForIsGiven(t *testing.T) {
	pl := &place{gt: [6]float64{500000, 2, 0, 4000000, 0, -2}}
	path := fixture{rows: 160, cols: 150, gt: pl.gt, dtype: godal.Float64,
		z: func(r, c int) float64 { return plain3d(pl.at(float64(c)+0.5, float64(r)+0.5)) }}.save(t, "z.tif")
	for _, cell := range []float64{0.5, 1, 3, 8} {
		g := mustOpen(t, path, Options{CellSize: cell})
		assert.Equal(t, cell, g.Grid.CellSize)
		onPlane(t, g.Grid, 1e-5)
		assert.Equal(t, []string{"its cells of 2 m were resampled to " + metresText(cell) + " m, as asked for"}, g.Remarks)
	}
	g := mustOpen(t, path, Options{CellSize: 2})
	assert.False(t, g.Resampled, "the raster's own size is no change")
}

// Degrees go to the zone they lie in, and a plane in UTM coordinates sampled
// at longitudes and latitudes comes back as that plane.
func TestDegreesAreBroughtToTheirZone(t *testing.T) {
	toUTM, err := FromLonLat("EPSG:32614")
	require.NoError(t, err)
	const step = 1.0 / 10800 // a third of a second of arc
	gt := [6]float64{-99.01, step, 0, 36.15, 0, -step}
	pl := &place{gt: gt}
	f := fixture{rows: 90, cols: 80, crs: "EPSG:4326", gt: gt, dtype: godal.Float64, z: func(r, c int) float64 {
		p, err := toUTM(pl.at(float64(c)+0.5, float64(r)+0.5))
		require.NoError(t, err)
		return plain3d(p)
	}}
	g := mustOpen(t, f.save(t, "z.tif"), Options{})
	assert.Equal(t, "EPSG:32614", g.Grid.CRS)
	// 10.28 m by 8.33 m: a square of the same area has a side of 9.25 m.
	assert.Equal(t, 9.25, g.Grid.CellSize)
	assert.Equal(t, []string{"its coordinates are degrees, so it was resampled to cells of 9.25 m in EPSG:32614 (WGS 84 / UTM zone 14N)"}, g.Remarks)
	onPlane(t, g.Grid, 2e-5)
	assert.Less(t, float64(g.Voids), 0.1*float64(g.Grid.Len()), "only slivers at the rim are lost")
}

// A web map's metres are 1/cos(latitude) too long: 1.24 at 36 degrees.
func TestMetresThatAreNotTrueAreBroughtToTheirZone(t *testing.T) {
	web, err := NewTransform("EPSG:4326", "EPSG:3857")
	require.NoError(t, err)
	defer web.Close()
	p, err := web.Point(orb.Point{-99, 36.14})
	require.NoError(t, err)
	g := mustOpen(t, fixture{rows: 40, cols: 40, crs: "EPSG:3857", gt: [6]float64{p[0], 10, 0, p[1], 0, -10}}.save(t, "z.tif"), Options{})
	assert.Equal(t, "EPSG:32614", g.Grid.CRS)
	assert.InDelta(t, 10*math.Cos(36.14*math.Pi/180), g.Grid.CellSize, 0.02)
	assert.Contains(t, g.Remarks[0], "are not true to scale here (a metre on the ground is 1.24 in them)")
}

func rectangle(w, s, e, n float64) orb.MultiPolygon {
	return orb.MultiPolygon{{{{w, s}, {e, s}, {e, n}, {w, n}, {w, s}}}}
}

func TestABoundaryCutsTheGrid(t *testing.T) {
	f := fixture{rows: 40, cols: 30}
	path := f.save(t, "z.tif")
	in := func(mp orb.MultiPolygon, crs string) Options { return Options{Boundary: mp, BoundaryCRS: crs} }

	t.Run("a box on grid lines is a plain cut", func(t *testing.T) {
		g := mustOpen(t, path, in(rectangle(500050, 3999700, 500100, 3999900), "EPSG:32614"))
		assert.Equal(t, terrain.Frame{Rows: 20, Cols: 5, West: 500050, North: 3999900, CellSize: 10, CRS: "EPSG:32614"}, g.Grid.Frame)
		assert.Equal(t, wanted(20, 5, func(r, c int) float64 { return plane(r+10, c+5) }), cellsOf(g.Grid))
		assert.Zero(t, g.Voids)
		assert.False(t, g.Resampled)
	})
	t.Run("cells whose middle is outside are voids", func(t *testing.T) {
		triangle := orb.MultiPolygon{{{{500050, 3999700}, {500150, 3999700}, {500050, 3999800}}}}
		g := mustOpen(t, path, in(triangle, "EPSG:32614"))
		for row := range g.Grid.Rows {
			for col := range g.Grid.Cols {
				c := g.Grid.Centre(row, col)
				assert.Equal(t, (c[0]-500050)+(c[1]-3999700) >= 100, terrain.IsVoid(g.Grid.At(row, col)), "row %d, column %d", row, col)
			}
		}
	})
	t.Run("a hole is outside, and so is what lies between two parts", func(t *testing.T) {
		mp := rectangle(500000, 3999600, 500100, 4000000)
		mp[0] = append(mp[0], orb.Ring{{500020, 3999800}, {500060, 3999800}, {500060, 3999900}, {500020, 3999900}})
		mp = append(mp, rectangle(500200, 3999600, 500300, 4000000)[0])
		g := mustOpen(t, path, in(mp, "EPSG:32614"))
		assert.Equal(t, 40*10+4*10, g.Voids)
		assert.True(t, terrain.IsVoid(g.Grid.At(15, 3)))
		assert.False(t, terrain.IsVoid(g.Grid.At(15, 7)))
	})
	t.Run("a boundary in longitude and latitude, which is the default", func(t *testing.T) {
		ll, err := LonLat("EPSG:32614")
		require.NoError(t, err)
		mp := rectangle(500050, 3999700, 500100, 3999900)
		for i := range mp[0][0] {
			mp[0][0][i], err = ll(mp[0][0][i])
			require.NoError(t, err)
		}
		g := mustOpen(t, path, in(mp, ""))
		assert.InDelta(t, 20*5, terrain.Known(g.Grid), 0)
	})
	t.Run("with another cell size", func(t *testing.T) {
		o := in(rectangle(500050, 3999700, 500100, 3999900), "EPSG:32614")
		o.CellSize = 4
		g := mustOpen(t, path, o)
		assert.Equal(t, terrain.Frame{Rows: 50, Cols: 13, West: 500048, North: 3999900, CellSize: 4, CRS: "EPSG:32614"}, g.Grid.Frame)
		assert.False(t, terrain.IsVoid(g.Grid.At(0, 0)), "its middle is on the line, which is inside to the west")
	})
	t.Run("a part of a raster of degrees", func(t *testing.T) {
		// The whole raster spans a third of the Earth; its cut is one field.
		f := fixture{rows: 1200, cols: 1200, crs: "EPSG:4326", gt: [6]float64{-150, 0.1, 0, 80, 0, -0.1}}
		path := f.save(t, "z.tif")
		_, err := Open(path, Options{})
		assert.ErrorContains(t, err, "cut it to the site with a smaller boundary")
		_, err = Open(path, Options{Boundary: rectangle(-110, 36, -90, 37)})
		assert.ErrorContains(t, err, "cut it to the site with a smaller boundary")
		g := mustOpen(t, path, Options{Boundary: rectangle(-99.6, 36, -98.4, 37)})
		assert.Equal(t, "EPSG:32614", g.Grid.CRS)
		assert.Positive(t, g.Grid.Len()-g.Voids)
	})
	t.Run("a small part of a raster beyond the limit", func(t *testing.T) {
		f := f
		f.create = []string{"BLOCKYSIZE=4"} // 960 bytes at the most
		path := f.save(t, "z.tif")
		o := in(rectangle(500050, 3999700, 500100, 3999900), "EPSG:32614")
		o.MemoryLimit = 20000 // 1200 cells need 216000 bytes
		g := mustOpen(t, path, o)
		assert.Equal(t, 100, g.Grid.Len())
	})
	t.Run("for a local raster, in its own coordinates", func(t *testing.T) {
		f := f
		f.crs = "-"
		g := mustOpen(t, f.save(t, "z.tif"), Options{AllowLocal: true, Boundary: rectangle(500050, 3999700, 500100, 3999900)})
		assert.Equal(t, 100, g.Grid.Len())
		assert.Empty(t, g.Grid.CRS)
	})
}

// The plain definition of inside: count the rings' crossings to the east.
func TestCutAgreesWithCounting(t *testing.T) {
	mp := orb.MultiPolygon{
		{{{0.3, 0.2}, {9.1, 1.4}, {7.7, 8.9}, {4.2, 3.3}, {1.6, 9.7}}, {{3, 2}, {5, 2}, {4, 3}}},
		{{{8, 8}, {9.5, 8}, {9.5, 9.5}, {8, 9.5}}},
	}
	z := terrain.NewGrid[float32](terrain.Frame{Rows: 97, Cols: 89, West: -0.5, North: 10.4, CellSize: 0.121})
	cut(z, mp)
	for i, v := range z.Cells {
		p := z.Centre(z.Cell(i))
		inside := false
		for _, poly := range mp {
			odd := false
			for _, ring := range poly {
				for j, a := range ring {
					b := ring[(j+1)%len(ring)]
					if (a[1] > p[1]) != (b[1] > p[1]) && p[0] < (b[0]-a[0])*(p[1]-a[1])/(b[1]-a[1])+a[0] {
						odd = !odd
					}
				}
			}
			inside = inside || odd
		}
		assert.Equal(t, inside, !terrain.IsVoid(v), "at %v", p)
	}
}

func TestTheSystemOfARasterWithout(t *testing.T) {
	path := fixture{crs: "-"}.save(t, "z.tif")
	t.Run("is refused unless it is named", func(t *testing.T) {
		_, err := Open(path, Options{})
		assert.ErrorIs(t, err, ErrInput)
	})
	t.Run("may be named", func(t *testing.T) {
		g := mustOpen(t, path, Options{CRS: "EPSG:32614"})
		assert.Equal(t, "EPSG:32614", g.Grid.CRS)
		assert.Equal(t, []string{"it names no coordinate system, so WGS 84 / UTM zone 14N was taken, as it was given"}, g.Remarks)
	})
	t.Run("may be a local one", func(t *testing.T) {
		g := mustOpen(t, path, Options{AllowLocal: true})
		assert.Empty(t, g.Grid.CRS)
		assert.Equal(t, []string{"it names no coordinate system, so its coordinates were taken as metres of a local one: there is no way to longitude and latitude"}, g.Remarks)
	})
	t.Run("named and present must agree", func(t *testing.T) {
		path := fixture{}.save(t, "z.tif")
		for _, same := range []string{"EPSG:32614", "epsg:32614", "+proj=utm +zone=14 +datum=WGS84 +units=m", "EPSG:32614+5703"} {
			assert.Empty(t, mustOpen(t, path, Options{CRS: same}).Remarks, same)
		}
		_, err := Open(path, Options{CRS: "EPSG:32615"})
		assert.ErrorIs(t, err, ErrInput)
		_, err = Open(path, Options{CRS: "EPSG:4326"})
		assert.ErrorIs(t, err, ErrInput)
	})
}

// A site plan on a grid of its own states a unit and no place.
func TestALocalSystem(t *testing.T) {
	const feet = `LOCAL_CS["Site grid",UNIT["US survey foot",0.304800609601219],AXIS["East",EAST],AXIS["North",NORTH]]`
	f := fixture{crs: "-", gt: [6]float64{1000, 10, 0, 2000, 0, -10}, edit: func(t testing.TB, ds *godal.Dataset) { require.NoError(t, ds.SetProjection(feet)) }}
	path := f.save(t, "z.tif")
	g := mustOpen(t, path, Options{AllowLocal: true})
	assert.Empty(t, g.Grid.CRS)
	assert.InDelta(t, 10*surveyFoot, g.Grid.CellSize, 1e-9)
	assert.InDelta(t, 1000*surveyFoot, g.Grid.West, 1e-9)
	require.Len(t, g.Remarks, 3)
	assert.Equal(t, `its coordinate system, "Site grid", is no projection of the Earth and was set aside`, g.Remarks[0])
	assert.Equal(t, "its coordinates were brought to metres (0.3048006096 m)", g.Remarks[1])
	_, err := Open(path, Options{})
	assert.ErrorContains(t, err, "does not name its coordinate system")
}

// Two texts of one system often differ; what counts is whether they put the
// raster in the same place.
func TestSystemsWithoutNumbersAreHeldAgainstEachOther(t *testing.T) {
	f := fixture{crs: "+proj=tmerc +lat_0=0 +lon_0=-98.7 +k=1 +x_0=500000 +y_0=0 +datum=NAD83 +units=m"}
	path := f.save(t, "z.tif")
	mustOpen(t, path, Options{CRS: "+proj=tmerc +lat_0=0 +lon_0=-98.7 +k_0=1 +x_0=500000 +ellps=GRS80 +towgs84=0,0,0 +units=m"})
	for _, other := range []string{
		"+proj=tmerc +lat_0=0 +lon_0=-98.7 +k=1 +x_0=500000.01 +y_0=0 +datum=NAD83 +units=m", // a centimetre off
		"+proj=tmerc +lat_0=0 +lon_0=-98.6 +k=1 +x_0=500000 +y_0=0 +datum=NAD83 +units=m",
		"+proj=longlat +datum=NAD83",
	} {
		_, err := Open(path, Options{CRS: other})
		require.ErrorIs(t, err, ErrInput, other)
		assert.ErrorContains(t, err, "and was said to be in")
	}
}

// Trap: without its siblings GDAL reads a raster with a world file as if it
// lay at the origin, and says nothing.
func TestSidecarsAreRead(t *testing.T) {
	bare := fixture{crs: "-", gt: [6]float64{0, 1, 0, 0, 0, 1}, create: []string{"PROFILE=BASELINE"}}
	t.Run("without them there is no place", func(t *testing.T) {
		_, err := Open(bare.save(t, "z.tif"), Options{AllowLocal: true})
		assert.ErrorContains(t, err, "does not say where it lies nor how large its cells are; a GeoTIFF carries that, or a world file (z.tfw) beside it")
	})
	t.Run("a world file", func(t *testing.T) {
		path := bare.save(t, "z.tif")
		world := "10\n0\n0\n-10\n500005\n3999995\n" // the middle of the first cell
		require.NoError(t, os.WriteFile(filepath.Join(filepath.Dir(path), "z.tfw"), []byte(world), 0o644))
		g := mustOpen(t, path, Options{CRS: "EPSG:32614"})
		assert.Equal(t, terrain.Frame{Rows: 5, Cols: 4, West: 500000, North: 4000000, CellSize: 10, CRS: "EPSG:32614"}, g.Grid.Frame)
	})
	t.Run("a compound system in GDAL's notes, whose feet no band repeats", func(t *testing.T) {
		path := bare.save(t, "z.tif")
		notes := `<PAMDataset><SRS>EPSG:32614+6360</SRS><GeoTransform>500000,10,0,4000000,0,-10</GeoTransform></PAMDataset>`
		require.NoError(t, os.WriteFile(path+".aux.xml", []byte(notes), 0o644))
		g := mustOpen(t, path, Options{})
		assert.Equal(t, wanted(5, 4, func(r, c int) float64 { return plane(r, c) * 1200 / 3937 }), cellsOf(g.Grid))
		assert.Equal(t, "US survey foot", g.Unit)
	})
	t.Run("GDAL's notes: system, place, void and unit", func(t *testing.T) {
		path := bare.save(t, "z.tif")
		notes := `<PAMDataset><SRS>EPSG:32614</SRS><GeoTransform>500000,10,0,4000000,0,-10</GeoTransform>
<PAMRasterBand band="1"><NoDataValue>121</NoDataValue><UnitType>ft</UnitType></PAMRasterBand></PAMDataset>`
		require.NoError(t, os.WriteFile(path+".aux.xml", []byte(notes), 0o644))
		g := mustOpen(t, path, Options{})
		assert.Equal(t, "EPSG:32614", g.Grid.CRS)
		assert.Equal(t, wanted(5, 4, func(r, c int) float64 { return one(math.NaN())(r, c) * 0.3048 }), cellsOf(g.Grid))
	})
}
