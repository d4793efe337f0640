package weather

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// ErrInput marks every error that lies in a file of weather or in what was
// typed of a storm: another one, or this one mended, would work.
var ErrInput = errors.New("the weather is at fault")

// A Mistake is one thing wrong with the weather.
type Mistake struct {
	File   string // empty where it was typed
	Line   int    // as an editor counts, from 1; 0 for the file as a whole
	Column string // as the header names it; empty for the whole line
	Text   string // what was found and what would have been accepted
}

func (m *Mistake) Error() string {
	var where []string
	if m.File != "" {
		where = append(where, m.File)
	}
	if m.Line > 0 {
		where = append(where, fmt.Sprintf("line %d", m.Line))
	}
	if m.Column != "" {
		where = append(where, m.Column)
	}
	if len(where) == 0 {
		return m.Text
	}
	return strings.Join(where, ", ") + ": " + m.Text
}

// Is makes every Mistake an ErrInput.
func (m *Mistake) Is(target error) bool { return target == ErrInput }

// mistaken is one mistake in something typed.
func mistaken(format string, args ...any) error {
	return &Mistake{Text: fmt.Sprintf(format, args...)}
}

// mistakesShown is how many mistakes of one file are told in full. More than
// that usually have one cause.
const mistakesShown = 20

// mistakes gathers what is wrong with one file.
type mistakes struct {
	file string
	told []error
	more int
}

func (m *mistakes) add(line int, column, format string, args ...any) {
	if len(m.told) == mistakesShown {
		m.more++
		return
	}
	m.told = append(m.told, &Mistake{m.file, line, column, fmt.Sprintf(format, args...)})
}

func (m *mistakes) any() bool { return len(m.told) > 0 }

// err is every mistake as one error, a line each, or nil.
func (m *mistakes) err() error {
	told := m.told
	switch {
	case m.more == 1:
		told = append(told, errors.New("and 1 more mistake like these"))
	case m.more > 1:
		told = append(told, fmt.Errorf("and %d more mistakes like these", m.more))
	}
	return errors.Join(told...)
}

// quote shows a value of a file: short, on one line, in quotes.
func quote(text string) string {
	const most = 40
	text = strings.ToValidUTF8(text, "\ufffd")
	if r := []rune(text); len(r) > most {
		text = string(r[:most]) + "…"
	}
	return strconv.Quote(text)
}
