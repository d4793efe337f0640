package geopackage

import (
	"context"
	"encoding/hex"
	"errors"
	"flag"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "rewrite the golden files from what the program says now")

var (
	utm = System{ID: 32614, Name: "WGS 84 / UTM zone 14N", Authority: "EPSG", Code: 32614, Definition: `PROJCS["WGS 84 / UTM zone 14N",GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563]],PRIMEM["Greenwich",0],UNIT["degree",0.0174532925199433]],PROJECTION["Transverse_Mercator"],PARAMETER["latitude_of_origin",0],PARAMETER["central_meridian",-99],PARAMETER["scale_factor",0.9996],PARAMETER["false_easting",500000],PARAMETER["false_northing",0],UNIT["metre",1],AXIS["Easting",EAST],AXIS["Northing",NORTH],AUTHORITY["EPSG","32614"]]`}
	own = System{ID: Own, Name: "Site", Authority: "NONE", Code: Own, Definition: `PROJCS["Site",GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563]],PRIMEM["Greenwich",0],UNIT["degree",0.0174532925199433]],PROJECTION["Transverse_Mercator"],PARAMETER["latitude_of_origin",29.5],PARAMETER["central_meridian",-99.25],PARAMETER["scale_factor",1],PARAMETER["false_easting",0],PARAMETER["false_northing",0],UNIT["metre",1]]`}

	stakes = Layer{Name: "stakes", Title: "Stakes", Description: "Where trees stand.", Shape: "POINT", System: 32614, Columns: []Column{
		{Name: "id", Type: "TEXT", Description: "name of the stake", Rule: "NOT NULL UNIQUE"}, {Name: "depth_m", Type: "REAL", Description: "water, m"}, {Name: "flagged", Type: "BOOLEAN"},
	}}
	pools = Layer{Name: "pools", Title: "Pools", Shape: "MULTIPOLYGON", System: Own, Columns: []Column{{Name: "number", Type: "INTEGER"}}}
	notes = Layer{Name: "notes", Title: "Notes", Columns: []Column{{Name: "seen_on", Type: "DATE"}, {Name: "words", Type: "TEXT"}}}
)

// sample writes a small file with a layer of each sort.
func sample(t *testing.T, path string) {
	t.Helper()
	ctx := context.Background()
	f, err := Create(ctx, path)
	require.NoError(t, err)
	depth := 0.25
	require.NoError(t, f.Update(ctx, time.Date(2021, 3, 4, 5, 6, 7, 0, time.UTC), func(tx *Tx) error {
		return errors.Join(
			tx.AddSystems(utm, own),
			tx.AddLayer(stakes), tx.AddLayer(pools), tx.AddLayer(notes),
			tx.Insert(stakes,
				Row{orb.Point{500100.5, 3100088}, []any{"A-1", &depth, true}},
				Row{orb.Point{500103, 3100088.25}, []any{"A-2", (*float64)(nil), false}}),
			tx.Insert(stakes, Row{nil, []any{"lost", nil, false}}),
			tx.Insert(pools, Row{orb.MultiPolygon{{{{0, 0}, {4, 0}, {4, 3}, {0, 0}}}}, []any{7}}),
			tx.Insert(notes, Row{nil, []any{"2021-03-04", "reeds"}}),
		)
	}))
	require.NoError(t, f.Close())
}

// The header of a shape: OGC 12-128r18, table 5 (from memory): "GP", version 0,
// flags, the system, then for all but points the box as min x, max x, min y,
// max y; then well-known binary (ISO 19125-1).
func TestShapesAreBytesOfTheStandard(t *testing.T) {
	for _, tt := range []struct {
		name  string
		shape orb.Geometry
		want  string
	}{
		{"point without a box", orb.Point{1, 2}, "475000" + "01" + "e6100000" + "0101000000" + "000000000000f03f" + "0000000000000040"},
		{"line with its box", orb.LineString{{1, 2}, {0, 4}}, "475000" + "03" + "e6100000" +
			"0000000000000000" + "000000000000f03f" + "0000000000000040" + "0000000000001040" +
			"0102000000" + "02000000" + "000000000000f03f" + "0000000000000040" + "0000000000000000" + "0000000000001040"},
		{"line of no points", orb.LineString{}, "475000" + "11" + "e6100000" + "0102000000" + "00000000"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, err := Encode(tt.shape, LonLat)
			require.NoError(t, err)
			assert.Equal(t, tt.want, hex.EncodeToString(got))
			back, system, err := Decode(got)
			require.NoError(t, err)
			assert.Equal(t, tt.shape, back)
			assert.EqualValues(t, LonLat, system)
		})
	}
	none, err := Encode(nil, LonLat)
	assert.NoError(t, err)
	assert.Nil(t, none)
}

