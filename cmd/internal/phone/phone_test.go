package phone

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/planting"
	"wetfeet/hydro"
	"wetfeet/species"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// An element is one of a document, with what is in it.
type element struct {
	name     string
	attr     map[string]string
	text     string
	children []*element
}

func parse(t *testing.T, b []byte) *element {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(b))
	root := &element{}
	stack := []*element{root}
	for {
		token, err := d.Token()
		if err == io.EOF {
			return root.children[0]
		}
		require.NoError(t, err)
		top := stack[len(stack)-1]
		switch v := token.(type) {
		case xml.StartElement:
			e := &element{name: v.Name.Local, attr: map[string]string{}}
			for _, a := range v.Attr {
				e.attr[a.Name.Local] = a.Value
			}
			top.children = append(top.children, e)
			stack = append(stack, e)
		case xml.EndElement:
			stack = stack[:len(stack)-1]
		case xml.CharData:
			top.text += string(v)
		}
	}
}

func (e *element) all(name string) []*element {
	var out []*element
	for _, c := range e.children {
		if c.name == name {
			out = append(out, c)
		}
		out = append(out, c.all(name)...)
	}
	return out
}

func (e *element) child(name string) string {
	for _, c := range e.children {
		if c.name == name {
			return c.text
		}
	}
	return ""
}

// inOrder holds every element to what its type may hold, in that order.
func inOrder(t *testing.T, e *element, order map[string]string) {
	t.Helper()
	rule, known := order[e.name]
	if !known {
		assert.Empty(t, e.children, "%s holds text alone", e.name)
		return
	}
	at := 0
	names := strings.Fields(rule)
	for _, c := range e.children {
		k := slices.Index(names, c.name)
		if !assert.GreaterOrEqual(t, k, at, "%s in %s is out of its place or has none", c.name, e.name) {
			return
		}
		at = k
		inOrder(t, c, order)
	}
}

// GPX 1.1 schema (Topografix, 2004), from memory: the types and the order of
// their elements, all of them sequences.
var gpxOrder = map[string]string{
	"gpx":      "metadata wpt rte trk extensions",
	"metadata": "name desc author copyright link time keywords bounds extensions",
	"wpt":      "ele time magvar geoidheight name cmt desc src link sym type fix sat hdop vdop pdop ageofdgpsdata dgpsid extensions",
}

// OGC 07-147r2 (KML 2.2), annex A; the output for the demo was also held to
// the whole schema once, with a schema processor.
var kmlOrder = map[string]string{
	"kml":             "Document",
	"Document":        "name visibility open address phoneNumber Snippet description styleUrl Style StyleMap Region ExtendedData Schema Placemark Folder",
	"Folder":          "name visibility open address phoneNumber Snippet description styleUrl Style Region ExtendedData Placemark Folder",
	"Placemark":       "name visibility open address phoneNumber Snippet description styleUrl Style Region ExtendedData Point LineString Polygon MultiGeometry",
	"Style":           "IconStyle LabelStyle LineStyle PolyStyle BalloonStyle ListStyle",
	"IconStyle":       "color colorMode scale heading Icon hotSpot",
	"LabelStyle":      "color colorMode scale",
	"LineStyle":       "color colorMode width",
	"PolyStyle":       "color colorMode fill outline",
	"Icon":            "href",
	"ExtendedData":    "Data",
	"Data":            "displayName value",
	"MultiGeometry":   "Point Polygon",
	"Point":           "extrude altitudeMode coordinates",
	"LineString":      "extrude tessellate altitudeMode coordinates",
	"Polygon":         "extrude tessellate altitudeMode outerBoundaryIs innerBoundaryIs",
	"outerBoundaryIs": "LinearRing",
	"innerBoundaryIs": "LinearRing",
	"LinearRing":      "extrude tessellate altitudeMode coordinates",
}

// site is a row of one tree of each risk, one of them with a name that no
// document may take for its own, and one that lies nowhere.
func site() *assess.Result {
	fig := &species.Entry{Scientific: "Ficus carica", Common: []string{"fig"}}
	r := &assess.Result{
		Name: "Heron & <Bend>", Invented: true, Drain: &hydro.Drainage{},
		Rows:     []assess.Row{{Name: "A", Line: orb.LineString{{0, 0}, {20, 0}}, Length: 20, Spacing: 2}},
		ToLonLat: func(p orb.Point) (orb.Point, error) { return orb.Point{-99 + p[0]/1e5, 28 + p[1]/1e5}, nil },
	}
	for i := range 6 {
		t := assess.Tree{Position: planting.Position{ID: fmt.Sprintf("A-%d", i+1), Row: "A", Along: float64(2 * i), Point: orb.Point{float64(2 * i), 0}, Species: "fig"}, Entry: fig, OnGround: true, Ground: 96.7521}
		t.LonLat, _ = r.ToLonLat(t.Point)
		t.Risk, t.Advice, t.Why = species.Risk(min(i, 3)), "keep", "Water stands > 5 cm & stays."
		if t.Flagged = i > 1; t.Flagged {
			t.Advice, t.Mound = "raise", 0.25
		}
		r.Rows[0].Trees = append(r.Rows[0].Trees, i)
		r.Trees = append(r.Trees, t)
	}
	r.Trees[1].ID, r.Trees[1].Row, r.Rows[0].Trees = `<"old" pear & co>`, "", []int{0, 2, 3, 4, 5}
	r.Trees[4].OnGround, r.Trees[4].Why = false, ""
	r.Trees[5].LonLat = orb.Point{math.Inf(1), math.Inf(1)}
	return r
}

