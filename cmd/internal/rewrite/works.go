package rewrite

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/site"
	"wetfeet/cmd/internal/tomledit"

	"github.com/paulmach/orb"
)

// A written table is one by its name, with its keys as the file has them.
type written struct {
	name string
	line orb.LineString
	keys []tomledit.Pair
}

// links writes the pipes and ditches.
func (w *rewriting) links() error {
	list := func(links []site.Link) (out []written) {
		for _, l := range links {
			kind := "pipe"
			if l.Ditch {
				kind = "ditch"
			}
			t := written{l.Name, l.Line, []tomledit.Pair{{Key: "kind", Value: tomledit.Quote(kind)}}}
			if len(l.Line) > 1 {
				t.keys = append(t.keys, tomledit.Pair{Key: "line", Value: w.line(l.Line)})
			} else if len(l.Line) == 1 {
				t.keys = append(t.keys, tomledit.Pair{Key: "from", Value: w.point(l.Line[0])}, tomledit.Pair{Key: "to", Value: tomledit.Quote("off the site")})
			}
			if l.Invert != nil {
				t.keys = append(t.keys, tomledit.Pair{Key: "invert", Value: w.length(*l.Invert)})
			} else {
				t.keys = append(t.keys, tomledit.Pair{Key: "depth", Value: w.length(l.Depth)})
			}
			if l.Outlet != nil {
				t.keys = append(t.keys, tomledit.Pair{Key: "outlet", Value: w.length(*l.Outlet)})
			}
			if l.Capacity > 0 {
				t.keys = append(t.keys, tomledit.Pair{Key: "capacity", Value: tomledit.Quote(decimal(1000*l.Capacity, 3) + " l/s")})
			}
			out = append(out, t)
		}
		return out
	}
	return w.tables("link", "pipes and ditches", list(w.was.Links), list(w.now.Links))
}

// works writes the mounds, beds and walls.
func (w *rewriting) works() error {
	list := func(works []site.Work) (out []written) {
		for _, k := range works {
			t := written{k.Name, k.Line, []tomledit.Pair{{Key: "kind", Value: tomledit.Quote(k.Kind)}}}
			if k.Kind == site.Mound && len(k.Line) == 1 {
				t.keys = append(t.keys, tomledit.Pair{Key: "at", Value: w.point(k.Line[0])})
			} else {
				t.keys = append(t.keys, tomledit.Pair{Key: "line", Value: w.line(k.Line)})
			}
			t.keys = append(t.keys, tomledit.Pair{Key: "height", Value: w.length(k.Height)}, tomledit.Pair{Key: "width", Value: w.length(k.Width)})
			out = append(out, t)
		}
		return out
	}
	return w.tables("work", "mounds, beds and walls", list(w.was.Works), list(w.now.Works))
}

// tables writes the tables of an array that were changed, takes away those that
// are gone and adds new ones.
func (w *rewriting) tables(array, what string, was, now []written) error {
	if reflect.DeepEqual(was, now) {
		return nil
	}
	if n := len(w.All(array)); n != len(was) {
		return fmt.Errorf("the %s of the site file are not written as [[%s]] tables of their own, so they cannot be changed from the page; write them so first", what, array)
	}
	kept := map[string]int{}
	for i := range now {
		kept[now[i].name] = i
	}
	dropped := slices.ContainsFunc(was, func(t written) bool { _, stays := kept[t.name]; return !stays })
	known := map[string]bool{}
	for i := len(was) - 1; i >= 0; i-- {
		known[was[i].name] = true
		k, stays := kept[was[i].name]
		if !stays {
			if err := w.Remove(w.All(array)[i]); err != nil {
				return err
			}
			continue
		}
		if err := w.change(array, i, was[i], now[k], dropped); err != nil {
			return err
		}
	}
	for _, t := range now {
		if known[t.name] {
			continue
		}
		if err := w.Add(array, true, append([]tomledit.Pair{{Key: "name", Value: tomledit.Quote(t.name)}}, t.keys...)...); err != nil {
			return err
		}
	}
	return nil
}

// change writes what has changed of one table.
func (w *rewriting) change(array string, i int, was, now written, named bool) error {
	at := func() tomledit.Place { return w.All(array)[i] }
	if _, has := w.Get(at(), "name"); named && !has { // it had its name from its place
		if err := w.Set(at(), "name", tomledit.Quote(now.name)); err != nil {
			return err
		}
	}
	value := func(t written, key string) string {
		for _, p := range t.keys {
			if p.Key == key {
				return p.Value
			}
		}
		return ""
	}
	for _, p := range was.keys {
		if value(now, p.Key) == "" {
			if err := w.Drop(at(), p.Key); err != nil {
				return err
			}
		}
	}
	for _, p := range now.keys {
		if p.Value == value(was, p.Key) {
			continue
		}
		if p.Key == "line" { // it may have been told by its ends
			if err := errors.Join(w.Drop(at(), "from"), w.Drop(at(), "to")); err != nil {
				return err
			}
		}
		if err := w.Set(at(), p.Key, p.Value); err != nil {
			return err
		}
	}
	return nil
}

// sameWorks makes sure that what is built and dug reads as it was meant.
func sameWorks(want, got assess.Plan) error {
	near := func(a, b, within float64) bool { return math.Abs(a-b) <= within }
	level := func(a, b *float64) bool { return (a == nil) == (b == nil) && (a == nil || near(*a, *b, 0.004)) }
	line := func(a, b orb.LineString) bool {
		return slices.EqualFunc(a, b, func(p, q orb.Point) bool { return near(p[0], q[0], 0.006) && near(p[1], q[1], 0.006) })
	}
	if len(want.Works) != len(got.Works) || len(want.Links) != len(got.Links) {
		return errors.New("what is built and dug would not read as it was meant")
	}
	for i, a := range want.Works {
		if b := got.Works[i]; a.Name != b.Name || a.Kind != b.Kind || !line(a.Line, b.Line) || !near(a.Height, b.Height, 0.004) || !near(a.Width, b.Width, 0.004) {
			return errors.New(a.Kind + " " + strconv.Quote(a.Name) + " would not read as it was meant")
		}
	}
	for i, a := range want.Links {
		b := got.Links[i]
		if a.Name != b.Name || a.Ditch != b.Ditch || !line(a.Line, b.Line) || !near(a.Depth, b.Depth, 0.004) || !level(a.Invert, b.Invert) || !level(a.Outlet, b.Outlet) || !near(a.Capacity, b.Capacity, 1e-5) {
			return errors.New("pipe or ditch " + strconv.Quote(a.Name) + " would not read as it was meant")
		}
	}
	return nil
}
