package weather

import (
	"io"
	"strings"

	"wetfeet/terrain/quantity"
)

// ReadFrequency reads a table of depth, duration and frequency as CSV. The
// first line is duration_mm, or duration_in, and the return periods in years;
// each line after it a duration with its unit, as in "10 min" or "24 h", and
// the depths. The name is for messages. A table that is wrong is ErrInput.
func ReadFrequency(r io.Reader, name string) (*Frequency, error) {
	const wanted = "duration_mm,2,5,10,25,50,100"
	t, ok := openTable(r, name, wanted)
	f := &Frequency{}
	if ok && f.header(t, wanted) {
		for t.row() {
			f.row(t)
		}
		if !t.bad.any() && t.scan.Err() == nil {
			for _, err := range f.Check() {
				t.bad.add(0, "", "%v", err)
			}
		}
	}
	if err := t.close(); err != nil {
		return nil, err
	}
	return f, nil
}

func (f *Frequency) header(t *table, wanted string) bool {
	name, unit := recordColumn(t.columns[0])
	if name != "duration" || unit != "mm" && unit != "in" {
		t.bad.add(t.line, "", "the first column is %s, where duration_mm or duration_in is needed, as in %s", quote(t.columns[0]), wanted)
	}
	for _, heading := range t.columns[1:] {
		text := strings.ToLower(heading)
		for _, unit := range []string{"years", "year", "yr", "y"} {
			text = strings.TrimSpace(strings.TrimSuffix(text, unit))
		}
		v, ok := t.number(text)
		if !ok {
			t.bad.add(t.line, heading, "is not a return period in years, as in %s", wanted)
		}
		f.Years = append(f.Years, v)
	}
	return !t.bad.any()
}

func (f *Frequency) row(t *table) {
	d, err := quantity.Duration(t.values[0])
	if err != nil {
		t.bad.add(t.line, t.columns[0], "%v", err)
	}
	factor := 1.0
	if _, unit := recordColumn(t.columns[0]); unit == "in" {
		factor = 25.4
	}
	var row []float64
	for i, text := range t.values[1:] {
		v, ok := t.number(text)
		if !ok {
			t.bad.add(t.line, t.columns[i+1], "%s is not a depth of rain such as 84.5", quote(text))
		}
		row = append(row, v*factor)
	}
	f.Durations, f.Depth = append(f.Durations, d.Hours()), append(f.Depth, row)
}
