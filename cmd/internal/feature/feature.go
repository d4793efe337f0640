// Package feature reads GeoJSON (RFC 7946) without believing it: a short or
// empty array of coordinates, a null, a missing list of features is a mistake
// that is told, where general readers fill in zeros and so move a tree to the
// Gulf of Guinea.
//
// # Units
//
// Coordinates are WGS 84 longitude and latitude in degrees, as the standard
// has it. A third number, the height, is not used.
//
// # Limits
//
// A file is at most 64 MiB and holds at most 1,000,000 features.
package feature

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"wetfeet/cmd/internal/fault"

	"github.com/paulmach/orb"
)

const (
	maxBytes    = 64 << 20
	maxFeatures = 1_000_000
)

// A Feature is one feature of a file: a geometry of one kind with its
// properties.
type Feature struct {
	Number      int    // as the file lists them, from 1; 0 for a geometry that stands alone
	ID          string // the member of that name, text or number; empty if it has none
	Kind        string // "Point", "Polygon" and so on
	Coordinates json.RawMessage
	Properties  map[string]any // numbers are json.Number
}

// Where names the feature for messages: "trees.geojson, feature 3".
func (f Feature) Where(name string) string {
	if f.Number == 0 {
		return name
	}
	return fmt.Sprintf("%s, feature %d", name, f.Number)
}

// Text is a property that is text or a number; ok is false if there is none
// of that name or it is of another kind.
func (f Feature) Text(property string) (text string, ok bool) {
	switch v := f.Properties[property].(type) {
	case string:
		return strings.TrimSpace(v), true
	case json.Number:
		return v.String(), true
	}
	return "", false
}

// object is whatever a GeoJSON object may have, none of it trusted.
type object struct {
	Type        string          `json:"type"`
	ID          json.RawMessage `json:"id"`
	CRS         json.RawMessage `json:"crs"`
	Features    json.RawMessage `json:"features"`
	Geometry    json.RawMessage `json:"geometry"`
	Properties  json.RawMessage `json:"properties"`
	Coordinates json.RawMessage `json:"coordinates"`
}

var geometries = []string{"Point", "MultiPoint", "LineString", "MultiLineString", "Polygon", "MultiPolygon"}

// Read reads a FeatureCollection, a Feature or a bare geometry. Name is for
// messages. What is wrong goes on the list; an error is the reader's own. A
// member "crs", which an earlier draft of the standard had, is not obeyed, and
// the remarks say so.
func Read(r io.Reader, name string, bad *fault.List) (features []Feature, remarks []string, err error) {
	data, err := io.ReadAll(io.LimitReader(r, maxBytes+1))
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", name, err)
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	switch {
	case len(data) > maxBytes:
		bad.Add(0, "%s: the file is larger than %d MiB", name, maxBytes>>20)
		return nil, nil, nil
	case len(bytes.TrimSpace(data)) == 0:
		bad.Add(0, "%s: the file is empty; a GeoJSON FeatureCollection is needed", name)
		return nil, nil, nil
	}
	var whole object
	if err := json.Unmarshal(data, &whole); err != nil {
		bad.Add(0, "%s%s: not GeoJSON: %s", name, place(data, err), reason(err))
		return nil, nil, nil
	}
	if len(whole.CRS) > 0 && !bytes.Contains(whole.CRS, []byte("CRS84")) && !bytes.Contains(whole.CRS, []byte("4326")) {
		remarks = append(remarks, name+": its \"crs\" member is not obeyed; coordinates are read as WGS 84 longitude and latitude, as RFC 7946 has it")
	}
	switch {
	case whole.Type == "FeatureCollection":
		features = collection(whole, name, bad)
	case whole.Type == "Feature":
		if f, ok := single(whole, 1, name, bad); ok {
			features = append(features, f)
		}
	case slices.Contains(geometries, whole.Type):
		features = append(features, Feature{Kind: whole.Type, Coordinates: whole.Coordinates})
	case whole.Type == "":
		bad.Add(0, "%s: found no \"type\"; a GeoJSON FeatureCollection is needed", name)
	default:
		bad.Add(0, "%s: found type %s; a GeoJSON FeatureCollection is needed", name, quote(whole.Type))
	}
	return features, remarks, nil
}

func collection(whole object, name string, bad *fault.List) []Feature {
	var list []json.RawMessage
	if err := json.Unmarshal(whole.Features, &list); len(whole.Features) == 0 || err != nil || list == nil {
		bad.Add(0, "%s: its FeatureCollection has no list of \"features\"", name)
		return nil
	}
	if len(list) > maxFeatures {
		bad.Add(0, "%s: holds %d features; at most %d are read", name, len(list), maxFeatures)
		return nil
	}
	features := make([]Feature, 0, len(list))
	for i, raw := range list {
		var o object
		if err := json.Unmarshal(raw, &o); err != nil || o.Type != "Feature" {
			bad.Add(i+1, "%s, feature %d: is not a GeoJSON Feature", name, i+1)
			continue
		}
		if f, ok := single(o, i+1, name, bad); ok {
			features = append(features, f)
		}
	}
	return features
}

