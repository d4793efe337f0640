package main

import (
	"fmt"
	"math"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/ground"
	"wetfeet/cmd/internal/summary"
	"wetfeet/hydro"
	"wetfeet/hydro/weather"
	"wetfeet/terrain/quantity"
	"wetfeet/terrain/raster"

	"github.com/paulmach/orb"
)

// groundFlags are those of the commands that read a ground without a site
// file.
type groundFlags struct {
	CRS    string `name:"crs" placeholder:"CODE" xor:"where" help:"Coordinate system of x and y where the file does not say, such as EPSG:32614."`
	Origin string `placeholder:"LON,LAT" xor:"where" help:"Longitude and latitude of x = 0, y = 0, for coordinates taped from a peg: x to the east, y to the north."`
	Cell   string `placeholder:"LENGTH" help:"Side of a cell; left to the ground unless given."`
	Error  string `placeholder:"LENGTH" help:"Error of a raster, or of each spot height, one standard deviation; worked out unless given."`
}

func (f groundFlags) source(path string) (s ground.Source, sd float64, err error) {
	s.CRS = f.CRS
	if f.Origin != "" {
		if s.CRS, err = originFlag(f.Origin); err != nil {
			return s, 0, err
		}
	}
	if ground.IsTable(path) {
		s.SpotHeights = path
	} else {
		s.DEM = path
	}
	if s.Cell, err = lengthFlag("--cell", f.Cell); err != nil {
		return s, 0, err
	}
	if f.Cell != "" && s.Cell == 0 {
		return s, 0, fmt.Errorf("%w: --cell: a cell has a side longer than 0", errUsage)
	}
	if sd, err = lengthFlag("--error", f.Error); err != nil {
		return s, 0, err
	}
	if f.Error != "" && sd == 0 {
		return s, 0, fmt.Errorf("%w: --error: no ground is known without error; leave it out to have it worked out", errUsage)
	}
	return s, sd, nil
}

// originFlag is the local system around a longitude and latitude.
func originFlag(value string) (string, error) {
	p, err := parseOrigin(value)
	if err != nil {
		return "", fmt.Errorf("%w: --origin: %w", errUsage, err)
	}
	return raster.LocalCRS(p[0], p[1]), nil
}

func parseOrigin(value string) (*orb.Point, error) {
	lon, lat, two := strings.Cut(value, ",")
	x, errX := strconv.ParseFloat(strings.TrimSpace(lon), 64)
	y, errY := strconv.ParseFloat(strings.TrimSpace(lat), 64)
	if !two || errX != nil || errY != nil || !(math.Abs(x) <= 180 && math.Abs(y) <= 84) {
		return nil, fmt.Errorf("%q is not a longitude and a latitude in degrees, such as -99.25,29.50", value)
	}
	return &orb.Point{x, y}, nil
}

// lengthFlag reads a length that may be left out, m.
func lengthFlag(flag, value string) (float64, error) {
	if value == "" {
		return 0, nil
	}
	v, err := quantity.Length(value, quantity.Metric)
	if err != nil {
		return 0, fmt.Errorf("%w: %s: %w", errUsage, flag, err)
	}
	return v, nil
}

type drainCommand struct {
	Ground string `arg:"" help:"Elevation raster, or a CSV of spot heights (x,y,z with --crs, or lon,lat,z)."`

	answerFlags `embed:"" set:"out=wetfeet-out"`

	Routing  string  `enum:"multiple,single,facet" default:"multiple" help:"How a cell shares its water: ${enum}."`
	Exponent float64 `default:"1.1" help:"Power of the slope in multiple routing."`
	Hollows  string  `enum:"auto,keep,fill" default:"auto" help:"Hollows in the flow: ${enum}. Auto fills them for the upslope area and keeps them for the wetness index."`
	Smooth   string  `placeholder:"LENGTH" help:"Smooth the ground over this length for the wetness index; 0 for none. Left to the ground's noise unless given."`
	Excess   string  `placeholder:"DEPTH" help:"Let this depth of water, the same everywhere, run downhill, fill, merge and spill: storm-depth.tif. A bare number is millimetres."`
	Timings  bool    `help:"Put the seconds of each stage into summary.json."`

	groundFlags `embed:""`
}

