package begin

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"wetfeet/species"
	"wetfeet/terrain/survey/fieldbook"
)

// A Kind is what a file is.
type Kind string

const (
	Raster    Kind = "elevation raster"
	Heights   Kind = "spot heights"
	Book      Kind = "field book"
	Positions Kind = "positions"
	Boundary  Kind = "boundary"
	Plants    Kind = "list of species"
	Own       Kind = "own species"
)

// headSize is how much of a file is looked at to tell what it is, bytes.
const headSize = 256 << 10

const taken = "an elevation raster, spot heights (columns x,y,z or lon,lat,z), a field book, positions (id,x,y,species), an outline (GeoJSON) or a list of species can be taken"

// Sniff tells by the first bytes of a file what it is. Whether it can be read
// as that is for [Read] to say. An error says what it is instead, or that
// nothing is known of it.
func Sniff(head []byte) (Kind, error) {
	head = head[:min(len(head), headSize)]
	text := bytes.TrimLeft(bytes.TrimPrefix(head, []byte("\ufeff")), " \t\r\n")
	switch {
	case len(text) == 0:
		return "", errors.New("there is nothing in it")
	case bytes.HasPrefix(head, []byte("\xff\xfe")), bytes.HasPrefix(head, []byte("\xfe\xff")):
		return "", errors.New("is a text in UTF-16; save it as CSV in UTF-8")
	case bytes.HasPrefix(head, []byte("PK\x03\x04")), bytes.HasPrefix(head, []byte("\xd0\xcf\x11\xe0")):
		return "", errors.New("is a spreadsheet, a document or an archive; save a sheet as CSV in UTF-8, or unpack the archive")
	case bytes.HasPrefix(head, []byte("%PDF")):
		return "", errors.New("is a PDF, which shows a table but does not hold one; " + taken)
	case isBinary(head):
		return Raster, nil
	case text[0] == '{':
		return sniffJSON(text)
	case text[0] == '<':
		return "", errors.New("is a text in XML; " + taken)
	case isTextGrid(text):
		return Raster, nil
	}
	return sniffTable(text)
}

// isBinary reports whether bytes are no text: a zero byte, or more than a few
// that UTF-8 has no use for.
func isBinary(head []byte) bool {
	if bytes.IndexByte(head, 0) >= 0 {
		return true
	}
	wrong, rest := 0, head[:min(len(head), 4096)]
	for len(rest) > 0 {
		r, n := utf8.DecodeRune(rest)
		if r == utf8.RuneError && n == 1 || r < ' ' && r != '\t' && r != '\n' && r != '\r' && r != '\f' {
			wrong++
		}
		rest = rest[n:]
	}
	return wrong*10 > min(len(head), 4096)
}

// isTextGrid reports whether a text begins as grids written as text do.
func isTextGrid(text []byte) bool {
	words := strings.Fields(strings.ToLower(string(text[:min(len(text), 200)])))
	return slices.Contains([]string{"ncols", "nrows", "dsaa", "north:"}, words[0])
}

// sniffJSON tells GeoJSON by the shapes in it. A file with points and outlines
// is for the door of positions, which says which feature does not belong.
func sniffJSON(text []byte) (Kind, error) {
	has := func(word string) bool { return bytes.Contains(text, []byte(`"`+word+`"`)) }
	switch {
	case has("Point"):
		return Positions, nil
	case has("Polygon"), has("MultiPolygon"):
		return Boundary, nil
	case has("LineString"), has("MultiLineString"):
		return "", errors.New("holds lines; name them later in the site file, as lines of [ground] if they are ditches and bank tops")
	}
	return "", errors.New("is JSON without points or an outline; " + taken)
}

// A table is the beginning of a text in columns.
type table struct {
	head []string   // the first line that is no remark, in small letters, blanks as _
	rows [][]string // up to mostRows lines below it
}

const mostRows = 200

// newTable cuts the beginning of a text into cells. The last line may be cut
// short and is left out if there are others.
func newTable(text []byte) table {
	if bytes.IndexByte(text, '\n') < 0 {
		text = bytes.ReplaceAll(text, []byte("\r"), []byte("\n"))
	}
	var t table
	mark := rune(0)
	n := 0
	for line := range strings.Lines(string(text)) {
		line = strings.TrimSpace(line)
		if line == "" || line[0] == '#' {
			continue
		}
		if n++; n > mostRows+1 {
			break
		}
		if mark == 0 {
			mark = ','
			for _, m := range ";\t" {
				if strings.Count(line, string(m)) > strings.Count(line, string(mark)) {
					mark = m
				}
			}
		}
		r := csv.NewReader(strings.NewReader(line))
		r.Comma, r.LazyQuotes, r.TrimLeadingSpace = mark, true, true
		cells, err := r.Read()
		if err != nil {
			cells = []string{line}
		}
		for i := range cells {
			cells[i] = strings.TrimSpace(cells[i])
		}
		if t.head == nil {
			for _, c := range cells {
				t.head = append(t.head, heading(c))
			}
			continue
		}
		t.rows = append(t.rows, cells)
	}
	return t
}

