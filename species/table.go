package species

import (
	"cmp"
	"maps"
	"slices"
	"strings"
)

// A Table is a set of species that can be looked up. It does not change.
type Table struct {
	entries []*Entry // by scientific name
	sources map[string]Source

	byCommon     map[string][]*Entry // key of a common name
	byScientific map[string]*Entry   // key of a scientific name or synonym, without ranks
	byGenus      map[string][]*Entry
	names        []named         // every name there is, for the slow searches
	spelt        map[string]bool // every word of them
}

// A named is one name of an entry.
type named struct {
	entry      *Entry
	name       string
	words      []string
	key        string
	scientific bool
}

// All is every entry, by scientific name. The slice is the caller's, the
// entries are not.
func (t *Table) All() []*Entry { return slices.Clone(t.entries) }

// Source is the publication, database or rule with that ID.
func (t *Table) Source(id string) (Source, bool) {
	s, ok := t.sources[id]
	return s, ok
}

// Sources is every source the facts of the entries name, by ID; of the whole
// table when no entry is given.
func (t *Table) Sources(entries ...*Entry) []Source {
	if len(entries) == 0 {
		entries = t.entries
	}
	used := map[string]Source{}
	for _, e := range entries {
		for _, f := range e.Facts {
			if s, ok := t.sources[f.Source]; ok {
				used[s.ID] = s
			}
		}
	}
	return slices.SortedFunc(maps.Values(used), func(a, b Source) int { return cmp.Compare(a.ID, b.ID) })
}

// short is what a source is called in the middle of a sentence.
func (t *Table) short(id string) string { return t.sources[id].Short }

// index builds the look-ups after entries is complete.
func (t *Table) index() {
	slices.SortFunc(t.entries, func(a, b *Entry) int { return strings.Compare(a.Scientific, b.Scientific) })
	t.byCommon = map[string][]*Entry{}
	t.byScientific = map[string]*Entry{}
	t.byGenus = map[string][]*Entry{}
	t.names = nil
	for _, e := range t.entries {
		for i, name := range append([]string{e.Scientific}, e.Synonyms...) {
			words := epithets(tokens(name))
			if len(words) == 0 {
				continue
			}
			t.names = append(t.names, named{e, name, words, key(words), true})
			if t.byScientific[key(words)] == nil || i == 0 {
				t.byScientific[key(words)] = e
			}
			if i == 0 {
				t.byGenus[words[0]] = append(t.byGenus[words[0]], e)
			}
		}
		for _, name := range e.Common {
			words := tokens(name)
			if len(words) == 0 {
				continue
			}
			k := key(words)
			t.names = append(t.names, named{e, name, words, k, false})
			if !slices.Contains(t.byCommon[k], e) {
				t.byCommon[k] = append(t.byCommon[k], e)
			}
		}
	}
	for _, e := range t.entries { // a name the grower gave means the grower's species
		for _, f := range e.Evidence("common_names") {
			for _, name := range list(f.Value) {
				t.byCommon[key(tokens(name))] = []*Entry{e}
			}
		}
	}
	t.spelt = map[string]bool{}
	for _, n := range t.names {
		for _, w := range n.words {
			t.spelt[w] = true
		}
	}
}
