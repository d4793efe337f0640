package raster

import (
	"fmt"
	"math"
	"path/filepath"
	"strings"

	"github.com/airbusgeo/godal"
)

// A source is an open raster of one band of elevations, not yet read.
type source struct {
	ds   *godal.Dataset
	band godal.Band
	mask *godal.Band // nil if voids are told by value alone
	text *gridText   // not nil for an ASCII grid, whose cells are read here

	driver     string
	rows, cols int
	blockRows  int
	dtype      godal.DataType
	clean      cleaner
	wkt        string     // as the file states its system, "" for none
	gt         [6]float64 // from columns and rows to the file's coordinates
	heard      listener
}

// A window is a rectangle of a raster's cells.
type window struct{ col, row, cols, rows int }

// enter opens a file and checks that it is a raster of elevations of a
// bearable size. Nothing the size of the raster has been allocated when it
// returns.
func enter(path string, o Options) (*source, error) {
	d, err := knock(path)
	if err != nil {
		return nil, err
	}
	s := &source{}
	// The header of a text grid is read before GDAL sees it: GDAL asks for
	// memory by the rows a header claims.
	if s.text, err = readGridHeader(d); err != nil {
		return nil, err
	}
	if s.ds, err = d.open(&s.heard); err != nil {
		if s.text != nil {
			s.text.file.Close()
		}
		return nil, err
	}
	if err := s.inspect(d, o); err != nil {
		s.Close()
		return nil, err
	}
	return s, nil
}

func (s *source) Close() {
	if s.text != nil {
		s.text.file.Close()
	}
	_ = s.ds.Close(godal.ErrLogger(s.heard.hear)) // opened for reading: nothing is left to fail
}

func (s *source) inspect(d *door, o Options) error {
	st := s.ds.Structure()
	s.driver = s.ds.Driver().ShortName()
	s.rows, s.cols = st.SizeY, st.SizeX
	if (s.driver == "AAIGrid") != (s.text != nil) {
		return bad("is not an ASCII grid that can be read; it should begin with ncols and nrows, a line each")
	}
	if s.text != nil && (s.text.rows != s.rows || s.text.cols != s.cols) {
		return bad("has a header that can be read in two ways")
	}
	if err := s.pickBand(st.NBands); err != nil {
		return err
	}
	bs := s.band.Structure()
	s.dtype = bs.DataType
	s.blockRows = max(1, bs.BlockSizeY)
	switch s.dtype {
	case godal.CInt16, godal.CInt32, godal.CFloat32, godal.CFloat64, godal.Unknown:
		return bad("holds values of type %s; whole or decimal numbers are needed", s.dtype)
	}
	// 8 bytes a cell are the most of any type left; godal's own size of a type
	// panics on the 64-bit whole numbers.
	block := 8 * float64(bs.BlockSizeX) * float64(bs.BlockSizeY)
	if limit := o.memory(); block > float64(limit) {
		return bad("is stored in blocks of %s, which can need %s each, more than the limit of %s; write it in tiles: gdal_translate -co TILED=YES in out.tif",
			size(bs.BlockSizeX, bs.BlockSizeY), bytesText(block), bytesText(float64(limit)))
	}
	if err := s.pickVoids(bs); err != nil {
		return err
	}
	if err := scanText(d, s.driver); err != nil {
		return err
	}
	return s.pickPlace()
}

// pickBand finds the one band of elevations.
func (s *source) pickBand(n int) error {
	bands := s.ds.Bands()
	switch {
	case n == 0:
		return bad("holds no raster of its own, perhaps several inside it; extract the elevations: gdal_translate in out.tif")
	case bands[0].ColorInterp() == godal.CIPalette:
		return bad("is a picture with a palette of colours; a single band of elevations is needed")
	case n >= 3 && bands[0].ColorInterp() == godal.CIRed:
		return bad("is a colour picture of %d bands; a single band of elevations is needed", n)
	case n == 2 && bands[1].ColorInterp() == godal.CIAlpha:
		s.mask = &bands[1]
	case n > 1:
		return bad("holds %d bands; a single band of elevations is needed, which one can be taken out with gdal_translate -b 1 in out.tif", n)
	}
	s.band = bands[0]
	if s.driver == "PNG" && s.band.Structure().DataType == godal.Byte {
		return bad("is a picture of 256 shades; a 16-bit PNG or a GeoTIFF of elevations is needed")
	}
	return nil
}

