package raster

import (
	"bytes"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/airbusgeo/godal"
)

// A door is a file that has been let in: a regular file of this machine,
// named absolutely, whose first bytes are not those of a format that is kept
// out.
type door struct {
	path     string   // absolute
	head     []byte   // the first bytes
	drivers  []string // that may try it
	siblings []string // base names of the files GDAL may look for beside it
}

// headSize is enough for every magic number looked for.
const headSize = 4 << 10

// knock checks a name and the file behind it before GDAL hears of either.
// GDAL takes much for a file name that is none: web addresses, "/vsi" names,
// the XML of a virtual raster, names of tables.
func knock(path string) (*door, error) {
	start()
	if strings.Contains(path, "://") || strings.HasPrefix(path, "/vsi") || strings.ContainsAny(path, "<\x00\n") {
		return nil, bad("is not the name of a file on this machine; copy the raster here and name that file")
	}
	abs, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	if strings.HasPrefix(filepath.ToSlash(abs), "/vsi") {
		return nil, bad("lies in a folder whose name GDAL takes for something else (/vsi…); move it")
	}
	info, err := os.Stat(abs)
	switch {
	case err != nil && (os.IsPermission(err)):
		return nil, plain(err)
	case err != nil:
		return nil, bad("cannot be found: %w", plain(err))
	case info.IsDir():
		return nil, bad("is a folder; name the raster file in it")
	case !info.Mode().IsRegular():
		return nil, bad("is not a regular file")
	case info.Size() == 0:
		return nil, bad("is empty; a raster of elevations is needed")
	}
	d := &door{path: abs}
	if d.head, err = readHead(abs); err != nil {
		return nil, err
	}
	if err := d.sniff(); err != nil {
		return nil, err
	}
	return d, d.sidecars()
}

func readHead(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, plain(err)
	}
	defer f.Close()
	head, err := io.ReadAll(io.LimitReader(f, headSize))
	if err != nil {
		return nil, plain(err)
	}
	return head, nil
}

// sniff turns away formats by their first bytes, so that a name cannot hide
// them, and picks the drivers that may try the rest.
func (d *door) sniff() error {
	text := bytes.TrimLeft(bytes.TrimPrefix(d.head, []byte("\ufeff")), " \t\r\n")
	switch {
	case isVirtual(d.head):
		return bad("is a virtual raster, which can point at any other file; make a file of its own of it: gdal_translate in.vrt out.tif")
	case bytes.HasPrefix(text, []byte("<")), bytes.HasPrefix(text, []byte("{")):
		return bad("is a text that describes something (XML or JSON), not a raster of elevations; GeoTIFF would do")
	case bytes.HasPrefix(d.head, []byte("PK\x03\x04")), bytes.HasPrefix(d.head, []byte("\x1f\x8b")):
		return bad("is a compressed archive; unpack it and name the raster in it")
	case bytes.HasPrefix(d.head, []byte("\x89HDF\r\n\x1a\n")):
		return bad("is an HDF5 or netCDF-4 file, which can point at other files; make a GeoTIFF of it: gdal_translate in out.tif")
	case bytes.HasPrefix(d.head, []byte("SQLite format 3\x00")):
		return bad("is a database (GeoPackage or MBTiles), which runs statements of its own when read; make a GeoTIFF of it: gdal_translate in out.tif")
	}
	// The netCDF library also reads HDF5, so only the classic magic calls it.
	classic := len(d.head) > 3 && string(d.head[:3]) == "CDF" && (d.head[3] == 1 || d.head[3] == 2 || d.head[3] == 5)
	for _, name := range drivers {
		if name != "netCDF" || classic {
			d.drivers = append(d.drivers, name)
		}
	}
	return nil
}

func isVirtual(head []byte) bool {
	for _, mark := range []string{"<VRTDataset", "<OGRVRTDataSource", "<GDALWMS", "<WCS_GDAL", "<GDALTileIndex"} {
		if bytes.Contains(head, []byte(mark)) {
			return true
		}
	}
	return false
}

// sidecarSuffixes are what the drivers let in look for beside a file: world
// files, systems, headers, voids, and GDAL's own notes.
var sidecarSuffixes = []string{
	".aux", ".aux.xml", ".msk", ".ovr", ".prj", ".hdr", ".clr", ".stx", ".sta",
	".tfw", ".tifw", ".tiffw", ".wld", ".pgw", ".pngw", ".j2w", ".jp2w", ".blw", ".bilw", ".tab",
	".rdc", ".ref", ".sgrd", ".sdat", ".mgrd", ".ige", ".rrd", ".rde", ".statistics",
}

// sidecars lists the files beside this one that belong to it. A sidecar that
// is a link, or a virtual raster in disguise, could lead elsewhere: it is
// refused and not skipped, since without it the raster would mean something
// else.
func (d *door) sidecars() error {
	dir, base := filepath.Split(d.path)
	stem := strings.TrimSuffix(base, filepath.Ext(base))
	d.siblings = []string{base}
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil // a folder that may not be listed: the file stands alone
	}
	for _, e := range entries {
		name := e.Name()
		if name == base || !isSidecar(name, base, stem) {
			continue
		}
		info, err := os.Lstat(dir + name)
		if err != nil {
			continue // gone since
		}
		if !info.Mode().IsRegular() {
			what := "not a regular file"
			if info.Mode()&fs.ModeSymlink != 0 {
				what = "a link to another file"
			}
			return bad("has beside it %s, which is %s; put the file itself there, or move it away", name, what)
		}
		head, err := readHead(dir + name)
		if err != nil {
			return bad("has beside it %s, which cannot be read: %w", name, err)
		}
		if isVirtual(head) {
			return bad("has beside it %s, which is a virtual raster and can point at any other file; move it away", name)
		}
		d.siblings = append(d.siblings, name)
	}
	return nil
}

// Beside is the names of the files in the folder of a raster that belong to it:
// world files, systems, headers. A raster that is copied needs them.
func Beside(path string) ([]string, error) {
	d, err := knock(path)
	if err != nil {
		return nil, in(path, err)
	}
	return d.siblings[1:], nil
}

func isSidecar(name, base, stem string) bool {
	for _, owner := range []string{base, stem} {
		if len(name) > len(owner) && strings.EqualFold(name[:len(owner)], owner) &&
			slices.Contains(sidecarSuffixes, strings.ToLower(name[len(owner):])) {
			return true
		}
	}
	return false
}

// open hands the file to GDAL.
func (d *door) open(l *listener) (*godal.Dataset, error) {
	ds, err := godal.Open(d.path,
		godal.Drivers(d.drivers...), godal.SiblingFiles(d.siblings...), godal.RasterOnly(),
		godal.ConfigOption("GDAL_NUM_THREADS=ALL_CPUS"), godal.ErrLogger(l.hear))
	if err != nil {
		reason := ""
		if len(l.failures) > 0 && !strings.Contains(l.failures[0], "not recognized") {
			reason = " (" + clip(strings.ReplaceAll(l.failures[0], d.path, filepath.Base(d.path))) + ")"
		}
		return nil, bad("is not a raster that can be read%s; a single band of elevations in one of these would do: %s",
			reason, strings.Join(Formats(), ", "))
	}
	return ds, nil
}
