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
// table: one of its lines is a directive, such as "units: ft".
func Looks(text []byte) bool {
	for line := range bytes.Lines(text) {
		key, _, found := strings.Cut(strings.Trim(string(line), " \t\r\n\"\ufeff"), ":")
		if found && slices.Contains(directives, strings.ToLower(strings.Join(strings.Fields(key), " "))) {
			return true
		}
	}
	return false
}