func TestGPXKeepsToItsSchema(t *testing.T) {
	r := site()
	var b bytes.Buffer
	require.NoError(t, WriteGPX(&b, r))
	root := parse(t, b.Bytes())
	assert.Equal(t, "gpx", root.name)
	assert.Equal(t, map[string]string{"xmlns": "http://www.topografix.com/GPX/1/1", "version": "1.1", "creator": "wetfeet"}, root.attr)
	inOrder(t, root, gpxOrder)

	points := root.all("wpt")
	require.Len(t, points, 5, "the one that lies nowhere is left out")
	for i, p := range points {
		tree := &r.Trees[i]
		assert.Equal(t, tree.ID, p.child("name"))
		for k, name := range []string{"lon", "lat"} {
			v, err := strconv.ParseFloat(p.attr[name], 64)
			require.NoError(t, err)
			assert.InDelta(t, tree.LonLat[k], v, 0.5e-7+1e-12)
		}
		assert.Contains(t, p.child("cmt"), "fig; "+riskOf(tree)+" risk")
		assert.Contains(t, p.child("desc"), "Ficus carica")
		assert.Equal(t, riskOf(tree)+" risk", p.child("type"))
		assert.Equal(t, tree.Flagged && tree.OnGround, strings.Contains(p.child("desc"), "raise by 25 cm"), tree.ID)
	}
	assert.Equal(t, "96.752", points[0].child("ele"))
	assert.Empty(t, points[4].child("ele"))
	assert.Equal(t, "-99.0000000", root.all("bounds")[0].attr["minlon"])
}

func TestKMLKeepsToItsSchema(t *testing.T) {
	r := site()
	var b bytes.Buffer
	require.NoError(t, WriteKML(&b, r))
	root := parse(t, b.Bytes())
	assert.Equal(t, "http://www.opengis.net/kml/2.2", root.attr["xmlns"])
	inOrder(t, root, kmlOrder)
	assert.NotContains(t, b.String(), "href", "nothing is fetched")
	assert.Equal(t, 1, strings.Count(b.String(), "http"), "but for the name of its own schema")

	styles := map[string]*element{}
	for _, s := range root.all("Style") {
		styles["#"+s.attr["id"]] = s
	}
	marks := root.all("Placemark")
	require.Len(t, marks, 6, "five trees and a row")
	for _, m := range marks {
		require.Contains(t, styles, m.child("styleUrl"))
	}
	for _, tree := range r.Trees[:5] {
		k := slices.IndexFunc(marks, func(m *element) bool { return m.child("name") == tree.ID })
		require.GreaterOrEqual(t, k, 0, tree.ID)
		assert.Equal(t, "#"+riskOf(&tree), marks[k].child("styleUrl"))
		assert.Contains(t, marks[k].child("description"), "Ficus carica")
		polygons := marks[k].all("Polygon")
		require.Len(t, polygons, 1)
		for i, ring := range polygons[0].all("coordinates") {
			points := ringOf(t, ring.text)
			assert.True(t, points.Closed())
			want := orb.CCW
			if i > 0 {
				want = orb.CW
			}
			assert.Equal(t, want, points.Orientation(), "RFC 7946 and KML alike wind outer rings anticlockwise")
			assert.LessOrEqual(t, points.Bound().Max[0]-points.Bound().Min[0], 2*0.5/1e5+2e-7, "half a spacing wide at most")
		}
	}
	assert.Equal(t, "ff2e0f6a", styles["#severe"].all("PolyStyle")[0].child("color"), "opacity, blue, green, red of #6a0f2e")
}

func ringOf(t *testing.T, text string) orb.Ring {
	t.Helper()
	var out orb.Ring
	for _, pair := range strings.Fields(text) {
		lon, lat, ok := strings.Cut(pair, ",")
		require.True(t, ok)
		x, err := strconv.ParseFloat(lon, 64)
		require.NoError(t, err)
		y, err := strconv.ParseFloat(lat, 64)
		require.NoError(t, err)
		out = append(out, orb.Point{x, y})
	}
	return out
}

// Every mark of look has its shape here, holes within bodies.
func TestEveryRiskHasAShape(t *testing.T) {
	require.Len(t, shapes, len(look.Symbols()))
	for _, s := range look.Symbols() {
		made, ok := shapes[s.Name]
		require.True(t, ok, s.Name)
		body := orb.Ring(append(slices.Clone(made.body), made.body[0]))
		for _, p := range made.body {
			assert.LessOrEqual(t, max(math.Abs(p[0]), math.Abs(p[1])), 10.0)
		}
		for _, hole := range made.holes {
			for _, p := range hole {
				assert.True(t, inside(body, p), "%s: %v", s.Name, p)
			}
		}
	}
}

// inside counts crossings to the east (Shimrat, M. (1962), Algorithm 112,
// Communications of the ACM 5(8), 434).
func inside(ring orb.Ring, p orb.Point) bool {
	in := false
	for i := 1; i < len(ring); i++ {
		a, b := ring[i-1], ring[i]
		if (a[1] > p[1]) != (b[1] > p[1]) && p[0] < a[0]+(p[1]-a[1])/(b[1]-a[1])*(b[0]-a[0]) {
			in = !in
		}
	}
	return in
}
