package species

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// cleanPot is how many days a young tree in a pot of clean mix, spared the rots
// of the field and with its roots whole, is worth one of an orchard tree. It
// rests on the one species of which both were printed: avocado is lost in the
// orchard after about 2 days (avocados-australia), and trees a year old lived
// through 11 in pots (gil-2007). Avocado in pots is therefore no case below. As
// the youth of the potted trees is in it, they are held against the days of
// established trees: to halve those for a new planting too would count it twice.
const cleanPot = 11.0 / 2

// raised is the share of a flood raised in even steps, from the bottom of the
// root zone to the crown, that the root zone is under water: half, as the mean
// over its depth (RootHours).
const raised = 0.5

// A flood is a published case of trees that stood in water for days known, and
// how many were lost.
type flood struct {
	name, species string
	source        string // ID in data/sources.csv
	days, depth   float64
	potted        bool
	steps         bool // the water was raised in steps
	c             Conditions
	low, high     float64 // share lost, as printed
	missed        string  // why the model does not give it, where it does not
}

// summer and spring are soil of Florida in °C, where the abstract gives the
// season alone. From memory.
func summer() *float64        { t := 28.0; return &t }
func spring() *float64        { t := 20.0; return &t }
func warm(t float64) *float64 { return &t }

// floods are the cases with days and losses. Not among them, as the days, the
// species or the losses are not in what was read: mango in containers, 0 to 45 %
// (larson-1991); trees round a reservoir in Kansas, black walnut 4 %
// (melichar-1983); cacao after floods of the Amazon, 0 to 99 % (cacao-peru);
// 6,500 trees of Bangkok after the flood of 2011, told by family; seven oaks as
// odds ratios and six hardwoods as a design. Nor eight ornamental cherries, 70 %
// alive after 4 to 5 days with root rot (jacobs-1996), of which the table has
// none; and a flood in days is not peach over a winter water table of 0.1 to
// 1.5 m, half dead in the fourth year at 0.57 m (Alvino 1994): of lasting water
// tables the odds say nothing.
var floods = []flood{
	{name: "papaya, 48 hours reported fatal", species: "Carica papaya", source: "psu-papaya", days: 2, low: 1, high: 1},
	{name: "avocado, orchard trees lost after about 2 days", species: "Persea americana", source: "avocados-australia", days: 2, c: Conditions{Years: 5}, low: 0.5, high: 1},
	{name: "pecan seedlings, 28 days in leaf, all lived", species: "Carya illinoinensis", source: "smith-1989", days: 28, potted: true},
	{name: "pecan seedlings, 28 days at rest, no harm", species: "Carya illinoinensis", source: "smith-1989", days: 28, potted: true, c: Conditions{Dormant: true}},
	{name: "rabbiteye blueberry, 5 days of summer, 67 % lived", species: "Vaccinium virgatum", source: "crane-1988", days: 5, potted: true, c: Conditions{Soil: summer()}, low: 0.33, high: 0.33, missed: "a third lost in 5 days and two thirds in 78 of another year: no one distribution of days is so wide"},
	{name: "rabbiteye blueberry, 25 days of spring, 83 % lived", species: "Vaccinium virgatum", source: "crane-1988", days: 25, potted: true, c: Conditions{Soil: spring()}, low: 0.17, high: 0.17, missed: "as above: one in six lost in 25 days, and as many in 110 of another spring"},
	{name: "rabbiteye blueberry, 78 days of summer, 33 % lived", species: "Vaccinium virgatum", source: "crane-blueberry", days: 78, potted: true, c: Conditions{Soil: summer()}, low: 0.67, high: 0.67},
	{name: "rabbiteye blueberry, 90 days of summer, none lived", species: "Vaccinium virgatum", source: "crane-blueberry", days: 90, potted: true, c: Conditions{Soil: summer()}, low: 1, high: 1},
	{name: "rabbiteye blueberry, 106 to 117 days of spring, 83 % lived", species: "Vaccinium virgatum", source: "crane-blueberry", days: 111, potted: true, c: Conditions{Soil: spring()}, low: 0.17, high: 0.17},
	{name: "highbush blueberry, 120 days, lived, some for 26 months", species: "Vaccinium corymbosum", source: "abbott-gough", days: 120, potted: true, low: 0, high: 0.5},
	{name: "apple on M9, summer, died of 30 days", species: "Malus domestica", source: "lee-1983", days: 30, potted: true, c: Conditions{Rootstock: "M9"}, low: 1, high: 1},
	{name: "apple on M26, summer, died of 30 days", species: "Malus domestica", source: "lee-1983", days: 30, potted: true, c: Conditions{Rootstock: "M26"}, low: 1, high: 1},
	{name: "apple on M16, summer, recovered from 30 days", species: "Malus domestica", source: "lee-1983", days: 30, potted: true, c: Conditions{Rootstock: "M16"}},
	{name: "apple on Malus prunifolia, summer, recovered from 30 days", species: "Malus domestica", source: "lee-1983", days: 30, potted: true, c: Conditions{Rootstock: "Malus prunifolia"}},
	{name: "peach at about 27 °C, dead in 4 to 6 days (from memory)", species: "Prunus persica", source: "rowe-1971", days: 5, potted: true, c: Conditions{Soil: warm(27)}, low: 0.5, high: 1},
	{name: "mazzard cherry F-12/1, seven weeks in steps, all lived", species: "Prunus avium", source: "ranney-1994", days: 49, potted: true, steps: true, missed: "cherry growers see the contrary, and no cherry of the table is held to bear more than two days"},
	{name: "Newport plum, seven weeks in steps, all lived", species: "Prunus cerasifera", source: "ranney-1994", days: 49, potted: true, steps: true},
	{name: "cacao, two clones of six dead at 35 days, the rest alive at 45", species: "Theobroma cacao", source: "rehem-2010", days: 40, potted: true, low: 0.33, high: 0.33},
	{name: "cacao on five rootstocks, 60 days, lived", species: "Theobroma cacao", source: "pinto-2023", days: 60, potted: true},
	{name: "soursop seedlings, 60 days, lived", species: "Annona muricata", source: "nunez-1999", days: 60, potted: true},
	{name: "soursop at 5 to 10 °C, all dead by week 4", species: "Annona muricata", source: "ojeda-annona", days: 28, potted: true, c: Conditions{Soil: warm(7.5)}, low: 1, high: 1},
	{name: "sugar apple, 60 days, 20 to 80 % died", species: "Annona squamosa", source: "nunez-1999", days: 60, potted: true, low: 0.2, high: 0.8, missed: "extension gives a few days and weighs more than pots"},
	{name: "custard apple, 60 days, 20 to 80 % died", species: "Annona reticulata", source: "nunez-1999", days: 60, potted: true, low: 0.2, high: 0.8, missed: "as above"},
	{name: "pond apple seedlings, 60 days, lived", species: "Annona glabra", source: "nunez-1999", days: 60, potted: true},
	{name: "atemoya on pond apple, 112 days, lived", species: "Annona x atemoya", source: "fu-2012", days: 112, potted: true, c: Conditions{Rootstock: "Annona glabra"}},
	{name: "guava, eight weeks in 10 cm, lived", species: "Psidium guajava", source: "kongsri-guava", days: 56, depth: 0.10, potted: true},
	{name: "river birch roots, 44 days, best of four birches", species: "Betula nigra", source: "birch-rootstocks", days: 44, potted: true},
	{name: "acai in its first year, a season of about 120 days in 18 cm, all lived", species: "Euterpe oleracea", source: "acai-peatland", days: 120, depth: 0.18, c: Conditions{Years: 1}},
	{name: "Beechey bamboo, about five months of flood, lived", species: "Bambusa beecheyana", source: "sungkaew-2017", days: 150, c: Conditions{Years: 5, Moving: true}},
	{name: "bald cypress saplings, two years under water, lived", species: "Taxodium distichum", source: "iwanaga-2015", days: 730, depth: 1, potted: true, c: Conditions{Years: 2}},
	{name: "sweet orange, three weeks in soil under 16 °C, tolerated", species: "Citrus sinensis", source: "zekri-2023", days: 21, c: Conditions{Years: 5, Soil: warm(14)}, missed: "the 3 and 4 days that were read are of the first injury, in soil of 29 to 35 °C, and the table has no other; at 20 °C they are 7 and 9"},
	{name: "sugarcane, two weeks, no loss", species: "Saccharum officinarum", source: "glaz-2010", days: 14, c: Conditions{Years: 5}},
}

