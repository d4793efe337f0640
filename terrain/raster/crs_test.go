package raster

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Check N05: PROJ through gdaltransform 3.6.2, to a millimetre. The inputs
// are printed to 7 figures, so northings are known to half a metre.
func TestUTMCoordinates(t *testing.T) {
	for _, tt := range []struct {
		lonLat     orb.Point
		crs        string
		east, nort float64
	}{
		{orb.Point{-81.5, 36.25}, "EPSG:32617", 455078.7, 4011794},
		{orb.Point{0.5, 51.5}, "EPSG:32631", 326480.5, 5708393},
		{orb.Point{151.2, -33.87}, "EPSG:32756", 333510.7, 6250800},
		{orb.Point{-122.4194, 37.7749}, "EPSG:32610", 551130.8, 4180999},
	} {
		t.Run(tt.crs, func(t *testing.T) {
			require.Equal(t, tt.crs, UTM(tt.lonLat[0], tt.lonLat[1]))
			to, err := FromLonLat(tt.crs)
			require.NoError(t, err)
			p, err := to(tt.lonLat)
			require.NoError(t, err)
			assert.InDelta(t, tt.east, p[0], 0.05)
			assert.InDelta(t, tt.nort, p[1], 0.5)
			back, err := LonLat(tt.crs)
			require.NoError(t, err)
			q, err := back(p)
			require.NoError(t, err)
			assert.Less(t, metresBetween(tt.lonLat, q), 1e-6)
		})
	}
}

// On a zone's middle meridian the easting is 500 km by definition and the
// northing is 0.9996 of the length of the meridian from the equator. Helmert's
// series for that length, here to n³, is in Snyder (1987), equation 3-21 and
// the text after it; it is good to a tenth of a millimetre.
func TestNorthingsOnTheMiddleMeridian(t *testing.T) {
	const a, f = 6378137.0, 1 / 298.257223563
	const e2 = f * (2 - f)
	arc := func(lat float64) float64 {
		p := lat * math.Pi / 180
		return a * ((1-e2/4-3*e2*e2/64-5*e2*e2*e2/256)*p -
			(3*e2/8+3*e2*e2/32+45*e2*e2*e2/1024)*math.Sin(2*p) +
			(15*e2*e2/256+45*e2*e2*e2/1024)*math.Sin(4*p) -
			(35*e2*e2*e2/3072)*math.Sin(6*p))
	}
	to, err := FromLonLat("EPSG:32614")
	require.NoError(t, err)
	for _, lat := range []float64{0, 15, 36, 50, 75} {
		p, err := to(orb.Point{-99, lat})
		require.NoError(t, err)
		assert.InDelta(t, 500000, p[0], 1e-6)
		assert.InDelta(t, 0.9996*arc(lat), p[1], 1e-3, "latitude %v", lat)
	}
}

// Zones from the definition: 6 degrees each from 180 west. The exceptions are
// those of the military grid reference system (from memory; any atlas shows
// them).
func TestUTMZones(t *testing.T) {
	for _, tt := range []struct {
		lon, lat float64
		want     string
	}{
		{-180, 10, "EPSG:32601"},
		{-174.0001, 10, "EPSG:32601"},
		{-174, 10, "EPSG:32602"},
		{179.999, -10, "EPSG:32760"},
		{180, 10, "EPSG:32601"},
		{181, 10, "EPSG:32601"},
		{-181, 10, "EPSG:32660"},
		{0, 0, "EPSG:32631"},
		{-0.0001, -0.0001, "EPSG:32730"},
		{5.3, 60.4, "EPSG:32632"}, // Bergen, widened zone 32
		{2.9, 60.4, "EPSG:32631"},
		{5.3, 64, "EPSG:32631"},
		{5.3, 55.9, "EPSG:32631"},
		{8.9, 78, "EPSG:32631"}, // Svalbard
		{9, 78, "EPSG:32633"},
		{20.9, 78, "EPSG:32633"},
		{21, 78, "EPSG:32635"},
		{33, 78, "EPSG:32637"},
		{41.9, 78, "EPSG:32637"},
		{42, 78, "EPSG:32638"},
		{15.6, 71.9, "EPSG:32633"},
		{15.6, 84, "EPSG:32633"},
	} {
		assert.Equal(t, tt.want, UTM(tt.lon, tt.lat), "%v, %v", tt.lon, tt.lat)
	}
	nan := math.NaN()
	for _, p := range []orb.Point{{nan, 0}, {0, nan}, {0, 91}, {700, 0}, {math.Inf(1), 0}} {
		assert.Empty(t, UTM(p[0], p[1]), "%v", p)
	}
}

