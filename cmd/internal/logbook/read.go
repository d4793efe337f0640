package logbook

import (
	"context"
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/geopackage"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

const (
	maxBytes = 64 << 20 // of a book
	maxValue = 1 << 16  // bytes of any value or statement in it
	mostTime = time.Minute
)

// Read is every observation of a book, in the order of their days. A book that
// is not there is an empty one. All mistakes come as one error, marked as the
// fault of an input.
func Read(ctx context.Context, path string) ([]Observation, error) {
	name := filepath.Base(path)
	there, err := look(path)
	if err != nil || !there {
		return nil, err
	}
	if err := rollBack(ctx, path); err != nil {
		return nil, err
	}
	db, conn, done, err := open(ctx, path, "mode=ro")
	if err != nil {
		return nil, broken(name, err)
	}
	defer db.Close()
	defer done()
	if err := trust(conn.ctx, conn.Conn, name); err != nil {
		return nil, err
	}
	return observations(conn.ctx, conn.Conn, name)
}

// look makes sure that path is a file that may be a book, from its first
// bytes.
func look(path string) (there bool, err error) {
	name := filepath.Base(path)
	f, err := os.Open(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return false, nil
	case errors.Is(err, fs.ErrPermission):
		return false, fault.Input(fmt.Errorf("%s may not be read", name))
	case err != nil:
		return false, err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return false, err
	}
	say := func(format string, args ...any) (bool, error) {
		return false, fault.Input(fmt.Errorf("%s: %s; an observation book that wetfeet log made is needed", name, fmt.Sprintf(format, args...)))
	}
	switch {
	case !info.Mode().IsRegular():
		return say("is not a regular file")
	case info.Size() > maxBytes:
		return say("is larger than %d MiB", maxBytes>>20)
	}
	head := make([]byte, 100)
	if n, _ := f.ReadAt(head, 0); n < len(head) || string(head[:16]) != "SQLite format 3\x00" {
		return say("is no GeoPackage")
	}
	if id := binary.BigEndian.Uint32(head[68:]); id != geopackage.ApplicationID {
		return say("is a database, but no GeoPackage: its application id is %#x and not %#x", id, geopackage.ApplicationID)
	}
	if log, err := os.Stat(path + "-wal"); err == nil && log.Size() > 0 {
		return false, fault.Input(fmt.Errorf("%s is open in another program, or was not closed in it: there is %s-wal; close it there and run this again", name, name))
	}
	return true, nil
}

// rollBack takes back an addition that was cut short, as the next one to open
// the book for writing would. Without a trace of one it does nothing.
func rollBack(ctx context.Context, path string) error {
	if _, err := os.Stat(path + "-journal"); err != nil {
		return nil
	}
	db, _, done, err := open(ctx, path, "mode=rw")
	if err != nil {
		return broken(filepath.Base(path), err)
	}
	done()
	return db.Close()
}

// A limited connection with its deadline.
type limited struct {
	*sql.Conn
	ctx context.Context
}

// open is one connection to a book that may have come from anywhere. Functions
// in its schema that touch more than the book are off, and nothing in it may
// be long.
func open(ctx context.Context, path, mode string) (*sql.DB, *limited, func(), error) {
	whole, err := filepath.Abs(path)
	if err != nil {
		return nil, nil, nil, err
	}
	where := (&url.URL{Path: filepath.ToSlash(whole)}).EscapedPath()
	// What a connection is told: https://www.sqlite.org/security.html.
	db, err := sql.Open("sqlite", "file:"+where+"?"+mode+"&_defensive=1&_txlock=immediate&_pragma=trusted_schema(0)&_pragma=cell_size_check(1)&_pragma=mmap_size(0)&_pragma=busy_timeout(5000)")
	if err != nil {
		return nil, nil, nil, err
	}
	db.SetMaxOpenConns(1)
	ctx, cancel := context.WithTimeout(ctx, mostTime)
	conn, err := db.Conn(ctx)
	if err != nil {
		cancel()
		db.Close()
		return nil, nil, nil, err
	}
	done := func() {
		conn.Close()
		cancel()
	}
	for _, l := range [][2]int{
		{sqlite3.SQLITE_LIMIT_LENGTH, maxValue},
		{sqlite3.SQLITE_LIMIT_SQL_LENGTH, maxValue},
		{sqlite3.SQLITE_LIMIT_COLUMN, 200},
		{sqlite3.SQLITE_LIMIT_EXPR_DEPTH, 50},
		{sqlite3.SQLITE_LIMIT_VDBE_OP, 100_000},
		{sqlite3.SQLITE_LIMIT_ATTACHED, 0},
		{sqlite3.SQLITE_LIMIT_TRIGGER_DEPTH, 10},
	} {
		if _, err := sqlite.Limit(conn, l[0], l[1]); err != nil {
			done()
			db.Close()
			return nil, nil, nil, err
		}
	}
	if _, err := conn.ExecContext(ctx, "SELECT count(*) FROM sqlite_schema"); err != nil { // the file is opened for good only now
		done()
		db.Close()
		return nil, nil, nil, err
	}
	return db, &limited{conn, ctx}, done, nil
}

// broken is an error of the database told as what it means for a person: most
// of them are the fault of the file.
func broken(name string, err error) error {
	if e, ok := errors.AsType[*sqlite.Error](err); ok {
		switch e.Code() & 0xff {
		case sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_ERROR, sqlite3.SQLITE_TOOBIG, sqlite3.SQLITE_FORMAT, sqlite3.SQLITE_SCHEMA, sqlite3.SQLITE_CONSTRAINT, sqlite3.SQLITE_MISMATCH:
			return fault.Input(fmt.Errorf("%s: is damaged, or no observation book: %v", name, err))
		case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
			return fault.Input(fmt.Errorf("%s is in use by another program; close it there and run this again", name))
		case sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM:
			return fault.Input(fmt.Errorf("%s, or the folder it lies in, may not be written: %v", name, err))
		}
	}
	if errors.Is(err, context.DeadlineExceeded) {
		return fault.Input(fmt.Errorf("%s: takes longer than %v to read; is this an observation book?", name, mostTime))
	}
	return fmt.Errorf("%s: %w", name, err)
}

// trust makes sure that the tables are those of a book: plain tables, with the
// columns that are needed and none that the file computes.
func trust(ctx context.Context, conn *sql.Conn, name string) error {
	var bad fault.List
	for _, table := range []string{"gpkg_spatial_ref_sys", "gpkg_contents", "gpkg_geometry_columns", "observations"} {
		var n int
		err := conn.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_schema WHERE type = 'table' AND name = ? AND rootpage > 0", table).Scan(&n)
		if err != nil {
			return broken(name, err)
		}
		if n != 1 {
			bad.Add(0, "%s: has no table %s; an observation book that wetfeet log made is needed", name, table)
		}
	}
	if err := bad.Err(); err != nil {
		return err
	}
	rows, err := conn.QueryContext(ctx, "SELECT name, pk, hidden FROM pragma_table_xinfo('observations')")
	if err != nil {
		return broken(name, err)
	}
	defer rows.Close()
	var found []string
	for rows.Next() {
		var column string
		var pk, hidden int
		if err := rows.Scan(&column, &pk, &hidden); err != nil {
			return broken(name, err)
		}
		if hidden != 0 {
			bad.Add(0, "%s: its column %s is computed by the file; only plain columns are read", name, quote(column))
		}
		if pk != 0 && column != "fid" {
			bad.Add(0, "%s: its key is %s and not fid", name, quote(column))
		}
		found = append(found, column)
	}
	if err := rows.Err(); err != nil {
		return broken(name, err)
	}
	for _, column := range slices.Concat([]string{"fid", "geom"}, columns) {
		if !slices.Contains(found, column) {
			bad.Add(0, "%s: its table of observations has no column %s", name, column)
		}
	}
	if err := bad.Err(); err != nil {
		return err
	}
	var n int
	err = conn.QueryRowContext(ctx, "SELECT count(*) FROM gpkg_geometry_columns WHERE table_name = 'observations' AND column_name = 'geom' AND geometry_type_name = 'POINT' AND srs_id = 4326").Scan(&n)
	if err != nil {
		return broken(name, err)
	}
	if n != 1 {
		return fault.Input(fmt.Errorf("%s: its observations are not points in longitude and latitude (EPSG:4326)", name))
	}
	var verdict string
	if err := conn.QueryRowContext(ctx, "PRAGMA quick_check(1)").Scan(&verdict); err != nil {
		return broken(name, err)
	}
	if verdict != "ok" {
		return fault.Input(fmt.Errorf("%s: is damaged: %s", name, strings.ReplaceAll(verdict, "\n", " ")))
	}
	return nil
}

// A querier is a connection, or a transaction on it.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

// observations reads the rows.
func observations(ctx context.Context, conn querier, name string) ([]Observation, error) {
	ask := "SELECT fid, geom"
	for _, c := range columns {
		switch c {
		case "depth_m", "auger_depth_m", "rain_mm", "rain_hours":
			ask += ", " + c
		default: // dates too, which the driver would turn into moments
			ask += ", CAST(" + c + " AS TEXT)"
		}
	}
	rows, err := conn.QueryContext(ctx, ask+" FROM observations ORDER BY fid LIMIT ?", MaxObservations+1)
	if err != nil {
		return nil, broken(name, err)
	}
	defer rows.Close()
	var all []Observation
	var bad fault.List
	for rows.Next() {
		if len(all) == MaxObservations {
			return nil, fault.Input(fmt.Errorf("%s: holds more than %d observations", name, MaxObservations))
		}
		values := make([]any, 2+len(columns))
		into := make([]any, len(values))
		for i := range values {
			into[i] = &values[i]
		}
		if err := rows.Scan(into...); err != nil {
			return nil, broken(name, err)
		}
		o, wrong := row(values)
		if len(wrong) == 0 {
			wrong = o.Check()
		}
		for _, err := range wrong {
			bad.Add(len(all), "%s, observation %d, %w", name, o.ID, err)
		}
		all = append(all, o)
	}
	if err := rows.Err(); err != nil {
		return nil, broken(name, err)
	}
	if err := bad.Err(); err != nil {
		return nil, err
	}
	Sort(all)
	return all, nil
}

// row is an observation from the values of a row, as another program may have
// left them.
func row(values []any) (o Observation, bad []error) {
	fail := func(err error, column string) {
		if err != nil {
			bad = append(bad, fmt.Errorf("%s: %w", column, err))
		}
	}
	o.ID, _ = values[0].(int64)
	switch g := values[1].(type) {
	case nil:
	case []byte:
		at, err := decodePoint(g)
		fail(err, "geom")
		o.At = at
	default:
		fail(errors.New("is no geometry"), "geom")
	}
	text := func(column string) string {
		s, _ := values[2+slices.Index(columns, column)].(string)
		return strings.TrimSpace(s)
	}
	number := func(column string) *float64 {
		switch v := values[2+slices.Index(columns, column)].(type) {
		case nil:
			return nil
		case float64:
			return &v
		case int64:
			f := float64(v)
			return &f
		default:
			fail(fmt.Errorf("found %s; a number is needed", quote(fmt.Sprint(v))), column)
			return nil
		}
	}
	when := func(column string) When {
		day, at := text(column), text(column+"_time")
		if day == "" {
			if at != "" {
				fail(errors.New("is a time without a day"), column+"_time")
			}
			return When{}
		}
		w, err := ParseWhen(strings.TrimSpace(day + " " + at))
		fail(err, column)
		return w
	}
	o.Seen, o.LastWet, o.DriedOut = when("seen"), when("last_wet"), when("dried_out")
	o.Tree, o.Photo, o.Note = text("tree"), text("photo"), text("note")
	o.Depth, o.WaterTable = number("depth_m"), number("auger_depth_m")
	o.Health = Health(strings.ToLower(text("health")))
	o.Storm = Storm{Ended: when("rain_ended"), Rain: or(number("rain_mm"), 0), Hours: or(number("rain_hours"), 0)}
	return o, bad
}

// or is the value, or another where there is none.
func or(v *float64, other float64) float64 {
	if v == nil || math.IsNaN(*v) {
		return other
	}
	return *v
}
