package site

import (
	"fmt"
	"strings"
	"time"

	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
)

const maxLearned = 10_000 // places or species of which something was learned

// Learned is what observations made of a site, as wetfeet learn writes it. It
// is read beside what was stated and takes its place.
type Learned struct {
	Book    string  // file name of the observation book it comes from
	Soaking float64 // rate at which standing water soaks in outside the zones, mm/h; 0 where nothing was learned
	Spread  float64 // one standard deviation of its log10

	// WaterTable is how much deeper than stated the water table lies, m.
	WaterTable float64

	// Datum is how much higher than stated all of the ground lies against the
	// levels of pipes and ditches, m, and DatumError one standard deviation of
	// that; 0 where nothing was learned.
	Datum, DatumError float64

	Wells   []LearnedWell // where the water table was seen, if nobody stated it
	Species []LearnedSpecies
	Ground  []LearnedGround
}

// LearnedSpecies is how much longer a species bears wet roots here than the
// table says.
type LearnedSpecies struct {
	Name   string
	Factor float64 // on its days
}

// LearnedGround is how high the ground lies at a place.
type LearnedGround struct {
	At    orb.Point // in CRS
	Z     float64   // m
	Error float64   // one standard deviation, m
}

// LearnedWell is how deep the water table lay at a place.
type LearnedWell struct {
	At    orb.Point // in CRS
	Depth float64   // below the ground, m
	When  time.Time
}

// Given reports whether anything was learned.
func (l *Learned) Given() bool {
	return l.Soaking > 0 || l.WaterTable != 0 || l.Datum != 0 || l.DatumError > 0 || len(l.Wells) > 0 || len(l.Species) > 0 || len(l.Ground) > 0
}

func (l *Learned) read(n node) {
	n.table([]field{
		{"book", func(n node) { l.Book, _ = n.text("the name of an observation book is needed") }},
		{"soaking", func(n node) { l.Soaking, _ = n.positive(quantity.Rate, "12 mm/h") }},
		{"soaking_spread", func(n node) {
			v, ok := n.plainNumber()
			if ok && !(v > 0 && v <= 2) {
				n.fail("found %s; one standard deviation of the decimal logarithm of a rate is needed, above 0 and up to 2", describe(n.value))
			}
			l.Spread = v
		}},
		{"water_table", func(n node) { l.WaterTable, _ = n.quantity(quantity.Elevation, "-10 cm") }},
		{"datum", func(n node) { l.Datum, _ = n.quantity(quantity.Elevation, "-4 cm") }},
		{"datum_error", func(n node) { l.DatumError, _ = n.positive(quantity.Elevation, "2 cm") }},
		{"well", func(n node) {
			n.tables("learned.well", maxLearned, func(n node, i int) {
				var w LearnedWell
				n.label = fmt.Sprintf("learned well %d", i+1)
				n.table([]field{
					{"at", func(n node) { w.At, _ = n.point() }},
					{"depth", func(n node) { w.Depth, _ = n.waterTable() }},
					{"date", func(n node) { w.When = n.day() }},
				})
				n.needs("every well needs a place and a depth", "at", "depth")
				l.Wells = append(l.Wells, w)
			})
		}},
		{"species", func(n node) {
			n.tables("learned.species", maxLearned, func(n node, i int) {
				var s LearnedSpecies
				n.label = fmt.Sprintf("learned species %d", i+1)
				n.table([]field{
					{"name", func(n node) { s.Name, _ = n.text("the name of a species is needed") }},
					{"factor", func(n node) {
						v, ok := n.plainNumber()
						if ok && !(v >= 0.05 && v <= 20) {
							n.fail("found %s; a factor on the days it bears is needed, from 0.05 to 20", describe(n.value))
						}
						s.Factor = v
					}},
				})
				n.needs("every species needs a name and a factor", "name", "factor")
				l.Species = append(l.Species, s)
			})
		}},
		{"ground", func(n node) {
			n.tables("learned.ground", maxLearned, func(n node, i int) {
				var g LearnedGround
				n.label = fmt.Sprintf("learned ground %d", i+1)
				n.table([]field{
					{"at", func(n node) { g.At, _ = n.point() }},
					{"z", func(n node) { g.Z, _ = n.quantity(quantity.Elevation, "96.21 m") }},
					{"error", func(n node) { g.Error, _ = n.positive(quantity.Length, "2 cm") }},
				})
				n.needs("every height needs its place and its error", "at", "z", "error")
				l.Ground = append(l.Ground, g)
			})
		}},
	})
	if t, ok := n.value.(map[string]any); ok && (t["soaking"] != nil) != (t["soaking_spread"] != nil) {
		n.fail("soaking and soaking_spread belong together")
	}
}

