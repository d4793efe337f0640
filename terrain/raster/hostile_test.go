package raster

import (
	"bytes"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"

	"github.com/airbusgeo/godal"
	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A doorbell is a port of this machine that counts who calls. No raster, and
// no name of one, may make GDAL call it.
type doorbell struct {
	address string
	calls   atomic.Int32
}

func newDoorbell(t *testing.T) *doorbell {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	d := &doorbell{address: l.Addr().String()}
	go func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			d.calls.Add(1)
			c.Close()
		}
	}()
	t.Cleanup(func() {
		l.Close()
		assert.Zero(t, d.calls.Load(), "the network was asked")
	})
	return d
}

// virtual is a virtual raster of 4 by 5 cells over another file.
func virtual(source string) string {
	return `<VRTDataset rasterXSize="4" rasterYSize="5"><SRS>EPSG:32614</SRS><GeoTransform>500000,10,0,4000000,0,-10</GeoTransform>
<VRTRasterBand dataType="Float32" band="1"><SimpleSource><SourceFilename>` + source + `</SourceFilename><SourceBand>1</SourceBand></SimpleSource></VRTRasterBand></VRTDataset>`
}

// rawVirtual is a virtual raster whose pixels are the bytes of any file.
const rawVirtual = `<VRTDataset rasterXSize="4" rasterYSize="5"><VRTRasterBand dataType="Byte" band="1" subClass="VRTRawRasterBand">
<SourceFilename relativetoVRT="0">/etc/passwd</SourceFilename><ImageOffset>0</ImageOffset><PixelOffset>1</PixelOffset><LineOffset>4</LineOffset></VRTRasterBand></VRTDataset>`

const isVRT = "is a virtual raster, which can point at any other file; make a file of its own of it: gdal_translate in.vrt out.tif"

func TestFilesThatPointElsewhereAreRefused(t *testing.T) {
	bell := newDoorbell(t)
	other := fixture{}.save(t, "other.tif")
	far := "/vsicurl/http://" + bell.address + "/far.tif"
	for name, tt := range map[string]struct{ file, text, want string }{
		"a virtual raster":                                 {"z.vrt", virtual(other), isVRT},
		"a virtual raster named as a GeoTIFF":              {"z.tif", virtual(other), isVRT},
		"the same after blank lines and a byte-order mark": {"z.tif", "\ufeff\n\n  " + virtual(other), isVRT},
		"the same after a long comment":                    {"z.tif", "<!--" + strings.Repeat(" ", 900) + "-->" + virtual(other), isVRT},
		"a virtual raster over a system file's bytes":      {"z.tif", rawVirtual, isVRT},
		"a virtual raster over the network":                {"z.tif", virtual(far), isVRT},
		"a virtual table named as GeoJSON":                 {"z.geojson", `<OGRVRTDataSource><OGRVRTLayer name="x"><SrcDataSource>/etc/passwd</SrcDataSource></OGRVRTLayer></OGRVRTDataSource>`, isVRT},
		"a tile service":                                   {"z.tif", `<GDAL_WMS><Service name="TMS"><ServerUrl>http://` + bell.address + `/${z}/${x}/${y}.png</ServerUrl></Service></GDAL_WMS>`, "is a text that describes something (XML or JSON), not a raster of elevations; GeoTIFF would do"},
		"a coverage service":                               {"z.tif", `<WCS_GDAL><ServiceURL>http://` + bell.address + `/</ServiceURL></WCS_GDAL>`, isVRT},
		"a list of tiles in JSON":                          {"z.json", `{"stac_version":"1.0.0","assets":{"a":{"href":"http://` + bell.address + `/"}}}`, "is a text that describes something (XML or JSON), not a raster of elevations; GeoTIFF would do"},
		"an HDF5 file":                                     {"z.nc", "\x89HDF\r\n\x1a\n" + strings.Repeat("\x00", 99), "is an HDF5 or netCDF-4 file, which can point at other files; make a GeoTIFF of it: gdal_translate in out.tif"},
		"a database":                                       {"z.gpkg", "SQLite format 3\x00" + strings.Repeat("\x00", 99), "is a database (GeoPackage or MBTiles), which runs statements of its own when read; make a GeoTIFF of it: gdal_translate in out.tif"},
		"a zip archive":                                    {"z.tif", "PK\x03\x04" + strings.Repeat("\x00", 99), "is a compressed archive; unpack it and name the raster in it"},
		"a gzip archive":                                   {"z.tif", "\x1f\x8b\x08" + strings.Repeat("\x00", 99), "is a compressed archive; unpack it and name the raster in it"},
	} {
		t.Run(name, func(t *testing.T) {
			path := saveText(t, tt.file, tt.text)
			_, err := Open(path, Options{AllowLocal: true})
			require.ErrorIs(t, err, ErrInput)
			assert.Equal(t, path+": "+tt.want, err.Error())
		})
	}
	// A label whose pixels lie in another file: the driver is not there.
	t.Run("an ERS label over another file", func(t *testing.T) {
		_, err := Open(saveText(t, "z.ers", "DatasetHeader Begin\n\tVersion = \"6.0\"\n\tDataFile = \""+other+"\"\n\tDataSetType = ERStorage\nDatasetHeader End\n"), Options{AllowLocal: true})
		require.ErrorIs(t, err, ErrInput)
		assert.ErrorContains(t, err, "is not a raster that can be read")
	})
}

