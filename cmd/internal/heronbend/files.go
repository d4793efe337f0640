package heronbend

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"

	"wetfeet/hydro/weather"

	"github.com/paulmach/orb"
)

// WriteSurvey writes the shots as a table of spot heights: x,y,z,note.
func WriteSurvey(w io.Writer) error {
	table := csv.NewWriter(w)
	table.Write([]string{"x", "y", "z", "note"})
	for _, s := range Shots() {
		table.Write([]string{fixed(s.Point[0], 2), fixed(s.Point[1], 2), fixed(s.Z, 3), s.Note})
	}
	table.Flush()
	return table.Error()
}

// WritePositions writes the single trees as a table: id,x,y,species.
func WritePositions(w io.Writer) error {
	table := csv.NewWriter(w)
	table.Write([]string{"id", "x", "y", "species"})
	for _, s := range Singles() {
		table.Write([]string{s.ID, fixed(s.Point[0], 1), fixed(s.Point[1], 1), s.Species})
	}
	table.Flush()
	return table.Error()
}

// WriteBoundary writes the fence as GeoJSON, which RFC 7946 wants in WGS 84
// longitude and latitude; toLonLat takes a point there from CRS.
func WriteBoundary(w io.Writer, toLonLat func(orb.Point) (orb.Point, error)) error {
	var ring []string
	for _, p := range Boundary() {
		q, err := toLonLat(p)
		if err != nil {
			return err
		}
		// Seven decimals are about a centimetre.
		ring = append(ring, fmt.Sprintf("   [%s, %s]", fixed(q[0], 7), fixed(q[1], 7)))
	}
	_, err := fmt.Fprintf(w, `{
 "type": "Feature",
 "properties": {"name": "Heron Bend, an invented orchard"},
 "geometry": {
  "type": "Polygon",
  "coordinates": [[
%s
  ]]
 }
}
`, strings.Join(ring, ",\n"))
	return err
}

// A Source is what the ground of a site file is made from.
type Source int

const (
	FromRaster Source = iota
	FromShots
	FromBook // the level book, with row E alone
)

// WriteSite writes a site file.
func WriteSite(w io.Writer, from Source) error {
	var b strings.Builder
	b.WriteString("# Heron Bend is invented: no such orchard, owner or ground exists.\n" +
		"# Written by go run ./cmd/heron-bend, which knows the true ground.\n" +
		"name     = \"Heron Bend\"\ninvented = true\nunits    = \"metric\"\ncrs      = \"" + CRS + "\"\n\n[ground]\n")
	switch from {
	case FromRaster:
		fmt.Fprintf(&b, "dem            = \"ground.tif\"\nvertical_error = \"%g cm\"             # one standard deviation\n", RasterError*100)
	case FromShots:
		fmt.Fprintf(&b, "spot_heights   = \"survey.csv\"\nvertical_error = \"%g cm\"             # one standard deviation of a shot\n", ShotError*100)
	case FromBook:
		b.WriteString("spot_heights   = \"level-book.csv\"\n")
	}
	b.WriteString("cell           = \"0.5 m\"\nboundary       = \"boundary.geojson\"\n")

	b.WriteString("\n[soil]\ntexture = \"clay loam\"\ncover   = \"orchard, grassed, good\"\n" +
		"\n[storm]\nrain     = \"150 mm\"\nduration = \"24 h\"\n" +
		"\n[season]\nrain = \"daily-rain.csv\"               # invented too\n")

	for _, r := range Rows() {
		if from == FromBook && r.Name != "E" {
			continue
		}
		start, end := r.Line[0], r.Line[1]
		fmt.Fprintf(&b, "\n[[row]]\nname    = %q\n", r.Name)
		fmt.Fprintf(&b, "line    = [[%.1f, %.1f], [%.1f, %.1f]]\n", start[0], start[1], end[0], end[1])
		fmt.Fprintf(&b, "spacing = \"%g m\"\n", r.Spacing)
		fmt.Fprintf(&b, "pattern = [\"%s\"]\n", strings.Join(r.Pattern, `", "`))
		fmt.Fprintf(&b, "gaps    = [[\"%g m\", \"%g m\"]]      # the track crosses here\n", r.Gap[0], r.Gap[1])
	}
	if from != FromBook {
		b.WriteString("\n[trees]\npositions = \"positions.csv\"\n")
		b.WriteString("\n[[tree]]\nid    = \"trial jujube\"\ntrial = true                          # planted to see whether it lives here\n")
	}
	b.WriteString("\n[species]\ntable = \"my-species.csv\"\n")
	_, err := io.WriteString(w, b.String())
	return err
}

// fixed writes a number with so many decimals.
func fixed(x float64, decimals int) string { return strconv.FormatFloat(x, 'f', decimals, 64) }

// The invented rain of Heron Bend.
const (
	weatherSeed  = 7
	weatherFrom  = 2001
	weatherYears = 20
)

// WriteWeather writes twenty years of daily rain and temperatures that never
// were.
func WriteWeather(w io.Writer) error {
	return weather.WarmTemperate.Invent(weatherSeed, weatherFrom, weatherYears).Write(w)
}

// WriteSpecies writes a grower's own table with one species: a trial, of
// which the built-in table knows nothing.
func WriteSpecies(w io.Writer) error {
	_, err := io.WriteString(w, "scientific_name,common_names,class,days_low,days_likely,days_high,stratum,uses,spacing_m,height_m,note\n"+
		"Ziziphus jujuba,jujube; Chinese date,short soak,1,5,14,high,fruit; honey,4-6,6-9,"+
		"on trial: the days are a guess until a wet spring has been seen\n")
	return err
}
