package assess

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/planting"
	"wetfeet/species"
	"wetfeet/terrain"
	"wetfeet/terrain/raster"

	"github.com/paulmach/orb"
)

// lay sets out rows and single positions in the system of the ground.
func (r *Result) lay(p Plan, f terrain.Frame) error {
	crs := p.system()
	var all []planting.Position
	for _, row := range p.Rows {
		line := slices.Clone(row.Line)
		if err := move(crs, f.CRS, line); err != nil {
			return fmt.Errorf("row %q: %w", row.Name, err)
		}
		row.Line = line
		places, err := planting.Lay(row)
		if err != nil {
			return err
		}
		kept := Row{Name: row.Name, Line: line, Length: planting.Length(line), Spacing: row.Spacing, Gaps: row.Gaps}
		for range places {
			kept.Trees = append(kept.Trees, len(all)+len(kept.Trees))
		}
		all = append(all, places...)
		r.Rows = append(r.Rows, kept)
	}
	if p.Positions != "" {
		single, remarks, err := r.readPositions(p.Positions, crs, f.CRS)
		if err != nil {
			return err
		}
		r.Remarks = append(r.Remarks, remarks...)
		all = append(all, single...)
	}
	if len(all) == 0 {
		return fault.Input(errors.New("no trees are planned: give a [[row]] with a line, a spacing and a pattern, or a file of positions"))
	}
	if err := planting.CheckIDs(all); err != nil {
		return err
	}
	if err := somewhere(all, f); err != nil {
		return err
	}
	lonLat := make([]orb.Point, len(all))
	for i := range all {
		lonLat[i] = all[i].Point
	}
	if err := move(f.CRS, raster.LonLatCRS, lonLat); err != nil {
		return err
	}
	r.Trees = make([]Tree, len(all))
	for i := range all {
		r.Trees[i] = Tree{Position: all[i], LonLat: lonLat[i]}
		for _, age := range []*float64{p.Conditions.Age, all[i].Age} {
			if age != nil {
				r.Trees[i].Years = *age
			}
		}
	}
	return nil
}

// somewhere makes sure that a tree at least lies on the frame of the ground.
func somewhere(all []planting.Position, f terrain.Frame) error {
	points := make(orb.MultiPoint, len(all))
	for i := range all {
		points[i] = all[i].Point
		if _, _, on := f.Locate(points[i]); on {
			return nil
		}
	}
	trees, ground := points.Bound(), f.Bound()
	say := func(b orb.Bound) string {
		return fmt.Sprintf("E %.0f to %.0f, N %.0f to %.0f", b.Min[0], b.Max[0], b.Min[1], b.Max[1])
	}
	hint := "is the coordinate system of the positions right?"
	if strings.HasPrefix(f.CRS, "+proj=") {
		hint = "are all places measured from the same peg? Columns of feet are headed so, as x_ft"
	} else if how := swapped(points, f); how != "" {
		hint = "they would lie on it with " + how + " the other way round: are the two swapped?"
	} else if d := trees.Max; trees.Min[0] >= -180 && d[0] <= 180 && trees.Min[1] >= -90 && d[1] <= 90 {
		hint = "degrees belong in columns named lon and lat"
	}
	crs := f.CRS
	if strings.HasPrefix(crs, "+proj=") { // of an origin, that of the places of a site file
		crs = "metres from the origin"
	} else if info, err := raster.Describe(crs); err == nil {
		crs = info.Name
	}
	return fault.Input(fmt.Errorf("no planned tree lies on the ground: in %s the trees are at %s and the ground at %s; %s", crs, say(trees), say(ground), hint))
}