func TestDescribe(t *testing.T) {
	for text, want := range map[string]CRSInfo{
		"EPSG:32614":      {Name: "WGS 84 / UTM zone 14N", Code: "EPSG:32614", Unit: 1, UnitName: "metre"},
		" epsg:32614 ":    {Name: "WGS 84 / UTM zone 14N", Code: "EPSG:32614", Unit: 1, UnitName: "metre"},
		"EPSG:4326":       {Name: "WGS 84", Code: "EPSG:4326", Geographic: true, UnitName: "degree"},
		"EPSG:2277":       {Name: "NAD83 / Texas Central (ftUS)", Code: "EPSG:2277", Unit: 1200.0 / 3937, UnitName: "US survey foot"},
		"EPSG:2256":       {Name: "NAD83 / Montana (ft)", Code: "EPSG:2256", Unit: 0.3048, UnitName: "foot"},
		"EPSG:32630+5701": {Name: "WGS 84 / UTM zone 30N", Code: "EPSG:32630", Unit: 1, UnitName: "metre"},
		"ESRI:102008":     {Name: "North_America_Albers_Equal_Area_Conic", Code: "ESRI:102008", Unit: 1, UnitName: "metre"},
	} {
		got, err := Describe(text)
		require.NoError(t, err, text)
		assert.InDelta(t, want.Unit, got.Unit, 1e-12)
		want.Unit = got.Unit
		assert.Equal(t, want, got, text)
	}
}

func TestWhatIsNoCoordinateSystem(t *testing.T) {
	const right = "write an authority and a number, such as EPSG:32614 for UTM zone 14 north or EPSG:4326 for longitude and latitude, or the system's well-known text"
	// GDAL would open the first four of these as files, or ask the network.
	secret := filepath.Join(t.TempDir(), "system.prj")
	require.NoError(t, os.WriteFile(secret, []byte(`GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563]],PRIMEM["Greenwich",0],UNIT["degree",0.0174532925199433]]`), 0o644))
	for _, text := range []string{secret, "http://localhost/EPSG/32614", "/vsicurl/http://localhost/x.prj", "+init=epsg:32614",
		"32614", "EPSG:0", "EPSG:99999999", "UTM 14N", "WGS84", "PROJCS[", "PROJCS[\"x\"]", "{}", "+proj=nonsense", "+proj=longlat +nadgrids=/etc/passwd",
		strings.Repeat("EPSG:", 50)} {
		_, err := Describe(text)
		require.ErrorIs(t, err, ErrInput, text)
		assert.Equal(t, fmt.Sprintf("%q is not a coordinate system known here; %s", clip(text), right), err.Error())
	}
	_, err := Describe("")
	assert.EqualError(t, err, "no coordinate system is named; "+right)
	_, err = Describe("EPSG:5701")
	assert.EqualError(t, err, `"EPSG:5701" (ODN height) is neither a geographic nor a projected system; `+right)
	_, err = Describe("EPSG:4978")
	assert.EqualError(t, err, `"EPSG:4978" (WGS 84) is neither a geographic nor a projected system; `+right)
	_, err = NewTransform("EPSG:4326", "nowhere")
	assert.ErrorIs(t, err, ErrInput)
	_, err = NewTransform("nowhere", "EPSG:4326")
	assert.ErrorIs(t, err, ErrInput)
}

