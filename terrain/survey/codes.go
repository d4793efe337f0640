package survey

import (
	"fmt"
	"slices"
	"strings"

	"github.com/paulmach/orb"
)

// LinesByCode joins shots to breaklines by one of the columns kept as text:
// shots with the same entry are a line, in the order of the file. Entries
// count without regard to case and outer spaces; shots without one, or with
// "-", are on no line. An entry that only one shot has makes no line and is
// remarked. The lines come in the order in which they begin.
//
// The kind is what the entry says ([KindOf]), so that "DB1" and "DB2" are the
// bottoms of two ditches. Common practice in the field, no source.
func (t *Table) LinesByCode(column string) (lines []Breakline, remarks []string, err error) {
	at := slices.IndexFunc(t.Columns, func(c string) bool { return strings.EqualFold(strings.TrimSpace(c), column) })
	if at < 0 {
		return nil, nil, faultf("no column %s of codes among %s", quote(column), quote(strings.Join(t.Columns, ",")))
	}
	which := map[string]int{}
	var counts []int
	for _, s := range t.Shots {
		entry := strings.TrimSpace(s.Extra[at])
		if entry == "" || entry == "-" {
			continue
		}
		key := strings.ToLower(entry)
		i, known := which[key]
		if !known {
			i = len(lines)
			which[key] = i
			lines = append(lines, Breakline{Name: entry, Kind: KindOf(entry), Where: fmt.Sprintf("from line %d", s.Line)})
			counts = append(counts, 0)
		}
		b := &lines[i]
		b.Line, b.Z = append(b.Line, s.Point), append(b.Z, s.Z)
		if s.Error > 0 && (counts[i] == 0 || b.Error > 0) {
			b.Error = max(b.Error, s.Error) // the poorest shot speaks for the line
		} else {
			b.Error = 0
		}
		counts[i]++
	}
	lines = slices.DeleteFunc(lines, func(b Breakline) bool {
		if len(b.Line) > 1 {
			return false
		}
		remarks = append(remarks, fmt.Sprintf("only the shot of %s has the code %s: one shot makes no line", strings.TrimPrefix(b.Where, "from "), quote(b.Name)))
		return true
	})
	return lines, shown(remarks), nil
}

// Transform takes lines, outlines and holes through a change of coordinates, in place,
// such as from degrees to metres. The first error ends it.
func (f *LineFile) Transform(to func(orb.Point) (orb.Point, error)) error {
	var all [][]orb.Point
	for _, l := range f.Lines {
		all = append(all, l.Line)
	}
	for _, r := range slices.Concat(f.Outline, f.Holes) {
		all = append(all, r)
	}
	for _, points := range all {
		for i, p := range points {
			q, err := to(p)
			if err != nil {
				return err
			}
			points[i] = q
		}
	}
	f.LonLat = false
	return nil
}
