// Package rewrite puts what was changed of a plan into the text of its site
// file, and leaves all else of it, comments and order too, as it was written.
package rewrite

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/planting"
	"wetfeet/cmd/internal/site"
	"wetfeet/cmd/internal/tomledit"
	"wetfeet/terrain/quantity"
	"wetfeet/terrain/raster"

	"github.com/paulmach/orb"
)

// A rewriting is a site file that takes what was changed in its plan.
type rewriting struct {
	*tomledit.Text
	was, now assess.Plan
	units    quantity.Units // of the file
	origin   bool           // coordinates are measured from a peg, in units of the file
}

// Site is the text of a site file with what a plan changes of it: storm, rows,
// what is said of single trees, and what is built and dug. All else stays as it was written.
func Site(text string, was, now assess.Plan) (string, error) {
	t, err := tomledit.Parse(text)
	if err != nil {
		return "", err
	}
	w := &rewriting{Text: t, was: was, now: now, units: was.Units}
	_, w.origin = t.Get(tomledit.Top, "origin")
	if err := errors.Join(w.storm(), w.rows(), w.trees(), w.links(), w.works()); err != nil {
		return "", err
	}
	return t.String(), nil
}

func (w *rewriting) length(m float64) string {
	if w.units == quantity.Feet {
		return tomledit.Quote(decimal(m/0.3048, 2) + " ft")
	}
	return tomledit.Quote(decimal(m, 3) + " m")
}

// mound writes a height as growers say it. It is never less than was meant, as
// a mound a hair too low is advised anew.
func (w *rewriting) mound(m float64) string {
	if w.units != quantity.Feet {
		return w.length(m)
	}
	const hair = 1e-6
	return tomledit.Quote(decimal(math.Ceil(10*m/0.0254-hair)/10, 1) + " in")
}

func round(v float64, digits int) float64 {
	p := math.Pow10(digits)
	return math.Round(v*p) / p
}

func decimal(v float64, digits int) string {
	return strconv.FormatFloat(round(v, digits), 'f', -1, 64)
}

// point writes a place as the file has coordinates: degrees to a centimetre,
// all else to a centimetre too.
func (w *rewriting) point(p orb.Point) string {
	digits := 2
	switch {
	case w.was.CRS == "" || w.was.CRS == raster.LonLatCRS:
		digits = 7
	case w.origin && w.units == quantity.Feet:
		p = orb.Point{p[0] / 0.3048, p[1] / 0.3048}
	}
	return fmt.Sprintf("[%s, %s]", strconv.FormatFloat(p[0], 'f', digits, 64), strconv.FormatFloat(p[1], 'f', digits, 64))
}

func (w *rewriting) line(l orb.LineString) string {
	var b []string
	for _, p := range l {
		b = append(b, w.point(p))
	}
	return "[" + strings.Join(b, ", ") + "]"
}

func (w *rewriting) pattern(p []string) string {
	var b []string
	for _, name := range p {
		if planting.Empty(name) {
			name = "-"
		}
		b = append(b, tomledit.Quote(name))
	}
	return "[" + strings.Join(b, ", ") + "]"
}

func (w *rewriting) gaps(gaps [][2]float64) string {
	var b []string
	for _, g := range gaps {
		b = append(b, "["+w.length(g[0])+", "+w.length(g[1])+"]")
	}
	return "[" + strings.Join(b, ", ") + "]"
}

// storm writes another storm, in place of a gauge or table it may have been
// taken from.
func (w *rewriting) storm() error {
	if w.was.Rain == w.now.Rain && w.was.Gauge == w.now.Gauge {
		return nil
	}
	at := w.Find("storm")
	if at == tomledit.None {
		if err := w.Add("storm", false); err != nil {
			return err
		}
		at = w.Find("storm")
	}
	for _, key := range []string{"gauge", "frequency", "return_period"} {
		if err := w.Drop(at, key); err != nil {
			return err
		}
	}
	rain := tomledit.Quote(decimal(w.now.Rain.Rain, 1) + " mm")
	if w.units == quantity.Feet {
		rain = tomledit.Quote(decimal(w.now.Rain.Rain/25.4, 2) + " in")
	}
	hours := tomledit.Quote(decimal(w.now.Rain.Duration.Hours(), 2) + " h")
	return errors.Join(w.Set(at, "rain", rain), w.Set(at, "duration", hours))
}

