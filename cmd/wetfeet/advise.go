package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"

	"wetfeet/cmd/internal/advise"
	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/rewrite"
	"wetfeet/species"
	"wetfeet/terrain/quantity"
)

type adviseCommand struct {
	Site string `arg:"" help:"Site file (TOML)."`

	Apply     string `placeholder:"FILE" help:"Write a new site file beside the old one with the changes in it, to run again."`
	Target    string `placeholder:"SHARE" help:"Odds of being lost that trees are to be brought to, such as 20% (the usual), or 0.1."`
	Trailer   string `default:"1 m3" placeholder:"VOLUME" help:"What one load of soil holds, such as 1 m3 or 1.5 yd3."`
	Stay      bool   `help:"Leave every plant at its place in the row."`
	Emergent  string `placeholder:"LENGTH" help:"Least distance between trees of the emergent layer in a row, when plants change places."`
	Alternate bool   `help:"Let no two neighbours of one species stand together, where the counts allow it."`

	oddsFlags `embed:""`
}

func (c *adviseCommand) Run(s *call) error {
	plan, o, trailer, err := c.options()
	if err != nil {
		return err
	}
	to, err := besideSite(c.Site, c.Apply)
	if err != nil {
		return err
	}
	plan.Odds.Until = s.interrupts.draws
	r, err := assess.Run(s.ctx, plan, s.say.stage)
	if err != nil {
		return err
	}
	if r.Odds == nil {
		return fault.Input(fmt.Errorf("%s: advice is made from odds, and there are none: %s", filepath.Base(c.Site), strings.Join(append(r.Remarks, "draws = 0 leaves them out"), " ")))
	}
	if err := placed(r); err != nil {
		return err
	}
	s.say.stage("advice")
	a, err := advise.Make(s.ctx, r, o)
	if err != nil {
		return err
	}
	s.say.end()
	s.note(r.Remarks...)
	if err := c.report(s.stdout, r, a, trailer); err != nil || to == "" {
		return err
	}
	return c.write(s.stdout, to, r, a)
}

// placed says which fixed trees cannot be: around what is not there nothing can
// be arranged.
func placed(r *assess.Result) error {
	var bad []error
	for i := range r.Trees {
		if t := &r.Trees[i]; t.Fixed && !t.OnGround {
			bad = append(bad, fmt.Errorf("tree %q is fixed at %s, off the known ground, so the others cannot be arranged around it; mend its place or leave it out of the plan", t.ID, r.Where(t.Point)))
		}
	}
	return fault.Input(errors.Join(bad...))
}

// options reads the flags.
func (c *adviseCommand) options() (p assess.Plan, o advise.Options, trailer float64, err error) {
	if !strings.EqualFold(filepath.Ext(c.Site), ".toml") {
		return p, o, 0, fmt.Errorf("%w: %s is not a site file (.toml)", errUsage, c.Site)
	}
	if p, err = sitePlan(c.Site); err != nil {
		return p, o, 0, err
	}
	if err = c.oddsFlags.change(&p.Odds); err != nil {
		return p, o, 0, err
	}
	if p.Odds.Off {
		return p, o, 0, fault.Input(errors.New("advice is made from odds: ask for draws, with --draws or draws in [odds], or leave them out for the usual 200"))
	}
	if c.Target != "" {
		share, err := quantity.Share(c.Target)
		if err != nil || !(share > 0 && share < 1) {
			return p, o, 0, fault.Input(fmt.Errorf("--target: found %q; a share between 0 and 1 is needed, such as 20%% or 0.1: no tree is beyond all risk", c.Target))
		}
		p.Odds.Target = share
	}
	if trailer, err = quantity.Volume(c.Trailer); err != nil || !(trailer > 0) {
		return p, o, 0, fmt.Errorf("%w: --trailer: found %q; a volume above zero is needed, such as 1 m3 or 1.5 yd3", errUsage, c.Trailer)
	}
	o = advise.Options{Alternate: c.Alternate, Stay: c.Stay}
	if c.Emergent != "" {
		if o.EmergentSpacing, err = lengthFlag("--emergent", c.Emergent); err != nil {
			return p, o, 0, err
		}
	}
	return p, o, trailer, nil
}

// write makes the new site file, of which it makes sure that it holds the plan
// that is advised.
func (c *adviseCommand) write(w io.Writer, to string, r *assess.Result, a *advise.Advice) error {
	text, err := os.ReadFile(c.Site)
	if err != nil {
		return fault.Input(err)
	}
	plan := a.Plan(r)
	next, err := rewrite.Site(string(text), r.Plan(), plan)
	if err != nil {
		return fault.Input(fmt.Errorf("%s: %w", c.Site, err))
	}
	if err := writeSite(to, []byte(next), func(got assess.Plan) error { return rewrite.Same(plan, got) }); err != nil {
		return err
	}
	whole, err := filepath.Abs(to)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(w, "\nnew site file  %s\nrun it with    wetfeet assess %s\n", whole, filepath.Join(filepath.Dir(c.Site), filepath.Base(to)))
	return err
}

// report prints the plan.
func (c *adviseCommand) report(w io.Writer, r *assess.Result, a *advise.Advice, trailer float64) error {
	fmt.Fprintf(w, "%s\n%s\n", r.Title(), wrap(a.Lead(r), lineWidth, ""))
	section := func(head string, lines []string) {
		if len(lines) == 0 {
			return
		}
		fmt.Fprintf(w, "\n%s\n", head)
		for _, l := range lines {
			fmt.Fprintf(w, "- %s\n", wrap(l, lineWidth-2, "  "))
		}
	}
	section("Change places", a.Arrange())
	if len(a.Changes) > 0 {
		fmt.Fprintln(w, "\nTree by tree")
		t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
		fmt.Fprintln(t, "STAKE\tPLANT\tLOST\tTHEN\tDO\tSOIL\tALSO BEAR IT")
		shown := 0
		for i := range a.Changes {
			ch := &a.Changes[i]
			if !ch.Raised && !ch.Swapped && ch.Before < 0.1 && ch.After < 0.1 || shown == mostAdvised {
				continue
			}
			shown++
			fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\t%s\t%s\n", r.Trees[ch.Tree].ID, r.Trees[ch.Tree].Entry.Name(), species.Tenths(ch.Before), species.Tenths(ch.After), a.Do(r, ch), heap(r, ch), others(ch))
		}
		if err := t.Flush(); err != nil {
			return err
		}
		if left := len(a.Changes) - shown; left > 0 {
			fmt.Fprintf(w, "and %d more that change places with little risk before or after\n", left)
		}
	}
	section("Soil for mounds", append(a.Heaps(r, trailer), a.Dammed(r)...))
	section("Buy instead", a.Swap(r))
	section("Drains, if you may dig there", a.Drain(r))
	section("Find out next", a.Measure(r))
	section("Before you dig", assess.Cautions)
	return nil
}

// mostAdvised is how many trees the terminal lists.
const mostAdvised = 60

func heap(r *assess.Result, c *advise.Change) string {
	if !c.Raised {
		return ""
	}
	return quantity.FormatVolume(c.Heap.Settled, r.Units)
}

func others(c *advise.Change) string {
	var names []string
	for _, e := range c.Others {
		if e != c.Species {
			names = append(names, e.Name())
		}
	}
	return strings.Join(names, ", ")
}
