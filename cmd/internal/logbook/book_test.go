package logbook

import (
	"context"
	"database/sql"
	"os"
	"path/filepath"
	"testing"
	"time"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/geopackage"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var noon = time.Date(2026, 3, 9, 12, 0, 0, 0, time.UTC)

func when(t testing.TB, s string) When {
	t.Helper()
	w, err := ParseWhen(s)
	require.NoError(t, err)
	return w
}

func ptr[T any](v T) *T { return &v }

// some is a book's worth of observations in invented ground.
func some(t testing.TB) []Observation {
	storm := Storm{Ended: when(t, "2026-03-01 18:00"), Rain: 82.5, Hours: 12}
	return []Observation{
		{Seen: when(t, "2026-03-02 15:30"), Tree: "E-10", At: &orb.Point{-98.99, 28.02}, Depth: ptr(0.12), Storm: storm, Photo: "pool.jpg"},
		{Seen: when(t, "2026-03-05"), Tree: "E-10", At: &orb.Point{-98.99, 28.02}, LastWet: when(t, "2026-03-04"), DriedOut: when(t, "2026-03-05"), Storm: storm},
		{Seen: when(t, "2026-03-05"), At: &orb.Point{-98.9912, 28.0207}, WaterTable: ptr(0.85), Note: "hole by the gate; müde, 10 % \"clay\""},
		{Seen: when(t, "2026-06-01"), Tree: "A-01", At: &orb.Point{-98.9903, 28.021}, Depth: ptr(0.0), Health: Dying, Storm: storm},
	}
}

func TestABookGivesBackWhatWasPutIn(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a book? 100% #1.gpkg")
	want := some(t)
	n, err := Add(t.Context(), path, want[:2], noon)
	require.NoError(t, err)
	assert.Equal(t, 2, n)
	n, err = Add(t.Context(), path, want, noon) // again, and two more
	require.NoError(t, err)
	assert.Equal(t, 2, n, "what the book holds already is not counted as evidence twice")
	got, err := Read(t.Context(), path)
	require.NoError(t, err)
	for i := range want {
		want[i].ID = int64(i + 1)
	}
	assert.Equal(t, want, got)
	names, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	assert.Len(t, names, 1, "nothing else is left in the folder")
}

func TestABookThatIsNotThereIsEmpty(t *testing.T) {
	got, err := Read(t.Context(), filepath.Join(t.TempDir(), "none.gpkg"))
	require.NoError(t, err)
	assert.Empty(t, got)
}

func TestNoFolderForABook(t *testing.T) {
	_, err := Add(t.Context(), filepath.Join(t.TempDir(), "none", "book.gpkg"), some(t), noon)
	assert.True(t, fault.IsInput(err))
	assert.ErrorContains(t, err, "there is no folder")
}

// OGC 12-128r18: the application id stands at byte 68 of the file, the version
// at byte 60 (requirement 2), and the tables of requirements 10, 13 and 21 are
// there. Foreign keys hold (requirement 7) and the file is whole (6).
func TestABookIsAGeoPackage(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book.gpkg")
	_, err := Add(t.Context(), path, some(t), noon)
	require.NoError(t, err)
	head, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, "GPKG", string(head[68:72]))
	assert.Equal(t, []byte{0, 0, 0x28, 0x3D}, head[60:64], "10301")

	db, err := sql.Open("sqlite", path)
	require.NoError(t, err)
	defer db.Close()
	one := func(query string) (v any) {
		require.NoError(t, db.QueryRow(query).Scan(&v), query)
		return v
	}
	assert.Equal(t, "ok", one("PRAGMA integrity_check"))
	assert.ErrorIs(t, db.QueryRow("PRAGMA foreign_key_check").Scan(new(any)), sql.ErrNoRows)
	for _, id := range []string{"-1", "0", "4326"} {
		assert.Equal(t, int64(1), one("SELECT count(*) FROM gpkg_spatial_ref_sys WHERE srs_id = "+id), id)
	}
	assert.Equal(t, "features", one("SELECT data_type FROM gpkg_contents WHERE table_name = 'observations'"))
	assert.Equal(t, "2026-03-09T12:00:00.000Z", one("SELECT CAST(last_change AS TEXT) FROM gpkg_contents"))
	assert.Equal(t, []any{-98.9912, 28.02, -98.99, 28.021}, []any{one("SELECT min_x FROM gpkg_contents"), one("SELECT min_y FROM gpkg_contents"), one("SELECT max_x FROM gpkg_contents"), one("SELECT max_y FROM gpkg_contents")})
}

