package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"wetfeet/cmd/internal/begin"
	"wetfeet/cmd/internal/fault"
	"wetfeet/species"
	"wetfeet/terrain/quantity"

	"github.com/mattn/go-isatty"
)

type newCommand struct {
	Dir  string   `arg:"" help:"Folder to be made for the new site."`
	From []string `short:"f" placeholder:"FILE" sep:"none" help:"What you have: an elevation raster, spot heights, a level book, a list of species, planned positions, an outline. Each is told by what is in it; may be given again."`

	Name     string `placeholder:"WORDS" help:"Name of the site; that of the folder unless given."`
	CRS      string `name:"crs" placeholder:"CODE" help:"Coordinate system of x and y, such as EPSG:32614, where no file says it."`
	Origin   string `placeholder:"LON,LAT" help:"Or longitude and latitude of the peg that x and y were taped from."`
	Soil     string `placeholder:"WORDS" help:"A texture, such as \"clay loam\", or what a moist handful does, such as \"long ribbon, smooth\"; loam unless given."`
	Rain     string `placeholder:"DEPTH" help:"Rain of the storm; 100 mm (4 in) unless given."`
	Duration string `placeholder:"TIME" help:"How long it rains, evenly; 24 h unless given."`
	Species  string `placeholder:"FILE|NAMES" help:"Species in the order they follow each other along the rows: a list, or names parted by commas."`

	Rows       int    `placeholder:"N" help:"How many rows; as many as fit unless given."`
	Spacing    string `placeholder:"LENGTH" help:"Between plants along a row; by the room they want unless given."`
	RowSpacing string `placeholder:"LENGTH" help:"Between rows; by the room of the widest unless given."`
	Units      string `placeholder:"FAMILY" help:"Units of the site, metric or feet; those of the files unless given."`
}

func (c *newCommand) Run(s *call) error {
	if len(c.From) == 0 {
		return fmt.Errorf("%w: give what you have with --from FILE, or begin on a page in the browser: wetfeet serve %s", errUsage, c.Dir)
	}
	a, err := c.answers()
	if err != nil {
		return err
	}
	files, err := c.files(&a)
	if err != nil {
		return err
	}
	for _, f := range files {
		fmt.Fprintf(s.stderr, "%s: %s%s\n", f.Name, f.Words, in(f.System))
	}
	if s.stdout == io.Writer(os.Stdout) && isatty.IsTerminal(os.Stdin.Fd()) {
		q := &questions{in: bufio.NewReader(os.Stdin), out: s.stderr}
		if err := q.ask(c, &a, files); err != nil {
			return err
		}
	}
	s.say.stage("the ground")
	land, err := begin.Survey(s.ctx, files, a)
	s.say.end()
	if err != nil {
		return withFlags(err)
	}
	d, err := land.Draft(a)
	if err != nil {
		return withFlags(err)
	}
	if err := d.Write(c.Dir); err != nil {
		return err
	}
	file := filepath.Join(c.Dir, begin.SiteName)
	fmt.Fprintf(s.stdout, "%s: %d trees", file, d.Trees)
	if len(d.Rows) > 0 {
		fmt.Fprintf(s.stdout, " in %d rows", len(d.Rows))
	}
	fmt.Fprintln(s.stdout)
	for _, t := range d.Told {
		fmt.Fprintf(s.stdout, "  %s\n", t)
	}
	fmt.Fprintf(s.stdout, "go on with:\n  wetfeet serve %s\n  wetfeet assess %s --out answer\n", file, file)
	return nil
}

func in(system string) string {
	if system == "" {
		return ""
	}
	return ", in " + system
}

// withFlags tells how the question an error is about is answered here.
func withFlags(err error) error {
	if !fault.IsInput(err) {
		return err
	}
	for word, flags := range map[string]string{"where: ": "--crs or --origin", "trees: ": "--species, --rows, --spacing or --row-spacing"} {
		if strings.HasPrefix(err.Error(), word) {
			return fault.Input(fmt.Errorf("%w (here: %s)", err, flags))
		}
	}
	return err
}

// answers are those that flags give.
func (c *newCommand) answers() (begin.Answers, error) {
	a := begin.Answers{Name: c.Name, CRS: c.CRS, Soil: c.Soil, Rows: c.Rows}
	if a.Name == "" {
		base := strings.Join(strings.FieldsFunc(filepath.Base(filepath.Clean(c.Dir)), func(r rune) bool { return r == '-' || r == '_' }), " ")
		if r := []rune(base); len(r) > 0 {
			a.Name = strings.ToUpper(string(r[:1])) + string(r[1:])
		}
	}
	var bad []error
	wrong := func(flag string, err error) {
		if err != nil {
			bad = append(bad, fmt.Errorf("%w: %s: %w", errUsage, flag, err))
		}
	}
	var err error
	if c.Units == "" {
		a.Units = begin.UnitsIn(c.From...)
	} else {
		a.Units, err = quantity.ParseUnits(c.Units)
		wrong("--units", err)
	}
	if c.Origin != "" {
		a.Origin, err = parseOrigin(c.Origin)
		wrong("--origin", err)
	}
	if c.Rain != "" {
		a.Rain, err = quantity.Rain(c.Rain, a.Units)
		wrong("--rain", above(a.Rain, err))
	}
	if c.Duration != "" {
		a.Duration, err = quantity.Duration(c.Duration)
		wrong("--duration", above(a.Duration.Hours(), err))
	}
	if c.Spacing != "" {
		a.Spacing, err = quantity.Length(c.Spacing, a.Units)
		wrong("--spacing", above(a.Spacing, err))
	}
	if c.RowSpacing != "" {
		a.Apart, err = quantity.Length(c.RowSpacing, a.Units)
		wrong("--row-spacing", above(a.Apart, err))
	}
	return a, errors.Join(bad...)
}

