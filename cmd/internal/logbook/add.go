package logbook

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/geopackage"
)

// Add puts observations into a book, which is made where it is not there yet:
// all of them, or none. Those that the book holds already are left out, and
// added says how many were not. Changed is the time of the change that the
// book is to bear.
//
// Every observation must have passed its Check; one that has not is a panic.
func Add(ctx context.Context, path string, all []Observation, changed time.Time) (added int, err error) {
	for i := range all {
		if bad := all[i].Check(); len(bad) > 0 {
			panic(fmt.Sprintf("logbook: observation %d to be added: %v", i, errors.Join(bad...)))
		}
	}
	name := filepath.Base(path)
	there, err := look(path)
	if err != nil {
		return 0, err
	}
	if !there {
		if err := create(ctx, path, changed); err != nil {
			return 0, err
		}
	}
	db, conn, done, err := open(ctx, path, "mode=rw")
	if err != nil {
		return 0, broken(name, err)
	}
	defer db.Close()
	defer done()
	if err := trust(conn.ctx, conn.Conn, name); err != nil {
		return 0, err
	}
	if err := conn.plain(name); err != nil {
		return 0, err
	}
	tx, err := conn.BeginTx(conn.ctx, nil)
	if err != nil {
		return 0, broken(name, err)
	}
	defer tx.Rollback()
	held, err := observations(conn.ctx, tx, name)
	if err != nil {
		return 0, err
	}
	known := map[string]bool{}
	for i := range held {
		known[held[i].says()] = true
	}
	for i := range all {
		o := &all[i]
		if known[o.says()] {
			continue
		}
		if len(held) == MaxObservations {
			return 0, fault.Input(fmt.Errorf("%s: would hold more than %d observations; begin another book", name, MaxObservations))
		}
		if err := insert(conn.ctx, tx, o); err != nil {
			return 0, broken(name, err)
		}
		held = append(held, *o)
		known[o.says()] = true
		added++
	}
	if added > 0 {
		if err := bound(conn.ctx, tx, held, changed); err != nil {
			return 0, broken(name, err)
		}
	}
	if err := tx.Commit(); err != nil {
		return 0, broken(name, err)
	}
	return added, nil
}

// plain makes sure that nothing in the file would run when a row is added, but
// for the counter of rows that GDAL keeps.
func (conn *limited) plain(name string) error {
	rows, err := conn.QueryContext(conn.ctx, `SELECT name FROM sqlite_schema WHERE type = 'trigger' AND lower(tbl_name) IN ('observations', 'gpkg_contents', 'gpkg_geometry_columns', 'gpkg_spatial_ref_sys', 'gpkg_ogr_contents')`)
	if err != nil {
		return broken(name, err)
	}
	defer rows.Close()
	var bad fault.List
	for rows.Next() {
		var trigger string
		if err := rows.Scan(&trigger); err != nil {
			return broken(name, err)
		}
		if trigger == "trigger_insert_feature_count_observations" || trigger == "trigger_delete_feature_count_observations" {
			continue
		}
		hint := ""
		if strings.HasPrefix(trigger, "rtree_") {
			hint = " (a spatial index; the GIS that made it can drop it)"
		}
		bad.Add(0, "%s: its trigger %s%s would run when something is added; drop it, or write the book out with --export and begin a new one with --import", name, quote(trigger), hint)
	}
	if err := rows.Err(); err != nil {
		return broken(name, err)
	}
	return bad.Err()
}

