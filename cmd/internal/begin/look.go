package begin

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"unicode"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/ground"
	"wetfeet/cmd/internal/planting"
	"wetfeet/cmd/internal/site"
	"wetfeet/cmd/internal/wording"
	"wetfeet/species"
	"wetfeet/terrain/quantity"
	"wetfeet/terrain/raster"

	"github.com/paulmach/orb"
)

// What a file may weigh, bytes.
const (
	MostRaster = 512 << 20
	MostTable  = 64 << 20
)

// A Found is a file of the grower's and what it turned out to be.
type Found struct {
	Kind  Kind
	Path  string // for opening
	Name  string // it gets in the folder of the site
	Words string // what is in it, for the grower

	// System is the coordinate system that the file itself names, in words;
	// empty where nothing in it tells where it lies.
	System string
	crs    string // that system, as a code or WKT

	Units  quantity.Units // it is kept in
	Plants []string       // scientific names, in the order of a list of species
	beside []string       // names of files that belong to a raster, in its folder

	extent orb.Bound // of spot heights that do not tell where they lie
}

// Placed reports whether the file tells where it lies, or needs no place.
func (f *Found) Placed() bool {
	switch f.Kind {
	case Plants, Own:
		return true
	}
	return f.System != ""
}

// Look finds out what the file at path is and reads it. Name is what the
// grower calls it. Species are looked up in known. What is wrong with the file
// is marked as the fault of an input.
func Look(path, name string, known *species.Table) (*Found, error) {
	head, size, err := headOf(path, name)
	if err != nil {
		return nil, err
	}
	kind, err := Sniff(head)
	if err != nil {
		return nil, fault.Input(fmt.Errorf("%s: %w", name, err))
	}
	most := int64(MostTable)
	if kind == Raster {
		most = MostRaster
	}
	if size > most {
		return nil, fault.Input(TooLarge(name, size, most))
	}
	f := &Found{Kind: kind, Path: path, Name: properName(name, kind, head), Units: UnitsOf(head)}
	if err := f.read(known); err != nil {
		return nil, callIt(err, path, name)
	}
	return f, nil
}

// TooLarge says that a file is larger than is taken, and what to do.
func TooLarge(name string, size, most int64) error {
	return fmt.Errorf("%s has %d MB; up to %d MB are taken: cut it to the site first, or write a site file that names it where it lies", name, size>>20, most>>20)
}

// headOf reads the beginning of a regular file.
func headOf(path, name string) ([]byte, int64, error) {
	info, err := os.Stat(path)
	if err == nil && !info.Mode().IsRegular() {
		err = errors.New("is not a regular file")
	}
	if err != nil {
		if cause := errors.Unwrap(err); cause != nil {
			err = cause
		}
		return nil, 0, fault.Input(fmt.Errorf("%s: %w", name, err))
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, 0, fault.Input(fmt.Errorf("%s: %w", name, errors.Unwrap(err)))
	}
	defer f.Close()
	head, err := io.ReadAll(io.LimitReader(f, headSize))
	if err != nil {
		return nil, 0, fmt.Errorf("%s: %w", name, err)
	}
	return head, info.Size(), nil
}

// callIt tells an error with the name the grower knows a file by instead of
// the one it has meanwhile.
func callIt(err error, path, name string) error {
	was := filepath.Base(path)
	if was == name {
		return err
	}
	told := errors.New(strings.NewReplacer(path, name, was, name).Replace(err.Error()))
	if fault.IsInput(err) {
		return fault.Input(told)
	}
	return told
}

