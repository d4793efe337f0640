package phone

import (
	"encoding/xml"
	"fmt"
	"image/color"
	"io"
	"math"
	"strings"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/look"
	"wetfeet/hydro"
	"wetfeet/species"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
)

// The elements stand in the order the schema asks for.
type kml struct {
	XMLName  xml.Name `xml:"http://www.opengis.net/kml/2.2 kml"`
	Document document `xml:"Document"`
}

type document struct {
	Name        string   `xml:"name"`
	Open        int      `xml:"open"`
	Description string   `xml:"description"`
	Styles      []style  `xml:"Style"`
	Folders     []folder `xml:"Folder"`
}

type folder struct {
	Name        string      `xml:"name"`
	Description string      `xml:"description,omitempty"`
	Placemarks  []placemark `xml:"Placemark"`
}

type style struct {
	ID    string     `xml:"id,attr"`
	Icon  *iconStyle `xml:"IconStyle"`
	Label *iconStyle `xml:"LabelStyle"`
	Line  lineStyle  `xml:"LineStyle"`
	Poly  *polyStyle `xml:"PolyStyle"`
}

type iconStyle struct {
	Color string   `xml:"color"`
	Scale float64  `xml:"scale"`
	Icon  *noImage `xml:"Icon"`
}

// noImage is an icon without a picture: a reader draws none, or its own in the
// colour asked for.
type noImage struct{}

type lineStyle struct {
	Color string  `xml:"color"`
	Width float64 `xml:"width"`
}

type polyStyle struct {
	Color string `xml:"color"`
}

type placemark struct {
	ID          string    `xml:"id,attr,omitempty"`
	Name        string    `xml:"name"`
	Snippet     string    `xml:"Snippet,omitempty"`
	Description string    `xml:"description,omitempty"`
	StyleURL    string    `xml:"styleUrl"`
	Data        *[]datum  `xml:"ExtendedData>Data"`
	Multi       *multi    `xml:"MultiGeometry"`
	Line        *kmlLine  `xml:"LineString"`
	Point       *kmlPoint `xml:"Point"`
}

type datum struct {
	Name    string `xml:"name,attr"`
	Display string `xml:"displayName"`
	Value   string `xml:"value"`
}

type multi struct {
	Points   []kmlPoint   `xml:"Point"`
	Polygons []kmlPolygon `xml:"Polygon"`
}

type kmlPoint struct {
	Coordinates string `xml:"coordinates"`
}

type kmlLine struct {
	Tessellate  int    `xml:"tessellate"`
	Coordinates string `xml:"coordinates"`
}

type kmlPolygon struct {
	Tessellate int       `xml:"tessellate"`
	Outer      kmlRing   `xml:"outerBoundaryIs>LinearRing"`
	Inner      []kmlHole `xml:"innerBoundaryIs"`
}

type kmlHole struct {
	Ring kmlRing `xml:"LinearRing"`
}

type kmlRing struct {
	Coordinates string `xml:"coordinates"`
}

// WriteKML writes the risk of every tree as KML 2.2: the trees of each row in a
// folder, then rows and full hollows. Styles are within; nothing is fetched
// from anywhere.
func WriteKML(w io.Writer, r *assess.Result) error {
	at, err := nearTo(r)
	if err != nil {
		return err
	}
	doc := document{Name: title(r) + ": risk of wet feet", Open: 1, Description: r.Lead() + " " + legend() + " " + caution, Styles: styles()}
	if len(r.Trees) > mostTrees {
		doc.Description += fmt.Sprintf(" Of %d trees only the flagged are here: more would be too many for a telephone.", len(r.Trees))
	}
	doc.Folders = trees(r, at)
	rows, err := rows(r)
	if err != nil {
		return err
	}
	hollows, err := hollows(r)
	if err != nil {
		return err
	}
	for _, f := range []folder{rows, hollows} {
		if len(f.Placemarks) > 0 {
			doc.Folders = append(doc.Folders, f)
		}
	}
	return write(w, kml{Document: doc})
}

