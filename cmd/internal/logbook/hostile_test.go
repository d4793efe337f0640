package logbook

import (
	"bytes"
	"database/sql"
	"os"
	"path/filepath"
	"testing"

	"wetfeet/cmd/internal/fault"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// altered is a good book after some statements of another program.
func altered(t testing.TB, statements ...string) string {
	path := filepath.Join(t.TempDir(), "book.gpkg")
	_, err := Add(t.Context(), path, some(t), noon)
	require.NoError(t, err)
	db, err := sql.Open("sqlite", path)
	require.NoError(t, err)
	defer db.Close()
	for _, s := range statements {
		_, err := db.Exec(s)
		require.NoError(t, err, s)
	}
	return path
}

func TestBooksThatAreNotTrusted(t *testing.T) {
	const columns = "fid, geom, seen, seen_time, tree, depth_m, last_wet, last_wet_time, dried_out, dried_out_time, auger_depth_m, health, rain_ended, rain_ended_time, rain_mm, rain_hours, photo, note"
	for _, tt := range []struct {
		name, want string
		statements []string
	}{
		{"another kind of database", "application id is 0x1 and not 0x47504b47", []string{"PRAGMA application_id = 1"}},
		{"no observations", "has no table observations", []string{"DROP TABLE observations"}},
		{"a view in place of the table", "has no table observations", []string{"ALTER TABLE observations RENAME TO o", "CREATE VIEW observations AS WITH RECURSIVE n(fid) AS (SELECT 1 UNION ALL SELECT fid + 1 FROM n) SELECT " + columns + " FROM o, n"}},
		{"a table that a module makes up", "has no table observations", []string{"DROP TABLE observations", "CREATE VIRTUAL TABLE observations USING rtree(fid, a, b)"}},
		{"a column that is computed", "\"bomb\" is computed by the file", []string{"ALTER TABLE observations ADD COLUMN bomb AS (hex(seen))"}},
		{"a column that is missing", "no column depth_m", []string{"ALTER TABLE observations DROP COLUMN depth_m"}},
		{"another system", "not points in longitude and latitude", []string{"UPDATE gpkg_geometry_columns SET srs_id = 0"}},
		{"a value too long", "damaged, or no observation book", []string{"UPDATE observations SET note = hex(zeroblob(1000000))"}},
		{"values of the wrong kind, all at once", "observation 1, depth_m: found \"deep\"; a number is needed", []string{"UPDATE observations SET depth_m = 'deep' WHERE fid = 1", "UPDATE observations SET geom = x'0102' WHERE fid = 2"}},
		{"and the second of them", "observation 2, geom: is no geometry", []string{"UPDATE observations SET depth_m = 'deep' WHERE fid = 1", "UPDATE observations SET geom = x'0102' WHERE fid = 2"}},
		{"a day that is none", "observation 1, seen: found \"last week", []string{"UPDATE observations SET seen = 'last week' WHERE fid = 1"}},
		{"a health that is none", "observation 4, health: found \"so-so\"", []string{"UPDATE observations SET health = 'so-so' WHERE fid = 4"}},
		{"a depth below the ground", "observation 1, depth_m: found -1 m", []string{"UPDATE observations SET depth_m = -1 WHERE fid = 1"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			path := altered(t, tt.statements...)
			_, err := Read(t.Context(), path)
			require.Error(t, err)
			assert.True(t, fault.IsInput(err), err)
			assert.ErrorContains(t, err, tt.want)
			before, err := os.ReadFile(path)
			require.NoError(t, err)
			_, err = Add(t.Context(), path, some(t), noon)
			require.Error(t, err)
			assert.True(t, fault.IsInput(err), err)
			after, err := os.ReadFile(path)
			require.NoError(t, err)
			assert.True(t, bytes.Equal(before, after), "what is refused is left as it was")
		})
	}
}

// What a GIS leaves in a book besides is no reason to refuse it.
func TestABookThatAGISAddedTo(t *testing.T) {
	path := altered(t,
		"CREATE TABLE layer_styles (id INTEGER PRIMARY KEY, styleqml TEXT)",
		"ALTER TABLE observations ADD COLUMN who TEXT",
		"CREATE VIEW deep AS SELECT * FROM observations WHERE depth_m > 0.1",
		"UPDATE observations SET seen = '2026-03-03', depth_m = 0 WHERE fid = 1",
		"INSERT INTO observations (seen, tree, health) VALUES ('2026-08-01', 'B-02', 'Thriving')")
	got, err := Read(t.Context(), path)
	require.NoError(t, err)
	require.Len(t, got, 5)
	assert.Equal(t, when(t, "2026-03-03 15:30"), got[0].Seen)
	assert.Equal(t, 0.0, *got[0].Depth)
	assert.Equal(t, Thriving, got[4].Health)
	n, err := Add(t.Context(), path, some(t)[:1], noon)
	require.NoError(t, err)
	assert.Equal(t, 1, n)
}

// A trigger of a stranger never runs.
func TestATriggerStopsAnAddition(t *testing.T) {
	path := altered(t, "CREATE TRIGGER sly AFTER INSERT ON observations BEGIN DELETE FROM observations; END")
	_, err := Read(t.Context(), path)
	require.NoError(t, err)
	more := some(t)[:1]
	more[0].Note = "another"
	_, err = Add(t.Context(), path, more, noon)
	assert.True(t, fault.IsInput(err))
	assert.ErrorContains(t, err, `its trigger "sly" would run`)
	got, err := Read(t.Context(), path)
	require.NoError(t, err)
	assert.Len(t, got, 4)
}

func TestFilesThatAreNoBook(t *testing.T) {
	dir := t.TempDir()
	for name, data := range map[string][]byte{"empty": nil, "text": []byte("seen,tree\n2026-03-01,A-01\n"), "short": []byte("SQLite format 3\x00")} {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, data, 0o644))
		_, err := Read(t.Context(), path)
		assert.True(t, fault.IsInput(err), name)
		assert.ErrorContains(t, err, "is no GeoPackage", name)
	}
	_, err := Read(t.Context(), dir)
	assert.True(t, fault.IsInput(err))
	assert.ErrorContains(t, err, "is not a regular file")

	huge := filepath.Join(dir, "huge")
	require.NoError(t, os.WriteFile(huge, nil, 0o644))
	require.NoError(t, os.Truncate(huge, maxBytes+1))
	_, err = Read(t.Context(), huge)
	assert.True(t, fault.IsInput(err))
	assert.ErrorContains(t, err, "larger than 64 MiB")
}

