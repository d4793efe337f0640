package species

import (
	"slices"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestEveryEntryIsComplete(t *testing.T) {
	all := BuiltIn().All()
	assert.GreaterOrEqual(t, len(all), 150)
	for _, e := range all {
		assert.NotEmpty(t, e.Common, "%s: common names", e.Scientific)
		assert.Contains(t, []string{"low", "medium", "high"}, e.Confidence, "%s: confidence", e.Scientific)
		assert.Contains(t, []string{"low", "medium", "high", "emergent"}, e.Stratum, "%s: stratum", e.Scientific)
		assert.NotEmpty(t, e.Uses, "%s: uses", e.Scientific)
		assert.NotNil(t, e.Spacing, "%s: spacing", e.Scientific)
		assert.NotNil(t, e.Height, "%s: height", e.Scientific)
		_, ok := e.zones()
		assert.True(t, ok, "%s: hardiness %q", e.Scientific, e.Hardiness)
		assert.Contains(t, []string{"", "none", "low", "medium", "high"}, e.Salt, "%s: salt", e.Scientific)
		assert.False(t, e.Own, e.Scientific)
		assert.NotEmpty(t, e.Facts[0].Note, "%s: the reason for its class", e.Scientific)
		for _, r := range []*Range{&e.Days, e.Spacing, e.Height, e.WaterTable} {
			if r != nil {
				assert.LessOrEqual(t, r.Low, r.Likely, e.Scientific)
				assert.LessOrEqual(t, r.Likely, r.High, e.Scientific)
			}
		}
	}
}

func TestDaysStandInTheirClass(t *testing.T) {
	for _, e := range BuiltIn().All() {
		band := e.Class.Band()
		assert.GreaterOrEqual(t, e.Days.Likely, band.Low, e.Scientific)
		assert.LessOrEqual(t, e.Days.Likely, band.Likely, "%s: a count never raises the likely days", e.Scientific)
		assert.LessOrEqual(t, e.Days.Low, band.Low, e.Scientific)
		assert.GreaterOrEqual(t, e.Days.High, band.High, e.Scientific)
		assert.Equal(t, e.Class, ClassOf(e.Days.Likely), e.Scientific)
		assert.Contains(t, []Basis{Read, Practice}, e.DaysBasis, e.Scientific)
	}
	for c := NoWetFeet; c < Swamp; c++ {
		assert.Equal(t, c.Band().High+1, (c + 1).Band().Low, "the bands meet above %s", c)
	}
}

func TestEveryFactHasASourceAndABasis(t *testing.T) {
	used := map[string]bool{}
	for _, e := range BuiltIn().All() {
		seen := map[Fact]bool{}
		for _, f := range e.Facts {
			s, ok := BuiltIn().Source(f.Source)
			require.True(t, ok, "%s: %v", e.Scientific, f)
			used[s.ID] = true
			assert.Contains(t, []Basis{Read, Memory, Practice}, f.Basis, "%s: %v", e.Scientific, f)
			assert.NotEmpty(t, f.Value, "%s: %v", e.Scientific, f)
			assert.False(t, seen[f], "%s: %v stands twice", e.Scientific, f)
			seen[f] = true
			if f.Basis == Read {
				assert.NotEmpty(t, s.Address, "%s was read, so somewhere", s.ID)
			}
		}
	}
	for _, s := range BuiltIn().Sources() {
		assert.NotEmpty(t, s.Citation, s.ID)
		assert.NotEmpty(t, s.Short, s.ID)
		if s.Address != "" {
			assert.Regexp(t, `^https?://[a-z0-9.-]+(/\S*)?$`, s.Address, s.ID)
		}
	}
	assert.Equal(t, len(BuiltIn().sources), len(used), "no source stands idle")
}

func TestFactsOfOneKindStandTogether(t *testing.T) {
	for _, e := range BuiltIn().All() {
		var kinds []string
		for _, f := range e.Facts {
			if len(kinds) == 0 || kinds[len(kinds)-1] != f.Attribute {
				assert.NotContains(t, kinds, f.Attribute, e.Scientific)
				kinds = append(kinds, f.Attribute)
			}
		}
	}
}

// A word of a source that is on no scale would silently be left out of the
// clashes. The exceptions are sentences that name no step of any scale.
func TestEveryClassWordIsOnItsScale(t *testing.T) {
	for _, e := range BuiltIn().All() {
		for _, f := range e.Evidence("flood_tolerance") {
			_, scaled := scales[f.Source]
			_, ok := classIn(f)
			assert.Equal(t, scaled || f.Source == index, ok, "%s: %v", e.Scientific, f)
		}
	}
}

func TestNamesArePlainText(t *testing.T) {
	owner := map[string]string{}
	for _, e := range BuiltIn().All() {
		for _, name := range slices.Concat([]string{e.Scientific}, e.Synonyms, e.Common) {
			assert.Equal(t, strings.TrimSpace(name), name)
			assert.Equal(t, -1, strings.IndexFunc(name, func(r rune) bool {
				return !unicode.IsLetter(r) && !strings.ContainsRune(" -'.", r)
			}), "%q of %s", name, e.Scientific)
		}
		for _, name := range append([]string{e.Scientific}, e.Synonyms...) {
			k := key(epithets(tokens(name)))
			if other := owner[k]; other != "" {
				assert.Equal(t, e.Scientific, other, "both claim %s", name)
			}
			owner[k] = e.Scientific
		}
	}
}

// The clashes named by those who gathered the facts, and two only the class
// words show.
func TestClashesAreStated(t *testing.T) {
	for _, name := range []string{
		"Juglans nigra", "Platanus occidentalis", "Populus deltoides", "Gleditsia triacanthos", "Picea glauca",
		"Pinus taeda", "Morus rubra", "Pyrus communis", "Amelanchier arborea", "Annona muricata", "Gliricidia sepium",
		"Swietenia mahagoni", "Ribes nigrum", "Rubus idaeus", "Phoenix dactylifera", "Thuja occidentalis",
		"Diospyros virginiana", "Cydonia oblonga",
	} {
		e, err := BuiltIn().Find(name)
		require.NoError(t, err)
		assert.NotEmpty(t, e.Clash, name)
		assert.NotRegexp(t, `\.$|\n`, e.Clash, name)
	}
	e, err := BuiltIn().Find("Nyssa aquatica")
	require.NoError(t, err)
	assert.Empty(t, e.Clash)
	e, err = BuiltIn().Find("Platanus occidentalis")
	require.NoError(t, err)
	assert.Equal(t, `the southern forestry handbook says "intolerant" (short soak), yet the Forest Service list says "tolerant" (wet season)`, e.Clash)
}

func TestDaysFollowTheRule(t *testing.T) {
	read := func(low, high float64) count { return count{Range{low, (low + high) / 2, high}, Read, 0} }
	for _, tt := range []struct {
		name       string
		class      Class
		confidence string
		counts     []count
		want       Range
		basis      Basis
	}{
		{"high confidence keeps to the band", WetSpell, "high", nil, Range{8, 14, 30}, Practice},
		{"medium reaches to the classes on either side", ShortSoak, "medium", nil, Range{1, 4, 14}, Practice},
		{"low reaches two classes up", ShortSoak, "low", nil, Range{1, 4, 45}, Practice},
		{"nothing lies below the lowest class", NoWetFeet, "low", nil, Range{0, 1, 14}, Practice},
		{"nothing lies above the highest", Swamp, "low", nil, Range{45, 180, 365}, Practice},
		{"a count that was read lowers the likely days", ShortSoak, "high", []count{read(3, 3)}, Range{3, 3, 7}, Read},
		{"only to the edge of the class", WetSpell, "high", []count{read(5, 5)}, Range{5, 8, 30}, Read},
		{"and never raises them", ShortSoak, "high", []count{read(20, 30)}, Range{3, 4, 30}, Practice},
		{"a rule of thumb only widens", WetSpell, "high", []count{{Range{5, 6, 7}, Practice, 0}}, Range{5, 14, 30}, Practice},
		{"living on raises the high", WetSpell, "high", []count{{Range{60, 60, 60}, Read, '>'}}, Range{8, 14, 60}, Practice},
		{"dying lowers the low", WetSpell, "high", []count{{Range{5, 5, 5}, Read, '<'}}, Range{5, 14, 30}, Practice},
		{"a year is all there is", Swamp, "high", []count{{Range{730, 730, 730}, Read, '>'}}, Range{121, 180, 365}, Practice},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, basis := daysBorne(tt.class, tt.confidence, tt.counts)
			assert.Equal(t, tt.want, got)
			assert.Equal(t, tt.basis, basis)
		})
	}
}