// heading is the name of a column without its unit: "Elevation (ft)" and
// z_ft are elevation and z.
func heading(s string) string {
	words := strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return strings.ContainsRune(" _()[]-", r) })
	if n := len(words); n > 1 && slices.Contains([]string{"m", "cm", "mm", "km", "ft", "in", "yd", "usft"}, words[n-1]) {
		words = words[:n-1]
	}
	return strings.Join(words, "_")
}

func (t table) has(names ...string) bool {
	return slices.ContainsFunc(t.head, func(h string) bool { return slices.Contains(names, h) })
}

// place reports whether there are columns of coordinates.
func (t table) place() bool {
	return t.has("x", "e", "east", "easting") && t.has("y", "n", "north", "northing") ||
		t.has("lon", "lng", "long", "longitude") && t.has("lat", "latitude")
}

var (
	heightNames = []string{"z", "h", "elev", "elevation", "height", "altitude", "alt", "level"}
	plantNames  = []string{"species", "scientific_name", "plant", "plants", "name", "tree", "trees", "common_name"}
)

func sniffTable(text []byte) (Kind, error) {
	t := newTable(text)
	if len(t.head) == 0 {
		return "", errors.New("holds nothing but remarks")
	}
	switch {
	case isSiteFile(text):
		return "", errors.New("is a site file already; open it: wetfeet serve FILE")
	case t.has("species", "scientific_name", "plant") && t.place():
		return Positions, nil
	case t.has("scientific_name") && t.has("class", "days_likely", "days_low", "days_high", "common_names", "depth", "water_table"):
		return Own, nil
	case t.place() && t.has(heightNames...):
		return Heights, nil
	case fieldbook.Looks(text):
		return Book, nil
	case t.place():
		return "", fmt.Errorf("has places but neither heights (a column z) nor species among its columns %s; %s", shown(t.head), taken)
	case t.numbers(t.head):
		return "", fmt.Errorf("begins with numbers; its first line must name the columns, such as x,y,z")
	case t.namesPlants():
		return Plants, nil
	}
	return "", fmt.Errorf("has the columns %s; %s", shown(t.head), taken)
}

// isSiteFile reports whether a line of a text heads a table of a site file.
func isSiteFile(text []byte) bool {
	for line := range bytes.Lines(text) {
		switch string(bytes.TrimSpace(line)) {
		case "[ground]", "[storm]", "[soil]", "[[row]]", "[trees]":
			return true
		}
	}
	return false
}

func (t table) numbers(cells []string) bool {
	n := 0
	for _, c := range cells {
		if _, err := strconv.ParseFloat(c, 64); err == nil {
			n++
		}
	}
	return n > 1 && n == len(cells) || n == 1 && len(cells) == 1
}

// namesPlants reports whether a table may be a list of species: one column of
// words, or a column headed so, or a known name in the first.
func (t table) namesPlants() bool {
	if t.has(plantNames...) || len(t.head) == 1 && len(strings.Fields(t.head[0])) > 0 && t.oneColumn() {
		return true
	}
	rows := t.rows[:min(len(t.rows), 20)]
	if len(rows) == 0 {
		rows = [][]string{t.head}
	}
	for _, cells := range rows {
		if len(cells) == 0 {
			continue
		}
		if _, err := species.BuiltIn().Find(strings.ReplaceAll(cells[0], "_", " ")); err == nil {
			return true
		}
	}
	return false
}

func (t table) oneColumn() bool {
	for _, r := range t.rows {
		if len(r) > 1 || t.numbers(r) || len(r) == 1 && len(r[0]) > 100 {
			return false
		}
	}
	return true
}

// shown is columns as a message shows them.
func shown(head []string) string {
	s := strings.Join(head, ", ")
	if len(s) > 80 {
		s = strings.ToValidUTF8(s[:80], "") + "…"
	}
	return strconv.Quote(s)
}
