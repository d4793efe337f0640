package geopackage

import (
	"fmt"
	"regexp"
	"strings"
)

// A System is a coordinate system of a file.
type System struct {
	ID         int32  // within the file: the authority's own number, or [Own] without one
	Name       string // "WGS 84 / UTM zone 14N"
	Authority  string // "EPSG", or "NONE"
	Code       int32  // the authority's number; [Own] without one
	Definition string // well-known text (OGC 01-009)
}

// Own is the ID and the code of a system that no authority lists.
const Own = 100000

// LonLat is the ID of longitude and latitude on WGS 84, which every file has.
const LonLat = 4326

// Always are the systems that every file must have.
var Always = []System{
	{ID: -1, Name: "Undefined Cartesian SRS", Authority: "NONE", Code: -1, Definition: "undefined"},
	{ID: 0, Name: "Undefined geographic SRS", Authority: "NONE", Code: 0, Definition: "undefined"},
	{ID: LonLat, Name: "WGS 84", Authority: "EPSG", Code: LonLat, Definition: `GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563,AUTHORITY["EPSG","7030"]],AUTHORITY["EPSG","6326"]],PRIMEM["Greenwich",0,AUTHORITY["EPSG","8901"]],UNIT["degree",0.0174532925199433,AUTHORITY["EPSG","9122"]],AXIS["Latitude",NORTH],AXIS["Longitude",EAST],AUTHORITY["EPSG","4326"]]`},
}

// A Layer is a table of a file: of shapes, or of plain rows.
type Layer struct {
	Name        string // of the table: small letters, figures and underscores
	Title       string // what a person reads; unique in the file
	Description string
	Shape       string // POINT, LINESTRING, POLYGON, MULTIPOINT, MULTILINESTRING, MULTIPOLYGON or GEOMETRY; empty for rows without one
	System      int32  // ID of its system
	Columns     []Column
}

// A Column is a column of a layer beside its number (fid) and shape (geom).
type Column struct {
	Name        string // small letters, figures and underscores
	Type        string // BOOLEAN, INTEGER, REAL, TEXT, BLOB, DATE or DATETIME
	Description string // with the unit; may be empty
	Rule        string // what SQLite is to hold it to, such as NOT NULL; may be empty
}

var (
	nameText   = regexp.MustCompile(`^[a-z][a-z0-9_]{0,62}$`)
	shapeText  = regexp.MustCompile(`^((MULTI)?(POINT|LINESTRING|POLYGON)|GEOMETRY)$`)
	columnText = regexp.MustCompile(`^(BOOLEAN|INTEGER|REAL|TEXT|BLOB|DATE|DATETIME)$`)
)

func (l Layer) check() error {
	if !nameText.MatchString(l.Name) || strings.HasPrefix(l.Name, "gpkg_") || strings.HasPrefix(l.Name, "sqlite_") || strings.HasPrefix(l.Name, "rtree_") {
		return fmt.Errorf("layer %q: not a name for a table", l.Name)
	}
	if l.Shape != "" && !shapeText.MatchString(l.Shape) {
		return fmt.Errorf("layer %s: %q is no kind of shape", l.Name, l.Shape)
	}
	for _, c := range l.Columns {
		if !nameText.MatchString(c.Name) || c.Name == "fid" || c.Name == "geom" || !columnText.MatchString(c.Type) {
			return fmt.Errorf("layer %s: column %q %s", l.Name, c.Name, c.Type)
		}
	}
	return nil
}

// table is the statement that makes the table of a layer.
func (l Layer) table() string {
	var b strings.Builder
	fmt.Fprintf(&b, "CREATE TABLE %q (fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL", l.Name)
	if l.Shape != "" {
		fmt.Fprintf(&b, ", geom %s", l.Shape)
	}
	for _, c := range l.Columns {
		fmt.Fprintf(&b, ", %q %s", c.Name, c.Type)
		if c.Rule != "" {
			b.WriteString(" " + c.Rule)
		}
	}
	b.WriteString(")")
	return b.String()
}

