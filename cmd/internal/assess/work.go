package assess

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/site"
	"wetfeet/hydro"
	"wetfeet/hydro/odds"
	"wetfeet/hydro/storm"
	"wetfeet/terrain"
	"wetfeet/terrain/earthwork"
	"wetfeet/terrain/field"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
)

// wallSide is run over rise of the sides of a wall: stone laid dry, or boards.
// Common practice, no source.
const wallSide = 0.1

// A Work is an earthwork on the ground.
type Work struct {
	Name, Kind string
	Volume     float64 // of soil, settled, m³
}

// drainOver finds the hollows of the ground with the works of a plan on it.
func (r *Result) drainOver(ctx context.Context, p Plan, on *basis, progress func(string)) error {
	g := on.ground
	over := g.Grid
	on.raise, r.Works = nil, nil
	if len(p.Works) > 0 {
		banks, err := banks(p, g.Grid)
		if err != nil {
			return err
		}
		raised, volumes := earthwork.Build(g.Grid, banks)
		on.raise = terrain.NewGrid[float32](g.Grid.Frame)
		for i, z := range g.Grid.Cells {
			if d := raised.Cells[i] - z; d > 0 {
				on.raise.Cells[i] = d
			}
		}
		for i, w := range p.Works {
			r.Works = append(r.Works, Work{w.Name, w.Kind, volumes[i]})
		}
		over = raised
	}
	// The noise of the ground is that of the ground as it was measured.
	noise := g.CellNoise()
	drain, err := hydro.Drain(ctx, over, hydro.Options{Error: g.Error(p.Error), ErrorAt: g.ErrorAt, CellNoise: noise, Progress: progress})
	if err != nil {
		return err
	}
	r.Drain = drain
	r.Drain.ErrorEstimated = r.Drain.ErrorEstimated || p.Error == 0 && g.Survey == nil
	return nil
}

// banks are the works of a plan in the system of the ground. One that lies off
// the known ground is at fault.
func banks(p Plan, z *terrain.Grid[float32]) ([]earthwork.Bank, error) {
	var bad []error
	out := make([]earthwork.Bank, len(p.Works))
	for i, w := range p.Works {
		line := slices.Clone(w.Line)
		if err := move(p.system(), z.CRS, line); err != nil {
			bad = append(bad, fmt.Errorf("%s: %w", w.Where, err))
			continue
		}
		b := earthwork.Bank{Mound: earthwork.Mound{Top: w.Width, Height: w.Height}, Line: line}
		if w.Kind == site.Wall {
			b.Side = wallSide
		}
		known := false
		for q := range walk(line, z.CellSize/2) {
			if _, known = terrain.AtPoint(z, q); known {
				break
			}
		}
		if !known {
			bad = append(bad, fmt.Errorf("%s: no part of it lies on the known ground", w.Where))
		}
		out[i] = b
	}
	return out, fault.Input(errors.Join(bad...))
}

// tellWorks says what the ground was raised by.
func (r *Result) tellWorks() {
	if len(r.Works) == 0 {
		return
	}
	sum := 0.0
	var names []string
	for _, w := range r.Works {
		sum += w.Volume
		names = append(names, w.Kind+" "+w.Name)
	}
	if len(names) > 6 {
		names = append(names[:5], fmt.Sprintf("%d more", len(r.Works)-5))
	}
	r.Assumptions = append(r.Assumptions, fmt.Sprintf("The ground was raised by what is to be built (%s): %s of soil once it has settled, %s loose. Its platforms follow the ground, earth stands at %d across for 1 up.",
		strings.Join(names, ", "), quantity.FormatVolume(sum, r.Units), quantity.FormatVolume(earthwork.Loose(sum, earthwork.Settlement), r.Units), earthwork.SideSlope))
}