// swapped says which coordinates would bring a tree onto the ground if they were
// the other way round; empty if neither would.
func swapped(points []orb.Point, f terrain.Frame) string {
	turned := make([]orb.Point, len(points))
	on := func() bool {
		return slices.ContainsFunc(turned, func(p orb.Point) bool { _, _, on := f.Locate(p); return on })
	}
	for i, p := range points {
		turned[i] = orb.Point{p[1], p[0]}
	}
	if on() {
		return "x and y"
	}
	copy(turned, points)
	if move(f.CRS, raster.LonLatCRS, turned) != nil {
		return ""
	}
	for i, p := range turned {
		turned[i] = orb.Point{p[1], p[0]}
	}
	if move(raster.LonLatCRS, f.CRS, turned) == nil && on() {
		return "longitude and latitude"
	}
	return ""
}

// move brings points from one system to another, in place. A point that has
// no place there is the fault of the input.
func move(from, to string, points []orb.Point) error {
	if from == to {
		return nil
	}
	t, err := raster.NewTransform(from, to)
	if err != nil {
		return fault.Input(err)
	}
	defer t.Close()
	return fault.Input(t.Points(points))
}

// readPositions reads single positions and brings them to the ground's system.
func (r *Result) readPositions(path, crs, to string) ([]planting.Position, []string, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, nil, fault.Input(err)
	}
	defer f.Close()
	read := planting.ReadCSV
	if ext := strings.ToLower(filepath.Ext(path)); ext == ".geojson" || ext == ".json" {
		read = planting.ReadGeoJSON
	}
	name := filepath.Base(path)
	t, err := read(f, name)
	if err != nil {
		return nil, nil, err
	}
	from := crs
	if t.LonLat {
		from = raster.LonLatCRS
	} else if crs == raster.LonLatCRS {
		from = to
		r.Assumptions = append(r.Assumptions, name+": no coordinate system was named, so x and y were taken to be in the system of the ground.")
	}
	unit := 1.0 // of the coordinates, in units of their system
	if t.Metres {
		info, err := raster.Describe(from)
		if err != nil {
			return nil, nil, fault.Input(err)
		}
		unit = info.Unit
	}
	points := make([]orb.Point, len(t.Positions))
	for i := range points {
		p := t.Positions[i].Point
		points[i] = orb.Point{p[0] / unit, p[1] / unit}
	}
	if err := move(from, to, points); err != nil {
		return nil, nil, fmt.Errorf("%s: %w", name, err)
	}
	for i := range points {
		t.Positions[i].Point = points[i]
	}
	return t.Positions, t.Remarks, nil
}

// lookUp finds the species of every position. Each name that is not known is
// told once, with the first tree that bears it.
func (r *Result) lookUp(table *species.Table) error {
	found := make(map[string]*species.Entry)
	var bad []error
	for i := range r.Trees {
		t := &r.Trees[i]
		name := t.Position.Species
		e, seen := found[name]
		if !seen {
			var err error
			if e, err = table.Find(name); err != nil {
				if _, unknown := errors.AsType[*species.UnknownError](err); unknown {
					err = fmt.Errorf("%w; the built-in table can be added to with a CSV of your own (--species FILE, or table in [species] of the site file)", err)
				}
				bad = append(bad, fmt.Errorf("tree %s: %w", t.ID, err))
			} else if !names(e, name) {
				r.Remarks = append(r.Remarks, fmt.Sprintf("%q was read as %s (%s).", name, e.Name(), e.Scientific))
			}
			found[name] = e
		}
		t.Entry = e
	}
	if len(bad) > 0 {
		return fault.Input(errors.Join(bad...))
	}
	for _, e := range found {
		if !slices.Contains(r.Species, e) {
			r.Species = append(r.Species, e)
		}
	}
	slices.SortFunc(r.Species, func(a, b *species.Entry) int { return strings.Compare(a.Scientific, b.Scientific) })
	return nil
}

// names reports whether a species is called so, but for capitals.
func names(e *species.Entry, name string) bool {
	name = strings.Join(strings.Fields(name), " ")
	is := func(known string) bool { return strings.EqualFold(known, name) }
	return is(e.Scientific) || slices.ContainsFunc(e.Common, is) || slices.ContainsFunc(e.Synonyms, is)
}