// A .prj of another maker names no authority; its text is looked up.
func TestASystemWithoutItsNumberIsLookedUp(t *testing.T) {
	const esri = `PROJCS["WGS_1984_UTM_Zone_14N",GEOGCS["GCS_WGS_1984",DATUM["D_WGS_1984",SPHEROID["WGS_1984",6378137.0,298.257223563]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]],PROJECTION["Transverse_Mercator"],PARAMETER["False_Easting",500000.0],PARAMETER["False_Northing",0.0],PARAMETER["Central_Meridian",-99.0],PARAMETER["Scale_Factor",0.9996],PARAMETER["Latitude_Of_Origin",0.0],UNIT["Meter",1.0]]`
	info, err := Describe(esri)
	require.NoError(t, err)
	assert.Equal(t, "EPSG:32614", info.Code)
}

func TestPointsWithoutAPlace(t *testing.T) {
	tr, err := NewTransform("EPSG:4326", "EPSG:32614")
	require.NoError(t, err)
	points := []orb.Point{{-99, 36}, {math.NaN(), 36}, {-99, math.Inf(1)}, {-99, 37}}
	err = tr.Points(points)
	require.ErrorIs(t, err, ErrInput)
	assert.EqualError(t, err, "2 points of WGS 84, the first at (NaN, 36.000), have no place in WGS 84 / UTM zone 14N")
	assert.InDelta(t, 500000, points[0][0], 1e-6)
	assert.True(t, math.IsNaN(points[1][0]) && math.IsNaN(points[2][1]))
	assert.InDelta(t, 500000, points[3][0], 1e-6, "the points after a bad one are moved all the same")
	_, err = tr.Point(orb.Point{-99, 95})
	assert.EqualError(t, err, "the point (-99, 95) of WGS 84 has no place in WGS 84 / UTM zone 14N")
	require.NoError(t, tr.Points(nil))
	tr.Close()
	tr.Close()
	assert.EqualError(t, tr.Points(points), "raster: use of a closed Transform")
}

// The first test point of OSTN15 (Ordnance Survey, OSTN15 and OSGM15 test
// data, TP01, from memory): 49.92226393730 N, 6.29977752014 W is E 91492.146,
// N 11318.804. Without the shift grid PROJ is 4.7 m out and says nothing, so
// the program has to; with it there is no harm in the warning.
func TestASystemThatNeedsAShiftGridIsSaid(t *testing.T) {
	ll, err := LonLat("EPSG:27700")
	require.NoError(t, err)
	p, err := ll(orb.Point{91492.146, 11318.804})
	require.NoError(t, err)
	assert.Less(t, metresBetween(orb.Point{-6.29977752014, 49.92226393730}, p), 6.0)

	const said = "coordinates on OSGB36 meet longitude and latitude exactly only through a published shift grid; where that is not installed, positions in GeoJSON and on web maps can be several metres out"
	info, err := Describe("EPSG:27700")
	require.NoError(t, err)
	assert.Equal(t, said, info.ShiftGrid)
	g := mustOpen(t, fixture{crs: "EPSG:27700", gt: [6]float64{91000, 1, 0, 12000, 0, -1}}.save(t, "z.tif"), Options{})
	assert.Equal(t, "EPSG:27700", g.Grid.CRS, "work stays in the raster's own system")
	assert.Equal(t, []string{said}, g.Remarks)
	for _, fine := range []string{"EPSG:32614", "EPSG:26914", "EPSG:25832", "EPSG:2193"} {
		info, err := Describe(fine)
		require.NoError(t, err)
		assert.Empty(t, info.ShiftGrid, fine)
	}
}

// Check N04: the length of a degree on WGS 84, from the radii of curvature.
func TestMetresBetween(t *testing.T) {
	for _, tt := range []struct{ lat, lat1, lon1 float64 }{
		{0, 110574.3, 111319.5}, {30, 110852.4, 96486.28}, {45, 111131.8, 78846.84}, {60, 111412.3, 55800},
	} {
		assert.InDelta(t, tt.lat1/1000, metresBetween(orb.Point{10, tt.lat}, orb.Point{10, tt.lat + 0.001}), 1e-4)
		assert.InDelta(t, tt.lon1/1000, metresBetween(orb.Point{10, tt.lat}, orb.Point{10.001, tt.lat}), 1e-4)
	}
	assert.InDelta(t, 222.639, metresBetween(orb.Point{179.999, 0}, orb.Point{-179.999, 0}), 1e-3)
}