// pickVoids finds out how the file marks cells without a value, and how its
// numbers become metres.
func (s *source) pickVoids(bs godal.BandStructure) error {
	s.clean = cleaner{scale: bs.Scale, offset: bs.Offset, unit: 1}
	if s.clean.scale == 0 || !finite(s.clean.scale) || !finite(s.clean.offset) {
		return bad("states a scale of %v and an offset of %v for its values, which cannot be", bs.Scale, bs.Offset)
	}
	if v, ok := s.band.NoData(); ok {
		s.clean.setVoid(v)
	}
	if s.text != nil {
		s.clean.setVoid(s.text.void)
	}
	// 1 is GDAL's flag for all valid, 8 for voids told by value (RFC 15).
	if f := s.band.MaskFlags(); s.mask == nil && f&(1|8) == 0 {
		m := s.band.MaskBand()
		s.mask = &m
	}
	if strings.EqualFold(s.band.Metadata("PIXELTYPE", godal.Domain("IMAGE_STRUCTURE")), "SIGNEDBYTE") {
		return bad("holds signed bytes; write them as 16-bit numbers: gdal_translate -ot Int16 in out.tif")
	}
	return nil
}

// pickPlace reads where the raster lies.
func (s *source) pickPlace() error {
	s.wkt = s.ds.Projection()
	gt, err := s.ds.GeoTransform(godal.ErrLogger(func(godal.ErrorCategory, int, string) error { return nil }))
	if err != nil || gt == [6]float64{0, 1, 0, 0, 0, 1} {
		if len(s.ds.GCPs()) > 0 {
			return bad("is tied to the ground by control points and not yet rectified; rectify it: gdalwarp in out.tif")
		}
		return bad("does not say where it lies nor how large its cells are; a GeoTIFF carries that, or a world file (%s) beside it",
			worldFile(s.ds.Description()))
	}
	for _, v := range gt {
		if !finite(v) || math.Abs(v) > 1e12 {
			return bad("states a place that cannot be: %v", gt)
		}
	}
	if det := gt[1]*gt[5] - gt[2]*gt[4]; math.Abs(det) < 1e-18 {
		return bad("states cells without area (%v by %v)", gt[1], gt[5])
	}
	s.gt = gt
	return nil
}

// worldFile is the name of the world file of a raster, from the first and
// last letter of its suffix.
func worldFile(path string) string {
	base := filepath.Base(path)
	ext := filepath.Ext(base)
	if len(ext) < 3 {
		return base + ".wld"
	}
	return strings.TrimSuffix(base, ext) + ext[:2] + ext[len(ext)-1:] + "w"
}

// size writes how many cells a raster has.
func size(cols, rows int) string {
	c, r := "columns", "rows"
	if cols == 1 {
		c = "column"
	}
	if rows == 1 {
		r = "row"
	}
	return fmt.Sprintf("%d %s by %d %s", cols, c, rows, r)
}

// bytesText writes an amount of memory with two or three figures.
func bytesText(b float64) string {
	for _, u := range []struct {
		size float64
		name string
	}{{1e18, "EB"}, {1e15, "PB"}, {1e12, "TB"}, {1e9, "GB"}, {1e6, "MB"}} {
		if b >= u.size {
			return fmt.Sprintf("%.3g %s", b/u.size, u.name)
		}
	}
	return fmt.Sprintf("%.0f bytes", b)
}