// sourceOf makes sources of draws with the works of the plan on every ground.
func (r *Result) sourceOf(draws *field.Draws) func() odds.Source {
	if r.basis.raise == nil {
		return func() odds.Source { return draws.NewRoom() }
	}
	return func() odds.Source { return &built{draws.NewRoom(), r.basis.raise.Cells} }
}

// A built source is one whose grounds are raised.
type built struct {
	odds.Source
	raise []float32
}

func (b *built) Pair(k int, first, second []float32) {
	b.Source.Pair(k, first, second)
	for i, up := range b.raise {
		first[i] += up
		second[i] += up
	}
}

// What is dug for a ditch or a pipe unless someone says otherwise. Common
// practice, no source.
var (
	ditchSection  = earthwork.Channel{Bottom: 0.3, Side: 1.5}
	trenchSection = earthwork.Channel{Bottom: 0.3}
)

const (
	ditchFall = 0.001 // rise over run, where the level of the lower end is not known
	pipeFall  = 0.002
)

// A Trench is a pipe or ditch of the plan as it lies in the ground.
type Trench struct {
	Name   string
	Ditch  bool
	Length float64 // of its course, m
	Dug    earthwork.Dug

	// Buried is how deep under the ground its lower end lies, m; 0 where it
	// comes out, where the ground ends, or where that is not known. Water does
	// not get out of one that is buried.
	Buried float64
	Dry    bool // it leads out of no hollow that water stands in
	Idle   bool // it does, but lets nothing out: its bottom lies too high, or it ends no lower
}

// Trenches are the pipes and ditches of the plan in its order, and what they
// take to dig. One that lies off the known ground takes nothing.
func (r *Result) Trenches() ([]Trench, error) {
	z := r.Drain.Ground
	out := make([]Trench, 0, len(r.basis.plan.Links))
	for _, l := range r.basis.plan.learnedLinks() {
		line := slices.Clone(l.Line)
		if err := move(r.SiteCRS(), z.CRS, line); err != nil {
			return nil, err
		}
		t := Trench{Name: l.Name, Ditch: l.Ditch}
		for i := 1; i < len(line); i++ {
			t.Length += math.Hypot(line[i][0]-line[i-1][0], line[i][1]-line[i-1][1])
		}
		upper, wet := math.NaN(), false
		for p := range walk(line, z.CellSize/2) {
			if leaf, cell := r.leafAt(p); cell >= 0 && r.Drain.Hollows.Covering(cell) != nil {
				upper, wet = r.outermost(leaf).Spill-l.Depth, true
				break
			}
			if !l.Ditch {
				break // a pipe takes in nothing along its way
			}
		}
		if !wet {
			if ground, known := terrain.AtPoint(z, line[0]); known {
				upper = float64(ground) - l.Depth
			}
		}
		if l.Invert != nil {
			upper, wet = *l.Invert, true
		}
		t.Dry = !wet
		t.Idle = wet && !slices.ContainsFunc(r.basis.links, func(s storm.Link) bool { return s.Name == l.Where })
		c, fall := trenchSection, pipeFall
		if l.Ditch {
			c, fall = ditchSection, ditchFall
		}
		if l.Outlet != nil && t.Length > 0 {
			fall = max(0, upper-*l.Outlet) / t.Length
		}
		if c.Fall = fall; !math.IsNaN(upper) && len(line) > 1 {
			t.Dug = c.Along(z, line, upper)
			if ground, known := terrain.AtPoint(z, line[len(line)-1]); known && !r.atRim(line[len(line)-1]) {
				t.Buried = max(0, float64(ground)-t.Dug.Level)
			}
		}
		out = append(out, t)
	}
	return out, nil
}

// atRim reports whether the known ground ends beside a place on it.
func (r *Result) atRim(p orb.Point) bool {
	z := r.Drain.Ground
	for _, d := range [][2]float64{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
		if _, known := terrain.AtPoint(z, orb.Point{p[0] + 1.5*d[0]*z.CellSize, p[1] + 1.5*d[1]*z.CellSize}); !known {
			return true
		}
	}
	return false
}
