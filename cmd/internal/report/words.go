package report

import (
	"html"
	"html/template"
	"strings"
	"unicode/utf8"
)

// longest is the longest word kept on one line; a longer one may break
// anywhere, or a telephone could not show it.
const longest = 24

// keep writes text so that a name with a hyphen in it, such as the id of a
// tree, is not broken there.
func keep(text string) template.HTML {
	var b strings.Builder
	for i, word := range strings.Split(text, " ") {
		if i > 0 {
			b.WriteByte(' ')
		}
		if strings.Contains(word, "-") && utf8.RuneCountInString(word) <= longest {
			b.WriteString(`<span class="together">` + html.EscapeString(word) + `</span>`)
		} else {
			b.WriteString(html.EscapeString(word))
		}
	}
	return template.HTML(b.String())
}
