package raster

import (
	"fmt"
	"slices"

	"wetfeet/terrain"

	"github.com/paulmach/orb"
)

// Options adjusts Open. The zero value reads a whole raster that names its
// own coordinate system, at its own cell size.
type Options struct {
	// CellSize is the side of the cells wanted, m. Zero keeps the raster's.
	CellSize float64

	// Boundary is what to keep. Cells whose middle lies outside are voids,
	// and the grid is cut to it. Nil keeps everything.
	Boundary orb.MultiPolygon

	// BoundaryCRS is the system of the boundary's coordinates, as [Describe]
	// takes it. Empty is longitude and latitude, or for a raster without a
	// system the raster's own coordinates.
	BoundaryCRS string

	// MemoryLimit is the most memory to use, bytes, for all that is to be
	// done with the grid and not only for reading it. Zero is
	// [DefaultMemoryLimit].
	MemoryLimit int64

	// CRS is the system of a raster that names none. For one that does it
	// must be the same.
	CRS string

	// AllowLocal lets in a raster without any system, its coordinates taken
	// as metres.
	AllowLocal bool

	// ElevationUnit is the metres in one unit of the raster's values, such
	// as 0.3048. Zero takes the unit the file states, and metres if it
	// states none.
	ElevationUnit float64
}

// DefaultMemoryLimit is half the memory of a laptop of 8 GB; the other half
// is for what else runs on it. It is enough for 22 million cells, 4.7 km by
// 4.7 km in cells of a metre.
const DefaultMemoryLimit = 4_000_000_000

func (o Options) memory() int64 {
	if o.MemoryLimit <= 0 {
		return DefaultMemoryLimit
	}
	return o.MemoryLimit
}

// A Ground is an elevation raster brought in: the grid, and how it came to be.
type Ground struct {
	Grid *terrain.Grid[float32] // elevations, m; NaN where nobody measured

	// Remarks are what was done to the raster on the way and what should be
	// known of it, each a plain sentence without a full stop.
	Remarks []string

	Driver     string  // GDAL's name of the format
	SourceCRS  string  // as the file states it, code and name; "" for none
	SourceRows int     // of the file
	SourceCols int     // of the file
	Unit       string  // of the file's elevations as it or the caller states it; "" if neither
	UnitMetres float64 // metres in one such unit
	Resampled  bool    // the cells are not the file's own
	Voids      int     // cells of Grid without an elevation

	// Noise is the error of Grid that the roughness of the raster as it is
	// stored shows, one standard deviation, m, to hold hollows to; 0 where
	// there are too few cells to tell. Step is what its elevations have been
	// rounded to, m, to a hundredth; 0 if to nothing that could be told.
	Noise, Step float64
}

func (g *Ground) remark(format string, args ...any) {
	if text := fmt.Sprintf(format, args...); !slices.Contains(g.Remarks, text) {
		g.Remarks = append(g.Remarks, text)
	}
}

// Open reads a raster of elevations. See the package comment for what it
// accepts and does. An error that is the file's or the options' fault
// carries [ErrInput] and begins with the path as it was given.
//
// It may be called from several goroutines at once.
func Open(path string, o Options) (*Ground, error) {
	if o.CellSize < 0 || o.CellSize != 0 && !finite(o.CellSize) {
		return nil, bad("a cell size of %v m cannot be; a length above 0 is needed", o.CellSize)
	}
	if o.ElevationUnit < 0 || !finite(o.ElevationUnit) {
		return nil, bad("a unit of elevation of %v m cannot be; 0.3048 is the international foot", o.ElevationUnit)
	}
	g, err := open(path, o)
	if err != nil {
		return nil, in(path, err)
	}
	return g, nil
}

func open(path string, o Options) (*Ground, error) {
	s, err := enter(path, o)
	if err != nil {
		return nil, err
	}
	defer s.Close()
	if s.rows < minSide || s.cols < minSide {
		return nil, bad("is %s; at least %d by %d cells are needed", size(s.cols, s.rows), minSide, minSide)
	}
	g := &Ground{Driver: s.driver, SourceRows: s.rows, SourceCols: s.cols}
	s.units(o, g)
	pl, err := locate(s, o, g)
	if err != nil {
		return nil, err
	}
	defer pl.Close()
	p, err := draw(pl, o, g)
	if err != nil {
		return nil, err
	}
	defer p.Close()
	if p.to != nil {
		if p.frame.CRS, err = frameCRS(p.to); err != nil {
			return nil, err
		}
	}
	g.Resampled = p.resample
	if p.resample {
		g.Grid, err = resample(s, pl, p, g)
	} else if g.Grid, err = copyCells(s, p); err == nil {
		g.measure(g.Grid, 1)
	}
	if err != nil {
		return nil, err
	}
	if p.cut != nil {
		cut(g.Grid, p.cut)
	}
	known := terrain.Known(g.Grid)
	switch {
	case known == 0 && p.cut != nil:
		return nil, bad("has no elevation inside the boundary")
	case known == 0:
		return nil, bad("has no elevation in any of its %d cells: all are voids", s.rows*s.cols)
	}
	g.Voids = g.Grid.Len() - known
	return g, nil
}

// copyCells reads a window that needs no resampling, straight into the grid.
func copyCells(s *source, p *plan) (*terrain.Grid[float32], error) {
	z := terrain.NewGrid[float32](p.frame)
	if err := s.readInto(p.read, z.Cells); err != nil {
		return nil, err
	}
	if p.flipX {
		for row := range z.Rows {
			slices.Reverse(z.Row(row))
		}
	}
	if p.flipY {
		for top, foot := 0, z.Rows-1; top < foot; top, foot = top+1, foot-1 {
			a, b := z.Row(top), z.Row(foot)
			for i := range a {
				a[i], b[i] = b[i], a[i]
			}
		}
	}
	return z, nil
}