func (c *drainCommand) Run(s *call) error {
	options, err := c.options()
	if err != nil {
		return err
	}
	excess := math.NaN() // mm
	if c.Excess != "" {
		if excess, err = quantity.Rain(c.Excess, quantity.Metric); err != nil {
			return fmt.Errorf("%w: --excess: %w", errUsage, err)
		}
		if err := (weather.Storm{Rain: excess, Duration: 24 * time.Hour}).Check(); err != nil {
			return fmt.Errorf("%w: --excess: %w", errUsage, err)
		}
	}
	source, sd, err := c.source(c.Ground)
	if err != nil {
		return err
	}
	source.Error = sd
	source.OwnCRS = source.CRS != ""
	options.Progress = s.say.stage

	out, err := c.begin(append(groundFiles(""), "storm-depth.tif", "ponds.geojson", "flow-lines.geojson", "summary.json")...)
	if err != nil {
		return err
	}
	defer out.Abort()

	s.say.stage("read")
	began := time.Now()
	g, err := ground.Load(s.ctx, source)
	if err != nil {
		return err
	}
	read := time.Since(began).Seconds()
	inputs, err := assess.Inputs(assess.File{Role: "ground", Path: c.Ground})
	if err != nil {
		return err
	}
	options.Error, options.ErrorAt, options.CellNoise = g.Error(sd), g.ErrorAt, g.CellNoise()
	d, err := hydro.Drain(s.ctx, g.Grid, options)
	if err != nil {
		return err
	}
	d.ErrorEstimated = d.ErrorEstimated || sd == 0 && g.Survey == nil
	s.say.stage("write")
	began = time.Now()
	if err := writeGround(s.ctx, out, d); err != nil {
		return err
	}
	sum := summary.Ground(d)
	if !math.IsNaN(excess) {
		if sum.Balance, err = writeExcess(s.ctx, out, d, excess); err != nil {
			return err
		}
	}
	sum.Inputs = inputs
	sum.Options = c.settings()
	sum.Assumptions = append(g.Assumed, assess.AssumedOfGround(d, g.Survey != nil, quantity.Metric)...)
	sum.Remarks = g.Remarks
	note := assess.NoteSurvey(g.Survey)
	sum.Survey = summary.Survey(note)
	if c.Timings {
		sum.Seconds = summary.Seconds(d.Seconds,
			hydro.StageTime{Stage: "read", Seconds: read}, hydro.StageTime{Stage: "write", Seconds: time.Since(began).Seconds()})
	}
	if err := writeJSON(out, "summary.json", sum); err != nil {
		return err
	}
	if err := s.finish(out, g.Remarks); err != nil {
		return err
	}
	c.report(s, d, note)
	return nil
}

func (c *drainCommand) options() (hydro.Options, error) {
	var o hydro.Options
	o.Routing = map[string]hydro.Routing{"multiple": hydro.Multiple, "single": hydro.Single, "facet": hydro.Facet}[c.Routing]
	o.Hollows = map[string]hydro.HollowRule{"auto": hydro.Auto, "keep": hydro.Keep, "fill": hydro.FillAll}[c.Hollows]
	if !(c.Exponent > 0 && c.Exponent <= hydro.MaxExponent) {
		return o, fmt.Errorf("%w: --exponent: %g is not above 0 and at most %d", errUsage, c.Exponent, hydro.MaxExponent)
	}
	o.Exponent = c.Exponent
	if c.Smooth != "" {
		v, err := lengthFlag("--smooth", c.Smooth)
		if err != nil {
			return o, err
		}
		o.Smooth = v
		if v == 0 {
			o.Smooth = -1 // none, where 0 would leave it to the noise
		}
	}
	return o, nil
}

// settings are the options as given, for the record.
func (c *drainCommand) settings() map[string]any {
	m := map[string]any{"routing": c.Routing, "hollows": c.Hollows}
	if c.Routing == "multiple" {
		m["exponent"] = c.Exponent
	}
	for name, v := range map[string]string{"smooth": c.Smooth, "excess": c.Excess, "cell": c.Cell, "error": c.Error, "crs": c.CRS, "origin": c.Origin} {
		if v != "" {
			m[name] = v
		}
	}
	return m
}

func (c *drainCommand) report(s *call, d *hydro.Drainage, note *assess.SurveyNote) {
	f := d.Ground.Frame
	fmt.Fprintf(s.stdout, "%s: %d by %d cells of %.4g m, error %s\n", filepath.Base(c.Ground), f.Cols, f.Rows, f.CellSize,
		quantity.FormatDepth(d.Error, quantity.Metric))
	if note != nil {
		fmt.Fprintln(s.stdout, wrap(note.Words(quantity.Metric), lineWidth, ""))
	}
	h := d.Hollows
	if len(h.All) == 1 {
		fmt.Fprint(s.stdout, "1 hollow deeper than the error")
	} else {
		fmt.Fprintf(s.stdout, "%d hollows deeper than the error", len(h.All))
	}
	if h.Noise > 0 {
		fmt.Fprintf(s.stdout, ", %d shallower ones left out", h.Noise)
	}
	fmt.Fprintln(s.stdout)
	for i := range h.All[:min(5, len(h.All))] {
		p := &h.All[i]
		fmt.Fprintf(s.stdout, "  hollow %d: %s deep, %s, holds %s\n", p.ID,
			quantity.FormatDepth(p.Depth(), quantity.Metric), quantity.FormatArea(p.Area, quantity.Metric), quantity.FormatVolume(p.Volume, quantity.Metric))
	}
	fmt.Fprintf(s.stdout, "written to %s\n", strings.TrimSuffix(c.Out, "/"))
}
