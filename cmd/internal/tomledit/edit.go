package tomledit

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// A Text is a TOML file that is changed. The zero Text is an empty file.
type Text struct {
	text   string
	tables []*table
}

// Parse takes the text of a file, which must be TOML.
func Parse(text string) (*Text, error) {
	tables, err := scan(text)
	if err != nil {
		return nil, err
	}
	return &Text{text, tables}, nil
}

// String is the text as it is now.
func (t *Text) String() string { return t.text }

// A Pair is a key and its value as TOML writes it: `"2.5 m"`, with the quotes.
type Pair struct{ Key, Value string }

// A Place is a table of a file. It is good until the text is changed.
type Place int

// None is no table.
const None Place = -1

// Top is the part of a file above all headings.
const Top Place = 0

// Find is the table of a name, [name], None where there is none.
func (t *Text) Find(name string) Place {
	for i, x := range t.tables {
		if i > 0 && x.name == name && !x.array {
			return Place(i)
		}
	}
	return None
}

// All are the tables of an array, [[name]], in their order.
func (t *Text) All(name string) []Place {
	var out []Place
	for i, x := range t.tables {
		if x.array && x.name == name {
			out = append(out, Place(i))
		}
	}
	return out
}

// Get is the value of a key of a table as the file writes it.
func (t *Text) Get(at Place, key string) (value string, ok bool) {
	for _, p := range t.tables[at].pairs {
		if p.key == key {
			return t.text[p.value:p.past], true
		}
	}
	return "", false
}

// Set gives a key of a table a value, in the place of the one it has or below
// the last pair of the table.
func (t *Text) Set(at Place, key, value string) error {
	x := t.tables[at]
	for _, p := range x.pairs {
		if p.key == key {
			return t.replace(p.value, p.past, value)
		}
	}
	end := x.end()
	line := pad(key, t.width(x)) + " = " + value + t.newline()
	if end > 0 && t.text[end-1] != '\n' {
		line = t.newline() + line
	}
	return t.replace(end, end, line)
}

// Drop takes a key of a table away, with its line. A comment after it on the
// line goes too.
func (t *Text) Drop(at Place, key string) error {
	for _, p := range t.tables[at].pairs {
		if p.key == key {
			return t.replace(p.begin, p.end, "")
		}
	}
	return nil
}

// Remove takes a table away: its heading and pairs. Comments above its heading
// and below its last pair stay.
func (t *Text) Remove(at Place) error {
	x := t.tables[at]
	from, to := x.begin, x.end()
	// One empty line goes with it.
	if rest := t.text[to:]; strings.HasPrefix(rest, "\n") {
		to++
	} else if strings.HasPrefix(rest, "\r\n") {
		to += 2
	}
	return t.replace(from, to, "")
}

// Add puts a new table below the last one of its name, or at the end of the
// file where there is none.
func (t *Text) Add(name string, array bool, pairs ...Pair) error {
	nl := t.newline()
	heading := "[" + name + "]"
	if array {
		heading = "[" + heading + "]"
	}
	wide := 0
	for _, p := range pairs {
		wide = max(wide, utf8.RuneCountInString(p.Key))
	}
	block := heading + nl
	for _, p := range pairs {
		block += pad(p.Key, wide) + " = " + p.Value + nl
	}
	at := len(t.text)
	if all := t.All(name); len(all) > 0 {
		at = t.tables[all[len(all)-1]].end()
	}
	before, after := "", ""
	if at > 0 {
		if t.text[at-1] != '\n' {
			before = nl
		}
		if !strings.HasSuffix(strings.TrimRight(t.text[:at], " \t"), "\n\n") && !strings.HasSuffix(t.text[:at], "\r\n\r\n") {
			before += nl
		}
	}
	if rest := t.text[at:]; rest != "" && !strings.HasPrefix(rest, "\n") && !strings.HasPrefix(rest, "\r\n") {
		after = nl
	}
	return t.replace(at, at, before+block+after)
}

// replace changes a part of the text and finds its tables anew.
func (t *Text) replace(from, to int, with string) error {
	text := t.text[:from] + with + t.text[to:]
	tables, err := scan(text)
	if err != nil {
		return fmt.Errorf("%w after a change", err)
	}
	t.text, t.tables = text, tables
	return nil
}

// newline is how the file ends its lines.
func (t *Text) newline() string {
	if i := strings.IndexByte(t.text, '\n'); i > 0 && t.text[i-1] == '\r' {
		return "\r\n"
	}
	return "\n"
}

// width is how wide the keys of a table are written, where its equal signs
// stand below each other.
func (t *Text) width(x *table) int {
	wide, all := 0, -1
	for _, p := range x.pairs {
		sign := strings.IndexByte(t.text[p.begin:p.value], '=')
		if all >= 0 && sign != all {
			return 0
		}
		all = sign
		wide = sign - 1
	}
	return wide
}

func pad(key string, wide int) string {
	return key + strings.Repeat(" ", max(0, wide-utf8.RuneCountInString(key)))
}

// Quote is a string as TOML writes it.
func Quote(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case r == '\t':
			b.WriteString(`\t`)
		case r < 0x20 || r == 0x7f:
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
