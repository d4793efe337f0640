package begin

import (
	"encoding/csv"
	"slices"
	"strings"

	"wetfeet/cmd/internal/fault"
	"wetfeet/species"
)

// mostPlants is the most species of a list.
const mostPlants = 500

// mostUnknown is how many names are looked for in vain before a file is taken
// for something else.
const mostUnknown = 50

// readPlants reads a list of species, one a line or in the column that is
// headed so. A species named twice counts twice, since the list is the pattern
// of a row. All names that are not known come as one error, each with the
// nearest.
func readPlants(text, name string, known *species.Table) ([]string, error) {
	text = strings.TrimPrefix(text, "\ufeff")
	if !strings.Contains(text, "\n") {
		text = strings.ReplaceAll(text, "\r", "\n")
	}
	var plants []string
	var bad fault.List
	mark, column, first := ',', 0, true
	number := 0
	for line := range strings.Lines(text) {
		number++
		line = strings.TrimSpace(line)
		if line == "" || line[0] == '#' {
			continue
		}
		if first {
			for _, m := range ";\t" {
				if strings.Count(line, string(m)) > strings.Count(line, string(mark)) {
					mark = m
				}
			}
		}
		cells := cut(line, mark)
		if first {
			first = false
			if i := plantColumn(cells); i >= 0 {
				column = i
				continue
			}
		}
		if column >= len(cells) || cells[column] == "" {
			continue
		}
		e, err := known.Find(cells[column])
		switch {
		case err != nil:
			bad.Add(number, "%s, line %d: %v", name, number, err)
			if bad.Len() == mostUnknown {
				return nil, bad.Err()
			}
		case len(plants) == mostPlants:
			bad.Add(number, "%s, line %d: more than %d species", name, number, mostPlants)
			return nil, bad.Err()
		default:
			plants = append(plants, e.Scientific)
		}
	}
	if len(plants) == 0 && bad.Len() == 0 {
		bad.Add(0, "%s: names no species; one a line is needed", name)
	}
	return plants, bad.Err()
}

// cut is the cells of a line. A line whose quotes do not match is one cell.
func cut(line string, mark rune) []string {
	r := csv.NewReader(strings.NewReader(line))
	r.Comma, r.LazyQuotes, r.TrimLeadingSpace, r.FieldsPerRecord = mark, true, true, -1
	cells, err := r.Read()
	if err != nil {
		cells = []string{line}
	}
	for i := range cells {
		cells[i] = strings.TrimSpace(cells[i])
	}
	return cells
}

// plantColumn is the column of names, or -1 where the line is no heading.
func plantColumn(cells []string) int {
	for _, want := range plantNames {
		if i := slices.IndexFunc(cells, func(c string) bool { return heading(c) == want }); i >= 0 {
			return i
		}
	}
	return -1
}

// Named looks up species that are parted by commas or semicolons. All that are
// not known come as one error.
func Named(words string, known *species.Table) ([]string, error) {
	var plants []string
	var bad fault.List
	for _, w := range strings.FieldsFunc(words, func(r rune) bool { return r == ',' || r == ';' || r == '\n' }) {
		if w = strings.TrimSpace(w); w == "" {
			continue
		}
		e, err := known.Find(w)
		if err != nil {
			bad.Add(0, "species: %v", err)
			continue
		}
		plants = append(plants, e.Scientific)
	}
	return plants, bad.Err()
}
