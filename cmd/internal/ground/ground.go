// Package ground brings the ground of a site together from what there is of
// it: an elevation raster, spot heights, or both, cut to the site's boundary.
//
// # Model
//
// A raster is taken as it is. Spot heights become a surface by kriging. With
// both, the raster gives the shape and the shots correct it: a surface is
// fitted to what the shots read above or below the raster and added to it,
// because a level is better than a lidar tile in the bed and worse everywhere
// else.
//
// The surface is alike in all directions unless parts of the site that are
// left out are foretold surely better with a direction: shots are taken along
// rows, rims and swales on purpose, and one swale full of them would stretch
// every hollow of the site. On the invented orchard of the demo, letting the
// likelihood alone choose a direction brought the area under the curve of the
// depth at the brim from 1.00 down to 0.82.
//
// # Units
//
// Metres, in a projected system.
package ground

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"wetfeet/cmd/internal/fault"
	"wetfeet/terrain"
	"wetfeet/terrain/quantity"
	"wetfeet/terrain/raster"
	"wetfeet/terrain/survey"

	"github.com/paulmach/orb"
)

// A Source says where the ground comes from. At least one of DEM and
// SpotHeights is set.
type Source struct {
	DEM         string   // file of an elevation raster
	SpotHeights string   // CSV of spot heights, or a field book
	Later       []string // later surveys of the same ground, in their order, in place of what they cover
	Lines       string   // GeoJSON of breaklines, outlines and holes; empty for none
	Triangles   bool     // flat triangles between the shots instead of kriging

	// CRS is the system of coordinates that do not say themselves: the x and
	// y of spot heights, and a raster that names none. Empty where nobody
	// gave one.
	CRS string

	// OwnGrid lets spot heights be on a grid of their own in metres, whose
	// place nobody gave, instead of asking for one.
	OwnGrid bool

	// OwnCRS says that CRS was given for the raster itself, so that one that
	// names another is at fault.
	OwnCRS bool

	Cell     float64          // side of a cell asked for, m; 0 leaves it to the source
	Error    float64          // of a shot that states none, one standard deviation, m; 0 fits it
	Boundary orb.MultiPolygon // longitude and latitude; empty for no boundary
	MaxBytes int64            // of memory for a raster; 0 is the raster package's limit
	Units    quantity.Units   // that remarks and assumptions are told in
}

// A Ground is what came of it.
type Ground struct {
	Grid   *terrain.Grid[float32]
	Survey *Survey // nil without spot heights

	// ErrorAt is one standard deviation of the error of every cell, m, which
	// neighbours share. Nil for a ground from a raster alone.
	ErrorAt *terrain.Grid[float32]

	Remarks []string // what was converted, resampled, merged or cut
	Assumed []string // defaults taken

	stored float64 // error that the raster shows only as it is stored, m; 0 where Grid shows it too
}

// Error is the error of the ground, one standard deviation, m. What is given
// is that of a raster, or of the spot heights a ground was made from; between
// the shots such a ground is less sure, by as much as the surface says. Where
// none is given, it is that of a raster as stored if that was resampled or is
// in steps, which hide it, and 0 for one that its own roughness can tell.
func (g *Ground) Error(given float64) float64 {
	if g.Survey == nil {
		if given == 0 {
			return g.stored
		}
		return given
	}
	return max(given, g.Survey.Error)
}

// CellNoise is the noise of a raster as it is stored, m, where what was done
// to it since hides that; else 0.
func (g *Ground) CellNoise() float64 { return g.stored }

// IsTable reports whether a file holds spot heights by its name.
func IsTable(path string) bool {
	switch strings.ToLower(filepath.Ext(path)) {
	case ".csv", ".tsv", ".txt":
		return true
	}
	return false
}

// Load reads the files of a source. An error that is the fault of a file is
// marked by fault.Input.
func Load(ctx context.Context, s Source) (*Ground, error) {
	g, err := load(ctx, s)
	if err != nil && ctx.Err() == nil && isInput(err) {
		return nil, fault.Input(err)
	}
	return g, err
}

func isInput(err error) bool {
	return errors.Is(err, raster.ErrInput) || errors.Is(err, survey.ErrInput) || errors.Is(err, os.ErrNotExist) || errors.Is(err, os.ErrPermission)
}

func load(ctx context.Context, s Source) (*Ground, error) {
	if s.DEM == "" {
		return fromShots(s)
	}
	o := raster.Options{CellSize: s.Cell, Boundary: s.Boundary, BoundaryCRS: raster.LonLatCRS, MemoryLimit: s.MaxBytes}
	if s.OwnCRS {
		o.CRS = s.CRS
	}
	tile, err := raster.Open(s.DEM, o)
	if errors.Is(err, raster.ErrNoCRS) && s.CRS != "" {
		o.CRS = s.CRS
		tile, err = raster.Open(s.DEM, o)
	}
	if err != nil {
		return nil, err
	}
	g := &Ground{Grid: tile.Grid}
	if tile.Resampled || tile.Coarse() {
		g.stored = tile.Noise
	}
	if g.stored > 0 && s.Error == 0 && s.SpotHeights == "" {
		why := "The error of the ground was read off the roughness of the raster as it is stored, which resampling hides."
		if tile.Coarse() {
			why = fmt.Sprintf("The raster holds its elevations in steps of %.2g m, and its error was taken to be no less than a step: what is shallower may be rounding.", tile.Step)
		}
		g.Assumed = append(g.Assumed, why)
	}
	for _, r := range tile.Remarks {
		g.Remarks = append(g.Remarks, filepath.Base(s.DEM)+": "+r+".")
	}
	if s.SpotHeights == "" {
		return g, nil
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	return g, g.correct(s)
}

// median is the middle of the known values, 0 where there are none.
func median(values []float32) float64 {
	known := make([]float32, 0, len(values))
	for _, v := range values {
		if v == v {
			known = append(known, v)
		}
	}
	if len(known) == 0 {
		return 0
	}
	slices.Sort(known)
	return float64(known[len(known)/2])
}

// cut makes every cell whose middle lies outside the boundary a void.
func (g *Ground) cut(boundary orb.MultiPolygon) error {
	inside, err := Within(g.Grid.Frame, boundary)
	if err != nil {
		return err
	}
	kept := 0
	for i, in := range inside.Cells {
		if !in {
			g.Grid.Cells[i] = terrain.Void()
		} else if !terrain.IsVoid(g.Grid.Cells[i]) {
			kept++
		}
	}
	if kept == 0 {
		return fault.Input(errors.New("the boundary holds no known ground: do the two lie in the same place?"))
	}
	return nil
}
