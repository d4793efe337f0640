package species

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestFindForgives(t *testing.T) {
	for _, tt := range []struct{ name, words, want string }{
		{"case", "CARYA ILLINOINENSIS", "Carya illinoinensis"},
		{"common name", "pecan", "Carya illinoinensis"},
		{"plural", "Pecans", "Carya illinoinensis"},
		{"plural in -oes", "mangoes", "Mangifera indica"},
		{"plural in -ies", "surinam cherries", "Eugenia uniflora"},
		{"the word tree", "mango tree", "Mangifera indica"},
		{"a name that is a tree", "rain tree", "Samanea saman"},
		{"an older spelling", "Carya illinoensis", "Carya illinoinensis"},
		{"an older name", "Vaccinium ashei", "Vaccinium virgatum"},
		{"authors", "Carya illinoinensis (Wangenh.) K. Koch", "Carya illinoinensis"},
		{"cultivar in single quotes", "Carya illinoinensis 'Pawnee'", "Carya illinoinensis"},
		{"cultivar in double quotes", `pecan "Pawnee"`, "Carya illinoinensis"},
		{"cultivar in curly quotes", "mango ‘Tommy Atkins’", "Mangifera indica"},
		{"apostrophe inside a name", "bullock's heart", "Annona reticulata"},
		{"curly apostrophe inside a name", "lady’s finger", "Abelmoschus esculentus"},
		{"accents", "açaí", "Euterpe oleracea"},
		{"combining accents", "ac\u0327ai\u0301", "Euterpe oleracea"},
		{"accents left out", "guanabana", "Annona muricata"},
		{"multiplication sign", "Citrus × paradisi", "Citrus x paradisi"},
		{"multiplication sign run in", "Citrus ×paradisi", "Citrus x paradisi"},
		{"hybrid mark left out", "Citrus paradisi", "Citrus x paradisi"},
		{"hyphen", "honey-locust", "Gleditsia triacanthos"},
		{"space", "honey locust", "Gleditsia triacanthos"},
		{"run together", "honeylocust", "Gleditsia triacanthos"},
		{"turned round", "pear, Asian", "Pyrus pyrifolia"},
		{"genus as a letter", "C. illinoinensis", "Carya illinoinensis"},
		{"genus of one entry", "Musa", "Musa spp."},
		{"genus with spp.", "Musa spp.", "Musa spp."},
		{"subspecies that is a species here", "Sambucus nigra ssp. canadensis", "Sambucus canadensis"},
		{"subspecies that is not", "Sambucus nigra ssp. nigra", "Sambucus nigra"},
		{"one letter wrong", "pekan", "Carya illinoinensis"},
		{"two letters wrong in a long name", "bald cyprus", "Taxodium distichum"},
		{"letters swapped", "Juglnas nigra", "Juglans nigra"},
		{"spaces around", "\t fig \n", "Ficus carica"},
		{"whole name before part of one", "apple", "Malus domestica"},
		{"black elder is no black alder", "black elder", "Sambucus nigra"},
		{"black alder is no black elder", "black alder", "Alnus glutinosa"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			e, err := BuiltIn().Find(tt.words)
			require.NoError(t, err)
			assert.Equal(t, tt.want, e.Scientific)
		})
	}
}

func TestFindListsTheSpeciesOfAnAmbiguousName(t *testing.T) {
	for _, tt := range []struct {
		words string
		want  []string
	}{
		{"persimmon", []string{"Diospyros kaki", "Diospyros virginiana"}},
		{"mulberries", []string{"Morus alba", "Morus nigra", "Morus rubra"}},
		{"elderberry", []string{"Sambucus canadensis", "Sambucus nigra"}},
		{"pawpaw", []string{"Asimina triloba", "Carica papaya"}},
		{"Juglans", []string{"Juglans nigra", "Juglans regia"}},
		{"Salix sp.", []string{"Salix alba", "Salix exigua", "Salix nigra"}},
		{"birch", []string{"Betula nigra"}},
	} {
		t.Run(tt.words, func(t *testing.T) {
			_, err := BuiltIn().Find(tt.words)
			var several *AmbiguousError
			require.ErrorAs(t, err, &several)
			var got []string
			for _, e := range several.Entries {
				got = append(got, e.Scientific)
			}
			assert.Equal(t, tt.want, got)
		})
	}
	_, err := BuiltIn().Find("plum")
	var several *AmbiguousError
	require.ErrorAs(t, err, &several)
	assert.Greater(t, len(several.Entries), 3)
	_, err = BuiltIn().Find("persimmon")
	assert.EqualError(t, err, `"persimmon" could be Asian persimmon (Diospyros kaki), American persimmon (Diospyros virginiana); write which`)
	_, err = BuiltIn().Find("birch")
	assert.EqualError(t, err, `"birch" is only part of a name; the table has river birch (Betula nigra)`)
}

func TestFindOffersTheNearestName(t *testing.T) {
	for _, tt := range []struct {
		name, words string
		want        []string
	}{
		{"another species of the genus", "Quercus robur", []string{"Quercus rubra", "Quercus alba", "Quercus bicolor"}},
		{"first letter wrong", "beech", []string{"peach (Prunus persica)", "black birch (Betula nigra)"}},
		{"words of the table put together wrongly", "red elder", []string{"red alder (Alnus rubra)", "grey alder (Alnus incana)", "American elder (Sambucus canadensis)"}},
		{"nothing like it", "zzzzzz", nil},
		{"nothing at all", " ", nil},
		{"no letters", "12 / 7", nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := BuiltIn().Find(tt.words)
			var unknown *UnknownError
			require.ErrorAs(t, err, &unknown)
			assert.Equal(t, tt.want, unknown.Nearest)
		})
	}
}

func TestEveryNameFindsItsSpecies(t *testing.T) {
	for _, e := range BuiltIn().All() {
		got, err := BuiltIn().Find(e.Scientific)
		require.NoError(t, err, e.Scientific)
		assert.Same(t, e, got)
		for _, name := range e.Common {
			got, err := BuiltIn().Find(name)
			if several, ok := err.(*AmbiguousError); ok {
				assert.Contains(t, several.Entries, e, name)
				assert.Greater(t, len(several.Entries), 1, name)
				continue
			}
			require.NoError(t, err, name)
			assert.Same(t, e, got, name)
		}
	}
}

func TestSearchLooksInNamesUsesLayerAndClass(t *testing.T) {
	assert.Len(t, BuiltIn().Search(""), len(BuiltIn().All()))
	var got []string
	for _, e := range BuiltIn().Search("nut swamp") {
		got = append(got, e.Scientific)
	}
	assert.Empty(t, got)
	for _, e := range BuiltIn().Search("wet season timber") {
		got = append(got, e.Scientific)
		assert.Contains(t, e.Uses, "timber")
	}
	assert.Contains(t, got, "Fraxinus pennsylvanica")
	assert.NotContains(t, got, "Quercus alba")
}

func FuzzFind(f *testing.F) {
	for _, s := range []string{"pecan", "Carya illinoinensis 'Pawnee'", "pear, Asian", "×", "açaí", "\xff\xfe", "''", "a,b,c", "Musa spp."} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, words string) {
		e, err := BuiltIn().Find(words)
		if (e == nil) == (err == nil) {
			t.Fatalf("%q gave %v and %v", words, e, err)
		}
		if several, ok := err.(*AmbiguousError); ok && len(several.Entries) == 0 {
			t.Fatalf("%q is ambiguous among nothing", words)
		}
		BuiltIn().Search(words)
	})
}
