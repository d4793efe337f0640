package main

import "strings"

// lineWidth is how many letters a line on the terminal has at most.
const lineWidth = 96

// wrap breaks a line at spaces so that none is longer than width, and
// indents all but the first.
func wrap(s string, width int, indent string) string {
	var b strings.Builder
	line := 0
	for i, word := range strings.Fields(s) {
		n := len([]rune(word))
		switch {
		case i == 0:
		case line+1+n > width:
			b.WriteString("\n" + indent)
			line = len(indent)
		default:
			b.WriteByte(' ')
			line++
		}
		b.WriteString(word)
		line += n
	}
	return b.String()
}