// insert is the statement that adds a row to a layer.
func (l Layer) insert() string {
	var names, marks []string
	if l.Shape != "" {
		names, marks = append(names, "geom"), append(marks, "?")
	}
	for _, c := range l.Columns {
		names, marks = append(names, fmt.Sprintf("%q", c.Name)), append(marks, "?")
	}
	return fmt.Sprintf("INSERT INTO %q (%s) VALUES (%s)", l.Name, strings.Join(names, ", "), strings.Join(marks, ", "))
}

// Marks of a GeoPackage in the header of its file.
const (
	ApplicationID = 0x47504B47 // "GPKG"
	version       = 10300      // 1.3.0
)

// Core makes the tables that the standard asks of every file of layers, as its
// annex C writes them (OGC 12-128r18).
const Core = `
CREATE TABLE gpkg_spatial_ref_sys (
	srs_name TEXT NOT NULL,
	srs_id INTEGER NOT NULL PRIMARY KEY,
	organization TEXT NOT NULL,
	organization_coordsys_id INTEGER NOT NULL,
	definition TEXT NOT NULL,
	description TEXT
);
CREATE TABLE gpkg_contents (
	table_name TEXT NOT NULL PRIMARY KEY,
	data_type TEXT NOT NULL,
	identifier TEXT UNIQUE,
	description TEXT DEFAULT '',
	last_change DATETIME NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')),
	min_x DOUBLE,
	min_y DOUBLE,
	max_x DOUBLE,
	max_y DOUBLE,
	srs_id INTEGER,
	CONSTRAINT fk_gc_r_srs_id FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys(srs_id)
);
CREATE TABLE gpkg_geometry_columns (
	table_name TEXT NOT NULL,
	column_name TEXT NOT NULL,
	geometry_type_name TEXT NOT NULL,
	srs_id INTEGER NOT NULL,
	z TINYINT NOT NULL,
	m TINYINT NOT NULL,
	CONSTRAINT pk_geom_cols PRIMARY KEY (table_name, column_name),
	CONSTRAINT uk_gc_table_name UNIQUE (table_name),
	CONSTRAINT fk_gc_tn FOREIGN KEY (table_name) REFERENCES gpkg_contents(table_name),
	CONSTRAINT fk_gc_srs FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys(srs_id)
);
`

// schema makes the tables of columns and their words (extension gpkg_schema),
// which every file of ours has too.
const schema = `
CREATE TABLE gpkg_extensions (
	table_name TEXT,
	column_name TEXT,
	extension_name TEXT NOT NULL,
	definition TEXT NOT NULL,
	scope TEXT NOT NULL,
	CONSTRAINT ge_tce UNIQUE (table_name, column_name, extension_name)
);
CREATE TABLE gpkg_data_columns (
	table_name TEXT NOT NULL,
	column_name TEXT NOT NULL,
	name TEXT,
	title TEXT,
	description TEXT,
	mime_type TEXT,
	constraint_name TEXT,
	CONSTRAINT pk_gdc PRIMARY KEY (table_name, column_name),
	CONSTRAINT gdc_tn UNIQUE (table_name, name)
);
CREATE TABLE gpkg_data_column_constraints (
	constraint_name TEXT NOT NULL,
	constraint_type TEXT NOT NULL,
	value TEXT,
	min NUMERIC,
	min_is_inclusive BOOLEAN,
	max NUMERIC,
	max_is_inclusive BOOLEAN,
	description TEXT,
	CONSTRAINT gdcc_ntv UNIQUE (constraint_name, constraint_type, value)
);
INSERT INTO gpkg_extensions VALUES
	('gpkg_data_columns', NULL, 'gpkg_schema', 'http://www.geopackage.org/spec131/#extension_schema', 'read-write'),
	('gpkg_data_column_constraints', NULL, 'gpkg_schema', 'http://www.geopackage.org/spec131/#extension_schema', 'read-write');
`
