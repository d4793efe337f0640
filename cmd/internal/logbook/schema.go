package logbook

import (
	"errors"
	"fmt"
	"math"

	"wetfeet/cmd/internal/geopackage"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/encoding/wkb"
)

// userVersion is GeoPackage 1.3.1: OGC 12-128r18, requirement 2.
const userVersion = 10301

const lonLatSRS = geopackage.LonLat // EPSG code of WGS 84 longitude and latitude

// schema makes the table of observations, beside those of the standard.
const schema = `
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

// decodePoint reads a point as a GeoPackage holds it, whoever wrote it. A missing
// or empty point is nil. It is stricter than [geopackage.Decode]: whatever is no
// point in the plane is refused before it is read.
func decodePoint(b []byte) (*orb.Point, error) {
	if len(b) == 0 {
		return nil, nil
	}
	head, body, err := geopackage.SplitHead(b)
	switch {
	case err != nil:
		return nil, errors.New("is no geometry of a GeoPackage that the standard describes")
	case head.System != lonLatSRS && head.System != 0:
		return nil, fmt.Errorf("is in system %d; longitude and latitude (4326) are needed", head.System)
	case head.Empty:
		return nil, nil
	case len(body) != 21: // a point in the plane: byte order, type, x, y
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
