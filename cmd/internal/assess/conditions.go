package assess

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/site"
	"wetfeet/cmd/internal/wording"
	"wetfeet/hydro/season"
	"wetfeet/hydro/weather"
	"wetfeet/species"
	"wetfeet/terrain/quantity"
)

// ConditionsPlan is what is said of the trees and of when the storm finds them.
// The zero value is trees newly planted, in leaf, in warm sound soil and still
// water.
type ConditionsPlan struct {
	Age        *float64         // years since planting, of all trees of which nothing else is said; nil for newly planted
	Rootstocks []site.Rootstock // by species

	Month   time.Month // of the storm; 0 where nobody says
	Soil    *float64   // temperature in the root zone while the storm's water is there, °C; nil leaves it to month and weather
	Dormant *bool      // trees are at rest when the storm comes; nil leaves it to month and weather
	Moving  bool       // the storm's water flows past the trees
	Rot     bool       // root rot is known in the soil outside the zones
}

// Conditions are what the storm finds the trees in.
type Conditions struct {
	Month   time.Month // 0 where nobody said
	Soil    *float64   // °C; nil for as warm as the days of the table are for
	Dormant bool
	Moving  bool

	stocks map[*species.Entry]string
	said   []string // a clause for each, and where it comes from
}

// growing is the growing season of a plan, as given or by the temperatures of its
// record, and whether anything tells it.
func (p Plan) growing(record *weather.Record, u quantity.Units) (season.Growing, bool) {
	switch {
	case p.Season.Growing != nil:
		return *p.Season.Growing, true
	case record != nil && record.TMin != nil:
		if g, err := season.GrowingByTemperature(record, season.KillingFrost); err == nil {
			g.How = fmt.Sprintf("between the last and the first day of the usual year as cold as %s", temperature(season.KillingFrost, u))
			return g, true
		}
	}
	return season.Growing{}, false
}

// settleConditions works out what the storm finds the trees in.
func (r *Result) settleConditions(p Plan, record *weather.Record) {
	c, said := &r.Conditions, p.Conditions
	c.Month, c.Soil, c.Moving, c.said = said.Month, said.Soil, said.Moving, nil
	tell := func(format string, args ...any) { c.said = append(c.said, fmt.Sprintf(format, args...)) }
	name := filepath.Base(p.Season.File)
	month := time.Month(0)
	if said.Month != 0 {
		month = said.Month
		tell("it comes in %s, as given", month)
	}
	growing, known := p.growing(record, r.Units)
	switch {
	case said.Dormant != nil:
		c.Dormant = *said.Dormant
		tell("trees are %s, as given", resting(c.Dormant))
	case month != 0 && known:
		c.Dormant = !growing.Has(month, 15)
		tell("trees are %s in the middle of that month, the growing season being %s", resting(c.Dormant), growingWords(growing))
	default:
		c.Dormant = false
		tell("trees are taken to be in leaf")
	}
	soil := math.NaN()
	if month != 0 && record != nil {
		soil = record.MonthlySoilTemperature(month)
	}
	switch {
	case c.Soil != nil:
		tell("the soil has %s, as given", temperature(*c.Soil, r.Units))
	case !math.IsNaN(soil):
		c.Soil = &soil
		tell("the soil has %s, as the air of that month in %s", temperature(soil, r.Units), name)
	default:
		tell("the soil is taken to have %s", temperature(usualSoil, r.Units))
	}
	if c.Moving {
		tell("the water moves, as given")
	} else {
		tell("the water is taken to stand still")
	}
	if month != 0 && said.Soil == nil && math.IsNaN(soil) {
		r.Remarks = append(r.Remarks, fmt.Sprintf("Nothing tells how warm the soil is in %s: give soil_temperature in [storm], or a record in [season] with the columns tmin_c and tmax_c.", month))
	}
}

// usualSoil is the warmth of soil that the days of the table of species are for,
// °C.
const usualSoil = 20.0

func resting(dormant bool) string {
	if dormant {
		return "at rest"
	}
	return "in leaf"
}

// lookUpRootstocks finds the species whose rootstocks are named. One that is
// named twice, or not known, is the fault of the input.
func (r *Result) lookUpRootstocks(p Plan, table *species.Table) error {
	r.Conditions.stocks = make(map[*species.Entry]string)
	first := make(map[*species.Entry]string)
	var bad []error
	for _, s := range p.Conditions.Rootstocks {
		e, err := table.Find(s.Species)
		if err != nil {
			bad = append(bad, fmt.Errorf("%s: %w", s.Where, err))
			continue
		}
		if before, twice := first[e]; twice {
			bad = append(bad, fmt.Errorf("%s: is %s, whose rootstock is named as that of %q already", s.Where, e.Scientific, before))
			continue
		}
		first[e], r.Conditions.stocks[e] = s.Species, s.Stock
	}
	for i := range r.Trees {
		t := &r.Trees[i]
		t.Stock = cmp.Or(t.Rootstock, r.Conditions.stocks[t.Entry])
	}
	return fault.Input(errors.Join(bad...))
}

// conditions are those of a species at the place of a tree: of the tree that
// stands there, or of one that is planted there anew.
func (r *Result) conditions(t *Tree, e *species.Entry, anew bool) species.Conditions {
	c := species.Conditions{Soil: r.Conditions.Soil, Dormant: r.Conditions.Dormant, Moving: r.Conditions.Moving, Rootstock: r.Conditions.stocks[e]}
	c.Rot = r.Rotten(t)
	if e != t.Entry {
		return c
	}
	c.Rootstock = t.Stock
	if !anew {
		c.Years = t.Years
	}
	return c
}

