package tomledit

import (
	"errors"
	"fmt"
	"strings"
)

// A pair is a key with its value, as bytes of the text.
type pair struct {
	key         string
	begin       int // of its line
	value, past int // of the value
	end         int // of the line the value ends on, past its newline
}

// A table is a heading and the pairs below it. The first table of a file has
// no heading.
type table struct {
	name  string // "soil.zone"; empty for the top of the file
	array bool
	begin int // of the line of its heading
	body  int // past that line
	pairs []pair
}

// end is where a new pair of the table goes.
func (t *table) end() int {
	if n := len(t.pairs); n > 0 {
		return t.pairs[n-1].end
	}
	return t.body
}

type scanner struct {
	text string
	i    int
}

// scan finds the tables and pairs of a text.
func scan(text string) ([]*table, error) {
	s := &scanner{text: text}
	tables := []*table{{}}
	for {
		s.blank()
		if s.i >= len(text) {
			return tables, nil
		}
		last := tables[len(tables)-1]
		begin := strings.LastIndexByte(text[:s.i], '\n') + 1
		if text[s.i] == '[' {
			t := &table{begin: begin}
			s.i++
			if s.at('[') {
				t.array = true
				s.i++
			}
			name, err := s.key(']')
			if err != nil {
				return nil, err
			}
			t.name = name
			for s.at(']') {
				s.i++
			}
			s.line()
			t.body = s.i
			tables = append(tables, t)
			continue
		}
		key, err := s.key('=')
		if err != nil {
			return nil, err
		}
		s.i++ // =
		for s.at(' ') || s.at('\t') {
			s.i++
		}
		p := pair{key: key, begin: begin, value: s.i}
		if err := s.value(); err != nil {
			return nil, err
		}
		p.past = s.i
		s.line()
		p.end = s.i
		last.pairs = append(last.pairs, p)
	}
}

func (s *scanner) at(c byte) bool { return s.i < len(s.text) && s.text[s.i] == c }

// blank skips white space, newlines and comments.
func (s *scanner) blank() {
	for s.i < len(s.text) {
		switch s.text[s.i] {
		case ' ', '\t', '\r', '\n':
			s.i++
		case '#':
			s.line()
		default:
			return
		}
	}
}

// line goes to the beginning of the next line.
func (s *scanner) line() {
	if n := strings.IndexByte(s.text[s.i:], '\n'); n >= 0 {
		s.i += n + 1
	} else {
		s.i = len(s.text)
	}
}

var errText = errors.New("tomledit: the text is no TOML")

// key reads a key up to a mark that ends it, quotes taken off, with dots
// between its parts.
func (s *scanner) key(end byte) (string, error) {
	var parts []string
	for {
		for s.at(' ') || s.at('\t') {
			s.i++
		}
		switch {
		case s.at('"') || s.at('\''):
			q := s.text[s.i]
			n := strings.IndexByte(s.text[s.i+1:], q)
			if n < 0 {
				return "", errText
			}
			parts = append(parts, s.text[s.i+1:s.i+1+n])
			s.i += n + 2
		default:
			from := s.i
			for s.i < len(s.text) && !strings.ContainsRune(". \t\r\n=]", rune(s.text[s.i])) {
				s.i++
			}
			if s.i == from {
				return "", errText
			}
			parts = append(parts, s.text[from:s.i])
		}
		for s.at(' ') || s.at('\t') {
			s.i++
		}
		switch {
		case s.at('.'):
			s.i++
		case s.at(end):
			return strings.Join(parts, "."), nil
		default:
			return "", errText
		}
	}
}

// value goes past a value: to the end of its last byte.
func (s *scanner) value() error {
	depth := 0
	past := s.i
	for s.i < len(s.text) {
		c := s.text[s.i]
		switch {
		case c == '"' || c == '\'':
			if err := s.quoted(c); err != nil {
				return err
			}
			past = s.i
			continue
		case c == '[' || c == '{':
			depth++
		case c == ']' || c == '}':
			depth--
			if depth < 0 {
				return errText
			}
		case c == '#':
			if depth == 0 {
				s.i = past
				return nil
			}
			s.line()
			continue
		case c == '\n' && depth == 0:
			s.i = past
			return nil
		}
		s.i++
		if c != ' ' && c != '\t' && c != '\r' && c != '\n' {
			past = s.i
		}
	}
	if depth != 0 {
		return errText
	}
	s.i = past
	return nil
}

// quoted goes past a string of any kind.
func (s *scanner) quoted(q byte) error {
	three := strings.Repeat(string(q), 3)
	if strings.HasPrefix(s.text[s.i:], three) {
		for i := s.i + 3; i < len(s.text); i++ {
			if s.text[i] == '\\' && q == '"' {
				i++
				continue
			}
			if strings.HasPrefix(s.text[i:], three) {
				i += 3
				for n := 0; n < 2 && i < len(s.text) && s.text[i] == q; n++ { // quotes may stand before the end
					i++
				}
				s.i = i
				return nil
			}
		}
		return errText
	}
	for i := s.i + 1; i < len(s.text) && s.text[i] != '\n'; i++ {
		if s.text[i] == '\\' && q == '"' {
			i++
			continue
		}
		if s.text[i] == q {
			s.i = i + 1
			return nil
		}
	}
	return fmt.Errorf("%w: a string does not end", errText)
}
