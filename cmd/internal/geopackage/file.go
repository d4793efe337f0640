package geopackage

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"time"

	"github.com/paulmach/orb"
	_ "modernc.org/sqlite" // the driver "sqlite"
)

// ErrNot is wrapped by what Open says of a file that is no GeoPackage.
var ErrNot = errors.New("not a GeoPackage")

// A File is an open GeoPackage. It has one connection; those who want it at
// once wait for each other.
type File struct{ db *sql.DB }

// Create makes a file that has no layers yet. A file of that name must not be
// there, or be empty.
func Create(ctx context.Context, path string) (*File, error) {
	if info, err := os.Stat(path); err == nil && info.Size() > 0 {
		return nil, fmt.Errorf("%s: %w", filepath.Base(path), fs.ErrExist)
	}
	f, err := open(path)
	if err != nil {
		return nil, err
	}
	begin := fmt.Sprintf("PRAGMA page_size = 4096; PRAGMA application_id = %d; PRAGMA user_version = %d;", ApplicationID, version)
	_, err = f.db.ExecContext(ctx, begin)
	if err == nil {
		err = f.Update(ctx, time.Time{}, func(tx *Tx) error {
			if _, err := tx.ExecContext(ctx, Core+schema); err != nil {
				return err
			}
			return tx.AddSystems(Always...)
		})
	}
	if err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return f, nil
}

// Open opens a file that is there, to read and to add to. The error for a file
// that is no GeoPackage wraps [ErrNot].
func Open(ctx context.Context, path string) (*File, error) {
	if _, err := os.Stat(path); err != nil {
		return nil, err
	}
	f, err := open(path)
	if err != nil {
		return nil, err
	}
	var id int64
	err = f.db.QueryRowContext(ctx, "PRAGMA application_id").Scan(&id)
	if err == nil && id != ApplicationID {
		err = errors.New("it is a database of another kind")
	}
	if err != nil {
		return nil, errors.Join(fmt.Errorf("%s: %w: %w", filepath.Base(path), ErrNot, err), f.Close())
	}
	return f, nil
}

func open(path string) (*File, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	// A plain name would end at its first question mark.
	where := url.URL{Scheme: "file", Path: filepath.ToSlash(abs), RawQuery: "_pragma=foreign_keys(1)&_pragma=busy_timeout(5000)&_pragma=trusted_schema(0)"}
	db, err := sql.Open("sqlite", where.String())
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(1)
	return &File{db}, nil
}

// DB is the database, for questions the package has no words for.
func (f *File) DB() *sql.DB { return f.db }

// Close closes the file.
func (f *File) Close() error { return f.db.Close() }

// A Tx is a change of a file that happens whole or not at all.
type Tx struct {
	*sql.Tx
	ctx context.Context
	at  string
}

// Update makes a change and keeps it if it returns no error. At is what the
// contents touched say of when they last changed; zero is 1970, for files that
// must not depend on the clock.
func (f *File) Update(ctx context.Context, at time.Time, change func(*Tx) error) error {
	if at.IsZero() {
		at = time.Unix(0, 0)
	}
	tx, err := f.db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	if err := change(&Tx{tx, ctx, at.UTC().Format("2006-01-02T15:04:05.000Z")}); err != nil {
		return err
	}
	return tx.Commit()
}

// AddSystems adds coordinate systems; those the file has stay as they are.
func (tx *Tx) AddSystems(systems ...System) error {
	for _, s := range systems {
		if _, err := tx.ExecContext(tx.ctx, "INSERT OR IGNORE INTO gpkg_spatial_ref_sys VALUES (?, ?, ?, ?, ?, NULL)",
			s.Name, s.ID, s.Authority, s.Code, s.Definition); err != nil {
			return fmt.Errorf("coordinate system %s: %w", s.Name, err)
		}
	}
	return nil
}

// AddLayer makes an empty layer.
func (tx *Tx) AddLayer(l Layer) error {
	if err := l.check(); err != nil {
		return err
	}
	kind, system := "attributes", any(nil)
	if l.Shape != "" {
		kind, system = "features", l.System
	}
	do := func(query string, args ...any) error {
		if _, err := tx.ExecContext(tx.ctx, query, args...); err != nil {
			return fmt.Errorf("layer %s: %w", l.Name, err)
		}
		return nil
	}
	if err := do(l.table()); err != nil {
		return err
	}
	if err := do("INSERT INTO gpkg_contents (table_name, data_type, identifier, description, last_change, srs_id) VALUES (?, ?, ?, ?, ?, ?)",
		l.Name, kind, l.Title, l.Description, tx.at, system); err != nil {
		return err
	}
	if l.Shape != "" {
		if err := do("INSERT INTO gpkg_geometry_columns VALUES (?, 'geom', ?, ?, 0, 0)", l.Name, l.Shape, l.System); err != nil {
			return err
		}
	}
	for _, c := range l.Columns {
		if c.Description == "" {
			continue
		}
		if err := do("INSERT INTO gpkg_data_columns (table_name, column_name, description) VALUES (?, ?, ?)", l.Name, c.Name, c.Description); err != nil {
			return err
		}
	}
	return nil
}

// A Row is a row of a layer.
type Row struct {
	Shape  orb.Geometry // nil where it has none
	Values []any        // one for each column, in their order; nil, or a nil pointer, is unknown
}

// Insert adds rows to a layer, in their order, and widens what the file says of
// the layer's extent.
func (tx *Tx) Insert(l Layer, rows ...Row) error {
	if err := l.check(); err != nil {
		return err
	}
	add, err := tx.PrepareContext(tx.ctx, l.insert())
	if err != nil {
		return fmt.Errorf("layer %s: %w", l.Name, err)
	}
	defer add.Close()
	var box *orb.Bound
	for i, r := range rows {
		if len(r.Values) != len(l.Columns) {
			return fmt.Errorf("layer %s, row %d: %d values for %d columns", l.Name, i+1, len(r.Values), len(l.Columns))
		}
		args := r.Values
		if l.Shape != "" {
			blob, err := Encode(r.Shape, l.System)
			if err != nil {
				return fmt.Errorf("layer %s, row %d: %w", l.Name, i+1, err)
			}
			args = append([]any{any(blob)}, args...)
			if blob == nil {
				args[0] = nil
			} else if b := r.Shape.Bound(); box == nil {
				box = &b
			} else {
				*box = box.Union(b)
			}
		}
		if _, err := add.ExecContext(tx.ctx, args...); err != nil {
			return fmt.Errorf("layer %s, row %d: %w", l.Name, i+1, err)
		}
	}
	return tx.touch(l.Name, box)
}

// touch says when a layer changed and widens its extent.
func (tx *Tx) touch(layer string, box *orb.Bound) error {
	if _, err := tx.ExecContext(tx.ctx, "UPDATE gpkg_contents SET last_change = ? WHERE table_name = ?", tx.at, layer); err != nil || box == nil {
		return err
	}
	_, err := tx.ExecContext(tx.ctx, `UPDATE gpkg_contents SET
		min_x = min(coalesce(min_x, ?1), ?1), min_y = min(coalesce(min_y, ?2), ?2),
		max_x = max(coalesce(max_x, ?3), ?3), max_y = max(coalesce(max_y, ?4), ?4)
		WHERE table_name = ?5`, box.Min[0], box.Min[1], box.Max[0], box.Max[1], layer)
	return err
}
