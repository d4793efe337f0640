// Package overlay writes an assessment as files other programs open: GeoJSON
// points, polygons and lines, and the table of stakes.
//
// GeoJSON follows RFC 7946: WGS 84 longitude and latitude in seven decimals
// (about a centimetre), outer rings counter-clockwise and holes clockwise.
// Every number is SI, with its unit in the name of the property.
package overlay

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"math"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/geojson"
)

// A ToLonLat brings a point of the ground's system to WGS 84 longitude and
// latitude, degrees.
type ToLonLat func(orb.Point) (orb.Point, error)

// A feature is one GeoJSON feature. Properties is a struct, so that its
// members stand in the same order in every feature.
type feature struct {
	Type       string            `json:"type"`
	ID         any               `json:"id,omitempty"`
	Geometry   *geojson.Geometry `json:"geometry"`
	Properties any               `json:"properties"`
}

// writeCollection writes a feature to a line, so that a person can read the
// file and a version control system can compare it.
func writeCollection(w io.Writer, features []feature) error {
	b := bufio.NewWriter(w)
	fmt.Fprint(b, `{"type":"FeatureCollection"`)
	if box, ok := bound(features); ok {
		fmt.Fprintf(b, `,"bbox":[%v,%v,%v,%v]`, box.Min[0], box.Min[1], box.Max[0], box.Max[1])
	}
	fmt.Fprint(b, `,"features":[`)
	for i, f := range features {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteByte('\n')
		f.Type = "Feature"
		text, err := json.Marshal(f)
		if err != nil {
			return fmt.Errorf("feature %v: %w", f.ID, err)
		}
		b.Write(text)
	}
	fmt.Fprint(b, "\n]}\n")
	return b.Flush()
}

func bound(features []feature) (box orb.Bound, ok bool) {
	for _, f := range features {
		b := f.Geometry.Geometry().Bound()
		if !ok {
			box, ok = b, true
		} else {
			box = box.Union(b)
		}
	}
	return box, ok
}

// seven rounds a coordinate to the seventh decimal of a degree.
func seven(p orb.Point) orb.Point {
	return orb.Point{math.Round(p[0]*1e7) / 1e7, math.Round(p[1]*1e7) / 1e7}
}

// points brings a run of points to rounded longitude and latitude.
func points(to ToLonLat, in []orb.Point) ([]orb.Point, error) {
	out := make([]orb.Point, len(in))
	for i, p := range in {
		q, err := to(p)
		if err != nil {
			return nil, err
		}
		out[i] = seven(q)
	}
	return out, nil
}

// polygons brings an outline to longitude and latitude and winds its rings by
// the right-hand rule, which a change of system or of axis may have broken.
func polygons(to ToLonLat, in orb.MultiPolygon) (orb.Geometry, error) {
	out := make(orb.MultiPolygon, 0, len(in))
	for _, poly := range in {
		rings := make(orb.Polygon, 0, len(poly))
		for i, ring := range poly {
			pts, err := points(to, ring)
			if err != nil {
				return nil, err
			}
			r := orb.Ring(pts)
			want := orb.CCW
			if i > 0 {
				want = orb.CW
			}
			if r.Orientation() != want {
				r.Reverse()
			}
			rings = append(rings, r)
		}
		out = append(out, rings)
	}
	if len(out) == 1 {
		return out[0], nil
	}
	return out, nil
}

// rounded is v to so many decimals, or nil where v is not a number.
func rounded(v float64, decimals int) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	p := math.Pow10(decimals)
	v = math.Round(v*p) / p
	if v == 0 {
		v = 0 // no -0
	}
	return &v
}