// insert adds a row.
func insert(ctx context.Context, tx *sql.Tx, o *Observation) error {
	var geom []byte
	if o.At != nil {
		var err error
		if geom, err = geopackage.Encode(*o.At, lonLatSRS); err != nil {
			return err
		}
	}
	text := func(s string) any {
		if s == "" {
			return nil
		}
		return s
	}
	number := func(v *float64) any {
		if v == nil {
			return nil
		}
		return *v
	}
	positive := func(v float64) any {
		if v == 0 {
			return nil
		}
		return v
	}
	var blob any
	if geom != nil {
		blob = geom
	}
	_, err := tx.ExecContext(ctx, "INSERT INTO observations (geom, "+strings.Join(columns, ", ")+") VALUES (?"+strings.Repeat(", ?", len(columns))+")",
		blob, text(o.Seen.day()), text(o.Seen.time()), text(o.Tree), number(o.Depth), text(o.LastWet.day()), text(o.LastWet.time()), text(o.DriedOut.day()), text(o.DriedOut.time()),
		number(o.WaterTable), text(string(o.Health)), text(o.Storm.Ended.day()), text(o.Storm.Ended.time()), positive(o.Storm.Rain), positive(o.Storm.Hours), text(o.Photo), text(o.Note))
	return err
}

// bound brings the extent and the time of the last change up to date.
func bound(ctx context.Context, tx *sql.Tx, all []Observation, changed time.Time) error {
	var box []any
	for i := range all {
		p := all[i].At
		if p == nil {
			continue
		}
		if box == nil {
			box = []any{p[0], p[1], p[0], p[1]}
			continue
		}
		for k := range 2 {
			box[k] = min(box[k].(float64), p[k])
			box[2+k] = max(box[2+k].(float64), p[k])
		}
	}
	if box == nil {
		box = make([]any, 4)
	}
	_, err := tx.ExecContext(ctx, "UPDATE gpkg_contents SET min_x = ?, min_y = ?, max_x = ?, max_y = ?, last_change = ? WHERE table_name = 'observations'",
		append(box, stamp(changed))...)
	return err
}

// stamp writes a time as the standard has it.
func stamp(t time.Time) string { return t.UTC().Format("2006-01-02T15:04:05.000Z") }

// create makes an empty book. It is made beside its place and moved in whole,
// unless another program was quicker.
func create(ctx context.Context, path string, changed time.Time) error {
	data, err := empty(ctx, changed)
	if err != nil {
		return err
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".wetfeet-log-*")
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fault.Input(fmt.Errorf("there is no folder %s for the book", quote(filepath.Dir(path))))
	case errors.Is(err, fs.ErrPermission):
		return fault.Input(fmt.Errorf("the folder %s may not be written, so no book can be kept there", quote(filepath.Dir(path))))
	case err != nil:
		return err
	}
	defer os.Remove(f.Name())
	_, err = f.Write(data)
	err = errors.Join(err, f.Chmod(0o644), f.Sync(), f.Close())
	if err != nil {
		return err
	}
	err = os.Link(f.Name(), path)
	switch {
	case err == nil, errors.Is(err, fs.ErrExist):
		return nil
	default: // a file system without links
		return os.Rename(f.Name(), path)
	}
}

// empty is the bytes of an empty book.
func empty(ctx context.Context, changed time.Time) ([]byte, error) {
	db, err := sql.Open("sqlite", ":memory:")
	if err != nil {
		return nil, err
	}
	defer db.Close()
	conn, err := db.Conn(ctx)
	if err != nil {
		return nil, err
	}
	defer conn.Close()
	marks := fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = %d;", geopackage.ApplicationID, userVersion)
	if _, err := conn.ExecContext(ctx, marks+geopackage.Core); err != nil {
		return nil, err
	}
	for _, s := range geopackage.Always {
		if _, err := conn.ExecContext(ctx, "INSERT INTO gpkg_spatial_ref_sys VALUES (?, ?, ?, ?, ?, NULL)", s.Name, s.ID, s.Authority, s.Code, s.Definition); err != nil {
			return nil, err
		}
	}
	if _, err := conn.ExecContext(ctx, schema, stamp(changed)); err != nil {
		return nil, err
	}
	var data []byte
	err = conn.Raw(func(driver any) error {
		var err error
		data, err = driver.(interface{ Serialize() ([]byte, error) }).Serialize()
		return err
	})
	return data, err
}