func above(v float64, err error) error {
	if err == nil && !(v > 0) {
		return errors.New("more than nothing is needed")
	}
	return err
}

// files looks into what was given: a table of own species first, since a list
// may name what is in it.
func (c *newCommand) files(a *begin.Answers) ([]*begin.Found, error) {
	names := slices.Clone(c.From)
	if info, err := os.Stat(c.Species); c.Species != "" && err == nil && info.Mode().IsRegular() {
		names = append(names, c.Species)
		c.Species = ""
	}
	known := species.BuiltIn()
	found := make([]*begin.Found, len(names))
	failed := make([]error, len(names))
	for i, name := range names {
		found[i], failed[i] = begin.Look(name, filepath.Base(name), known)
		if found[i] != nil && found[i].Kind == begin.Own {
			var err error
			if known, err = begin.ReadOwn(found[i]); err != nil {
				return nil, err
			}
		}
	}
	for i, name := range names {
		if failed[i] != nil && known != species.BuiltIn() {
			found[i], failed[i] = begin.Look(name, filepath.Base(name), known)
		}
	}
	if c.Species != "" {
		plants, err := begin.Named(c.Species, known)
		a.Plants = plants
		failed = append(failed, err)
	}
	return found, errors.Join(failed...)
}

// Questions are put to someone at a terminal. An empty answer takes what is
// said in brackets, and an answer that is refused leaves nothing behind.
type questions struct {
	in  *bufio.Reader
	out io.Writer
}

// needed begins what stands in brackets where it is an example and nothing that
// could be taken: there an empty answer is asked again.
const needed = "such as "

// one asks until the answer can be used.
func (q *questions) one(question, or string, use func(string) error) error {
	for {
		fmt.Fprintf(q.out, "%s [%s]: ", question, or)
		line, err := q.in.ReadString('\n')
		if line = strings.TrimSpace(line); line == "" {
			if err == nil && strings.HasPrefix(or, needed) {
				fmt.Fprintln(q.out, "nothing can be taken for this: an answer is needed,", or)
				continue
			}
			if err != nil {
				fmt.Fprintln(q.out)
			}
			return nil
		}
		wrong := use(line)
		if wrong == nil {
			return nil
		}
		fmt.Fprintln(q.out, wrong)
		if err != nil {
			return fault.Input(wrong)
		}
	}
}

// ask puts those of the four questions that neither flags nor files answer.
func (q *questions) ask(c *newCommand, a *begin.Answers, files []*begin.Found) error {
	placed := slices.ContainsFunc(files, func(f *begin.Found) bool {
		return f.Placed() && (f.Kind == begin.Raster || f.Kind == begin.Heights || f.Kind == begin.Book)
	})
	if !placed && a.CRS == "" && a.Origin == nil {
		err := q.one("Where is it? Longitude,latitude of the peg x and y were taped from, or their system", needed+"-99.25,29.5 or EPSG:32614", func(s string) error {
			if strings.Contains(s, ":") {
				a.CRS = s
				return nil
			}
			origin, err := parseOrigin(s)
			if err == nil {
				a.Origin = origin
			}
			return err
		})
		if err != nil {
			return err
		}
	}
	if c.Soil == "" {
		err := q.one("Which soil? A texture, or what a moist handful does, such as \"long ribbon, smooth\"", begin.DefaultTexture, func(s string) error {
			_, err := begin.Texture(s)
			if err == nil {
				a.Soil = s
			}
			return err
		})
		if err != nil {
			return err
		}
	}
	if c.Rain == "" {
		err := q.one("Which storm? Rain", quantity.FormatRain(begin.DefaultRain(a.Units), a.Units), func(s string) error {
			v, err := quantity.Rain(s, a.Units)
			if err = above(v, err); err == nil {
				a.Rain = v
			}
			return err
		})
		if err != nil {
			return err
		}
	}
	if c.Duration == "" {
		err := q.one("in how long", fmt.Sprintf("%g h", begin.DefaultDuration.Hours()), func(s string) error {
			d, err := quantity.Duration(s)
			if err = above(float64(d)/float64(time.Hour), err); err == nil {
				a.Duration = d
			}
			return err
		})
		if err != nil {
			return err
		}
	}
	named := len(a.Plants) > 0 || slices.ContainsFunc(files, func(f *begin.Found) bool { return f.Kind == begin.Plants || f.Kind == begin.Positions })
	if named {
		return nil
	}
	return q.one("Which trees? Names parted by commas, in the order they follow each other along a row", needed+"pecan, fig", func(s string) error {
		plants, err := begin.Named(s, species.BuiltIn())
		if err == nil {
			a.Plants = plants
		}
		return err
	})
}
