package fault

import (
	"errors"
	"fmt"
	"slices"
)

// shown is how many mistakes of one input are told in full. More than that
// usually have one cause.
const shown = 20

// A List gathers the mistakes of one input, so that a person hears of all of
// them at once. The zero value is an empty list.
type List struct {
	found []mistake
	more  int
}

type mistake struct {
	line int
	err  error
}

// Add puts a mistake on the list. Its text begins with where it is: the name
// of the file and a line, a feature or a key. Line is what the list is ordered
// by when it is told; mistakes of one line keep the order they came in.
func (l *List) Add(line int, format string, args ...any) {
	if len(l.found) == shown {
		l.more++
		return
	}
	l.found = append(l.found, mistake{line, fmt.Errorf(format, args...)})
}

// Len is how many mistakes there are.
func (l *List) Len() int { return len(l.found) + l.more }

// Err is every mistake as one error, a line each, marked as the fault of an
// input; nil if there are none.
func (l *List) Err() error {
	if len(l.found) == 0 {
		return nil
	}
	ordered := slices.Clone(l.found)
	slices.SortStableFunc(ordered, func(a, b mistake) int { return a.line - b.line })
	var told []error
	for _, m := range ordered {
		told = append(told, m.err)
	}
	switch {
	case l.more == 1:
		told = append(told, errors.New("and 1 more mistake like these"))
	case l.more > 1:
		told = append(told, fmt.Errorf("and %d more mistakes like these", l.more))
	}
	return Input(errors.Join(told...))
}