// The point (1, 2) by hand after OGC 12-128r18, table 2.1.3.1.1, and OGC
// 06-103r4, 8.2: magic, version 0, little-endian without envelope, 4326; then
// byte order, type 1, and the two numbers as IEEE 754.
func TestAPointIsWrittenAsTheStandardHasIt(t *testing.T) {
	want := []byte{'G', 'P', 0, 1, 0xE6, 0x10, 0, 0, 1, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0xF0, 0x3F, 0, 0, 0, 0, 0, 0, 0, 0x40}
	got, err := geopackage.Encode(orb.Point{1, 2}, lonLatSRS)
	require.NoError(t, err)
	assert.Equal(t, want, got)
	back, err := decodePoint(want)
	require.NoError(t, err)
	assert.Equal(t, &orb.Point{1, 2}, back)

	bigEndian := []byte{'G', 'P', 0, 0x02, 0, 0, 0x10, 0xE6} // with an envelope of x and y
	bigEndian = append(bigEndian, make([]byte, 32)...)
	bigEndian = append(bigEndian, 0, 0, 0, 0, 1, 0x3F, 0xF0, 0, 0, 0, 0, 0, 0, 0x40, 0, 0, 0, 0, 0, 0, 0)
	back, err = decodePoint(bigEndian)
	require.NoError(t, err)
	assert.Equal(t, &orb.Point{1, 2}, back)

	for _, wrong := range [][]byte{{'G'}, []byte("no geometry"), want[:28], append(want[:8:8], 2, 1), {'G', 'P', 0, 0x0B, 0xE6, 0x10, 0, 0}, {'G', 'P', 0, 1, 1, 1, 0, 0}} {
		_, err := decodePoint(wrong)
		assert.Error(t, err, "%x", wrong)
	}
	empty, err := decodePoint([]byte{'G', 'P', 0, 0x11, 0xE6, 0x10, 0, 0})
	require.NoError(t, err)
	assert.Nil(t, empty)
}

// A book that is cut short at any byte of an addition is as it was or holds
// all: here the journal that a killed addition leaves behind.
func TestAnAdditionCutShortIsTakenBack(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "book.gpkg")
	_, err := Add(t.Context(), path, some(t)[:1], noon)
	require.NoError(t, err)

	db, err := sql.Open("sqlite", path)
	require.NoError(t, err)
	db.SetMaxOpenConns(1)
	tx, err := db.Begin()
	require.NoError(t, err)
	_, err = tx.Exec("PRAGMA cache_size = 1")
	require.NoError(t, err)
	for range 200 { // more than the cache holds, so that pages reach the file
		_, err = tx.Exec("INSERT INTO observations (seen, tree, note) VALUES ('2026-01-01', 'X', ?)", string(make([]byte, 900)))
		require.NoError(t, err)
	}
	killed := filepath.Join(dir, "killed.gpkg")
	whole, err := os.Stat(path)
	require.NoError(t, err)
	require.Greater(t, whole.Size(), int64(100_000), "half of the addition is in the file")
	for _, end := range []string{"", "-journal"} { // what a crash would leave on the disk
		data, err := os.ReadFile(path + end)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(killed+end, data, 0o644))
	}
	require.NoError(t, tx.Rollback())
	require.NoError(t, db.Close())

	got, err := Read(t.Context(), killed)
	require.NoError(t, err)
	assert.Len(t, got, 1)
	n, err := Add(t.Context(), killed, some(t), noon)
	require.NoError(t, err)
	assert.Equal(t, 3, n)
}

func TestAnInterruptedAdditionAddsNothing(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book.gpkg")
	_, err := Add(t.Context(), path, some(t)[:1], noon)
	require.NoError(t, err)
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	stopped, stop := context.WithCancel(t.Context())
	stop()
	_, err = Add(stopped, path, some(t), noon)
	assert.ErrorIs(t, err, context.Canceled)
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, before, after)
}