func TestNamesThatAreNoFileAreRefused(t *testing.T) {
	bell := newDoorbell(t)
	dir := t.TempDir()
	pipe := filepath.Join(dir, "pipe.tif")
	require.NoError(t, syscall.Mkfifo(pipe, 0o644))
	const noName = "is not the name of a file on this machine; copy the raster here and name that file"
	for name, want := range map[string]string{
		"http://" + bell.address + "/z.tif":          noName,
		"/vsicurl/http://" + bell.address + "/z.tif": noName,
		"/vsicurl_streaming/http://x/z.tif":          noName,
		"/vsimem/z.tif":                              noName,
		"/vsizip//tmp/z.zip/z.tif":                   noName,
		virtual("/etc/passwd"):                       noName,
		"<GDAL_WMS><Service name=\"TMS\"><ServerUrl>x</ServerUrl></Service></GDAL_WMS>": noName,
		"WMS:http://" + bell.address:           noName,
		"a\x00b.tif":                           noName,
		"MEM:::DATAPOINTER=1,PIXELS=3,LINES=3": "cannot be found: no such file or directory",
		"GTIFF_DIR:1:z.tif":                    "cannot be found: no such file or directory",
		"":                                     "is a folder; name the raster file in it",
		dir:                                    "is a folder; name the raster file in it",
		filepath.Join(dir, "none.tif"):         "cannot be found: no such file or directory",
		pipe:                                   "is not a regular file",
		"/dev/zero":                            "is not a regular file",
	} {
		t.Run(clip(strings.ReplaceAll(name, "/", "|")), func(t *testing.T) {
			_, err := Open(name, Options{AllowLocal: true})
			require.ErrorIs(t, err, ErrInput)
			assert.Equal(t, name+": "+want, err.Error())
		})
	}
}

// alone runs the rest of a test in a process of its own, and hands back what
// that printed on the standard error, where nothing of the test's own goes.
// In that process it returns ok.
func alone(t *testing.T) (stderr string, ok bool) {
	t.Helper()
	if os.Getenv("RASTER_TEST_ALONE") != "" {
		return "", true
	}
	var out, said strings.Builder
	cmd := exec.Command(os.Args[0], "-test.run=^"+t.Name()+"$", "-test.v")
	cmd.Env = append(os.Environ(), "RASTER_TEST_ALONE=1", "CPL_DEBUG=ON", "CPL_LOG=/dev/stderr")
	cmd.Stdout, cmd.Stderr = &out, &said
	require.NoError(t, cmd.Run(), "%s%s", &out, &said)
	assert.Contains(t, out.String(), "--- PASS: "+t.Name())
	return said.String(), false
}

