package survey

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/paulmach/orb"
)

// area reads a polygon as an outline or a hole.
func (in *lineReading) area(raw json.RawMessage) {
	kind := strings.ToLower(in.text("kind", "type", "role", "class", "name"))
	outline := containsAny(kind, "outline", "area", "boundary", "site", "field")
	hole := containsAny(kind, "hole", "house", "building", "barn", "shed", "pond", "void", "pool", "tank")
	if outline == hole {
		in.wrong("a polygon of kind %s; \"outline\" is the area to draw, \"house\", \"pond\" or \"hole\" is left out of it", quote(kind))
		return
	}
	for i, c := range in.list(raw) {
		points, _, ok := in.positions(c, fmt.Sprintf(" of ring %d", i+1), 4)
		if !ok {
			return
		}
		if points[0] != points[len(points)-1] {
			in.wrong("ring %d does not end where it begins", i+1)
			return
		}
		switch {
		case outline && i == 0:
			in.Outline = append(in.Outline, points)
		case outline != (i > 0):
			in.Remarks = append(in.Remarks, in.where+" is a hole with a hole in it: that is left out too")
		default:
			in.Holes = append(in.Holes, points)
		}
	}
}

func containsAny(text string, words ...string) bool {
	return slices.ContainsFunc(words, func(w string) bool { return strings.Contains(text, w) })
}

// degrees decides whether the coordinates can be longitude and latitude.
func (in *lineReading) degrees() {
	if in.points > 0 {
		in.Remarks = append(in.Remarks, fmt.Sprintf("%d points among the lines were passed over", in.points))
	}
	if !in.LonLat {
		return
	}
	beyond := func(points []orb.Point) bool {
		return slices.ContainsFunc(points, func(p orb.Point) bool { return math.Abs(p[0]) > 180 || math.Abs(p[1]) > 90 })
	}
	far := slices.ContainsFunc(in.Lines, func(b Breakline) bool { return beyond(b.Line) })
	for _, r := range slices.Concat(in.Outline, in.Holes) {
		far = far || beyond(r)
	}
	if far {
		in.LonLat, in.CRS = false, ""
		in.Remarks = append(in.Remarks, "coordinates are beyond longitude and latitude, which GeoJSON has by RFC 7946: they are taken as metres in the system of the shots")
	}
}
