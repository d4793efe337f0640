package weather

import (
	"bufio"
	"errors"
	"io"
	"math"
	"strconv"
	"strings"
)

// What a file of weather may hold at most. Thirty years of hours with eight
// columns are 15 MB.
const (
	maxLine    = 4096
	maxBytes   = 256 << 20
	maxColumns = 200
)

var errTooLarge = errors.New("file too large")

// A table walks a text file of values divided by commas, semicolons or tabs
// under a line that names them. Blank lines and lines that begin with # are
// passed over.
type table struct {
	scan    *bufio.Scanner
	line    int // number of the line last read, from 1
	mark    string
	columns []string
	values  []string // of the line last read, trimmed, as many as columns
	bad     mistakes
}

// openTable reads as far as the line that names the columns. Wanted says, for
// messages, which columns are needed.
func openTable(r io.Reader, name, wanted string) (*table, bool) {
	t := &table{scan: bufio.NewScanner(&limited{r: r, left: maxBytes}), bad: mistakes{file: name}}
	t.scan.Buffer(make([]byte, 0, maxLine), maxLine)
	text, ok := t.next()
	switch {
	case !ok && t.scan.Err() == nil:
		t.bad.add(0, "", "the file is empty; needed are a line that names the columns, %s, and a line for each value", wanted)
	case ok && (strings.ContainsRune(text, 0) || strings.HasPrefix(text, "\xff\xfe") || strings.HasPrefix(text, "\xfe\xff")):
		t.bad.add(t.line, "", "this is not plain text; save the table as CSV in UTF-8")
		ok = false
	case ok:
		t.mark = ","
		for _, m := range []string{";", "\t"} {
			if strings.Count(text, m) > strings.Count(text, t.mark) {
				t.mark = m
			}
		}
		t.columns = t.split(text)
		for len(t.columns) > 0 && t.columns[len(t.columns)-1] == "" {
			t.columns = t.columns[:len(t.columns)-1]
		}
		if n := len(t.columns); n == 0 || n > maxColumns {
			t.bad.add(t.line, "", "%d columns are named; 1 to %d can be, %s among them", n, maxColumns, wanted)
			ok = false
		}
	}
	return t, ok && t.scan.Err() == nil
}

// next is the next line that holds anything.
func (t *table) next() (string, bool) {
	for t.scan.Scan() {
		t.line++
		text := t.scan.Text()
		if t.line == 1 {
			text = strings.TrimPrefix(text, "\ufeff")
		}
		if trimmed := strings.TrimSpace(text); trimmed != "" && trimmed[0] != '#' {
			return text, true
		}
	}
	return "", false
}

// row reads the next line of values, and reports whether there was one. A line
// with too few or too many is told and passed over.
func (t *table) row() bool {
	for {
		text, ok := t.next()
		if !ok {
			return false
		}
		t.values = t.split(text)
		for len(t.values) > len(t.columns) && t.values[len(t.values)-1] == "" {
			t.values = t.values[:len(t.values)-1]
		}
		if strings.Join(t.values, "") == "" {
			continue // spreadsheets leave rows of bare separators
		}
		if len(t.values) == len(t.columns) {
			return true
		}
		more := ""
		if t.mark == "," && len(t.values) > len(t.columns) {
			more = "; decimal commas need columns divided by semicolons or tabs"
		}
		t.bad.add(t.line, "", "%d values where the header names %d columns%s", len(t.values), len(t.columns), more)
	}
}

func (t *table) split(text string) []string {
	values := strings.Split(text, t.mark)
	for i, v := range values {
		v = strings.TrimSpace(v)
		if len(v) > 1 && v[0] == '"' && v[len(v)-1] == '"' {
			v = strings.TrimSpace(v[1 : len(v)-1])
		}
		values[i] = v
	}
	return values
}

// close is why the file cannot be used, or nil. It is called when the last row
// has been read.
func (t *table) close() error {
	switch err := t.scan.Err(); {
	case err == nil:
	case errors.Is(err, bufio.ErrTooLong):
		t.bad.add(t.line+1, "", "the line is longer than %d bytes; is this a table?", maxLine)
	case errors.Is(err, errTooLarge):
		t.bad.add(0, "", "the file is larger than %d MiB", maxBytes>>20)
	default:
		return err
	}
	return t.bad.err()
}

// number reads a plain decimal number, with a decimal comma where commas do
// not part the columns.
func (t *table) number(text string) (float64, bool) {
	if t.mark != "," && strings.Count(text, ",") == 1 && !strings.Contains(text, ".") {
		text = strings.Replace(text, ",", ".", 1)
	}
	// ParseFloat also takes hexadecimal, underscores, inf and nan.
	if text == "" || strings.Trim(text, "+-.0123456789eE") != "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(text, 64)
	return v, err == nil && !math.IsInf(v, 0)
}

// limited reads no more than it was allowed and then says so, where
// io.LimitReader would pretend that the file ends.
type limited struct {
	r    io.Reader
	left int
}

func (l *limited) Read(p []byte) (int, error) {
	if l.left <= 0 {
		return 0, errTooLarge
	}
	n, err := l.r.Read(p[:min(len(p), l.left)])
	l.left -= n
	return n, err
}