func single(o object, number int, name string, bad *fault.List) (Feature, bool) {
	f := Feature{Number: number}
	var g object
	if err := json.Unmarshal(o.Geometry, &g); len(o.Geometry) == 0 || err != nil || g.Type == "" {
		bad.Add(number, "%s: has no geometry", f.Where(name))
		return f, false
	}
	if !slices.Contains(geometries, g.Type) {
		bad.Add(number, "%s: found geometry %s, which is not one that can be used", f.Where(name), quote(g.Type))
		return f, false
	}
	f.Kind, f.Coordinates = g.Type, g.Coordinates
	if len(o.Properties) > 0 {
		d := json.NewDecoder(bytes.NewReader(o.Properties))
		d.UseNumber()
		if err := d.Decode(&f.Properties); err != nil {
			bad.Add(number, "%s: its properties are not a JSON object", f.Where(name))
			return f, false
		}
	}
	var id any
	d := json.NewDecoder(bytes.NewReader(o.ID))
	d.UseNumber()
	if d.Decode(&id) == nil {
		switch v := id.(type) {
		case string:
			f.ID = strings.TrimSpace(v)
		case json.Number:
			f.ID = v.String()
		}
	}
	return f, true
}

// Point reads the coordinates of a Point.
func (f Feature) Point() (orb.Point, error) {
	var raw []*float64
	if json.Unmarshal(f.Coordinates, &raw) != nil {
		return orb.Point{}, errors.New("coordinates are not a list of numbers; [longitude, latitude] is needed")
	}
	return position(raw)
}

// Polygons reads the coordinates of a Polygon or a MultiPolygon. Rings come
// as they are: closing them and winding them is the caller's.
func (f Feature) Polygons() (orb.MultiPolygon, error) {
	var raw [][][][]*float64
	var err error
	if f.Kind == "Polygon" {
		raw = make([][][][]*float64, 1)
		err = json.Unmarshal(f.Coordinates, &raw[0])
	} else {
		err = json.Unmarshal(f.Coordinates, &raw)
	}
	if err != nil || len(raw) == 0 {
		return nil, fmt.Errorf("coordinates are not those of a %s", f.Kind)
	}
	var polygons orb.MultiPolygon
	for _, rings := range raw {
		if len(rings) == 0 {
			return nil, errors.New("a polygon has no rings")
		}
		var polygon orb.Polygon
		for _, points := range rings {
			ring := make(orb.Ring, 0, len(points))
			for i, p := range points {
				at, err := position(p)
				if err != nil {
					return nil, fmt.Errorf("ring %d, position %d: %w", len(polygon)+1, i+1, err)
				}
				ring = append(ring, at)
			}
			polygon = append(polygon, ring)
		}
		polygons = append(polygons, polygon)
	}
	return polygons, nil
}

// position checks one pair of numbers.
func position(raw []*float64) (orb.Point, error) {
	if len(raw) < 2 || raw[0] == nil || raw[1] == nil {
		return orb.Point{}, errors.New("a position lacks numbers; [longitude, latitude] is needed")
	}
	p := orb.Point{*raw[0], *raw[1]}
	return p, CheckLonLat(p)
}

// CheckLonLat says what is wrong with a point taken as longitude and
// latitude.
func CheckLonLat(p orb.Point) error {
	switch {
	case !(p[0] >= -180 && p[0] <= 180):
		return fmt.Errorf("%s is not a longitude, -180 to 180 degrees", number(p[0]))
	case !(p[1] >= -90 && p[1] <= 90):
		return fmt.Errorf("%s is not a latitude, -90 to 90 degrees", number(p[1]))
	}
	return nil
}

func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// place is the line and column of a JSON error, as an editor counts.
func place(data []byte, err error) string {
	var offset int64
	if syntax, ok := errors.AsType[*json.SyntaxError](err); ok {
		offset = syntax.Offset
	} else if kind, ok := errors.AsType[*json.UnmarshalTypeError](err); ok {
		offset = kind.Offset
	} else {
		return ""
	}
	before := data[:min(max(offset-1, 0), int64(len(data)))]
	line := 1 + bytes.Count(before, []byte("\n"))
	column := len(before) - bytes.LastIndexByte(before, '\n')
	return fmt.Sprintf(", line %d, column %d", line, column)
}

func reason(err error) string {
	if _, ok := errors.AsType[*json.UnmarshalTypeError](err); ok {
		return "a GeoJSON FeatureCollection is needed"
	}
	return err.Error()
}

// quote shows a word of the file, short and on one line.
func quote(s string) string {
	if len(s) > 40 {
		s = strings.ToValidUTF8(s[:40], "") + "…"
	}
	return strconv.Quote(s)
}
