package site

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"wetfeet/terrain/quantity"
)

const maxRootstocks = 1000 // species with a rootstock

// A Rootstock is what the trees of a species are grafted on.
type Rootstock struct {
	Species string // as the grower wrote it
	Stock   string
	Where   string // in the file, for messages: `site.toml:12: species, rootstock, "apple"`
}

// Bounds of the warmth of soil that is wet, °C.
const coldestSoil, warmestSoil = -5.0, 45.0

// age is how long a tree has stood.
func (n node) age() *float64 {
	s, ok := n.typed(`the time since planting is needed, such as "5 years", or 0 for newly planted`)
	if !ok {
		return nil
	}
	v, err := quantity.Years(s)
	if n.failed(err) {
		return nil
	}
	return &v
}

func (n node) soilTemperature() *float64 {
	s, ok := n.typed(`a temperature is needed, such as "12 °C"`)
	if !ok {
		return nil
	}
	v, err := quantity.Temperature(s, n.units)
	switch {
	case n.failed(err):
		return nil
	case !(v >= coldestSoil && v <= warmestSoil):
		n.fail("found %s, which is %.0f °C; soil from %.0f to %.0f °C is taken", describe(n.value), v, coldestSoil, warmestSoil)
		return nil
	}
	return &v
}

// month is a month by its name, three letters of it or its number.
func (n node) month() time.Month {
	switch v := n.value.(type) {
	case int64:
		if v >= 1 && v <= 12 {
			return time.Month(v)
		}
	case string:
		name := strings.ToLower(strings.TrimSpace(v))
		for m := time.January; m <= time.December; m++ {
			if full := strings.ToLower(m.String()); name == full || name == full[:3] {
				return m
			}
		}
	}
	n.fail(`found %s; a month is needed, such as "January"`, describe(n.value))
	return 0
}

// rootstocks is a table of what each species is grafted on.
func (n node) rootstocks() []Rootstock {
	table, ok := n.value.(map[string]any)
	switch {
	case !ok:
		n.fail(`found %s; a table is needed of what each species is grafted on, such as { "Malus domestica" = "M16" }`, describe(n.value))
		return nil
	case len(table) > maxRootstocks:
		n.fail("found %d species; at most %d are read", len(table), maxRootstocks)
		return nil
	}
	var out []Rootstock
	for _, name := range slices.Sorted(maps.Keys(table)) {
		child, _ := n.under(name)
		child.label = fmt.Sprintf("%s, %s", n.label, quote(name))
		if stock, ok := child.text("the name of a rootstock is needed"); ok {
			out = append(out, Rootstock{Species: name, Stock: stock, Where: child.where()})
		}
	}
	return out
}