func legend() string {
	var parts []string
	for _, s := range look.Symbols() {
		parts = append(parts, s.Name+": "+s.Shape)
	}
	return "Risk by shape and colour: " + strings.Join(parts, "; ") + "."
}

// abgr is a colour as KML has it: opacity, blue, green, red.
func abgr(c color.RGBA, opacity uint8) string {
	return fmt.Sprintf("%02x%02x%02x%02x", opacity, c.B, c.G, c.R)
}

const opaque = 0xff

func styles() []style {
	var out []style
	for _, s := range look.Symbols() {
		out = append(out, style{
			ID:    s.Name,
			Icon:  &iconStyle{abgr(s.Fill, opaque), 0.6, &noImage{}},
			Label: &iconStyle{Color: abgr(look.Paper, opaque), Scale: 0.8},
			Line:  lineStyle{abgr(s.Ink, opaque), 2},
			Poly:  &polyStyle{abgr(s.Fill, opaque)},
		})
	}
	deep := look.Depths(quantity.Metric)[1].Fill
	return append(out,
		style{ID: "row", Line: lineStyle{abgr(look.RowLine, opaque), 2}},
		style{ID: "hollow", Icon: &iconStyle{abgr(look.Shore, opaque), 0.6, &noImage{}}, Label: &iconStyle{Color: abgr(deep, opaque), Scale: 0.8}, Line: lineStyle{abgr(look.Shore, opaque), 2}, Poly: &polyStyle{abgr(deep, 0xa0)}},
	)
}

// mostTrees are shown one by one; beyond that only flagged ones are.
const mostTrees = 20_000

func shown(r *assess.Result, i int) bool {
	t := &r.Trees[i]
	return known(t.LonLat) && (t.Flagged || len(r.Trees) <= mostTrees)
}

// trees are a folder for each row, then one for the single positions.
func trees(r *assess.Result, at near) []folder {
	var out []folder
	in := make([]bool, len(r.Trees))
	radius := markRadius(r)
	for _, row := range r.Rows {
		f := folder{Name: "Row " + row.Name, Description: fmt.Sprintf("%s long, from its start.", quantity.FormatLength(row.Length, r.Units))}
		for _, i := range row.Trees {
			in[i] = true
			if shown(r, i) {
				f.Placemarks = append(f.Placemarks, tree(r, &r.Trees[i], at, radius))
			}
		}
		if len(f.Placemarks) > 0 {
			out = append(out, f)
		}
	}
	single := folder{Name: "Single positions"}
	for i := range r.Trees {
		if !in[i] && shown(r, i) {
			single.Placemarks = append(single.Placemarks, tree(r, &r.Trees[i], at, radius))
		}
	}
	if len(single.Placemarks) > 0 {
		out = append(out, single)
	}
	return out
}

func tree(r *assess.Result, t *assess.Tree, at near, radius float64) placemark {
	risk := riskOf(t)
	s := shapes[risk]
	data := []datum{{"risk", "Risk", risk}, {"plant", "Plant", plant(t)}}
	if t.Entry != nil {
		data = append(data, datum{"species", "Species", t.Entry.Scientific})
	}
	if t.Row != "" {
		data = append(data, datum{"along_m", "From the row's start, m", metres(t.Along, 3)})
	}
	if h := t.MoundToBuild(); h > 0 {
		data = append(data, datum{"mound_m", "Mound, m", metres(h, 2)})
	}
	if t.OnGround && t.Draws != nil {
		data = append(data, datum{"odds_of_loss", "Odds of its loss", species.InTen(t.Odds)})
	}
	polygon := kmlPolygon{Tessellate: 1, Outer: kmlRing{at.ring(t.LonLat, s.body, radius)}}
	for _, hole := range s.holes {
		polygon.Inner = append(polygon.Inner, kmlHole{kmlRing{at.ring(t.LonLat, hole, radius)}})
	}
	return placemark{
		Name: t.ID, Snippet: short(r, t), Description: long(r, t), StyleURL: "#" + risk, Data: &data,
		Multi: &multi{Points: []kmlPoint{{pair(t.LonLat)}}, Polygons: []kmlPolygon{polygon}},
	}
}