func FuzzDecode(f *testing.F) {
	for _, shape := range []orb.Geometry{orb.Point{1, 2}, orb.LineString{{1, 2}, {0, 4}}, orb.Polygon{{{0, 0}, {4, 0}, {4, 3}, {0, 0}}}} {
		b, err := Encode(shape, 32614)
		require.NoError(f, err)
		f.Add(b)
	}
	f.Add([]byte("GP\x00\x0f"))
	f.Fuzz(func(t *testing.T, b []byte) {
		g, system, err := Decode(b)
		if err != nil {
			require.ErrorIs(t, err, ErrShape)
			return
		}
		if g == nil {
			return
		}
		_, err = Encode(g, system)
		require.NoError(t, err)
	})
}

// The same calls make the same bytes, and the file reads back. The bytes are
// kept beside the test; terrain/raster opens them with GDAL. A new version of
// SQLite may change them: it stamps its number into the file.
func TestSameCallsMakeTheSameBytes(t *testing.T) {
	dir := t.TempDir()
	one, two := filepath.Join(dir, "one.gpkg"), filepath.Join(dir, "what? two.gpkg")
	sample(t, one)
	sample(t, two)
	a, err := os.ReadFile(one)
	require.NoError(t, err)
	b, err := os.ReadFile(two)
	require.NoError(t, err)
	require.Equal(t, a, b)

	const golden = "testdata/sample.gpkg"
	if *update {
		require.NoError(t, os.WriteFile(golden, a, 0o644))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err)
	assert.True(t, string(want) == string(a), "%s differs: go test ./cmd/internal/geopackage -update, then look at it with a GIS", golden)
}

func TestWhatWasWrittenIsThere(t *testing.T) {
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "it.gpkg")
	sample(t, path)
	f, err := Open(ctx, path)
	require.NoError(t, err)
	defer f.Close()

	var box [4]float64
	var changed string
	require.NoError(t, f.DB().QueryRow("SELECT min_x, min_y, max_x, max_y, last_change FROM gpkg_contents WHERE table_name = 'stakes'").Scan(&box[0], &box[1], &box[2], &box[3], &changed))
	assert.Equal(t, [4]float64{500100.5, 3100088, 500103, 3100088.25}, box)
	assert.Contains(t, changed, "2021-03-04T05:06:07")

	var blob []byte
	require.NoError(t, f.DB().QueryRow("SELECT geom FROM stakes WHERE id = 'A-2' AND depth_m IS NULL").Scan(&blob))
	shape, system, err := Decode(blob)
	require.NoError(t, err)
	assert.Equal(t, orb.Point{500103, 3100088.25}, shape)
	assert.EqualValues(t, 32614, system)

	var faults int
	require.NoError(t, f.DB().QueryRow("SELECT count(*) FROM pragma_foreign_key_check").Scan(&faults))
	assert.Zero(t, faults)
}

func TestAChangeHappensWholeOrNotAtAll(t *testing.T) {
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "it.gpkg")
	sample(t, path)
	f, err := Open(ctx, path)
	require.NoError(t, err)
	defer f.Close()
	err = f.Update(ctx, time.Time{}, func(tx *Tx) error {
		return tx.Insert(stakes, Row{orb.Point{1, 1}, []any{"B-1", nil, true}}, Row{orb.Point{1, 2}, []any{"A-1", nil, true}})
	})
	require.ErrorContains(t, err, "layer stakes, row 2")
	var n int
	require.NoError(t, f.DB().QueryRow("SELECT count(*) FROM stakes").Scan(&n))
	assert.Equal(t, 3, n)
}

func TestWrongFilesAndNames(t *testing.T) {
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "it.gpkg")
	_, err := Open(ctx, path)
	require.ErrorIs(t, err, os.ErrNotExist)
	require.NoError(t, os.WriteFile(path, []byte("id,x,y\n"), 0o644))
	_, err = Open(ctx, path)
	require.ErrorIs(t, err, ErrNot)
	_, err = Create(ctx, path)
	require.ErrorIs(t, err, os.ErrExist)
	for _, l := range []Layer{{Name: "gpkg_mine"}, {Name: `a"b`}, {Name: "a", Shape: "CIRCLE"}, {Name: "a", Columns: []Column{{Name: "geom", Type: "TEXT"}}}, {Name: "a", Columns: []Column{{Name: "b", Type: "NUMBER"}}}} {
		assert.Error(t, l.check(), "%v", l)
	}
}
