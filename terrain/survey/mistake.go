package survey

import (
	"errors"
	"fmt"
	"strings"
)

// ErrInput marks every error that lies in the shots or in their file: another
// file, or this one mended, would work.
var ErrInput = errors.New("the spot heights are at fault")

// A fault is an error of the shots as a whole.
type fault string

func faultf(format string, args ...any) error { return fault(fmt.Sprintf(format, args...)) }

func tooFew(n int) error {
	if n == 1 {
		return faultf("1 shot; a surface needs at least 3 that are not in a line")
	}
	return faultf("%d shots; a surface needs at least 3 that are not in a line", n)
}

func (f fault) Error() string { return string(f) }

// Is makes every fault an ErrInput.
func (f fault) Is(target error) bool { return target == ErrInput }

// A Mistake is one thing wrong in a file of spot heights.
type Mistake struct {
	File   string
	Line   int    // as an editor counts, from 1; 0 for the file as a whole
	Column string // as the header names it; empty for the whole line
	Text   string // what was found and what would have been accepted
}

func (m *Mistake) Error() string {
	var b strings.Builder
	b.WriteString(m.File)
	if m.Line > 0 {
		fmt.Fprintf(&b, ", line %d", m.Line)
	}
	if m.Column != "" {
		fmt.Fprintf(&b, ", %s", m.Column)
	}
	return b.String() + ": " + m.Text
}

// Is makes every Mistake an ErrInput.
func (m *Mistake) Is(target error) bool { return target == ErrInput }

// mistakesShown is how many mistakes of one file are told in full. More than
// that usually have one cause.
const mistakesShown = 20

// A FileError is all that is wrong in a file, in the order of its lines.
type FileError struct {
	Mistakes []*Mistake // at most 20
	More     int        // how many there are beside these
	Hints    []string   // guesses at a common cause
}

func (e *FileError) Error() string {
	var lines []string
	for _, m := range e.Mistakes {
		lines = append(lines, m.Error())
	}
	switch {
	case e.More == 1:
		lines = append(lines, "and 1 more mistake like these")
	case e.More > 1:
		lines = append(lines, fmt.Sprintf("and %d more mistakes like these", e.More))
	}
	return strings.Join(append(lines, e.Hints...), "\n")
}

// Unwrap lists the mistakes, for errors.Is and errors.As.
func (e *FileError) Unwrap() []error {
	errs := make([]error, len(e.Mistakes))
	for i, m := range e.Mistakes {
		errs[i] = m
	}
	return errs
}

// mistakes gathers what is wrong with one file.
type mistakes struct {
	file string
	FileError
}

func (m *mistakes) add(line int, column, format string, args ...any) {
	if len(m.Mistakes) == mistakesShown {
		m.More++
		return
	}
	m.Mistakes = append(m.Mistakes, &Mistake{m.file, line, column, fmt.Sprintf(format, args...)})
}

// err is nil when nothing was wrong.
func (m *mistakes) err() error {
	if len(m.Mistakes) == 0 {
		return nil
	}
	return &m.FileError
}