// rows writes the rows that were changed, takes away those that are no longer
// planned and adds new ones.
func (w *rewriting) rows() error {
	was, now := w.was.Rows, w.now.Rows
	if slices.EqualFunc(was, now, sameRow) {
		return nil
	}
	if n := len(w.All("row")); n != len(was) {
		return errors.New("the rows of the site file are not written as [[row]] tables of their own, so they cannot be changed from the page; write them so first")
	}
	kept := map[string]int{}
	for i := range now {
		kept[now[i].Name] = i
	}
	dropped := false
	for i := range was {
		_, stays := kept[was[i].Name]
		dropped = dropped || !stays
	}
	known := map[string]bool{}
	for i := len(was) - 1; i >= 0; i-- {
		at := w.All("row")[i]
		known[was[i].Name] = true
		k, stays := kept[was[i].Name]
		if !stays {
			if err := w.Remove(at); err != nil {
				return err
			}
			continue
		}
		if err := w.row(at, was[i], now[k], dropped); err != nil {
			return err
		}
	}
	for _, r := range now {
		if known[r.Name] {
			continue
		}
		pairs := []tomledit.Pair{{Key: "name", Value: tomledit.Quote(r.Name)}, {Key: "line", Value: w.line(r.Line)}, {Key: "spacing", Value: w.length(r.Spacing)}, {Key: "pattern", Value: w.pattern(r.Pattern)}}
		if len(r.Gaps) > 0 {
			pairs = append(pairs, tomledit.Pair{Key: "gaps", Value: w.gaps(r.Gaps)})
		}
		if err := w.Add("row", true, pairs...); err != nil {
			return err
		}
	}
	return nil
}

// row writes what has changed of a row. Where rows before it go it needs its
// name written, which it may have had from its place.
func (w *rewriting) row(at tomledit.Place, was, now planting.Row, named bool) error {
	set := func(key, value string) error { return w.Set(at, key, value) }
	var bad []error
	if _, has := w.Get(at, "name"); named && !has {
		bad = append(bad, set("name", tomledit.Quote(now.Name)))
	}
	if !slices.Equal(was.Line, now.Line) {
		bad = append(bad, set("line", w.line(now.Line)))
	}
	if was.Spacing != now.Spacing {
		bad = append(bad, set("spacing", w.length(now.Spacing)))
	}
	if !slices.Equal(was.Pattern, now.Pattern) {
		bad = append(bad, set("pattern", w.pattern(now.Pattern)))
	}
	if !slices.Equal(was.Gaps, now.Gaps) {
		if len(now.Gaps) == 0 {
			bad = append(bad, w.Drop(at, "gaps"))
		} else {
			bad = append(bad, set("gaps", w.gaps(now.Gaps)))
		}
	}
	return errors.Join(bad...)
}

// keysOfTree are what may be said of a tree, in the order they are written.
var keysOfTree = []string{"species", "mound", "trial", "fixed", "at", "age", "rootstock"}

// trees writes what is said of single trees.
func (w *rewriting) trees() error {
	now := map[string]site.Tree{}
	for _, t := range w.now.Told {
		now[t.ID] = t
	}
	was := map[string]site.Tree{}
	for _, t := range w.was.Told {
		was[t.ID] = t
	}
	places := w.All("tree")
	if len(places) != len(w.was.Told) {
		return errors.New("what the site file says of single trees is not written as [[tree]] tables of their own, so it cannot be changed here; write it so first")
	}
	for i := len(w.was.Told) - 1; i >= 0; i-- {
		id := w.was.Told[i].ID
		t, stays := now[id]
		if !stays {
			if err := w.Remove(places[i]); err != nil {
				return err
			}
			continue
		}
		if sameTree(t, was[id]) {
			continue
		}
		for _, key := range keysOfTree {
			value := w.said(t, key)
			if value == "" {
				if err := w.Drop(w.All("tree")[i], key); err != nil {
					return err
				}
			} else if value != w.said(was[id], key) {
				if err := w.Set(w.All("tree")[i], key, value); err != nil {
					return err
				}
			}
		}
	}
	for _, t := range w.now.Told {
		if _, known := was[t.ID]; known {
			continue
		}
		pairs := []tomledit.Pair{{Key: "id", Value: tomledit.Quote(t.ID)}}
		for _, key := range keysOfTree {
			if value := w.said(t, key); value != "" {
				pairs = append(pairs, tomledit.Pair{Key: key, Value: value})
			}
		}
		if err := w.Add("tree", true, pairs...); err != nil {
			return err
		}
	}
	return nil
}

