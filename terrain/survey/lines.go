package survey

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"strings"
)

// What a file of spot heights may hold at most. A million shots of 60 bytes
// are 60 MB.
const (
	maxRows    = 1_000_000
	maxLine    = 64 << 10  // bytes
	maxBytes   = 256 << 20 // of the whole file
	maxColumns = 200
)

var errTooLarge = errors.New("file too large")

// lines walks a text file line by line, whichever of \n, \r\n and \r ends
// them, without the byte order mark, within maxLine and maxBytes.
type lines struct {
	scan *bufio.Scanner
	left *limited
	n    int // number of the line last read, from 1
}

func newLines(r io.Reader) *lines {
	left := &limited{r: r, left: maxBytes}
	scan := bufio.NewScanner(left)
	scan.Buffer(make([]byte, 0, 4096), maxLine)
	scan.Split(splitLines)
	return &lines{scan: scan, left: left}
}

// next is the next line, and whether there was one.
func (l *lines) next() (string, bool) {
	if !l.scan.Scan() {
		return "", false
	}
	l.n++
	b := l.scan.Bytes()
	if l.n == 1 {
		b = bytes.TrimPrefix(b, []byte("\ufeff"))
	}
	return string(b), true
}

func (l *lines) err() error { return l.scan.Err() }

func splitLines(data []byte, atEOF bool) (int, []byte, error) {
	i := bytes.IndexAny(data, "\r\n")
	switch {
	case i < 0 && atEOF && len(data) > 0:
		return len(data), data, nil
	case i < 0:
		return 0, nil, nil
	case data[i] == '\n':
		return i + 1, data[:i], nil
	case i+1 < len(data) && data[i+1] == '\n':
		return i + 2, data[:i], nil
	case i+1 < len(data) || atEOF:
		return i + 1, data[:i], nil
	}
	return 0, nil, nil // a \r at the end of what was read so far: a \n may follow
}

// limited reads no more than it was allowed and then says so, where
// io.LimitReader would pretend that the file ends.
type limited struct {
	r    io.Reader
	left int
}

func (l *limited) Read(p []byte) (int, error) {
	if l.left <= 0 {
		var one [1]byte
		if n, err := l.r.Read(one[:]); n == 0 {
			return 0, err
		}
		return 0, errTooLarge
	}
	n, err := l.r.Read(p[:min(len(p), l.left)])
	l.left -= n
	return n, err
}

// separators between columns that are understood, and what to call them.
var separators = []struct {
	mark byte
	name string
}{{',', "commas"}, {';', "semicolons"}, {'\t', "tabs"}}

func separatorName(mark byte) string {
	for _, s := range separators {
		if s.mark == mark {
			return s.name
		}
	}
	return ""
}

// fields cuts a line into trimmed values. A value in double quotes may hold
// the separator, and a double quote written twice. It reports whether every
// quote was closed.
func fields(line string, mark byte) ([]string, bool) {
	var out []string
	for {
		line = strings.TrimLeft(line, " \u00a0")
		if !strings.HasPrefix(line, `"`) {
			i := strings.IndexByte(line, mark)
			if i < 0 {
				return append(out, strings.TrimSpace(line)), true
			}
			out = append(out, strings.TrimSpace(line[:i]))
			line = line[i+1:]
			continue
		}
		var b strings.Builder
		line = line[1:]
		for {
			i := strings.IndexByte(line, '"')
			if i < 0 {
				return append(out, b.String()+line), false
			}
			b.WriteString(line[:i])
			line = line[i+1:]
			if !strings.HasPrefix(line, `"`) {
				break
			}
			b.WriteByte('"')
			line = line[1:]
		}
		i := strings.IndexByte(line, mark)
		if i < 0 {
			return append(out, strings.TrimSpace(b.String()+line)), true
		}
		out = append(out, strings.TrimSpace(b.String()+line[:i]))
		line = line[i+1:]
	}
}