// Rotten says whether root rot is known in the soil of a tree on known ground.
func (r *Result) Rotten(t *Tree) bool {
	soil, _ := r.Storm.soil(t.cell)
	return soil.Rot
}

// Stays says whether a tree keeps its place when others change theirs: it is to,
// it is tried out there, its mound is built, it stands already, or it alone is on
// a rootstock of its own.
func (t *Tree) Stays() bool {
	return t.Fixed || t.Tried || t.Built > 0 || t.Years > 0 || t.Rootstock != ""
}

// Bears is how long a species bears wet roots at the place of a tree: as the tree
// that stands there, or planted there anew, as every other species is.
func (r *Result) Bears(tree int, e *species.Entry, anew bool) species.Tolerance {
	return e.Tolerance(r.conditions(&r.Trees[tree], e, anew))
}

// tellConditions says what was taken, and given, of the trees and of what the
// storm finds them in.
func (r *Result) tellConditions(p Plan) {
	r.Assumptions = append(r.Assumptions, r.ConditionsWords()...)
	r.tellRootstocks(p)
}

// ConditionsWords says how long the trees have stood and what the storm finds
// them in, a sentence each.
func (r *Result) ConditionsWords() []string {
	rot := "no root rot is known in the soil"
	switch soils := r.Storm.soils; {
	case !slices.ContainsFunc(soils, func(s Soil) bool { return s.Rot }):
	case !slices.ContainsFunc(soils, func(s Soil) bool { return !s.Rot }):
		rot = "root rot is known in the soil, as given, and halves the days that trees bear"
	default:
		var where []string
		for i := range soils {
			if s := &soils[i]; s.Rot {
				where = append(where, cmp.Or(s.Name, "the rest of the site"))
			}
		}
		rot = "root rot is known in the soil of " + strings.Join(where, ", ") + ", as given, and halves the days that trees bear there"
	}
	return []string{
		r.agesTold(),
		fmt.Sprintf("What the storm finds: %s; %s. Keys month, soil_temperature, dormant and moving_water in [storm] and root_rot in [soil] say otherwise.", strings.Join(r.Conditions.said, "; "), rot),
	}
}

// agesTold says how long the trees have stood.
func (r *Result) agesTold() string {
	const new = "%s taken as newly planted, and bears half the days of one that has stood three years; age in [trees], a [[row]] or a [[tree]] says otherwise."
	years := make(map[float64]int)
	standing := 0
	for i := range r.Trees {
		if a := r.Trees[i].Years; a > 0 {
			standing++
			years[a]++
		}
	}
	if standing == 0 {
		return fmt.Sprintf(new, "Every tree is")
	}
	ages := slices.Sorted(maps.Keys(years))
	span := yearsWords(ages[0])
	if last := ages[len(ages)-1]; last > ages[0] {
		span = fmt.Sprintf("%.3g to %s", ages[0], yearsWords(last))
	}
	s := fmt.Sprintf("%d of %s stand already, planted %s ago, as given: they keep their places, and a mound or another species there is judged as a new planting, since a standing tree is not lifted and bears no soil heaped over its roots.", standing, wording.CountOne(len(r.Trees), "tree"), span)
	if standing < len(r.Trees) {
		s += " " + fmt.Sprintf(new, "Each of the others is")
	}
	return s
}

func yearsWords(v float64) string {
	if v == 1 {
		return "a year"
	}
	return fmt.Sprintf("%.3g years", v)
}

// tellRootstocks says which rootstocks are known, and that others change nothing.
func (r *Result) tellRootstocks(p Plan) {
	type graft struct {
		e     *species.Entry
		stock string
	}
	trees := make(map[graft]int)
	for i := range r.Trees {
		if t := &r.Trees[i]; t.Stock != "" {
			trees[graft{t.Entry, t.Stock}]++
		}
	}
	for e, stock := range r.Conditions.stocks {
		if !slices.Contains(r.Species, e) {
			trees[graft{e, stock}] += 0
		}
	}
	if len(trees) == 0 {
		r.Assumptions = append(r.Assumptions, "No rootstock was named: each species bears what it is said to bear as it is usually grown. Keys rootstock in [species] and [[tree]] name one.")
		return
	}
	all := slices.SortedFunc(maps.Keys(trees), func(a, b graft) int {
		return cmp.Or(strings.Compare(a.e.Scientific, b.e.Scientific), strings.Compare(a.stock, b.stock))
	})
	for _, g := range all {
		name, known := g.e.Rootstock(g.stock)
		switch {
		case trees[g] == 0:
			r.Remarks = append(r.Remarks, fmt.Sprintf("A rootstock is named of %s, which is not planted.", g.e.Name()))
		case known:
			r.Assumptions = append(r.Assumptions, fmt.Sprintf("%s of %s: the days are those of %s roots.", wording.Capital(wording.CountOne(trees[g], "tree")), g.e.Name(), name))
		default:
			seen := strings.Join(append(g.e.Rootstocks(), "the species of the table"), ", ")
			r.Remarks = append(r.Remarks, fmt.Sprintf("No flood is known of %s on the rootstock %q, so it changes nothing; known are %s.", g.e.Name(), g.stock, seen))
		}
	}
}
