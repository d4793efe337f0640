// Package wording writes counts, lists of names and first letters as sentences
// have them.
package wording

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
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

// Capital is a sentence with its first letter a capital.
func Capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return ""
	}
	return string(unicode.ToUpper(r)) + s[n:]
}

// Some joins names, and where they are more than so many the first of them:
// "A-1, A-2 and 7 more".
func Some(names []string, most int) string {
	if len(names) <= most {
		return strings.Join(names, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(names[:most], ", "), len(names)-most)
}
