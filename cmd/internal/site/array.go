package site

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"wetfeet/terrain/quantity"
)

// tables reads an array of tables headed [[heading]], each with read.
func (n node) tables(heading string, most int, read func(n node, i int)) {
	if _, single := n.value.(map[string]any); single {
		n.fail("is headed [[%s]], with two brackets on each side", heading)
		return
	}
	list, ok := n.list(fmt.Sprintf("tables headed [[%s]] are needed", heading))
	if !ok {
		return
	}
	if len(list) > most {
		n.fail("found %d; at most %d are read", len(list), most)
		return
	}
	for i, one := range list {
		read(one, i)
	}
}

// named reads the name of one of several tables, which is no other's, into a
// name that it has without one, and returns it. First is the lines of those
// before.
func (n node) named(name *string, first map[string]int) string {
	if _, ok := n.value.(map[string]any); !ok {
		return *name
	}
	if child, ok := n.under("name"); ok {
		child.label = fmt.Sprintf("%s %s, name", n.label, *name)
		if given, ok := child.text("a name is needed, or none for " + quote(*name)); ok {
			*name = given
		}
	}
	if before, taken := first[*name]; taken {
		n.label += " " + quote(*name)
		n.fail("has the name of the one of line %d; each needs its own", before)
	} else {
		first[*name] = n.line()
	}
	return *name
}

// needs says which keys a table lacks, and why they are needed.
func (n node) needs(why string, keys ...string) bool {
	table, ok := n.value.(map[string]any)
	if !ok {
		return false
	}
	for _, key := range keys {
		if _, has := table[key]; !has {
			n.fail("has no %s; %s", key, why)
			ok = false
		}
	}
	return ok
}

// where names the table for messages of later: "site.toml:12: link "Culvert"".
func (n node) where() string { return fmt.Sprintf("%s:%d: %s", n.name, n.line(), n.label) }

// choose is one of a few words, in any case, and what it stands for.
func choose[T any](n node, words map[string]T) T {
	known := slices.Sorted(maps.Keys(words))
	quoted := make([]string, len(known))
	for i, w := range known {
		quoted[i] = quote(w)
	}
	var none T
	text, ok := n.text("one of " + list(quoted, "and") + " is needed")
	if !ok {
		return none
	}
	v, ok := words[strings.Join(strings.Fields(strings.ToLower(text)), " ")]
	if !ok {
		n.fail("found %s; one of %s is needed", quote(text), list(quoted, "and"))
	}
	return v
}

func (n node) flag() bool {
	v, ok := n.value.(bool)
	if !ok {
		n.fail("found %s; true or false is needed, without quotes", describe(n.value))
	}
	return v
}

// share is a part of a whole: 0.2, or "20 %".
func (n node) share() (float64, bool) {
	s, ok := n.typed(`a share is needed, such as 0.2 or "20 %"`)
	if !ok {
		return 0, false
	}
	v, err := quantity.Share(s)
	if err != nil {
		n.fail("found %s; %v", describe(n.value), err)
		return 0, false
	}
	return v, true
}
