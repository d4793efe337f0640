package fieldbook

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"wetfeet/terrain/quantity"
	"wetfeet/terrain/survey"
)

// ErrInput marks every error that lies in a field book: the book mended, it
// would reduce. It is the same error as that of the spot heights.
var ErrInput = survey.ErrInput

// mistakesShown is how many mistakes of one book are told in full.
const mistakesShown = 100

// mistakes gathers what is wrong with one book, in any order.
type mistakes struct {
	file  string
	all   []*survey.Mistake
	hints []string
}

// A place is where in a book something stands: the line of the file, and the
// page of the grower's own book where the file says it.
type place struct {
	line int
	page string
}

func (p place) String() string {
	if p.page == "" {
		return fmt.Sprintf("line %d", p.line)
	}
	return fmt.Sprintf("page %s, line %d", p.page, p.line)
}

// unitsOf are those of the levelling, for messages.
func unitsOf(bookings []Booking) quantity.Units {
	if slices.ContainsFunc(bookings, func(b Booking) bool { return b.Unit == "ft" }) {
		return quantity.Feet
	}
	return quantity.Metric
}

// exact is a length for a message, to the thousandth of the unit that a book
// was kept in.
func exact(metres float64, u quantity.Units) string {
	if u == quantity.Feet {
		return fmt.Sprintf("%.3f ft", metres/0.3048)
	}
	return fmt.Sprintf("%.3f m", metres)
}

// signed is the same with its sign.
func signed(metres float64, u quantity.Units) string {
	text := exact(metres, u)
	if !strings.HasPrefix(text, "-") {
		text = "+" + text
	}
	return text
}

// add notes a mistake. The column may be empty.
func (m *mistakes) add(at place, column, format string, args ...any) {
	if at.page != "" {
		column = strings.TrimSuffix("page "+at.page+", "+column, ", ")
	}
	m.all = append(m.all, &survey.Mistake{File: m.file, Line: at.line, Column: column, Text: fmt.Sprintf(format, args...)})
}

// hint adds a guess at the cause of mistakes, once.
func (m *mistakes) hint(text string) {
	if !slices.Contains(m.hints, text) {
		m.hints = append(m.hints, text)
	}
}

// err is all of them in the order of the lines, or nil.
func (m *mistakes) err() error {
	if len(m.all) == 0 {
		return nil
	}
	slices.SortStableFunc(m.all, func(a, b *survey.Mistake) int { return cmp.Compare(a.Line, b.Line) })
	told := m.all[:min(len(m.all), mistakesShown)]
	return &survey.FileError{Mistakes: told, More: len(m.all) - len(told), Hints: m.hints}
}

// quote shows a value from the book: short, on one line, in quotes.
func quote(text string) string {
	const most = 40
	if r := []rune(strings.ToValidUTF8(text, "\ufffd")); len(r) > most {
		return strconv.Quote(string(r[:most]) + "...")
	}
	return strconv.Quote(text)
}

// listed joins names as a sentence does: "a, b and c", and cuts a long list.
func listed(names []string) string {
	const most = 8
	if len(names) > most {
		return strings.Join(names[:most], ", ") + fmt.Sprintf(" and %d more", len(names)-most)
	}
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}