// The second wall: even without the checks of the door, the drivers that look
// elsewhere are not there to be called. GDAL's translating and warping, which
// the other tests use and the package does not, register the virtual raster,
// so this is asked of a fresh process that has opened one file.
func TestDriversThatLookElsewhereAreNotRegistered(t *testing.T) {
	if _, ok := alone(t); !ok {
		return
	}
	_, err := Open("../../testdata/rasters/area.tif", Options{CellSize: 5})
	require.NoError(t, err)
	for _, name := range []string{"VRT", "DERIVED", "WMS", "WCS", "WMTS", "HTTP", "GTI", "OGCAPI", "STACTA", "STACIT", "EEDAI", "PLMOSAIC", "PostGISRaster", "GPKG", "MBTiles", "HDF5", "HDF4", "BAG", "ERS", "MAP", "ISIS3", "PDS", "PDS4", "VICAR", "Zarr", "XYZ", "Rasterlite", "TIL", "KMLSUPEROVERLAY", "MEM"} {
		_, there := godal.RasterDriver(godal.DriverName(name))
		assert.False(t, there, name)
	}
	_, err = godal.Open(saveText(t, "z.tif", virtual("/etc/passwd")))
	assert.Error(t, err)
}

// Trap: several calls of GDAL pass by the handler they were given and print.
// With everything that makes it talk switched on, it must not.
func TestNothingIsPrinted(t *testing.T) {
	said, ok := alone(t)
	if !ok {
		assert.Empty(t, said)
		return
	}
	whole := filepath.Join(t.TempDir(), "whole.tif")
	require.NoError(t, Write(whole, lowland(600)))
	b, err := os.ReadFile(whole)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(whole, b[:len(b)/2], 0o644))
	_, err = Open(whole, Options{})
	require.Error(t, err)
	_, err = Open(saveText(t, "z.tif", "II*\x00 and then nothing of the kind"), Options{})
	require.Error(t, err)
	_, err = Describe("EPSG:99999999")
	require.Error(t, err)
	to, err := FromLonLat("EPSG:32614")
	require.NoError(t, err)
	_, err = to(orb.Point{-99, 95})
	require.Error(t, err)
	_, err = Open("../../testdata/rasters/corner.asc", Options{})
	require.Error(t, err)
}

func TestSidecarsThatLeadElsewhereAreRefused(t *testing.T) {
	bell := newDoorbell(t)
	other := fixture{}.save(t, "other.tif")
	for name, tt := range map[string]struct {
		put  func(t *testing.T, path string)
		want string
	}{
		"a linked world file": {func(t *testing.T, path string) {
			require.NoError(t, os.Symlink("/etc/passwd", strings.TrimSuffix(path, "tif")+"tfw"))
		}, "has beside it z.tfw, which is a link to another file; put the file itself there, or move it away"},
		"a linked mask": {func(t *testing.T, path string) {
			require.NoError(t, os.Symlink(other, path+".msk"))
		}, "has beside it z.tif.msk, which is a link to another file; put the file itself there, or move it away"},
		"a folder for notes": {func(t *testing.T, path string) {
			require.NoError(t, os.Mkdir(path+".aux.xml", 0o755))
		}, "has beside it z.tif.aux.xml, which is not a regular file; put the file itself there, or move it away"},
		"a virtual mask": {func(t *testing.T, path string) {
			require.NoError(t, os.WriteFile(path+".msk", []byte(virtual(other)), 0o644))
		}, "has beside it z.tif.msk, which is a virtual raster and can point at any other file; move it away"},
		"virtual overviews in capitals": {func(t *testing.T, path string) {
			require.NoError(t, os.WriteFile(path+".OVR", []byte(virtual("/vsicurl/http://"+bell.address)), 0o644))
		}, "has beside it z.tif.OVR, which is a virtual raster and can point at any other file; move it away"},
	} {
		t.Run(name, func(t *testing.T) {
			path := fixture{}.save(t, "z.tif")
			tt.put(t, path)
			_, err := Open(path, Options{})
			require.ErrorIs(t, err, ErrInput)
			assert.Equal(t, path+": "+tt.want, err.Error())
		})
	}
	t.Run("notes that name overviews on the network are read and never followed", func(t *testing.T) {
		path := fixture{}.save(t, "z.tif")
		notes := `<PAMDataset><Metadata domain="OVERVIEWS"><MDI key="OVERVIEW_FILE">/vsicurl/http://` + bell.address + `/o.tif</MDI></Metadata></PAMDataset>`
		require.NoError(t, os.WriteFile(path+".aux.xml", []byte(notes), 0o644))
		g := mustOpen(t, path, Options{CellSize: 5})
		assert.Equal(t, 80, g.Grid.Len())
	})
	t.Run("a neighbour that is no sidecar may be anything", func(t *testing.T) {
		path := fixture{}.save(t, "z.tif")
		require.NoError(t, os.Symlink(other, filepath.Join(filepath.Dir(path), "z.vrt")))
		mustOpen(t, path, Options{})
	})
}

