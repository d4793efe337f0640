package soil

import (
	"fmt"
	"math"
	"strings"
	"unicode"
)

var inf = math.Inf(1)

// longest is the most bytes of a person's words that are looked at.
const longest = 120

// words cuts a person's description into lower-case words; everything that is
// not a letter or a digit parts two of them.
func words(s string) []string {
	return strings.FieldsFunc(strings.ToLower(s[:min(len(s), longest)]), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r)
	})
}

// quote shows what was typed, cut where it grows past all reason.
func quote(s string) string {
	if len(s) > longest {
		s = strings.ToValidUTF8(s[:longest], "") + "…"
	}
	return fmt.Sprintf("%q", s)
}

// nearest is the candidate that shares most pairs of letters with s, the
// first of those equally near. Pairs do not mind the order of words, which a
// distance by single letters does.
//
// Dice, L.R. (1945). Measures of the amount of ecologic association between
// species. Ecology 26(3), 297–302.
func nearest(s string, candidates []string) string {
	best, most := "", -1.0
	of := pairs(s)
	for _, c := range candidates {
		other, shared := pairs(c), 0
		for p := range of {
			if other[p] {
				shared++
			}
		}
		if alike := 2 * float64(shared) / float64(max(1, len(of)+len(other))); alike > most {
			best, most = c, alike
		}
	}
	return best
}

func pairs(s string) map[[2]rune]bool {
	set := make(map[[2]rune]bool)
	for _, w := range words(s) {
		before := ' '
		for _, r := range w + " " {
			set[[2]rune{before, r}] = true
			before = r
		}
	}
	return set
}
