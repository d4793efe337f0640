package phone

import (
	"math"
	"strings"

	"wetfeet/cmd/internal/assess"
	"wetfeet/species"

	"github.com/paulmach/orb"
)

// A shape is the mark of a risk as areas, in the square from −10 to 10, y up:
// the marks of [wetfeet/cmd/internal/look] with what is drawn on them cut out.
// Rings do not repeat their first point; bodies wind anticlockwise and holes
// clockwise.
type shape struct {
	body  []orb.Point
	holes [][]orb.Point
}

var shapes = map[string]shape{
	species.Low.String():      {body: circle(5.5, 1)},
	species.Moderate.String(): {body: []orb.Point{{0, -9}, {9, 0}, {0, 9}, {-9, 0}}, holes: [][]orb.Point{circle(2.4, -1)}},
	species.High.String():     {body: []orb.Point{{-9.2, -7.4}, {9.2, -7.4}, {0, 9}}},
	species.Severe.String():   {body: []orb.Point{{-8.6, -8.6}, {8.6, -8.6}, {8.6, 8.6}, {-8.6, 8.6}}, holes: [][]orb.Point{cross(5.2, 1.5)}},
	unknown:                   {body: circle(8.6, 1), holes: [][]orb.Point{circle(6, -1)}},
}

// circle is one of 16 corners; sense is 1 for anticlockwise.
func circle(radius, sense float64) []orb.Point {
	const corners = 16
	out := make([]orb.Point, corners)
	for i := range out {
		sin, cos := math.Sincos(sense * 2 * math.Pi * float64(i) / corners)
		out[i] = orb.Point{radius * cos, radius * sin}
	}
	return out
}

// cross is a diagonal cross that reaches to r on both axes and whose arms are
// twice half wide, clockwise.
func cross(r, half float64) []orb.Point {
	d := half * math.Sqrt2 // where two arms meet, from the middle
	e := half / math.Sqrt2
	return []orb.Point{
		{0, d}, {r - e, r + e}, {r + e, r - e},
		{d, 0}, {r + e, -r + e}, {r - e, -r - e},
		{0, -d}, {-r + e, -r - e}, {-r - e, -r + e},
		{-d, 0}, {-r - e, r - e}, {-r + e, r + e},
	}
}

// near brings short steps on the ground to degrees: over the few metres of a
// mark the earth is flat.
type near struct {
	east, north orb.Point // degrees of longitude and latitude a metre
}

// nearTo is that of the middle of the trees that have a place.
func nearTo(r *assess.Result) (near, error) {
	var all orb.MultiPoint
	for i := range r.Trees {
		if known(r.Trees[i].LonLat) {
			all = append(all, r.Trees[i].Point)
		}
	}
	if len(all) == 0 {
		return near{}, nil
	}
	const step = 10 // m
	c := all.Bound().Center()
	var at [3]orb.Point
	for i, p := range [...]orb.Point{c, {c[0] + step, c[1]}, {c[0], c[1] + step}} {
		var err error
		if at[i], err = r.ToLonLat(p); err != nil {
			return near{}, err
		}
	}
	return near{
		orb.Point{(at[1][0] - at[0][0]) / step, (at[1][1] - at[0][1]) / step},
		orb.Point{(at[2][0] - at[0][0]) / step, (at[2][1] - at[0][1]) / step},
	}, nil
}

// ring is the coordinates of a ring of a shape about a place.
func (n near) ring(centre orb.Point, points []orb.Point, radius float64) string {
	parts := make([]string, 0, len(points)+1)
	for i := 0; i <= len(points); i++ {
		p := points[i%len(points)]
		x, y := p[0]*radius/10, p[1]*radius/10
		parts = append(parts, pair(orb.Point{
			centre[0] + float64(x*n.east[0]) + float64(y*n.north[0]),
			centre[1] + float64(x*n.east[1]) + float64(y*n.north[1]),
		}))
	}
	return strings.Join(parts, " ")
}