func TestABookThatIsOpenElsewhere(t *testing.T) {
	path := altered(t)
	require.NoError(t, os.WriteFile(path+"-wal", []byte("pages"), 0o644))
	_, err := Read(t.Context(), path)
	assert.True(t, fault.IsInput(err))
	assert.ErrorContains(t, err, "is open in another program")
}

// Any bytes are a book or are refused: no panic, no endless read.
func FuzzRead(f *testing.F) {
	path := filepath.Join(f.TempDir(), "book.gpkg")
	if _, err := Add(f.Context(), path, some(f), noon); err != nil {
		f.Fatal(err)
	}
	whole, err := os.ReadFile(path)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(0, []byte{})
	f.Add(100, []byte{0xFF, 0, 0xFF})
	f.Add(4096, []byte{13, 0, 0})
	f.Add(len(whole)-40, []byte("GP\x00\x01\x00\x00"))
	f.Fuzz(func(t *testing.T, at int, patch []byte) {
		if at < 0 || at+len(patch) > len(whole) {
			return // the patch does not lie in the file
		}
		data := bytes.Clone(whole)
		copy(data[at:], patch)
		path := filepath.Join(t.TempDir(), "book.gpkg")
		require.NoError(t, os.WriteFile(path, data, 0o644))
		got, err := Read(t.Context(), path)
		if err != nil {
			assert.True(t, fault.IsInput(err), "%v", err)
			return
		}
		for i := range got {
			assert.Empty(t, got[i].Check())
		}
	})
}

// Files that GDAL wrote to; testdata/README.md has the commands.
func TestBooksThatGDALWroteTo(t *testing.T) {
	for _, name := range []string{"edited.gpkg", "copied.gpkg"} {
		got, err := Read(t.Context(), filepath.Join("testdata", name))
		require.NoError(t, err, name)
		require.Len(t, got, 5, name)
		assert.Equal(t, 0.2, *got[0].Depth, name)
		assert.Equal(t, "2026-04-01", got[3].Seen.String(), name)
		assert.InDelta(t, -98.985, got[3].At[0], 1e-12, name)
		assert.Equal(t, some(t)[2].Note, got[2].Note, name)

		data, err := os.ReadFile(filepath.Join("testdata", name))
		require.NoError(t, err)
		path := filepath.Join(t.TempDir(), name)
		require.NoError(t, os.WriteFile(path, data, 0o644))
		n, err := Add(t.Context(), path, some(t)[:1], noon)
		if name == "copied.gpkg" {
			assert.True(t, fault.IsInput(err))
			assert.ErrorContains(t, err, "a spatial index; the GIS that made it can drop it")
			continue
		}
		require.NoError(t, err)
		assert.Equal(t, 1, n)
	}
}