func TestLoadRefusesABrokenTable(t *testing.T) {
	const sources = "id,short,citation,address,remark\nclass-reading,r,r,,\np,p,p,,\n"
	const facts = "species,attribute,value,unit,basis,source,note\n"
	const kinds = "scientific,common,synonyms,class,confidence,reason,clash\n"
	for _, tt := range []struct{ name, species, facts, want string }{
		{"a class that is none", "Aus bus,,,soggy,low,r,\n", "", `Aus bus: class: "soggy" is not a class`},
		{"a source that is none", "", "Aus bus,height,4,m,read,x,\n", `facts.csv: Aus bus, height: no source "x"`},
		{"a range the wrong way round", "Aus bus,,,swamp,low,r,\n", "Aus bus,height,6-4,m,read,p,\n", `Aus bus: height: "6-4" is not a number or a range such as 4-6`},
		{"a count that is none", "Aus bus,,,swamp,low,r,\n", "Aus bus,days_borne,>few,days,read,p,\n", `Aus bus: days_borne: "few" is not a number or a range such as 4-6`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := load(kinds+tt.species, facts+tt.facts, sources)
			assert.EqualError(t, err, tt.want)
		})
	}
	_, err := load("a,b\n", facts, sources)
	assert.ErrorContains(t, err, "species.csv")
}

// Days of hot soil are more days of soil at 20 °C: 4 at 30 °C are 8.
func TestDaysAreBroughtToTheSoilOfTheTable(t *testing.T) {
	n, err := readCount(Fact{Value: "4-6", Unit: "days at 30 C"})
	require.NoError(t, err)
	assert.Equal(t, Range{8, 10, 12}, n.Range)
	n, err = readCount(Fact{Value: "<6", Unit: "days"})
	require.NoError(t, err)
	assert.Equal(t, Range{6, 6, 6}, n.Range)
	for _, unit := range []string{"days at warm", "days at 30", "days at 30 F"} {
		_, err = readCount(Fact{Value: "4", Unit: unit})
		assert.ErrorContains(t, err, "is no unit of days", unit)
	}
}