func (f flood) loss(t *testing.T, times float64) float64 {
	t.Helper()
	held := *find(t, f.species)
	held.Facts = slices.DeleteFunc(slices.Clone(held.Facts), func(fact Fact) bool {
		return fact.Source == f.source && (fact.Attribute == "days_borne" || fact.Attribute == "water_depth")
	})
	held.Depth = nil
	require.NoError(t, held.settle(BuiltIn().short))
	days := f.days * times
	if f.steps {
		days *= raised
	}
	c := f.c
	if f.potted {
		days /= cleanPot
		c.Years = math.Max(c.Years, grownFrom)
	}
	return held.Tolerance(c).Loss(24*days, f.depth)
}

// within says whether the share lost, as printed, is inside the middle eight
// tenths of what the model holds possible: where all lived it may give no more
// than 0.9 to their loss, where all died no less than 0.1, and where some did
// it must lie between.
func (f flood) within(p float64) bool {
	return (p <= 0.9 || f.high > 0.9) && (p >= 0.1 || f.low < 0.1)
}

// Each flood with its own source held out of the days of its species. Of the
// 32 the model gives 26; the others say why not, and must not be given, so
// that the list stays true.
func TestPublishedFloodsAreWithinTheSpread(t *testing.T) {
	given := 0
	for _, f := range floods {
		t.Run(f.name, func(t *testing.T) {
			_, known := BuiltIn().Source(f.source)
			require.True(t, known, f.source)
			p := f.loss(t, 1)
			assert.Equal(t, f.missed == "", f.within(p), "the model gives a loss of %.2f, printed is %v to %v", p, f.low, f.high)
			if f.within(p) {
				given++
			}
		})
	}
	assert.GreaterOrEqual(t, float64(given)/float64(len(floods)), 0.8)
}

