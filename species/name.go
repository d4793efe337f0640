package species

import (
	"strings"
	"unicode"
)

// plain maps the accented letters of Latin script that common names bring to
// the letters they are typed with on a plain keyboard.
var plain = strings.NewReplacer(
	"á", "a", "à", "a", "â", "a", "ä", "a", "ã", "a", "å", "a", "ā", "a", "ă", "a", "ą", "a",
	"ç", "c", "ć", "c", "č", "c", "ď", "d", "é", "e", "è", "e", "ê", "e", "ë", "e", "ē", "e", "ě", "e", "ę", "e",
	"í", "i", "ì", "i", "î", "i", "ï", "i", "ī", "i", "ı", "i", "ł", "l", "ñ", "n", "ń", "n", "ň", "n",
	"ó", "o", "ò", "o", "ô", "o", "ö", "o", "õ", "o", "ō", "o", "ø", "o", "ő", "o", "ř", "r",
	"ś", "s", "š", "s", "ș", "s", "ß", "ss", "ť", "t", "ț", "t", "ú", "u", "ù", "u", "û", "u", "ü", "u", "ū", "u",
	"ů", "u", "ű", "u", "ý", "y", "ÿ", "y", "ź", "z", "ż", "z", "ž", "z", "æ", "ae", "œ", "oe",
	"×", " x ", "'", "", "’", "",
)

// tokens breaks a name into its words, plain and lower-case and in the
// singular. What stands in quotation marks is a cultivar and is dropped. A
// comma turns a name round: "pear, Asian" is "Asian pear". Combining accents
// vanish with everything else that is not a letter.
func tokens(name string) []string {
	name = dropCultivar(strings.ToLower(name))
	if before, after, ok := strings.Cut(name, ","); ok {
		name = after + " " + before
	}
	name = strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Mn, r) {
			return -1
		}
		return r
	}, plain.Replace(name))
	words := strings.FieldsFunc(name, func(r rune) bool { return !unicode.IsLetter(r) })
	for i := range words {
		words[i] = singular(words[i])
	}
	if n := len(words); n > 1 && words[n-1] == "tree" {
		words = words[:n-1]
	}
	return words
}

// dropCultivar cuts out quoted parts: 'Pawnee', "Pawnee", ‘Pawnee’, “Pawnee”.
// A single mark inside a word is an apostrophe and stays.
func dropCultivar(name string) string {
	closing := map[rune]rune{'\'': '\'', '"': '"', '‘': '’', '“': '”', '«': '»'}
	runes := []rune(name)
	var kept []rune
	for i := 0; i < len(runes); i++ {
		end, opens := closing[runes[i]]
		if opens && (i == 0 || unicode.IsSpace(runes[i-1])) {
			if j := closes(runes, i+1, end); j > 0 {
				i = j
				continue
			}
		}
		kept = append(kept, runes[i])
	}
	return string(kept)
}

// closes finds the mark that ends a quotation: one that no letter follows.
func closes(runes []rune, from int, mark rune) int {
	for j := from; j < len(runes); j++ {
		if runes[j] == mark && (j+1 == len(runes) || !unicode.IsLetter(runes[j+1])) {
			return j
		}
	}
	return 0
}

// singular takes the plural off an English noun, near enough for names of
// plants; it is done to both sides of a comparison, so a wrong guess is the
// same wrong guess twice.
func singular(w string) string {
	has := func(end string) bool { return strings.HasSuffix(w, end) }
	switch {
	case len(w) < 4 || has("ss") || has("us") || has("is"):
		return w
	case has("ies"):
		return w[:len(w)-3] + "y"
	case has("ches"), has("shes"), has("xes"), has("oes"), has("sses"):
		return w[:len(w)-2]
	case has("s"):
		return w[:len(w)-1]
	}
	return w
}

// key is a name with all its words run together, so that "honey locust",
// "honey-locust" and "honeylocust" are one.
func key(words []string) string { return strings.Join(words, "") }

// ranks are words between a species and what is below or beside it.
var ranks = map[string]bool{"x": true, "ssp": true, "subsp": true, "spp": true, "sp": true, "var": true, "f": true, "cf": true}

// epithets is a scientific name without its ranks: genus, epithet and what
// follows.
func epithets(words []string) []string {
	var out []string
	for _, w := range words {
		if !ranks[w] {
			out = append(out, w)
		}
	}
	return out
}

// slips counts the letters put in, left out, mistaken or swapped with their
// neighbour that turn a into b: optimal string alignment. It stops counting
// at limit+1, and gives that for anything much longer than a name.
func slips(a, b string, limit int) int {
	var room [3][2 * maxWords]int // on the stack: this runs for every name of the table
	if d := len(a) - len(b); d > limit || -d > limit || len(b) >= len(room[0]) {
		return limit + 1
	}
	prev2, prev, cur := room[0][:len(b)+1], room[1][:len(b)+1], room[2][:len(b)+1]
	for j := range prev {
		prev[j] = j
	}
	for i := range len(a) {
		cur[0] = i + 1
		least := cur[0]
		for j := range len(b) {
			cost := 1
			if a[i] == b[j] {
				cost = 0
			}
			cur[j+1] = min(prev[j]+cost, prev[j+1]+1, cur[j]+1)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				cur[j+1] = min(cur[j+1], prev2[j-1]+1)
			}
			least = min(least, cur[j+1])
		}
		if least > limit {
			return limit + 1
		}
		prev2, prev, cur = prev, cur, prev2
	}
	return min(prev[len(b)], limit+1)
}