func rows(r *assess.Result) (folder, error) {
	f := folder{Name: "Rows"}
	for _, row := range r.Rows {
		line, err := coordinates(r, row.Line)
		if err != nil {
			return folder{}, fmt.Errorf("row %s: %w", row.Name, err)
		}
		f.Placemarks = append(f.Placemarks, placemark{Name: "Row " + row.Name, StyleURL: "#row", Line: &kmlLine{1, line}})
	}
	return f, nil
}

// hollows are those that lie in no other, full to the brim.
func hollows(r *assess.Result) (folder, error) {
	f := folder{Name: "Hollows, full"}
	hs := r.Drain.Hollows
	if hs == nil {
		return f, nil
	}
	sure := r.Sureties()
	for i := range hs.All {
		h := &hs.All[i]
		if h.Parent != hydro.Outside {
			continue
		}
		m := &multi{}
		for _, area := range hs.Outline(i) {
			p := kmlPolygon{Tessellate: 1}
			for k, ring := range area {
				text, err := coordinates(r, orb.LineString(ring))
				if err != nil {
					return folder{}, fmt.Errorf("hollow %d: %w", h.ID, err)
				}
				if k == 0 {
					p.Outer.Coordinates = text
				} else {
					p.Inner = append(p.Inner, kmlHole{kmlRing{text}})
				}
			}
			m.Polygons = append(m.Polygons, p)
		}
		floor, err := coordinates(r, orb.LineString{hs.Centre(hs.Cell(h.FloorCell))})
		if err != nil {
			return folder{}, fmt.Errorf("hollow %d: %w", h.ID, err)
		}
		m.Points = []kmlPoint{{floor}}
		f.Placemarks = append(f.Placemarks, placemark{
			Name:        fmt.Sprintf("Hollow %d", h.ID),
			Description: describe(r, h, sure, i),
			StyleURL:    "#hollow", Multi: m,
		})
	}
	return f, nil
}

// describe says of a hollow how deep it is, what it holds and how surely.
func describe(r *assess.Result, h *hydro.Hollow, sure []assess.Surety, i int) string {
	depth := quantity.FormatDepth(h.Depth(), r.Units)
	if sure == nil {
		return fmt.Sprintf("Full, it is %s deep and holds %s.", depth, quantity.FormatVolume(h.Volume, r.Units))
	}
	s := &sure[i]
	return fmt.Sprintf("Full, it is likely %s deep. It is expected to hold %s; eight times in ten it holds %s. That there is such a hollow: %s.",
		depth, quantity.FormatVolume(s.Expected, r.Units), assess.VolumeSpan(s.Volume, r.Units), species.InTen(s.Real))
}

func pair(p orb.Point) string { return degrees(p[0]) + "," + degrees(p[1]) }

func coordinates(r *assess.Result, line orb.LineString) (string, error) {
	parts := make([]string, len(line))
	for i, q := range line {
		p, err := r.ToLonLat(q)
		if err != nil {
			return "", err
		}
		parts[i] = pair(p)
	}
	return strings.Join(parts, " "), nil
}

// markRadius is half the side of a mark, m: a quarter of how far trees stand
// apart, as far as it stays between a hand and a stride.
func markRadius(r *assess.Result) float64 {
	apart := math.Inf(1)
	for _, row := range r.Rows {
		apart = min(apart, row.Spacing)
	}
	if math.IsInf(apart, 1) {
		apart = 4
	}
	return min(max(apart/4, 0.25), 1.5)
}
