package raster

import (
	"fmt"
	"strconv"

	"wetfeet/terrain"

	"github.com/airbusgeo/godal"
)

// warp resamples a window of the source onto the frame, bilinearly.
//
// The cleaned elevations go into a raster in memory first, so that what GDAL
// mixes are metres and voids are voids, whatever the file stored. A cell of
// the frame whose middle lies on a void is void; beside a void the known
// cells are weighed alone. Where the frame's cells are larger than the
// raster's, GDAL widens the kernel to take in all of them.
func warp(s *source, pl *place, p *plan) (*terrain.Grid[float32], error) {
	src, err := memory(s, pl, p)
	if err != nil {
		return nil, err
	}
	defer src.Close()
	var l listener
	f := p.frame
	num := func(v float64) string { return strconv.FormatFloat(v, 'g', 17, 64) }
	args := []string{
		"-of", "MEM", "-ot", "Float32", "-r", "bilinear",
		"-srcnodata", "nan", "-dstnodata", "nan", "-ovr", "NONE",
		"-te", num(f.West), num(f.North - float64(f.Rows)*f.CellSize), num(f.West + float64(f.Cols)*f.CellSize), num(f.North),
		"-ts", strconv.Itoa(f.Cols), strconv.Itoa(f.Rows),
		// A hundredth of a cell is how far the way there and back may be
		// interpolated. A fixed amount of working memory makes fixed chunks,
		// and so the same bytes on every machine.
		"-et", "0.01", "-wm", "64", "-multi", "-wo", "NUM_THREADS=ALL_CPUS", "-q",
	}
	if p.to != nil && p.to != p.from {
		to, err := wkt(p.to)
		if err != nil {
			return nil, err
		}
		args = append(args, "-t_srs", to)
	}
	dst, err := godal.Warp("", []*godal.Dataset{src}, args, godal.ErrLogger(l.hear))
	if err != nil {
		return nil, fmt.Errorf("cannot be resampled: %w", err)
	}
	defer dst.Close()
	z := terrain.NewGrid[float32](f)
	if err := dst.Bands()[0].Read(0, 0, z.Cells, f.Cols, f.Rows, godal.ErrLogger(l.hear)); err != nil {
		return nil, fmt.Errorf("cannot be resampled: %w", err)
	}
	return z, nil
}

// memory is a GDAL raster in memory of the window of the source.
func memory(s *source, pl *place, p *plan) (*godal.Dataset, error) {
	var l listener
	w := p.read
	ds, err := godal.Create(godal.Memory, "", 1, godal.Float32, w.cols, w.rows, godal.ErrLogger(l.hear))
	if err != nil {
		return nil, fmt.Errorf("no memory for %s: %w", size(w.cols, w.rows), err)
	}
	corner := pl.at(float64(w.col), float64(w.row))
	gt := pl.gt
	gt[0], gt[3] = corner[0], corner[1]
	from, err := wkt(p.from)
	if err == nil {
		err = ds.SetGeoTransform(gt, godal.ErrLogger(l.hear))
	}
	if err == nil && from != "" {
		err = ds.SetProjection(from, godal.ErrLogger(l.hear))
	}
	if err == nil {
		var buf []float32
		band := ds.Bands()[0]
		err = s.read(w,
			func(_, rows int) []float32 {
				if n := rows * w.cols; len(buf) < n {
					buf = make([]float32, n)
				}
				return buf[:rows*w.cols]
			},
			func(row int, cells []float32) error {
				return band.Write(0, row, cells, w.cols, len(cells)/w.cols, godal.ErrLogger(l.hear))
			})
	}
	if err != nil {
		ds.Close()
		return nil, err
	}
	return ds, nil
}
