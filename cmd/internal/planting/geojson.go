package planting

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"wetfeet/cmd/internal/feature"
	"wetfeet/terrain/quantity"
)

// ReadGeoJSON reads single positions from GeoJSON points, WGS 84 longitude and
// latitude (RFC 7946). Every feature needs the property species and an id, as
// a property or as the feature's own; row, along_m, age_years (since planting)
// and rootstock are taken where it has them. Name is for messages.
//
// All mistakes of the file come as one error, marked as the fault of an input;
// any other error is the reader's own. Two positions with one ID are a
// mistake, two on the same spot a remark.
func ReadGeoJSON(r io.Reader, name string) (*Table, error) {
	t := &table{name: name, out: Table{LonLat: true}}
	features, remarks, err := feature.Read(r, name, &t.bad)
	if err != nil {
		return nil, err
	}
	t.out.Remarks = remarks
	for _, f := range features {
		t.feature(f)
	}
	if len(features) == 0 && t.bad.Len() == 0 {
		t.add(0, "", "holds no features; a Point for each position is needed")
	}
	if err := t.bad.Err(); err != nil {
		return nil, err
	}
	return t.finish(), nil
}

// feature reads one position.
func (t *table) feature(f feature.Feature) {
	before := t.bad.Len()
	add := func(format string, args ...any) {
		t.bad.Add(f.Number, "%s: %s", f.Where(t.name), fmt.Sprintf(format, args...))
	}
	var p Position
	if f.Kind != "Point" {
		add("found a %s; a position is a Point", f.Kind)
	} else if at, err := f.Point(); err != nil {
		add("%v", err)
	} else {
		p.Point = at
	}
	var named bool
	if p.ID, named = f.Text("id"); !named {
		p.ID = f.ID
	}
	if p.ID == "" {
		add("has no id, neither as a property nor as its own")
	} else if wrong := checkText(p.ID); wrong != "" {
		add("its id is %s", wrong)
	}
	species, ok := f.Properties["species"].(string)
	p.Species = strings.TrimSpace(species)
	if !ok || p.Species == "" {
		add("has no property species with a name in it")
	} else if wrong := checkText(p.Species); wrong != "" {
		add("its species is %s", wrong)
	}
	if row, ok := f.Text("row"); ok && row != "" {
		if p.Row = row; checkText(row) != "" {
			add("its row is %s", checkText(row))
		}
	}
	switch along := f.Properties["along_m"].(type) {
	case nil:
	case json.Number:
		if v, ok := parseNumber(along.String(), false); ok {
			p.Along = v
			break
		}
		add("its along_m is %s, not a number of metres", quote(along.String()))
	default:
		add("its along_m is not a number of metres")
	}
	switch age := f.Properties["age_years"].(type) {
	case nil:
	case json.Number:
		if v, err := quantity.Years(age.String()); err != nil {
			add("its age_years: %v", err)
		} else {
			p.Age = &v
		}
	default:
		add("its age_years is not a number of years")
	}
	if stock, ok := f.Text("rootstock"); ok && stock != "" {
		if p.Rootstock = stock; checkText(stock) != "" {
			add("its rootstock is %s", checkText(stock))
		}
	}
	if t.bad.Len() == before {
		t.keep(p, f.Number, strings.TrimPrefix(f.Where(t.name), t.name+", "))
	}
}
