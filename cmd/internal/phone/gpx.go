package phone

import (
	"encoding/xml"
	"io"

	"wetfeet/cmd/internal/assess"

	"github.com/paulmach/orb"
)

// The elements stand in the order the schema asks for.
type gpx struct {
	XMLName   xml.Name    `xml:"http://www.topografix.com/GPX/1/1 gpx"`
	Version   string      `xml:"version,attr"`
	Creator   string      `xml:"creator,attr"`
	Metadata  gpxMetadata `xml:"metadata"`
	Waypoints []waypoint  `xml:"wpt"`
}

type gpxMetadata struct {
	Name   string     `xml:"name"`
	Desc   string     `xml:"desc"`
	Bounds *gpxBounds `xml:"bounds"`
}

type gpxBounds struct {
	MinLat string `xml:"minlat,attr"`
	MinLon string `xml:"minlon,attr"`
	MaxLat string `xml:"maxlat,attr"`
	MaxLon string `xml:"maxlon,attr"`
}

type waypoint struct {
	Lat  string `xml:"lat,attr"`
	Lon  string `xml:"lon,attr"`
	Ele  string `xml:"ele,omitempty"` // m
	Name string `xml:"name"`
	Cmt  string `xml:"cmt"`
	Desc string `xml:"desc"`
	Type string `xml:"type"`
}

// WriteGPX writes the stakes as GPX 1.1 waypoints in planting order: the name
// of the stake, its plant, risk and what to do, the ground's level where it is
// known. There is no time in it: the same result gives the same bytes.
func WriteGPX(w io.Writer, r *assess.Result) error {
	doc := gpx{Version: "1.1", Creator: "wetfeet", Metadata: gpxMetadata{Name: title(r) + ": stakes", Desc: r.Lead() + " " + caution}}
	var box *orb.Bound
	for i := range r.Trees {
		t := &r.Trees[i]
		if !known(t.LonLat) {
			continue
		}
		if box == nil {
			b := t.LonLat.Bound()
			box = &b
		} else {
			*box = box.Extend(t.LonLat)
		}
		p := waypoint{
			Lat: degrees(t.LonLat[1]), Lon: degrees(t.LonLat[0]),
			Name: t.ID, Cmt: short(r, t), Desc: long(r, t), Type: riskOf(t) + " risk",
		}
		if t.OnGround {
			p.Ele = metres(t.Ground, 3)
		}
		doc.Waypoints = append(doc.Waypoints, p)
	}
	if box != nil {
		doc.Metadata.Bounds = &gpxBounds{degrees(box.Min[1]), degrees(box.Min[0]), degrees(box.Max[1]), degrees(box.Max[0])}
	}
	return write(w, doc)
}