// A flood most trees died of should be told as worse than one they all lived
// through: the share of pairs that is (the area under the ROC curve) is 0.78.
// And the days of the table are cautious, which is told and kept: over all
// floods the model expects 0.45 to be lost where 0.29 were, since trials are made
// of trees somebody hopes for, and it would fit them best at less than half of
// the hours. Much longer days would be wrong the other way.
func TestPublishedFloodsAreToldApart(t *testing.T) {
	pairs, told := 0.0, 0.0
	for _, died := range floods {
		for _, lived := range floods {
			if died.low < 0.5 || lived.high > 0.2 {
				continue
			}
			pairs++
			if died.loss(t, 1) > lived.loss(t, 1) {
				told++
			}
		}
	}
	assert.Greater(t, told/pairs, 0.75)

	brier := func(times float64) (score, expected, seen float64) {
		n := float64(len(floods))
		for _, f := range floods {
			p, lost := f.loss(t, times), (f.low+f.high)/2
			score += (p - lost) * (p - lost) / n
			expected += p / n
			seen += lost / n
		}
		return
	}
	_, expected, seen := brier(1)
	assert.InDelta(t, 0.455, expected, 0.01)
	assert.InDelta(t, 0.29, seen, 0.01)
	best, _, _ := brier(0.4)
	for _, times := range []float64{0.1, 1, 3, 10} {
		score, _, _ := brier(times)
		assert.Greater(t, score, best, times)
	}
	deadly := 0.0
	for _, f := range floods {
		if f.low >= 0.5 && f.source != "ojeda-annona" { // cold does a tree of the tropics no good, and no harm either here: see Warmth
			deadly = math.Max(deadly, 1-f.loss(t, 1))
		}
	}
	assert.Less(t, deadly, 0.65, "no deadly flood is told as a safe one")
}

// The same water over half the roots of peach did about half the harm of water
// over all of them (ziegler-2023, six days).
func TestHalfTheRootsInWaterIsHalfTheDose(t *testing.T) {
	hours := []float64{6 * 24, 6 * 24, 0, 0, 0} // up to 0.15 m over the ground, straight through 0.15
	full, half := RootHours(hours, 0.1, 0), RootHours(hours, 0.1, 0.30)
	assert.InDelta(t, full/2, half, 1e-9)
	peach := find(t, "peach").Tolerance(Conditions{})
	assert.Greater(t, peach.Loss(full, 0), peach.Loss(half, 0))
}

// Grafted mango recovered in water of 10 cm and all died in 30 cm, with the
// union 5 cm under; seedlings lived at both depths (agronomy-2020). The length
// of the flood was not in the part read, so the order alone is held.
func TestWaterOverTheUnionOfMangoIsWorse(t *testing.T) {
	mango := find(t, "mango")
	grafted, seedling := mango.Tolerance(Conditions{}), mango.Tolerance(Conditions{Rootstock: "seedling"})
	hours := 24.0
	assert.Greater(t, grafted.Loss(hours, 0.30), 1.5*grafted.Loss(hours, 0.10))
	assert.Equal(t, seedling.Loss(hours, 0.10), seedling.Loss(hours, 0.30))
	assert.Equal(t, grafted.Loss(hours, 0.10), seedling.Loss(hours, 0.10))
}

// Agriculture Victoria, AG1436: stone fruit and almond are to be drained within
// 48 hours. So half a day is no high risk yet for a tree in the ground some
// years, and two days are.
func TestStoneFruitIsToBeDrainedWithinTwoDays(t *testing.T) {
	for _, name := range []string{"Prunus persica", "Prunus dulcis", "Prunus armeniaca"} {
		tol := find(t, name).Tolerance(Conditions{Years: 5})
		assert.Less(t, RiskOf(tol.Loss(12, 0)), High, name)
		assert.GreaterOrEqual(t, RiskOf(tol.Loss(48, 0)), High, name)
	}
}

// Texas A&M, recovery after the Galveston flood: most landscape trees take 24 to
// 36 hours without lasting harm. So more than half of the temperate species of
// the table do, at less than a high risk.
func TestMostTreesTakeADayAndAHalf(t *testing.T) {
	all, take := 0, 0
	for _, e := range BuiltIn().All() {
		if e.Tropical() {
			continue
		}
		all++
		if RiskOf(e.Tolerance(Conditions{Years: 5}).Loss(36, 0)) < High {
			take++
		}
	}
	assert.Greater(t, 2*take, all)
}
