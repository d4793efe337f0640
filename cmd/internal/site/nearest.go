package site

import (
	"fmt"
	"slices"
	"strings"
)

// nearest is the word that takes the fewest single-letter changes to come to
// from s, the first by name of those equally near, and how many it takes.
// Levenshtein, V.I. (1966). Binary codes capable of correcting deletions,
// insertions and reversals. Soviet Physics Doklady 10(8), 707–710.
func nearest(s string, words []string) (word string, changes int) {
	changes = 1 << 30
	for _, w := range slices.Sorted(slices.Values(words)) {
		if d := distance(strings.ToLower(s), strings.ToLower(w)); d < changes {
			word, changes = w, d
		}
	}
	return word, changes
}

// distance is the changes between two words, as far as their first 64 letters
// tell.
func distance(a, b string) int {
	from, to := cut(a), cut(b)
	row := make([]int, len(to)+1)
	for j := range row {
		row[j] = j
	}
	for i, f := range from {
		diagonal := row[0] // distance of from[:i] and to[:j]
		row[0] = i + 1
		for j, t := range to {
			change := diagonal
			if f != t {
				change++
			}
			diagonal = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(to)]
}

func cut(s string) []rune {
	r := []rune(s[:min(len(s), 256)])
	return r[:min(len(r), 64)]
}

// quote shows text of the file, short and on one line.
func quote(s string) string {
	if r := cut(s); len(r) < len([]rune(s)) {
		s = string(r) + "…"
	}
	return fmt.Sprintf("%q", s)
}

// shorten keeps a message of the TOML library, which may hold what it found, to
// a line.
func shorten(s string) string {
	if len(s) > 200 {
		s = strings.ToValidUTF8(s[:200], "") + "…"
	}
	return s
}

// list writes words as a sentence has them: a, b or c.
func list(words []string, last string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	n := len(words) - 1
	return strings.Join(words[:n], ", ") + " " + last + " " + words[n]
}

// Nearest is the word that is nearest to a mistyped one, the first by name of
// those equally near; empty where there are none.
func Nearest(s string, words []string) string {
	word, _ := nearest(s, words)
	return word
}
