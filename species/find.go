package species

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// An UnknownError says that no species has such a name.
type UnknownError struct {
	Words   string
	Nearest []string // up to three names much like it, nearest first
}

func (e *UnknownError) Error() string {
	if len(e.Nearest) == 0 {
		return fmt.Sprintf("%q is not a species in the table, nor like any name in it", e.Words)
	}
	return fmt.Sprintf("%q is not a species in the table; nearest: %s", e.Words, strings.Join(e.Nearest, ", "))
}

// An AmbiguousError says that a name is borne by several species, or is only
// a part of a name.
type AmbiguousError struct {
	Words   string
	Entries []*Entry // at least one, by scientific name
}

func (e *AmbiguousError) Error() string {
	if len(e.Entries) == 1 {
		return fmt.Sprintf("%q is only part of a name; the table has %s", e.Words, e.Entries[0].Label())
	}
	const most = 8
	var names []string
	for _, c := range e.Entries[:min(len(e.Entries), most)] {
		names = append(names, c.Label())
	}
	if more := len(e.Entries) - most; more > 0 {
		names = append(names, fmt.Sprintf("or %d more", more))
	}
	return fmt.Sprintf("%q could be %s; write which", e.Words, strings.Join(names, ", "))
}

// maxWords bounds the length of a name, in bytes, so that a whole file handed
// in by mistake is not compared letter by letter with every species.
const maxWords = 200

// Find is the species of that name: scientific, with or without authors,
// subspecies and cultivar, or common.
//
// Case, accents, spaces, hyphens, "x" and "×", and the plural do not matter,
// and a slip of the pen is forgiven: one letter, or two in a name of nine and
// more, never the first. A part of a name is not a name, since the other
// species of that kind may stand far apart: it gives an *AmbiguousError, as
// does a name several species bear. Anything else is an *UnknownError.
func (t *Table) Find(words string) (*Entry, error) {
	words = strings.TrimSpace(words)
	if len(words) > maxWords {
		return nil, &UnknownError{Words: strings.ToValidUTF8(words[:40], "") + "..."}
	}
	toks := tokens(words)
	if len(toks) == 0 {
		return nil, &UnknownError{Words: words}
	}
	if e := t.scientific(epithets(toks)); e != nil {
		return e, nil
	}
	for _, found := range [][]*Entry{
		t.byCommon[key(toks)],
		t.slip(toks),
	} {
		if len(found) == 1 {
			return found[0], nil
		}
		if len(found) > 1 {
			return nil, ambiguous(words, found)
		}
	}
	if found := t.part(toks); len(found) > 0 {
		return nil, ambiguous(words, found)
	}
	return nil, &UnknownError{Words: words, Nearest: t.nearest(toks)}
}

func ambiguous(words string, found []*Entry) error {
	slices.SortFunc(found, func(a, b *Entry) int { return strings.Compare(a.Scientific, b.Scientific) })
	return &AmbiguousError{Words: words, Entries: found}
}

// scientific finds genus, epithet and, if it is a species of its own here,
// what is written below the epithet. All beyond that is authors.
func (t *Table) scientific(words []string) *Entry {
	for n := min(len(words), 3); n >= 1; n-- {
		if n == 1 && len(words) > 1 {
			break // a genus alone, such as "Musa", stands only by itself
		}
		if e := t.byScientific[key(words[:n])]; e != nil {
			return e
		}
	}
	if len(words) < 2 || len(words[0]) != 1 {
		return nil
	}
	var found *Entry // the genus is given as one letter: "C. illinoinensis"
	for _, n := range t.names {
		if n.scientific && len(n.words) > 1 && n.words[1] == words[1] && n.words[0][0] == words[0][0] {
			if found != nil && found != n.entry {
				return nil
			}
			found = n.entry
		}
	}
	return found
}

// slip finds the species one slip of the pen away. Where every word is spelt
// as somewhere in the table there was no slip: a red elder is not a red alder.
func (t *Table) slip(words []string) []*Entry {
	if !slices.ContainsFunc(words, func(w string) bool { return !t.spelt[w] }) {
		return nil
	}
	best := 3
	var found []*Entry
	k, sci := key(words), key(epithets(words))
	for _, n := range t.names {
		typed := k
		if n.scientific {
			typed = sci
		}
		allowed := 0
		switch {
		case len(n.key) >= 9:
			allowed = 2
		case len(n.key) >= 5:
			allowed = 1
		}
		if typed == "" || typed[0] != n.key[0] {
			continue
		}
		d := slips(typed, n.key, min(allowed, best))
		if d > allowed || d > best {
			continue
		}
		if d < best {
			best, found = d, nil
		}
		if !slices.Contains(found, n.entry) {
			found = append(found, n.entry)
		}
	}
	return found
}

// part finds the species whose name ends in the words, or failing that has
// all of them in it.
func (t *Table) part(words []string) []*Entry {
	if len(words) == 1 {
		if found := t.byGenus[words[0]]; len(found) > 0 {
			return slices.Clone(found)
		}
	}
	var ends, has []*Entry
	add := func(to *[]*Entry, e *Entry) {
		if !slices.Contains(*to, e) {
			*to = append(*to, e)
		}
	}
	genus := epithets(words)
	for _, n := range t.names {
		if len(genus) == 1 && n.scientific && n.words[0] == genus[0] {
			add(&ends, n.entry)
		}
		if len(n.words) >= len(words) && slices.Equal(n.words[len(n.words)-len(words):], words) {
			add(&ends, n.entry)
		}
		all := true
		for _, w := range words {
			all = all && slices.Contains(n.words, w)
		}
		if all {
			add(&has, n.entry)
		}
	}
	if len(ends) > 0 {
		return ends
	}
	return has
}

// nearest is up to three names fewest slips away, no further than half their
// letters, one for each species.
func (t *Table) nearest(words []string) []string {
	type near struct {
		named
		away int
	}
	var all []near
	k := key(words)
	limit := max(2, len(k)/2)
	for _, n := range t.names {
		for i := range n.words { // "hickry" is near the end of "shagbark hickory"
			tail := key(n.words[i:])
			d := slips(k, tail, limit)
			if d <= limit && 2*d <= max(len(tail), len(k)) {
				all = append(all, near{n, d + min(i, 1)})
			}
		}
	}
	slices.SortFunc(all, func(a, b near) int {
		return cmp.Or(cmp.Compare(a.away, b.away), strings.Compare(a.name, b.name), strings.Compare(a.entry.Scientific, b.entry.Scientific))
	})
	var out []string
	var seen []*Entry
	for _, n := range all {
		if slices.Contains(seen, n.entry) {
			continue
		}
		seen = append(seen, n.entry)
		label := n.name
		if !n.scientific {
			label += " (" + n.entry.Scientific + ")"
		}
		if out = append(out, label); len(out) == 3 {
			break
		}
	}
	return out
}

// Search is every species that fits all of the words, in part or whole, for
// looking round the table: names, uses, layer and class. No words fit all.
func (t *Table) Search(words string) []*Entry {
	if len(words) > maxWords {
		return nil
	}
	toks := tokens(words)
	var found []*Entry
	for _, e := range t.entries {
		var about []string
		for _, s := range slices.Concat([]string{e.Scientific, e.Stratum, e.Class.String()}, e.Synonyms, e.Common, e.Uses) {
			about = append(about, tokens(s)...)
		}
		fits := true
		for _, w := range toks {
			fits = fits && slices.ContainsFunc(about, func(a string) bool { return strings.HasPrefix(a, w) })
		}
		if fits {
			found = append(found, e)
		}
	}
	return found
}
