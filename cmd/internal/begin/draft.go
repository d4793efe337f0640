package begin

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/planting"
	"wetfeet/cmd/internal/wording"

	"github.com/paulmach/orb"
)

// A Draft is a site that is ready to be written.
type Draft struct {
	Name  string
	Text  string   // of the site file
	Told  []string // what was taken where nothing was said, a sentence each
	Trees int      // planted

	Spacing, Apart float64 // of plants and of rows, m; 0 without rows

	// What a picture of it shows, metres in the system of the ground.
	Rows    []planting.Row
	Outline orb.Ring // around the known ground
	Shots   []orb.Point
	Single  []orb.Point // positions of a file

	files []*Found
}

// Draft answers the rest.
func (l *Land) Draft(a Answers) (*Draft, error) {
	d := &Draft{Name: strings.Join(strings.Fields(a.Name), " "), Outline: l.outline}
	if r := []rune(d.Name); len(r) > 80 {
		d.Name = string(r[:80])
	}
	if d.Name == "" {
		d.Name = "New site"
	}
	said := a
	if err := a.check(); err != nil {
		return nil, err
	}
	if l.ground.Survey != nil {
		d.Shots = points(l.ground.Survey.Shots.Shots)
	}
	for _, p := range l.single {
		d.Single = append(d.Single, p.Point)
	}
	for _, k := range []Kind{Raster, Heights, Book, Boundary, Positions, Own} {
		if f := l.files[k]; f != nil {
			d.files = append(d.files, f)
		}
	}
	if len(a.Plants) == 0 {
		for _, f := range l.lists {
			a.Plants = append(a.Plants, f.Plants...)
		}
		if len(a.Plants) == 0 && len(l.single) == 0 && l.files[Own] != nil {
			a.Plants = l.files[Own].Plants
		}
	}
	if err := l.layRows(d, &a); err != nil {
		return nil, err
	}
	text, err := l.write(d, said, a)
	d.Text = text
	return d, err
}

// layRows plants the list of species, unless positions are given.
func (l *Land) layRows(d *Draft, a *Answers) error {
	if len(l.single) > 0 {
		d.Trees = len(l.single)
		if len(a.Plants) > 0 && len(l.lists) > 0 {
			d.Told = append(d.Told, "The trees are those of "+l.files[Positions].Name+"; the list of species is not laid out in rows as well.")
		}
		return nil
	}
	if len(a.Plants) == 0 {
		return fault.Input(fmt.Errorf("trees: no species is named; give a list of species, one a line, or a file of positions with the columns id,x,y,species"))
	}
	var bad fault.List
	for i, p := range a.Plants {
		e, err := l.known.Find(p)
		if err != nil {
			bad.Add(0, "trees: %v", err)
			continue
		}
		a.Plants[i] = e.Scientific
	}
	if err := bad.Err(); err != nil {
		return err
	}
	spacing, apart := room(a.Plants, l.known)
	if a.Spacing == 0 {
		a.Spacing = spacing
		d.Told = append(d.Told, fmt.Sprintf("Plants stand %s apart, so that any two neighbours have half of the room each of them wants.", length(spacing, a.Units)))
	}
	if a.Apart == 0 {
		a.Apart = max(apart, leastApart)
		d.Told = append(d.Told, fmt.Sprintf("Rows are %s apart, the room that the widest of the species wants.", length(a.Apart, a.Units)))
	}
	a.Spacing, a.Apart = written(a.Spacing, a.Units), written(a.Apart, a.Units)
	d.Spacing, d.Apart = a.Spacing, a.Apart
	lines, fit, cut := layout{a.Spacing, a.Apart, a.Rows}.lay(l.ground.Grid, l.hull)
	switch {
	case len(lines) == 0:
		return fault.Input(fmt.Errorf("trees: no row with plants %s apart, rows %s apart and half of that to the edge fits on the known ground; bring them closer together", length(a.Spacing, a.Units), length(a.Apart, a.Units)))
	case a.Rows > fit:
		return fault.Input(fmt.Errorf("trees: %d rows are wanted, but with rows %s apart the known ground has room for %d", a.Rows, length(a.Apart, a.Units), fit))
	case len(lines) < fit && a.Rows == 0 || a.Rows > len(lines):
		d.Told = append(d.Told, fmt.Sprintf("There is room for %s; the %d in the middle are laid, with no more than %d trees to begin with.", wording.Count(fit, "row"), len(lines), mostTrees))
	}
	if cut {
		d.Told = append(d.Told, fmt.Sprintf("Rows are laid %s long at most, in the middle of the ground.", length(longestRow, a.Units)))
	}
	for i, line := range lines {
		row := planting.Row{Name: planting.RowName(i), Line: line, Spacing: a.Spacing, Pattern: a.Plants}
		places, err := planting.Lay(row)
		if err != nil {
			return err
		}
		d.Trees += len(places)
		d.Rows = append(d.Rows, row)
	}
	return nil
}

// decimal writes a number without zeros behind it.
func decimal(v float64, digits int) string {
	scale := math.Pow10(digits)
	return strconv.FormatFloat(math.Round(v*scale)/scale, 'f', -1, 64)
}
