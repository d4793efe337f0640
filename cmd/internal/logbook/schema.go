package logbook

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/encoding/wkb"
)

// What stands in the head of the file: OGC 12-128r18, requirement 2.
const (
	applicationID = 0x47504B47 // "GPKG"
	userVersion   = 10301      // GeoPackage 1.3.1
)

const lonLatSRS = 4326 // EPSG code of WGS 84 longitude and latitude

// schema makes an empty book: the tables that the standard asks for, as its
// annex C writes them, and the table of observations.
const schema = `
PRAGMA application_id = 1196444487;
PRAGMA user_version = 10301;

CREATE TABLE gpkg_spatial_ref_sys (
	srs_name TEXT NOT NULL,
	srs_id INTEGER PRIMARY KEY,
	organization TEXT NOT NULL,
	organization_coordsys_id INTEGER NOT NULL,
	definition TEXT NOT NULL,
	description TEXT
);
INSERT INTO gpkg_spatial_ref_sys VALUES
	('Undefined cartesian SRS', -1, 'NONE', -1, 'undefined', 'undefined cartesian coordinate reference system'),
	('Undefined geographic SRS', 0, 'NONE', 0, 'undefined', 'undefined geographic coordinate reference system'),
	('WGS 84 geodetic', 4326, 'EPSG', 4326, 'GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563,AUTHORITY["EPSG","7030"]],AUTHORITY["EPSG","6326"]],PRIMEM["Greenwich",0,AUTHORITY["EPSG","8901"]],UNIT["degree",0.0174532925199433,AUTHORITY["EPSG","9122"]],AXIS["Latitude",NORTH],AXIS["Longitude",EAST],AUTHORITY["EPSG","4326"]]', 'longitude and latitude in degrees on the WGS 84 spheroid');

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
	CONSTRAINT fk_gc_srs FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys (srs_id)
);

CREATE TABLE observations (
	fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
	geom POINT,
	seen DATE,
	seen_time TEXT(5),
	tree TEXT(200),
	depth_m DOUBLE,
	last_wet DATE,
	last_wet_time TEXT(5),
	dried_out DATE,
	dried_out_time TEXT(5),
	auger_depth_m DOUBLE,
	health TEXT(8),
	rain_ended DATE,
	rain_ended_time TEXT(5),
	rain_mm DOUBLE,
	rain_hours DOUBLE,
	photo TEXT(200),
	note TEXT(1000)
);
INSERT INTO gpkg_contents (table_name, data_type, identifier, description, last_change, srs_id) VALUES
	('observations', 'features', 'observations', 'what was seen at a site after a storm', ?, 4326);
INSERT INTO gpkg_geometry_columns VALUES ('observations', 'geom', 'POINT', 4326, 0, 0);
`

// columns are those of the table that a reader asks for, after fid and geom.
var columns = []string{
	"seen", "seen_time", "tree", "depth_m", "last_wet", "last_wet_time", "dried_out", "dried_out_time",
	"auger_depth_m", "health", "rain_ended", "rain_ended_time", "rain_mm", "rain_hours", "photo", "note",
}

// encodePoint is a point as a GeoPackage holds it, OGC 12-128r18, 2.1.3: a head
// of eight bytes, without an envelope, and well-known binary.
func encodePoint(p orb.Point) ([]byte, error) {
	head := []byte{'G', 'P', 0, 1, 0, 0, 0, 0} // version 1 is written 0; little-endian
	binary.LittleEndian.PutUint32(head[4:], lonLatSRS)
	body, err := wkb.Marshal(p, binary.LittleEndian)
	return append(head, body...), err
}

// decodePoint reads what encodePoint wrote, or another program did. A missing
// or empty point is nil.
func decodePoint(b []byte) (*orb.Point, error) {
	if len(b) == 0 {
		return nil, nil
	}
	if len(b) < 8 || b[0] != 'G' || b[1] != 'P' || b[2] != 0 {
		return nil, errors.New("is no geometry of a GeoPackage")
	}
	flags := b[3]
	var order binary.ByteOrder = binary.BigEndian
	if flags&1 != 0 {
		order = binary.LittleEndian
	}
	if srs := int32(order.Uint32(b[4:])); srs != lonLatSRS && srs != 0 {
		return nil, fmt.Errorf("is in system %d; longitude and latitude (4326) are needed", srs)
	}
	envelope := []int{0, 32, 48, 48, 64}
	kind := int(flags >> 1 & 7)
	if kind >= len(envelope) || flags&0x20 != 0 || len(b) < 8+envelope[kind] {
		return nil, errors.New("is no geometry of a GeoPackage that the standard describes")
	}
	if flags&0x10 != 0 {
		return nil, nil // empty
	}
	body := b[8+envelope[kind]:]
	if len(body) != 21 { // a point in the plane: byte order, type, x, y
		return nil, errors.New("is not a point in the plane")
	}
	g, err := wkb.Unmarshal(body)
	p, ok := g.(orb.Point)
	if err != nil || !ok {
		return nil, errors.New("is not a point")
	}
	if math.IsNaN(p[0]) && math.IsNaN(p[1]) {
		return nil, nil // the empty point of well-known binary
	}
	return &p, nil
}
