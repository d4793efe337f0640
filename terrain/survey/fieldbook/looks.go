package fieldbook

import (
	"bytes"
	"slices"
	"strings"
)

// PointsAlone reports whether a book holds known points and no readings, as a
// plain table of x, y and level does.
func (b *Book) PointsAlone() bool {
	return !slices.ContainsFunc(b.sheets, func(s *sheet) bool { return s.kind != pointSheet })
}

// Looks reports whether a text looks like a field book and not like a plain
// table: one of its lines is a directive, such as "units: ft", or names columns
// of back and fore sights.
func Looks(text []byte) bool {
	for line := range bytes.Lines(text) {
		key, _, found := strings.Cut(strings.Trim(string(line), " \t\r\n\"\ufeff"), ":")
		if found && slices.Contains(directives, strings.ToLower(strings.Join(strings.Fields(key), " "))) {
			return true
		}
		if namesSights(string(line)) {
			return true
		}
	}
	return false
}

func namesSights(line string) bool {
	var back, fore bool
	for heading := range strings.FieldsFuncSeq(line, func(r rune) bool { return strings.ContainsRune(",;\t\r\n", r) }) {
		role := understand(strings.Trim(heading, "\" \ufeff"), levelSheet).role
		back, fore = back || role == backRole, fore || role == foreRole
	}
	return back && fore
}
