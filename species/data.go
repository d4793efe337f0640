package species

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"slices"
	"strings"
	"sync"
)

// The table as it is kept: one row a species, one row a fact, one row a
// source. See data/README.md.
var (
	//go:embed data/species.csv
	speciesCSV string
	//go:embed data/facts.csv
	factsCSV string
	//go:embed data/sources.csv
	sourcesCSV string
)

var builtIn = sync.OnceValue(func() *Table {
	t, err := load(speciesCSV, factsCSV, sourcesCSV)
	if err != nil {
		panic("the built-in table of species: " + err.Error())
	}
	return t
})

// BuiltIn is the table that comes with the program. It is read once, is the
// same for everyone, and is not to be changed.
func BuiltIn() *Table { return builtIn() }

// reading is the source of our own class.
const reading = "class-reading"

// load puts a table together from its three files.
func load(speciesCSV, factsCSV, sourcesCSV string) (*Table, error) {
	t := &Table{sources: map[string]Source{}}
	rows, err := records(sourcesCSV, "id", "short", "citation", "address", "remark")
	if err != nil {
		return nil, fmt.Errorf("sources.csv: %w", err)
	}
	for _, r := range rows {
		t.sources[r[0]] = Source{ID: r[0], Short: r[1], Citation: r[2], Address: r[3], Remark: r[4]}
	}

	rows, err = records(factsCSV, "species", "attribute", "value", "unit", "basis", "source", "note")
	if err != nil {
		return nil, fmt.Errorf("facts.csv: %w", err)
	}
	facts := map[string][]Fact{}
	for _, r := range rows {
		f := Fact{Attribute: r[1], Value: r[2], Unit: r[3], Basis: Basis(r[4]), Source: r[5], Note: r[6]}
		if _, ok := t.sources[f.Source]; !ok {
			return nil, fmt.Errorf("facts.csv: %s, %s: no source %q", r[0], r[1], f.Source)
		}
		facts[r[0]] = append(facts[r[0]], f)
	}

	rows, err = records(speciesCSV, "scientific", "common", "synonyms", "class", "confidence", "reason", "clash")
	if err != nil {
		return nil, fmt.Errorf("species.csv: %w", err)
	}
	for _, r := range rows {
		class := Fact{Attribute: "class", Value: r[3], Basis: Practice, Source: reading, Note: r[5]}
		e := &Entry{
			Scientific: r[0], Common: list(r[1]), Synonyms: list(r[2]),
			Confidence: r[4], Clash: r[6],
			Facts: append([]Fact{class}, facts[r[0]]...),
		}
		if err := e.settle(t.short); err != nil {
			return nil, fmt.Errorf("%s: %w", e.Scientific, err)
		}
		t.entries = append(t.entries, e)
	}
	t.index()
	return t, nil
}

// records reads rows of text under the headings given, in that order.
func records(text string, headings ...string) ([][]string, error) {
	r := csv.NewReader(strings.NewReader(text))
	r.FieldsPerRecord = len(headings)
	rows, err := r.ReadAll()
	if err != nil {
		return nil, err
	}
	if len(rows) == 0 || !slices.Equal(rows[0], headings) {
		return nil, fmt.Errorf("the headings are not %s", strings.Join(headings, ", "))
	}
	return rows[1:], nil
}

// list splits at semicolons.
func list(s string) []string {
	var out []string
	for part := range strings.SplitSeq(s, ";") {
		if part = strings.TrimSpace(part); part != "" {
			out = append(out, part)
		}
	}
	return out
}
