package fieldbook

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// What a book may hold at most.
const (
	maxBytes   = 16 << 20
	maxLine    = 16 << 10 // bytes
	maxEntries = 100_000
	maxColumns = 64
)

// Read reads a field book; the name is for messages. The form is told in the
// package comment, and Template writes examples of it.
//
// At most 100,000 rows, 16 KiB a line and 16 MiB in all are read. An error
// that lies in the book is a *survey.FileError with all its mistakes (up to a
// hundred, by page and line) and is ErrInput; any other is the reader's.
func Read(r io.Reader, name string) (*Book, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxBytes+1))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	in := &reading{book: &Book{File: name}, bad: mistakes{file: name}, cur: newSettings()}
	switch {
	case len(data) > maxBytes:
		in.bad.add(place{}, "", "the file is larger than %d MiB; is this a field book?", maxBytes>>20)
	case bytes.HasPrefix(data, []byte("PK\x03\x04")):
		in.bad.add(place{}, "", "this is a spreadsheet file; save the sheet as CSV")
	case bytes.IndexByte(data, 0) >= 0 || bytes.HasPrefix(data, []byte("\xff\xfe")) || !utf8.Valid(data):
		in.bad.add(place{}, "", "this is not plain text in UTF-8; save the book as CSV in UTF-8")
	default:
		in.lines(string(bytes.TrimPrefix(data, []byte("\ufeff"))))
	}
	if err := in.bad.err(); err != nil {
		return nil, err
	}
	return in.book, nil
}

// reading is one pass through a file.
type reading struct {
	book    *Book
	bad     mistakes
	cur     settings // where no sheet is open yet
	sheet   *sheet
	at      place
	entries int
	base    *baseLine
	station *station
	newLoop bool

	comma, point int // the first lines with a decimal comma and with a decimal point, 0 for none
	swapped      int // lines whose columns look swapped
}

func (in *reading) lines(text string) {
	text = strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(text)
	for line := range strings.SplitSeq(text, "\n") {
		in.at.line++
		trimmed := strings.TrimSpace(line)
		switch {
		case len(line) > maxLine:
			in.bad.add(in.at, "", "the line is longer than %d bytes; is this a field book?", maxLine)
			return
		case trimmed == "" || trimmed[0] == '#' || strings.Trim(trimmed, `,;"`) == "":
		case strings.HasPrefix(strings.Trim(trimmed, `"`), "#"):
		case in.directive(line):
		case in.sheet == nil || in.sheet.columns == nil:
			in.header(line)
		default:
			in.row(line)
		}
		if in.entries > maxEntries {
			in.bad.add(in.at, "", "more than %d rows; cut the book in parts", maxEntries)
			return
		}
	}
	switch {
	case len(in.book.sheets) == 0 && len(in.bad.all) == 0:
		in.bad.add(place{}, "", "found no sheet; a book needs a line that names the columns, such as point,bs,is,fs,level, and a line for each reading")
	case in.entries == 0 && len(in.bad.all) == 0:
		in.bad.add(place{}, "", "found no rows under the columns; one line for each point is needed")
	}
	if in.swapped > 0 {
		in.bad.hint("columns look swapped: a height stands where a staff reading belongs; compare the line that names the columns with the first rows")
	}
}

// settings are those a directive changes now.
func (in *reading) settings() *settings {
	if in.sheet != nil {
		return &in.sheet.settings
	}
	return &in.cur
}

// split cuts a line into trimmed cells. Inch marks may stand bare.
func split(line string, mark rune) []string {
	var cells []string
	if strings.Contains(line, `"`) {
		r := csv.NewReader(strings.NewReader(line))
		r.Comma, r.LazyQuotes, r.TrimLeadingSpace = mark, true, mark != '\t'
		var err error
		if cells, err = r.Read(); err != nil {
			return nil
		}
	} else { // as csv would, without its buffers
		cells = strings.Split(line, string(mark))
	}
	for i := range cells {
		cells[i] = strings.TrimSpace(strings.ReplaceAll(cells[i], "\u00a0", " "))
	}
	for len(cells) > 0 && cells[len(cells)-1] == "" {
		cells = cells[:len(cells)-1]
	}
	return cells
}

// separator is the mark that cuts a header into most pieces.
func separator(line string) rune {
	best, most := ',', 0
	for _, mark := range ",;\t" {
		if n := strings.Count(line, string(mark)); n > most {
			best, most = mark, n
		}
	}
	return best
}

// header reads the line that names the columns of a sheet.
func (in *reading) header(line string) {
	mark := separator(line)
	cells := split(line, mark)
	if in.sheet == nil {
		k := guessKind(cells)
		if k == noKind {
			in.bad.add(in.at, "", "%s names no columns of a field book; begin with a line such as point,bs,is,fs,level or with sheet: level", quote(line))
			in.open(levelSheet)
			in.sheet.columns, in.sheet.broken = []column{}, true
			return
		}
		in.open(k)
	}
	s := in.sheet
	s.header, s.mark, s.columns = line, mark, []column{}
	if len(cells) > maxColumns {
		in.bad.add(in.at, "", "%d columns; at most %d are read", len(cells), maxColumns)
		s.broken = true
		return
	}
	var strange []string
	for _, cell := range cells {
		c := understand(cell, s.kind)
		if c.role == noRole && c.name != "" {
			strange = append(strange, quote(c.name))
		}
		if c.role != noRole && s.has(c.role) {
			in.bad.add(in.at, c.name, "is a second column of %s; keep one, or give this one another name", columnRoles[c.role].name)
		}
		if c.unit == "yd" || c.unit == "km" {
			in.bad.add(in.at, c.name, "%s is no unit of a staff or a tape; units are %s", quote(c.unit), unitsKnown)
		}
		s.columns = append(s.columns, c)
	}
	if lack := needed(s.kind, s.has); lack != "" {
		s.broken = true
		in.bad.add(in.at, "", "a %s sheet needs a column %s; found %s", s.kind, lack, quote(line))
	}
	if len(strange) > 0 {
		in.book.Remarks = append(in.book.Remarks, fmt.Sprintf("%s: a %s sheet has no use for the column %s", in.at, s.kind, listed(strange)))
	}
}

// open begins a sheet.
func (in *reading) open(k kind) {
	s := &sheet{settings: *in.settings(), kind: k, at: in.at}
	in.book.sheets = append(in.book.sheets, s)
	in.sheet, in.station, in.newLoop = s, nil, false
}
