// Package wording writes counts and lists of names as sentences have them.
package wording

import (
	"fmt"
	"strings"
)

// Count is a number of things: "1 tree", "12 trees".
func Count(n int, noun string) string {
	switch {
	case n == 1:
		return "1 " + noun
	case noun == "species":
		return fmt.Sprintf("%d species", n)
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// CountOne is [Count] with one in letters, for the middle of a sentence: "one
// tree", "12 trees".
func CountOne(n int, noun string) string {
	if n == 1 {
		return "one " + noun
	}
	return Count(n, noun)
}

// Some joins names, and where they are more than so many the first of them:
// "A-1, A-2 and 7 more".
func Some(names []string, most int) string {
	if len(names) <= most {
		return strings.Join(names, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(names[:most], ", "), len(names)-most)
}