// What is declared is checked before memory is asked for. The files are small
// and say that they are huge.
func TestHugeDeclaredSizesAreRefused(t *testing.T) {
	t.Run("a sparse GeoTIFF", func(t *testing.T) {
		path := filepath.Join(t.TempDir(), "z.tif")
		start()
		ds, err := godal.Create(godal.GTiff, path, 1, godal.Float32, 200000, 200000, godal.CreationOption("SPARSE_OK=YES", "TILED=YES", "BLOCKXSIZE=4096", "BLOCKYSIZE=4096", "COMPRESS=DEFLATE"))
		require.NoError(t, err)
		require.NoError(t, ds.SetGeoTransform([6]float64{400000, 1, 0, 4000000, 0, -1}))
		sr, err := godal.NewSpatialRef("EPSG:32614")
		require.NoError(t, err)
		defer sr.Close()
		require.NoError(t, ds.SetSpatialRef(sr))
		require.NoError(t, ds.SetNoData(-9999))
		require.NoError(t, ds.Close())
		before := mostMemory(t)
		_, err = Open(path, Options{})
		require.ErrorIs(t, err, ErrInput)
		assert.Less(t, mostMemory(t)-before, 64<<20, "the most this process has held may not have grown by much")
		assert.Equal(t, path+": would be 200000 columns by 200000 rows: a run on 40000 million cells needs about 7.2 TB of memory, and the limit is 4 GB; cut it to the site with a boundary or ask for larger cells", err.Error())
		_, err = Open(path, Options{CellSize: 100})
		require.ErrorIs(t, err, ErrInput)
		assert.Equal(t, path+": would be 2000 columns by 2000 rows, made from 200000 columns by 200000 rows: a run on 4 million cells needs about 161 GB of memory, and the limit is 4 GB; cut it to the site with a boundary or ask for larger cells", err.Error())
		t.Run("but its part inside a boundary can be had", func(t *testing.T) {
			_, err := Open(path, Options{Boundary: rectangle(500000, 3900000, 500050, 3900050), BoundaryCRS: "EPSG:32614"})
			assert.EqualError(t, err, path+": has no elevation inside the boundary")
		})
	})
	t.Run("cells too small for it", func(t *testing.T) {
		path := fixture{}.save(t, "z.tif")
		_, err := Open(path, Options{CellSize: 1e-3})
		assert.EqualError(t, err, path+": would be 40000 columns by 50000 rows, made from 4 columns by 5 rows: a run on 2000 million cells needs about 360 GB of memory, and the limit is 4 GB; cut it to the site with a boundary or ask for larger cells")
		_, err = Open(path, Options{CellSize: 1e-9})
		assert.EqualError(t, err, path+": would become 4e+10 columns by 5e+10 rows at cells of 1e-09 m; take larger cells")
	})
	t.Run("one block that is the whole", func(t *testing.T) {
		path := fixture{rows: 600, cols: 500, create: []string{"BLOCKYSIZE=600", "COMPRESS=DEFLATE"}}.save(t, "z.tif")
		_, err := Open(path, Options{MemoryLimit: 1 << 20, Boundary: rectangle(500050, 3999700, 500100, 3999900), BoundaryCRS: "EPSG:32614"})
		assert.EqualError(t, err, path+": is stored in blocks of 500 columns by 600 rows, which can need 2.4 MB each, more than the limit of 1.05 MB; write it in tiles: gdal_translate -co TILED=YES in out.tif")
	})
	t.Run("the limit is the caller's", func(t *testing.T) {
		path := fixture{rows: 100, cols: 100}.save(t, "z.tif")
		mustOpen(t, path, Options{MemoryLimit: 1_800_000})
		_, err := Open(path, Options{MemoryLimit: 1_799_999})
		assert.ErrorIs(t, err, ErrInput)
	})
}