func (f *Found) read(known *species.Table) error {
	switch f.Kind {
	case Raster:
		return f.readRaster()
	case Heights, Book:
		return f.readHeights()
	case Positions:
		return f.open(func(r io.Reader, name string) error {
			read := planting.ReadCSV
			if strings.HasSuffix(f.Name, "json") {
				read = planting.ReadGeoJSON
			}
			t, err := read(r, name)
			if err != nil {
				return err
			}
			if t.LonLat {
				f.lonLat()
			}
			f.Words = wording.Count(len(t.Positions), "planned position")
			return nil
		})
	case Boundary:
		return f.open(func(r io.Reader, name string) error {
			b, err := site.ReadBoundary(r, name)
			f.Words = "an outline of the site"
			if len(b) > 1 {
				f.Words = fmt.Sprintf("an outline of the site in %d parts", len(b))
			}
			f.lonLat()
			return err
		})
	case Own:
		t, err := ReadOwn(f)
		if err != nil {
			return err
		}
		for _, e := range t.All() {
			if e.Own {
				f.Plants = append(f.Plants, e.Scientific)
			}
		}
		f.Words = "a table of your own with " + wording.Count(len(f.Plants), "species")
		return nil
	}
	return f.open(func(r io.Reader, name string) error {
		text, err := io.ReadAll(io.LimitReader(r, MostTable))
		if err != nil {
			return err
		}
		f.Plants, err = readPlants(string(text), name, known)
		f.Words = "a list of " + wording.Count(len(f.Plants), "species")
		return err
	})
}

func (f *Found) open(read func(r io.Reader, name string) error) error {
	file, err := os.Open(f.Path)
	if err != nil {
		return fault.Input(err)
	}
	defer file.Close()
	return read(file, filepath.Base(f.Path))
}

func (f *Found) lonLat() { f.crs, f.System = raster.LonLatCRS, "longitude and latitude" }

func (f *Found) readRaster() error {
	g, err := raster.Open(f.Path, raster.Options{})
	switch {
	case errors.Is(err, raster.ErrNoCRS):
		f.Words = "an elevation raster that names no coordinate system"
	case err != nil:
		return fault.Input(err)
	default:
		frame := g.Grid.Frame
		f.Words = fmt.Sprintf("an elevation raster of %d by %d cells of %.3g m", frame.Cols, frame.Rows, frame.CellSize)
		f.crs = frame.CRS
		f.System = systemName(frame.CRS)
	}
	f.beside, err = raster.Beside(f.Path)
	return fault.Input(err)
}

func (f *Found) readHeights() error {
	s, err := ground.ReadShots(ground.Source{SpotHeights: f.Path, OwnGrid: true}, "")
	if err != nil {
		return fault.Input(err)
	}
	f.Words = wording.Count(len(s.Shots), "spot height")
	if f.Kind = Heights; s.Book != nil {
		f.Kind = Book
		f.Words = "a field book with " + f.Words
	}
	f.extent = extent(s.Shots)
	if s.CRS != "" {
		f.crs, f.System = s.CRS, systemName(s.CRS)
	}
	return nil
}

// systemName is what a grower may call a system.
func systemName(crs string) string {
	if info, err := raster.Describe(crs); err == nil {
		return info.Name
	}
	return crs
}

// properName is the name of the copy: of the name given, the last part, with
// letters, digits and little else, and an ending by which the site file's
// readers know what it is.
func properName(given string, kind Kind, head []byte) string {
	given = given[strings.LastIndexAny(given, `/\`)+1:]
	var b strings.Builder
	for _, c := range given {
		switch {
		case unicode.IsLetter(c), unicode.IsDigit(c), c == '.', c == '_':
			b.WriteRune(c)
		default:
			b.WriteByte('-')
		}
	}
	name := strings.TrimLeft(b.String(), ".-")
	for len(name) > 100 { // keep the ending
		r := []rune(name)
		name = string(r[len(r)-min(len(r)-1, 60):])
	}
	ext := strings.ToLower(filepath.Ext(name))
	want, also := "", []string(nil)
	switch {
	case kind == Raster:
		if ext == ".toml" || ext == ".csv" {
			want = ".tif"
		}
	case kind == Boundary, kind == Positions && strings.HasPrefix(strings.TrimLeft(string(head[:min(len(head), 100)]), "\ufeff \t\r\n"), "{"):
		want, also = ".geojson", []string{".json"}
	default:
		want, also = ".csv", []string{".txt", ".tsv"}
	}
	if strings.Trim(name, ".-") == "" {
		name = strings.ReplaceAll(string(kind), " ", "-")
		ext = ""
	}
	fits := want == "" || ext == want
	for _, e := range also {
		fits = fits || ext == e
	}
	if !fits {
		name += want
	}
	return name
}
