package species

import (
	"math"
	"strings"
)

// A stock is a rootstock seen in a flood, and what became of trees on it.
type stock struct {
	genus  string   // of the trees grafted on it
	names  []string // the first is the one it goes by
	lived  float64  // days of flood such trees came through, 0 where not seen
	lost   float64  // days of flood that killed them, 0 where not seen
	depth  float64  // of water they came through, m, 0 where not seen
	source string
}

// stocks are the rootstocks of which a flood with its days, or its depth, was
// read. Those with words alone are left out (Swingle and Carrizo outlast sour
// orange: ufifas-crec-drainage), and so is mazzard F-12/1, all of which lived
// through seven weeks in pots (ranney-1994), against what cherry growers see.
var stocks = []stock{
	{genus: "Malus", names: []string{"M9", "Malling 9"}, lost: 30, source: "lee-1983"},
	{genus: "Malus", names: []string{"M26", "Malling 26"}, lost: 30, source: "lee-1983"},
	{genus: "Malus", names: []string{"M16", "Malling 16"}, lived: 30, source: "lee-1983"},
	{genus: "Malus", names: []string{"Malus prunifolia", "prunifolia", "plumleaf crab apple"}, lived: 30, source: "lee-1983"},
	{genus: "Annona", names: []string{"pond apple", "Annona glabra", "alligator apple"}, lived: 112, source: "fu-2012"},
	{genus: "Mangifera", names: []string{"seedling", "ungrafted", "own roots"}, depth: 0.30, source: "agronomy-2020"},
}

// graft puts what is known of a rootstock into a tolerance that is still in
// the days of the table.
//
// A grafted tree bears what its roots bear, so a rootstock that is a species
// of the built-in table lends its days. A rootstock seen in a flood moves the
// days of the species instead: one that died in so many ends them there, half
// of its trees being lost in half as many; one that came through has them so
// many at the high end and half as many in the middle, the trials having been
// in pots, which are spared the rots of the field. Common practice, no source
// for either. A name that is not known changes nothing.
func (e *Entry) graft(t *Tolerance, name string) {
	if strings.TrimSpace(name) == "" || len(name) > maxWords {
		return
	}
	genus, _, _ := strings.Cut(e.Scientific, " ")
	for _, s := range stocks {
		if s.genus != genus || !s.called(name) {
			continue
		}
		t.Stock = s.names[0]
		if s.lived > 0 {
			t.Days = Range{math.Max(t.Days.Low, s.lived/4), math.Max(t.Days.Likely, s.lived/2), math.Max(t.Days.High, s.lived)}
		}
		if s.lost > 0 {
			t.Days = Range{math.Min(t.Days.Low, s.lost/4), math.Min(t.Days.Likely, s.lost/2), math.Min(t.Days.High, s.lost)}
		}
		t.Depth = math.Max(t.Depth, s.depth)
		t.Head = math.Max(t.Head, t.Depth)
		return
	}
	table := BuiltIn()
	roots := table.scientific(epithets(tokens(name)))
	if named := table.byCommon[key(tokens(name))]; roots == nil && len(named) == 1 {
		roots = named[0]
	}
	if roots != nil && roots.Scientific != e.Scientific {
		t.Stock, t.Days = roots.Name(), roots.Days
	}
}

// Rootstock is the name that a rootstock of the species goes by, and whether
// anything is known of it: a flood that such trees stood in, or that it is a
// species of the table. Of own roots and seedlings it is that of the species.
func (e *Entry) Rootstock(name string) (string, bool) {
	t := Tolerance{Days: e.Days}
	if e.graft(&t, name); t.Stock != "" {
		return t.Stock, true
	}
	for _, own := range []string{"seedling", "ungrafted", "own roots", e.Name(), e.Scientific} {
		if bare(own) == bare(name) {
			return e.Name(), true
		}
	}
	return "", false
}

// Rootstocks are those of the species of which a flood was read, by name.
func (e *Entry) Rootstocks() []string {
	genus, _, _ := strings.Cut(e.Scientific, " ")
	var out []string
	for _, s := range stocks {
		if s.genus == genus {
			out = append(out, s.names[0])
		}
	}
	return out
}

// called says whether a name, as typed, is one of the stock's.
func (s stock) called(name string) bool {
	for _, n := range s.names {
		if bare(n) == bare(name) {
			return true
		}
	}
	return false
}

// bare is a name without case, spaces, dots, hyphens and quotation marks: M.9
// is M 9 and M9.
func bare(name string) string {
	return strings.ToLower(strings.NewReplacer(" ", "", ".", "", "-", "", "'", "", "’", "", `"`, "").Replace(name))
}