// said is what a tree has under a key, as the file writes it; empty for
// nothing.
func (w *rewriting) said(t site.Tree, key string) string {
	switch {
	case key == "species" && t.Species != "":
		return tomledit.Quote(t.Species)
	case key == "mound" && t.Mound > 0:
		return w.mound(t.Mound)
	case key == "trial" && t.Trial, key == "fixed" && t.Fixed:
		return "true"
	case key == "at" && t.At != nil:
		return w.point(*t.At)
	case key == "age" && t.Age != nil:
		return tomledit.Quote(years(*t.Age))
	case key == "rootstock" && t.Rootstock != "":
		return tomledit.Quote(t.Rootstock)
	}
	return ""
}

// years is an age as the file writes it.
func years(v float64) string {
	if v == 1 {
		return "1 year"
	}
	return decimal(v, 3) + " years"
}

// sameAge reports whether two ages are written alike.
func sameAge(a, b *float64) bool {
	return a == b || a != nil && b != nil && math.Abs(*a-*b) < 0.001
}

func sameTree(a, b site.Tree) bool {
	if (a.At == nil) != (b.At == nil) || a.At != nil && *a.At != *b.At {
		return false
	}
	return a.Species == b.Species && a.Mound == b.Mound && a.Trial == b.Trial && a.Fixed == b.Fixed && sameAge(a.Age, b.Age) && a.Rootstock == b.Rootstock
}

func sameRow(a, b planting.Row) bool {
	return a.Name == b.Name && a.Spacing == b.Spacing && slices.Equal(a.Line, b.Line) && slices.Equal(a.Pattern, b.Pattern) && slices.Equal(a.Gaps, b.Gaps)
}

// Same makes sure that a file that was written reads as what was to be
// written, to the digits that are written.
func Same(want, got assess.Plan) error {
	if len(want.Rows) != len(got.Rows) {
		return fmt.Errorf("%d rows were to be written and %d were", len(want.Rows), len(got.Rows))
	}
	for i := range want.Rows {
		a, b := want.Rows[i], got.Rows[i]
		close := func(x, y, within float64) bool { return math.Abs(x-y) <= within }
		ok := a.Name == b.Name && close(a.Spacing, b.Spacing, 0.004) && slices.Equal(a.Pattern, b.Pattern) && len(a.Line) == len(b.Line) && len(a.Gaps) == len(b.Gaps) && sameAge(a.Age, b.Age)
		for k := range a.Gaps {
			ok = ok && close(a.Gaps[k][0], b.Gaps[k][0], 0.004) && close(a.Gaps[k][1], b.Gaps[k][1], 0.004)
		}
		for k := 0; ok && k < len(a.Line); k++ {
			ok = close(a.Line[k][0], b.Line[k][0], 0.006) && close(a.Line[k][1], b.Line[k][1], 0.006)
		}
		if !ok {
			return fmt.Errorf("row %q would not read as it was meant", a.Name)
		}
	}
	told := map[string]site.Tree{}
	for _, t := range got.Told {
		told[t.ID] = t
	}
	if len(want.Told) != len(got.Told) {
		return fmt.Errorf("%d trees were to be told of and %d were", len(want.Told), len(got.Told))
	}
	for _, t := range want.Told {
		u, ok := told[t.ID]
		ok = ok && t.Species == u.Species && math.Abs(t.Mound-u.Mound) < 0.004 && t.Trial == u.Trial && t.Fixed == u.Fixed && (t.At == nil) == (u.At == nil) && sameAge(t.Age, u.Age) && t.Rootstock == u.Rootstock
		if !ok || t.At != nil && math.Max(math.Abs(t.At[0]-u.At[0]), math.Abs(t.At[1]-u.At[1])) > 0.006 {
			return fmt.Errorf("tree %q would not read as it was meant", t.ID)
		}
	}
	if !(math.Abs(want.Rain.Rain-got.Rain.Rain) < 0.2) {
		return errors.New("the storm would not read as it was meant")
	}
	return sameWorks(want, got)
}