// mostMemory is the most memory this process has held, bytes.
func mostMemory(t *testing.T) int {
	t.Helper()
	var u syscall.Rusage
	require.NoError(t, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	if runtime.GOOS == "darwin" {
		return int(u.Maxrss) // there in bytes already
	}
	return int(u.Maxrss) << 10
}

// The exact words of every refusal that the tests beside this one do not hold.
func TestRefusalsSayWhereWhatAndWhatWouldDo(t *testing.T) {
	local := Options{AllowLocal: true}
	rgb := []string{"PHOTOMETRIC=RGB"}
	utm := func(mp orb.MultiPolygon) Options { return Options{Boundary: mp, BoundaryCRS: "EPSG:32614"} }
	for name, tt := range map[string]struct {
		f    fixture
		o    Options
		want string
	}{
		"one cell":       {f: fixture{rows: 1, cols: 1}, want: "is 1 column by 1 row; at least 3 by 3 cells are needed"},
		"two rows":       {f: fixture{rows: 2, cols: 9}, want: "is 9 columns by 2 rows; at least 3 by 3 cells are needed"},
		"several bands":  {f: fixture{bands: 4}, want: "holds 4 bands; a single band of elevations is needed, which one can be taken out with gdal_translate -b 1 in out.tif"},
		"a photograph":   {f: fixture{bands: 3, dtype: godal.Byte, create: rgb}, want: "is a colour picture of 3 bands; a single band of elevations is needed"},
		"a palette":      {f: fixture{dtype: godal.Byte, edit: palette}, want: "is a picture with a palette of colours; a single band of elevations is needed"},
		"complex values": {f: fixture{dtype: godal.CFloat32}, want: "holds values of type CFloat32; whole or decimal numbers are needed"},
		"signed bytes":   {f: fixture{dtype: godal.Byte, create: []string{"PIXELTYPE=SIGNEDBYTE"}}, want: "holds signed bytes; write them as 16-bit numbers: gdal_translate -ot Int16 in out.tif"},
		"only voids":     {f: fixture{z: func(int, int) float64 { return -9999 }, edit: noData(-9999)}, want: "has no elevation in any of its 20 cells: all are voids"},
		"an infinite value": {f: fixture{z: one(inf)},
			want: "row 3, column 2 (counted from 1 at the top left): +Inf is not an elevation"},
		"an absurd value": {f: fixture{z: one(-32768), dtype: godal.Int16},
			want: "row 3, column 2 (counted from 1 at the top left): -32768 m is not an elevation on Earth; if it marks a void, declare it: gdal_translate -a_nodata -32768 in out.tif"},
		"an undeclared -9999": {f: fixture{z: one(-9999)},
			want: "row 3, column 2 (counted from 1 at the top left): -9999 looks like a void that the file does not declare; declare it: gdal_translate -a_nodata -9999 in out.tif"},
		"a scale of nothing": {f: fixture{edit: func(t testing.TB, ds *godal.Dataset) { require.NoError(t, ds.SetScaleOffset(0, 1)) }},
			want: "states a scale of 0 and an offset of 1 for its values, which cannot be"},
		"no system": {f: fixture{crs: "-"},
			want: "does not name its coordinate system; name it beside the file, for example as EPSG:32614"},
		"another system than said": {o: Options{CRS: "EPSG:32615"},
			want: "is in EPSG:32614 (WGS 84 / UTM zone 14N) and was said to be in EPSG:32615 (WGS 84 / UTM zone 15N); leave the second out, or correct the file's"},
		"a system that is none": {o: Options{CRS: "UTM 14"},
			want: `"UTM 14" is not a coordinate system known here; ` + rightCRS},
		"control points": {f: fixture{crs: "-", gt: [6]float64{0, 1, 0, 0, 0, 1}, edit: controlPoints},
			want: "is tied to the ground by control points and not yet rectified; rectify it: gdalwarp in out.tif"},
		"no place at all": {f: fixture{crs: "-", gt: [6]float64{0, 1, 0, 0, 0, 1}}, o: local,
			want: "does not say where it lies nor how large its cells are; a GeoTIFF carries that, or a world file (z.tfw) beside it"},
		"the pole": {f: fixture{crs: "EPSG:4326", gt: [6]float64{10, 0.001, 0, 89, 0, -0.001}},
			want: "lies at latitude 89, beyond the UTM zones (80° south to 84° north); bring it to a projected system of metres first"},
		"half a continent": {f: fixture{crs: "EPSG:4326", gt: [6]float64{0, 5, 0, 60, 0, -1}},
			want: "reaches more than 6.5° from the middle of its UTM zone (EPSG:32632), too far for one grid of true metres; cut it to the site with a smaller boundary"},
		"degrees that are none": {f: fixture{crs: "EPSG:4326", gt: [6]float64{500000, 10, 0, 4000000, 0, -10}},
			want: "is said to be in WGS 84, and its coordinates, (500000.000, 4000000.000) to (500040.000, 3999950.000), are no longitudes and latitudes; name the system they are in"},
		"a boundary elsewhere": {o: utm(rectangle(600000, 3999960, 600030, 3999990)),
			want: "the boundary ((600000.000, 3999960.000) to (600030.000, 3999990.000)) lies outside the raster ((500000.000, 3999950.000) to (500040.000, 4000000.000))"},
		"a boundary in other units": {o: Options{Boundary: rectangle(500000, 3999960, 500030, 3999990)},
			want: "the boundary names no coordinate system and its coordinates, (500000.000, 3999960.000) to (500030.000, 3999990.000), are no longitudes and latitudes; name its system, for example EPSG:32614"},
		"a boundary in another system than said": {o: Options{Boundary: rectangle(500000, 3999960, 500030, 3999990), BoundaryCRS: "EPSG:4326"},
			want: "the boundary cannot be laid on it: 32 points of WGS 84, the first at (500000.000, 3999960.000), have no place in WGS 84 / UTM zone 14N"},
		"a boundary of two points": {o: utm(orb.MultiPolygon{{{{500000, 3999960}, {500030, 3999990}}}}),
			want: "the boundary has a ring of 2 points; a ring needs at least 3"},
		"a boundary with a hole in its numbers": {o: utm(orb.MultiPolygon{{{{500000, 3999960}, {500030, inf}, {500000, 3999990}}}}),
			want: "the boundary has a point at (500030.000, +Inf)"},
		"a boundary of one cell": {o: utm(rectangle(500010, 3999960, 500020, 3999970)),
			want: "becomes 1 column by 1 row of 10 m; at least 3 by 3 are needed, with smaller cells or a larger boundary"},
		"a boundary between the middles of cells": {o: utm(orb.MultiPolygon{{{{500001, 3999951}, {500039, 3999952}, {500039, 3999953}, {500002, 3999952}, {500001, 3999999}}}}),
			want: "has no elevation inside the boundary"},
		"a boundary in a system, the raster in none": {f: fixture{crs: "-"}, o: Options{AllowLocal: true, Boundary: rectangle(0, 0, 1, 1), BoundaryCRS: "EPSG:4326"},
			want: "has no coordinate system, so a boundary in EPSG:4326 cannot be laid on it"},
		"cells larger than the ground": {o: Options{CellSize: 100},
			want: "becomes 1 column by 1 row of 100 m; at least 3 by 3 are needed, with smaller cells or a larger boundary"},
	} {
		t.Run(name, func(t *testing.T) {
			path := tt.f.save(t, "z.tif")
			_, err := Open(path, tt.o)
			require.ErrorIs(t, err, ErrInput)
			assert.Equal(t, path+": "+tt.want, err.Error())
		})
	}
	t.Run("an 8-bit PNG", func(t *testing.T) {
		path := fixture{dtype: godal.Byte}.translate(t, "z.png", "PNG")
		_, err := Open(path, local)
		assert.EqualError(t, err, path+": is a picture of 256 shades; a 16-bit PNG or a GeoTIFF of elevations is needed")
	})
	t.Run("an empty file", func(t *testing.T) {
		path := saveText(t, "z.tif", "")
		_, err := Open(path, local)
		assert.EqualError(t, err, path+": is empty; a raster of elevations is needed")
	})
	t.Run("a letter to the council", func(t *testing.T) {
		path := saveText(t, "z.tif", "Dear Sir or Madam,\n")
		_, err := Open(path, local)
		require.ErrorIs(t, err, ErrInput)
		assert.Equal(t, path+": is not a raster that can be read; a single band of elevations in one of these would do: "+strings.Join(Formats(), ", "), err.Error())
	})
	t.Run("options that cannot be", func(t *testing.T) {
		_, err := Open("z.tif", Options{CellSize: -1})
		assert.EqualError(t, err, "a cell size of -1 m cannot be; a length above 0 is needed")
		_, err = Open("z.tif", Options{ElevationUnit: inf})
		assert.EqualError(t, err, "a unit of elevation of +Inf m cannot be; 0.3048 is the international foot")
	})
}

func palette(t testing.TB, ds *godal.Dataset) {
	require.NoError(t, ds.Bands()[0].SetColorTable(godal.ColorTable{PaletteInterp: godal.RGBPalette, Entries: [][4]int16{{0, 0, 0, 255}, {255, 0, 0, 255}}}))
}

func controlPoints(t testing.TB, ds *godal.Dataset) {
	sr, err := parseCRS("EPSG:32614")
	require.NoError(t, err)
	defer sr.Close()
	text, err := wellKnown(sr)
	require.NoError(t, err)
	require.NoError(t, ds.SetGCPs([]godal.GCP{
		{PszId: "1", DfGCPPixel: 0, DfGCPLine: 0, DfGCPX: 500000, DfGCPY: 4000000},
		{PszId: "2", DfGCPPixel: 4, DfGCPLine: 0, DfGCPX: 500040, DfGCPY: 4000003},
		{PszId: "3", DfGCPPixel: 0, DfGCPLine: 5, DfGCPX: 500002, DfGCPY: 3999950},
	}, godal.GCPProjection(text)))
}

// Trap: a GeoTIFF cut short opens as if nothing were wrong and fails only
// when the missing tile is read.
func TestTruncatedFiles(t *testing.T) {
	z := lowland(600)
	whole := filepath.Join(t.TempDir(), "whole.tif")
	require.NoError(t, Write(whole, z))
	b, err := os.ReadFile(whole)
	require.NoError(t, err)
	for _, keep := range []float64{0.99, 0.7, 0.3, 0.05} {
		path := filepath.Join(t.TempDir(), "cut.tif")
		require.NoError(t, os.WriteFile(path, b[:int(keep*float64(len(b)))], 0o644))
		_, err := Open(path, Options{})
		require.ErrorIs(t, err, ErrInput, "%v kept", keep)
		assert.EqualError(t, err, path+": is damaged or cut short: rows 1 to 600 cannot be read")
		_, err = Open(path, Options{CellSize: 2})
		require.ErrorIs(t, err, ErrInput, "%v kept, resampled", keep)
	}
	t.Run("a file without columns", func(t *testing.T) {
		none := bytes.Clone(b)
		at := indexOnce(t, none, []byte{0, 1, 3, 0, 1, 0, 0, 0, 600 & 0xff, 600 >> 8}) // ImageWidth, one SHORT
		none[at+8], none[at+9] = 0, 0
		path := filepath.Join(t.TempDir(), "none.tif")
		require.NoError(t, os.WriteFile(path, none, 0o644))
		_, err := Open(path, Options{})
		require.ErrorIs(t, err, ErrInput)
		assert.ErrorContains(t, err, "is not a raster that can be read")
	})
	for _, keep := range []int{3, 9, 50, 200} { // inside the directory of tags
		path := filepath.Join(t.TempDir(), "cut.tif")
		require.NoError(t, os.WriteFile(path, b[:keep], 0o644))
		_, err := Open(path, Options{})
		require.ErrorIs(t, err, ErrInput, "%v bytes kept", keep)
		assert.ErrorContains(t, err, "is not a raster that can be read")
	}
}
