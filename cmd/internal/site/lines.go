package site

import (
	"errors"
	"strconv"
	"strings"
)

// The TOML library says on which line a document stops being TOML, but not on
// which line a key that reads well stands. A lines does: it walks the text
// once and notes the line of every key and list element.
//
// It is not a second parser. It checks nothing but depth, and stops quietly
// where the text makes no sense to it; the library, which reads the same text,
// then says why.

// maxDepth is how deep lists and tables may nest and how many parts a dotted
// key may have. The library's parser recurses, so the depth is checked before
// it runs.
const maxDepth = 32

var errDepth = errors.New("nests too deep")

type lines struct {
	text string
	i    int // next byte
	line int // of byte i, from 1
	at   map[string]int
	rows map[string]int // how many elements an array of tables has so far
}

// A path is the keys and list places that lead to a value, joined by marks
// that a person does not type.
func under(path, key string) string     { return path + "\x00" + key }
func element(path string, i int) string { return path + "\x01" + strconv.Itoa(i) }

// locate notes the line of every key of a document.
func locate(text string) (map[string]int, error) {
	l := &lines{text: text, line: 1, at: map[string]int{}, rows: map[string]int{}}
	base := ""
	for {
		l.space(true)
		if l.end() {
			return l.at, nil
		}
		ok, err := true, error(nil)
		if l.peek() == '[' {
			base, ok, err = l.heading()
		} else {
			ok, err = l.pair(base, 0)
		}
		if err != nil || !ok {
			return l.at, err
		}
	}
}

func (l *lines) end() bool { return l.i >= len(l.text) }

func (l *lines) peek() byte {
	if l.end() {
		return 0
	}
	return l.text[l.i]
}

func (l *lines) take(s string) bool {
	if !strings.HasPrefix(l.text[l.i:], s) {
		return false
	}
	l.line += strings.Count(s, "\n")
	l.i += len(s)
	return true
}

// space skips blanks, and with newlines also the ends of lines and comments.
func (l *lines) space(newlines bool) {
	for !l.end() {
		switch c := l.text[l.i]; {
		case c == ' ' || c == '\t' || c == '\r':
			l.i++
		case c == '\n' && newlines:
			l.i++
			l.line++
		case c == '#' && newlines:
			for !l.end() && l.text[l.i] != '\n' {
				l.i++
			}
		default:
			return
		}
	}
}

// note keeps the first line a path was seen on.
func (l *lines) note(path string) {
	if _, seen := l.at[path]; !seen {
		l.at[path] = l.line
	}
}

// heading reads [a.b] or [[a.b]] and returns the path that keys below it hang
// from.
func (l *lines) heading() (base string, ok bool, err error) {
	l.i++
	array := l.take("[")
	keys, ok, err := l.key()
	if !ok {
		return "", false, err
	}
	for i, k := range keys {
		base = under(base, k)
		l.note(base)
		if n := l.rows[base]; i == len(keys)-1 && array {
			l.rows[base] = n + 1
			base = element(base, n)
			l.note(base)
		} else if n > 0 {
			base = element(base, n-1)
		}
	}
	l.space(false)
	return base, l.take("]") && (!array || l.take("]")), nil
}

// key reads a.b."c d".
func (l *lines) key() (keys []string, ok bool, err error) {
	for {
		l.space(false)
		start := l.i
		switch c := l.peek(); {
		case c == '"' || c == '\'':
			if !l.quoted() {
				return nil, false, nil
			}
			k := l.text[start+1 : l.i-1]
			if c == '"' {
				if plain, err := strconv.Unquote(l.text[start:l.i]); err == nil {
					k = plain
				}
			}
			keys = append(keys, k)
		default:
			for !l.end() && !strings.ContainsRune(" \t\r\n.=[]{},#\"'", rune(l.text[l.i])) {
				l.i++
			}
			if l.i == start {
				return nil, false, nil
			}
			keys = append(keys, l.text[start:l.i])
		}
		if len(keys) > maxDepth {
			return nil, false, errDepth
		}
		l.space(false)
		if !l.take(".") {
			return keys, true, nil
		}
	}
}

// pair reads key = value.
func (l *lines) pair(base string, depth int) (ok bool, err error) {
	line := l.line
	keys, ok, err := l.key()
	if !ok {
		return false, err
	}
	for _, k := range keys {
		base = under(base, k)
		if _, seen := l.at[base]; !seen {
			l.at[base] = line
		}
	}
	l.space(false)
	if !l.take("=") {
		return false, nil
	}
	return l.value(base, depth+len(keys))
}

func (l *lines) value(path string, depth int) (ok bool, err error) {
	if depth > maxDepth {
		return false, errDepth
	}
	l.space(false)
	switch l.peek() {
	case '"', '\'':
		return l.quoted(), nil
	case '[':
		l.i++
		for n := 0; ; n++ {
			l.space(true)
			if l.take("]") {
				return true, nil
			}
			here := element(path, n)
			l.note(here)
			if ok, err := l.value(here, depth+1); !ok {
				return false, err
			}
			if !l.comma("]") {
				return false, nil
			}
		}
	case '{':
		l.i++
		for {
			l.space(true)
			if l.take("}") {
				return true, nil
			}
			if ok, err := l.pair(path, depth+1); !ok {
				return false, err
			}
			if !l.comma("}") {
				return false, nil
			}
		}
	}
	start := l.i // a number, a date, true or false
	for !l.end() && !strings.ContainsRune("\n#,]}", rune(l.text[l.i])) {
		l.i++
	}
	return l.i > start, nil
}

// comma steps over a comma, or up to the closing mark.
func (l *lines) comma(closing string) bool {
	l.space(true)
	return l.take(",") || strings.HasPrefix(l.text[l.i:], closing)
}

// quoted steps over a string of any of the four kinds.
func (l *lines) quoted() bool {
	mark := l.text[l.i : l.i+1]
	long := l.take(mark + mark + mark)
	if !long {
		l.i++
	}
	for !l.end() {
		switch c := l.text[l.i]; {
		case c == '\\' && mark == `"`:
			if l.i++; l.peek() == '\n' {
				l.line++
			}
			l.i = min(l.i+1, len(l.text))
		case c == '\n' && !long:
			return false
		case c == '\n':
			l.i++
			l.line++
		case c == mark[0] && !long:
			l.i++
			return true
		case c == mark[0] && l.take(mark+mark+mark):
			for range 2 { // up to two quotes may stand before the closing three
				l.take(mark)
			}
			return true
		default:
			l.i++
		}
	}
	return false
}
