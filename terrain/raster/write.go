package raster

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"syscall"

	"wetfeet/terrain"

	"github.com/airbusgeo/godal"
)

// NoData is the value that marks a void in a file that Write makes.
const NoData = -9999

// tile is the side of the squares a written file is cut into, cells.
const tile = 256

// Write makes a GeoTIFF of a grid: Float32, tiles of 256 cells compressed by
// deflate, voids -9999, and the grid's coordinate system. A float64 grid is
// rounded to float32 on the way, some rows at a time. The same grid gives the
// same bytes. A file that is there is replaced; one that cannot be finished
// is removed.
//
// A grid that holds an infinite value, or one equal to NoData, is an error.
func Write[T float32 | float64](path string, g *terrain.Grid[T]) error {
	start()
	if g.Rows < 1 || g.Cols < 1 || len(g.Cells) != g.Len() {
		panic(fmt.Sprintf("raster: writing a grid of %s with %d cells", size(g.Cols, g.Rows), len(g.Cells)))
	}
	abs, err := filepath.Abs(path)
	if err != nil {
		return err
	}
	projection := ""
	if g.CRS != "" {
		sr, err := parseCRS(g.CRS)
		if err != nil {
			return fmt.Errorf("%s: cannot be written: %w", path, err)
		}
		defer sr.Close()
		if projection, err = wellKnown(sr); err != nil {
			return fmt.Errorf("%s: cannot be written: %w", path, err)
		}
	}
	// What the operating system has against the place it says better.
	f, err := os.Create(abs)
	if err != nil {
		return fmt.Errorf("%s: cannot be written: %w", path, plain(err))
	}
	if err := f.Close(); err != nil {
		return fmt.Errorf("%s: cannot be written: %w", path, plain(err))
	}
	if err := write(abs, projection, g); err != nil {
		os.Remove(abs)
		return fmt.Errorf("%s: cannot be written: %w", path, system(err))
	}
	return nil
}

// system is what the operating system said of a write, where the library
// passes on no more than its words, several lines of them at a full disk.
func system(err error) error {
	for _, number := range []syscall.Errno{syscall.ENOSPC, syscall.EDQUOT, syscall.EIO} {
		if strings.Contains(strings.ToLower(err.Error()), number.Error()) {
			return number
		}
	}
	return err
}

func write[T float32 | float64](path, projection string, g *terrain.Grid[T]) (err error) {
	var l listener
	hear := godal.ErrLogger(l.hear)
	// Predictor 3 is the one for float32 that uses every bit, as computed
	// grids do: 2.1 bytes a cell on 16 million cells with noise, against 2.6
	// with predictor 2 and 2.9 with none. Level 6 took twice as long as level
	// 1 for 1 % less.
	ds, err := godal.Create(godal.GTiff, path, 1, godal.Float32, g.Cols, g.Rows, hear,
		godal.CreationOption("TILED=YES", fmt.Sprint("BLOCKXSIZE=", tile), fmt.Sprint("BLOCKYSIZE=", tile),
			"COMPRESS=DEFLATE", "PREDICTOR=3", "ZLEVEL=1", "BIGTIFF=IF_SAFER", "NUM_THREADS=ALL_CPUS"))
	if err != nil {
		return err
	}
	defer func() {
		// The last tiles and the directory are written by Close: a full disk
		// may show only here.
		err = errors.Join(err, ds.Close(hear))
		if err == nil && len(l.failures) > 0 {
			err = errors.New(l.failures[0])
		}
	}()
	band := ds.Bands()[0]
	if err := ds.SetGeoTransform([6]float64{g.West, g.CellSize, 0, g.North, 0, -g.CellSize}, hear); err != nil {
		return err
	}
	if projection != "" {
		if err := ds.SetProjection(projection, hear); err != nil {
			return err
		}
	}
	if err := band.SetNoData(NoData, hear); err != nil {
		return err
	}
	step := min(g.Rows, max(1, chunkCells/g.Cols/tile)*tile)
	buf := make([]float32, step*g.Cols)
	for row := 0; row < g.Rows; row += step {
		n := min(step, g.Rows-row)
		out := buf[:n*g.Cols]
		for i, v := range g.Cells[row*g.Cols : (row+n)*g.Cols] {
			switch {
			case v != v:
				out[i] = NoData
			case v == NoData || math.IsInf(float64(v), 0):
				return fmt.Errorf("row %d, column %d holds %v, which a reader would take for a void or a fault", row+i/g.Cols+1, i%g.Cols+1, v)
			default:
				out[i] = float32(v)
			}
		}
		if err := band.Write(0, row, out, g.Cols, n, hear); err != nil {
			return err
		}
	}
	return nil
}