// plainNumber is a number without a unit.
func (n node) plainNumber() (float64, bool) {
	switch v := n.value.(type) {
	case int64:
		return float64(v), true
	case float64:
		return v, true
	}
	n.fail("found %s; a number is needed", describe(n.value))
	return 0, false
}

// learnedHead stands above what was learned.
const learnedHead = `# Written by wetfeet learn from what was seen on the site; it takes the place of
# what is stated above. To learn again, run wetfeet learn: it reads the whole book.
`

// WithLearned is the text of a site file with what was learned at its end, in
// place of what it may have said of that before. Unit is that of the site's
// coordinates, in which places are read back: 1, or the metres in a foot of a
// site that is taped in feet from its origin.
func WithLearned(text []byte, l Learned, unit float64) []byte {
	at := func(p orb.Point) string { return fmt.Sprintf("[%s, %s]", plain(p[0]/unit), plain(p[1]/unit)) }
	var out strings.Builder
	within := false
	for line := range strings.Lines(string(text)) {
		if head := strings.TrimSpace(line); strings.HasPrefix(head, "[") {
			name := strings.TrimSpace(strings.Trim(strings.SplitN(head, "]", 2)[0], "[ "))
			within = name == "learned" || strings.HasPrefix(name, "learned.")
		}
		ours := strings.HasPrefix(line, "#") && strings.Contains(learnedHead, strings.TrimSpace(line)+"\n")
		if !within && !ours {
			out.WriteString(line)
		}
	}
	s := strings.TrimRight(out.String(), "\n") + "\n\n"
	say := func(format string, args ...any) { s += fmt.Sprintf(format+"\n", args...) }
	s += learnedHead
	say("[learned]")
	if l.Book != "" {
		say("book           = %s", quoted(l.Book))
	}
	if l.Soaking > 0 {
		say("soaking        = \"%.4g mm/h\"   # standing water, half above and half below", l.Soaking)
		say("soaking_spread = %.3g          # one standard deviation of its log10", l.Spread)
	}
	if l.WaterTable != 0 {
		say("water_table    = \"%.3f m\"     # deeper than stated", l.WaterTable)
	}
	if l.Datum != 0 {
		say("datum          = \"%.3f m\"     # that the ground lies higher than stated, against the levels of pipes and ditches", l.Datum)
	}
	if l.DatumError > 0 {
		say("datum_error    = \"%.3f m\"      # one standard deviation of that", l.DatumError)
	}
	for _, w := range l.Wells {
		say("\n[[learned.well]]\nat    = %s\ndepth = \"%.3f m\"", at(w.At), w.Depth)
		if !w.When.IsZero() {
			say("date  = %s", w.When.Format(time.DateOnly))
		}
	}
	for _, e := range l.Species {
		say("\n[[learned.species]]\nname   = %s\nfactor = %.3g   # on the days the table says it bears", quoted(e.Name), e.Factor)
	}
	for _, g := range l.Ground {
		say("\n[[learned.ground]]\nat    = %s\nz     = \"%.3f m\"\nerror = \"%.3f m\"", at(g.At), g.Z, g.Error)
	}
	return []byte(s)
}

// quoted is a string as TOML writes it.
func quoted(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(s) + `"`
}
