package report

import (
	"html"
	"html/template"
	"strings"
)

// longest is the longest word kept on one line. A longer one may break after
// every so many letters, or a telephone could not show it.
const longest = 24

// keep writes text so that a name with a hyphen in it, such as the id of a
// tree, is not broken there.
func keep(text string) template.HTML {
	var b strings.Builder
	for i, word := range strings.Split(text, " ") {
		if i > 0 {
			b.WriteByte(' ')
		}
		letters := []rune(word)
		switch {
		case len(letters) > longest:
			for len(letters) > longest/2 {
				b.WriteString(html.EscapeString(string(letters[:longest/2])) + "<wbr>")
				letters = letters[longest/2:]
			}
			b.WriteString(html.EscapeString(string(letters)))
		case strings.Contains(word, "-"):
			b.WriteString(`<span class="together">` + html.EscapeString(word) + `</span>`)
		default:
			b.WriteString(html.EscapeString(word))
		}
	}
	return template.HTML(b.String())
}
