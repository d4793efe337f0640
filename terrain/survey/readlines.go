package survey

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"github.com/paulmach/orb"
)

// What a file of lines may hold at most.
const (
	maxLineBytes = 64 << 20
	maxVertices  = 1_000_000
	maxNested    = 8 // collections in collections
)

// LineFile is a file of breaklines, outlines and holes as read.
type LineFile struct {
	Lines          []Breakline // in the order of the file
	Outline, Holes []orb.Ring
	LonLat         bool     // coordinates are longitude, latitude in degrees, not x, y in metres
	CRS            string   // as the file names it in a member of older GeoJSON; mostly empty, and where the coordinates belie it
	Remarks        []string // what was found on the way, one sentence each
}

// ReadLines reads breaklines from GeoJSON (RFC 7946): LineString and
// MultiLineString are lines, Polygon and MultiPolygon of the kind outline are
// the area, and those of the kind hole, house, building, pond or void are cut
// out of it. Points are passed over. The name is for messages.
//
// Heights, m, are the third number of every position of a line or of none, or
// a property z (z_m, z_ft, z_usft): one number for all, or a list with one
// for each vertex. A property error is their standard deviation, m; name and
// kind say what the line is ([KindOf]).
//
// RFC 7946 has longitude and latitude. LonLat is false where a crs member of
// older GeoJSON names another system, or a coordinate is beyond all degrees:
// then they are metres.
//
// At most 64 MiB and 1,000,000 vertices are read. An error that lies in the
// file is a *FileError with all its mistakes and is ErrInput; any other is
// the reader's.
func ReadLines(r io.Reader, name string) (*LineFile, error) {
	in := &lineReading{bad: mistakes{file: name}, LineFile: LineFile{LonLat: true}}
	left := &limited{r: r, left: maxLineBytes}
	data, err := io.ReadAll(left)
	switch {
	case errors.Is(err, errTooLarge):
		in.bad.add(0, "", "the file is larger than %d MiB", maxLineBytes>>20)
		return nil, in.bad.err()
	case err != nil:
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	var top geoObject
	if err := json.Unmarshal(data, &top); err != nil {
		in.syntax(data, err)
		return nil, in.bad.err()
	}
	in.system(top.CRS)
	switch top.Type {
	case "FeatureCollection":
		if top.Features == nil {
			in.bad.add(0, "", "a FeatureCollection without features; a list of lines is needed")
		}
		for i, raw := range top.Features {
			in.feature(raw, i+1)
		}
	default:
		in.feature(data, 0)
	}
	if len(in.Lines)+len(in.Outline)+len(in.Holes) == 0 && len(in.bad.Mistakes) == 0 {
		in.bad.add(0, "", "found no lines and no areas; LineString features are needed")
	}
	if err := in.bad.err(); err != nil {
		return nil, err
	}
	in.degrees()
	return &in.LineFile, nil
}

// A geoObject is any object of GeoJSON with the members that matter here.
type geoObject struct {
	Type        string            `json:"type"`
	Features    []json.RawMessage `json:"features"`
	Geometry    json.RawMessage   `json:"geometry"`
	Geometries  []json.RawMessage `json:"geometries"`
	Coordinates json.RawMessage   `json:"coordinates"`
	Properties  json.RawMessage   `json:"properties"`
	ID          json.RawMessage   `json:"id"`
	CRS         json.RawMessage   `json:"crs"`
}

// strict is a number that null is not: where encoding/json reads null as 0, a
// height nobody took would become sea level.
type strict float64

func (n *strict) UnmarshalJSON(b []byte) error {
	v, err := strconv.ParseFloat(string(b), 64)
	*n = strict(v)
	return err
}

// lineReading is one pass through a file.
type lineReading struct {
	LineFile
	bad      mistakes
	vertices int
	points   int // passed over

	where string // "feature 3", for messages
	props map[string]json.RawMessage
	label string
}

func (in *lineReading) syntax(data []byte, err error) {
	at, what := 0, "this is not GeoJSON: "+strings.ToValidUTF8(err.Error(), "\ufffd")
	if e, ok := errors.AsType[*json.SyntaxError](err); ok {
		at = lineAt(data, e.Offset)
	} else if e, ok := errors.AsType[*json.UnmarshalTypeError](err); ok {
		at, what = lineAt(data, e.Offset), fmt.Sprintf("%s is a JSON %s; GeoJSON has something else there", quote(e.Field), e.Value)
		if e.Field == "" {
			what = "a JSON " + e.Value + "; GeoJSON is an object with a type"
		}
	}
	in.bad.add(at, "", "%s", what)
}

func lineAt(data []byte, offset int64) int {
	return 1 + bytes.Count(data[:min(max(offset, 0), int64(len(data)))], []byte("\n"))
}

// system reads the crs member of GeoJSON before RFC 7946.
func (in *lineReading) system(raw json.RawMessage) {
	var crs struct {
		Properties struct {
			Name string `json:"name"`
		} `json:"properties"`
	}
	if raw == nil || json.Unmarshal(raw, &crs) != nil || crs.Properties.Name == "" {
		return
	}
	in.CRS = shorten(crs.Properties.Name)
	// urn:ogc:def:crs:EPSG::32614 is EPSG:32614 (OGC 07-092r3, 2009).
	if parts := strings.Split(in.CRS, ":"); len(parts) == 7 && strings.EqualFold(strings.Join(parts[:4], ":"), "urn:ogc:def:crs") {
		in.CRS = parts[4] + ":" + parts[6]
	}
	upper := strings.ToUpper(in.CRS)
	in.LonLat = strings.HasSuffix(upper, "CRS84") || strings.HasSuffix(upper, ":4326")
}

func (in *lineReading) wrong(format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	if in.where != "" {
		text = in.where + ": " + text
	}
	in.bad.add(0, "", "%s", text)
}

// feature reads one feature; number 0 is a file of one feature or geometry.
func (in *lineReading) feature(raw json.RawMessage, number int) {
	in.where, in.props, in.label = "", nil, ""
	if number > 0 {
		in.where = fmt.Sprintf("feature %d", number)
	}
	var f geoObject
	if err := json.Unmarshal(raw, &f); err != nil {
		in.wrong("is no feature; an object with a type and a geometry is needed")
		return
	}
	if f.Type != "Feature" {
		if number > 0 {
			in.wrong("its type is %s, not \"Feature\"", quote(f.Type))
			return
		}
		in.geometry(f, 0)
		return
	}
	if f.Properties != nil && json.Unmarshal(f.Properties, &in.props) != nil {
		in.wrong("its properties are no object")
		return
	}
	in.label = in.text("name", "id", "code")
	if in.label == "" && f.ID != nil {
		in.label = strings.Trim(shorten(string(f.ID)), `"`)
	}
	var g geoObject
	if f.Geometry == nil || string(f.Geometry) == "null" {
		in.Remarks = append(in.Remarks, in.where+" has no geometry and was passed over")
		return
	}
	if err := json.Unmarshal(f.Geometry, &g); err != nil {
		in.wrong("its geometry is no object with type and coordinates")
		return
	}
	in.geometry(g, 0)
}

func (in *lineReading) geometry(g geoObject, depth int) {
	switch g.Type {
	case "LineString":
		in.line(g.Coordinates, "")
	case "MultiLineString":
		for i, c := range in.list(g.Coordinates) {
			in.line(c, fmt.Sprintf(", part %d", i+1))
		}
	case "Polygon":
		in.area(g.Coordinates)
	case "MultiPolygon":
		for _, c := range in.list(g.Coordinates) {
			in.area(c)
		}
	case "Point", "MultiPoint":
		in.points++
	case "GeometryCollection":
		if depth == maxNested {
			in.wrong("collections in collections, more than %d deep", maxNested)
			return
		}
		for _, raw := range g.Geometries {
			var member geoObject
			if json.Unmarshal(raw, &member) != nil {
				in.wrong("a member of its collection is no geometry")
				continue
			}
			in.geometry(member, depth+1)
		}
	default:
		in.wrong("its type is %s; LineString, MultiLineString, Polygon or MultiPolygon is needed", quote(g.Type))
	}
}

// list is the members of an array of arrays.
func (in *lineReading) list(raw json.RawMessage) []json.RawMessage {
	var all []json.RawMessage
	if json.Unmarshal(raw, &all) != nil || len(all) == 0 {
		in.wrong("its coordinates are empty or no list")
		return nil
	}
	return all
}

// positions reads a list of positions, with heights where there are some.
func (in *lineReading) positions(raw json.RawMessage, part string, least int) (points []orb.Point, z []float64, ok bool) {
	var all [][]strict
	if json.Unmarshal(raw, &all) != nil {
		in.wrong("its coordinates%s are no list of positions, [x, y] or [x, y, z] each", part)
		return nil, nil, false
	}
	if len(all) < least {
		in.wrong("%d positions%s; at least %d are needed", len(all), part, least)
		return nil, nil, false
	}
	if in.vertices += len(all); in.vertices > maxVertices {
		if in.vertices-len(all) <= maxVertices {
			in.wrong("more than %d vertices; thin the lines, or cut the file in parts", maxVertices)
		}
		return nil, nil, false
	}
	for j, p := range all {
		if len(p) < 2 {
			in.wrong("vertex %d%s has %d numbers; [x, y] or [x, y, z] is needed", j+1, part, len(p))
			return nil, nil, false
		}
		if (len(p) > 2) != (len(all[0]) > 2) {
			in.wrong("vertex %d%s has %d numbers and vertex 1 %d; a height belongs to all vertices or to none", j+1, part, len(p), len(all[0]))
			return nil, nil, false
		}
		if !(math.Abs(float64(p[0])) <= longestDistance && math.Abs(float64(p[1])) <= longestDistance) {
			in.wrong("vertex %d%s is at %v, %v; coordinates between -1e8 and 1e8 are needed", j+1, part, p[0], p[1])
			return nil, nil, false
		}
		points = append(points, orb.Point{float64(p[0]), float64(p[1])})
		if len(p) > 2 {
			z = append(z, float64(p[2]))
		}
	}
	return points, z, true
}

func (in *lineReading) line(raw json.RawMessage, part string) {
	points, z, ok := in.positions(raw, part, 2)
	if !ok {
		return
	}
	z, ok = in.heights(z, len(points), part)
	if !ok {
		return
	}
	limits := spans[height]
	for j, v := range z {
		if !(v >= limits.low && v <= limits.high) {
			in.wrong("vertex %d%s: height %v is not %s", j+1, part, v, limits.what)
			return
		}
	}
	b := Breakline{Name: in.label, Kind: in.kind(), Where: in.bad.file}
	if in.where != "" {
		b.Where += ", " + in.where + part
	}
	if v, found := in.number("error", "error_m"); found {
		if !(v > 0 && v <= 100) {
			in.wrong("error %v is not above 0 and up to 100 m; leave it out where it is not known", v)
			return
		}
		b.Error = v
	}
	for j, p := range points {
		if n := len(b.Line); n > 0 && b.Line[n-1] == p {
			if z != nil && b.Z[n-1] != z[j] {
				in.wrong("vertices %d and %d%s are at one place with heights %v and %v; keep one", j, j+1, part, b.Z[n-1], z[j])
				return
			}
			continue
		}
		b.Line = append(b.Line, p)
		if z != nil {
			b.Z = append(b.Z, z[j])
		}
	}
	if len(b.Line) < 2 {
		in.wrong("all its vertices%s are at one place; a line needs two", part)
		return
	}
	in.Lines = append(in.Lines, b)
}
