package storm

import (
	"errors"
	"fmt"
	"math"

	"wetfeet/hydro"
)

// A Link is a ditch, pipe or culvert that lets water out of a hollow.
type Link struct {
	Name string // what the user calls it, for messages

	From int // index, in the hollows given to Prepare, of the hollow with its upper end
	To   int // likewise of the lower end, or hydro.Outside

	Level  float64 // of its bottom at the upper end, m
	Outlet float64 // of its bottom at the lower end, m; NaN where not known

	// Capacity is what it carries, m³/s. 0 is whatever comes.
	Capacity float64
}

// A LinkError says what is wrong with one link. The error of [Prepare] joins
// one for every link that cannot be.
type LinkError struct {
	Place int // in Options.Links
	Name  string
	Err   error
}

func (e *LinkError) Error() string { return e.Name + ": " + e.Err.Error() }

func (e *LinkError) Unwrap() error { return e.Err }

// wrong is an error of a link, under its name or the number of its place.
func (l *Link) wrong(place int, err error) *LinkError {
	name := l.Name
	if name == "" {
		name = fmt.Sprintf("link %d", place+1)
	}
	return &LinkError{place, name, err}
}

// An outlet is a link with a capacity, in the tree of the site.
type outlet struct {
	level float64
	flow  float64 // m³/h
	to    int32   // leaf, or outside
	link  int32   // its place in Options.Links
}

// leafOf is the leaf at the floor of a hollow of h.
func leafOf(h *hydro.Hollows, i int) int {
	if i == outside {
		return outside
	}
	return int(h.Inner[h.All[i].FloorCell]) - 1
}

// joinLinks checks all links, lets those without limit change the tree, and
// returns the others, their ends turned into floor cells.
func joinLinks(h *hydro.Hollows, links []Link) (*hydro.Hollows, []limited, error) {
	var errs []error
	var cuts []hydro.Cut
	var rest []limited
	for k, l := range links {
		if err := l.check(h); err != nil {
			errs = append(errs, l.wrong(k, err))
			continue
		}
		from, to := leafOf(h, l.From), leafOf(h, l.To)
		if l.Capacity == 0 {
			cuts = append(cuts, hydro.Cut{From: from, To: to, Level: l.Level, Cell: h.All[from].FloorCell})
			continue
		}
		r := limited{Link: l, place: k, from: h.All[from].FloorCell, to: outside}
		if to != outside {
			r.to = h.All[to].FloorCell
		}
		rest = append(rest, r)
	}
	if len(errs) > 0 {
		return nil, nil, errors.Join(errs...)
	}
	return h.Join(cuts), rest, nil
}

// A limited link knows its ends by floor cells, which any tree of the same
// ground shares.
type limited struct {
	Link
	place    int
	from, to int
}

func (l *Link) check(h *hydro.Hollows) error {
	n := len(h.All)
	if l.From < 0 || l.From >= n || l.To < outside || l.To >= n {
		return fmt.Errorf("there is no hollow %d", max(l.From, l.To)+1)
	}
	from := &h.All[l.From]
	switch {
	case !(math.Abs(l.Level) < 1e6):
		return fmt.Errorf("level of %g m: give the elevation of its bottom", l.Level)
	case !(l.Capacity >= 0) || math.IsInf(l.Capacity, 1):
		return fmt.Errorf("capacity of %g m³/s: give what it carries, or nothing if it carries whatever comes", l.Capacity)
	case l.Outlet > l.Level:
		return fmt.Errorf("runs uphill, from %.3f m to %.3f m", l.Level, l.Outlet)
	case l.Level <= from.Floor:
		return fmt.Errorf("starts at %.3f m, no higher than the floor of hollow %d at %.3f m: give its level where water enters", l.Level, from.ID, from.Floor)
	case l.To == outside:
		return nil
	}
	to := &h.All[l.To]
	switch {
	case leafOf(h, l.From) == leafOf(h, l.To):
		return fmt.Errorf("both ends lie at the floor of hollow %d, so it leads nowhere: let it end outside that hollow", from.ID)
	case to.Floor >= l.Level:
		return fmt.Errorf("runs uphill, from %.3f m to the floor of hollow %d at %.3f m", l.Level, to.ID, to.Floor)
	}
	return nil
}

// place gives the limited links to the hollows that hold water at their level.
func (s *Site) place(links []limited) error {
	s.outlets = make([][]outlet, len(s.h.All))
	var errs []error
	for _, l := range links {
		i := s.h.Inner[l.from] - 1
		for i != outside && s.h.All[i].Spill <= l.Level {
			i = s.hollow[i].parent
		}
		if i == outside {
			continue // its water has another way before it comes that high
		}
		o := outlet{level: l.Level, flow: l.Capacity * 3600, to: outside, link: int32(l.place)}
		if l.to != outside {
			o.to = s.h.Inner[l.to] - 1
			outer := s.h.Outer[l.to] - 1
			if brim := s.h.All[outer].Spill; brim > l.Level {
				errs = append(errs, l.wrong(l.place, fmt.Errorf(
					"lies at %.3f m and runs into a hollow that can stand at %.3f m; backwater through a limited link is not modelled: leave its capacity out, and its ends share their water, or lead it outside",
					l.Level, brim)))
				continue
			}
		}
		at := len(s.outlets[i])
		for at > 0 && s.outlets[i][at-1].level > o.level {
			at--
		}
		s.outlets[i] = append(s.outlets[i], outlet{})
		copy(s.outlets[i][at+1:], s.outlets[i][at:])
		s.outlets[i][at] = o
	}
	return errors.Join(errs...)
}
