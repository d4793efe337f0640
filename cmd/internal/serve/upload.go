package serve

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/ground"
	"wetfeet/species"
	"wetfeet/terrain/raster"
)

const uploadPath = "/api/upload"

// What an upload may weigh, bytes: a raster, and a table.
const (
	mostUpload = 512 << 20
	mostTable  = 64 << 20
)

// mostFiles is how many files a new site may be given.
const mostFiles = 40

// An upload is a file that was dropped on the page, and what it turned out to
// be.
type upload struct {
	Name  string `json:"name"`
	Kind  string `json:"kind"`  // "ground", "heights", "positions", "species"
	Words string `json:"words"` // what is in it

	// Place says that nothing in the file tells where it lies.
	Place bool `json:"place,omitempty"`

	Plants []string `json:"plants,omitempty"` // scientific names in a list of species
	Own    bool     `json:"own,omitempty"`    // the list is a table of the grower's own
}

var rasterKinds = []string{".tif", ".tiff", ".asc", ".img", ".bil", ".flt", ".dem", ".xyz"}

// take receives a file into the folder of a site that is being begun. The
// file is looked into before it gets its name.
func (d *desk) take(w http.ResponseWriter, r *http.Request) error {
	if d.o.Dir == "" || d.sheet() != nil {
		return statusError{http.StatusConflict, "", errors.New("files are taken only while a site is begun: wetfeet new FOLDER")}
	}
	name, err := fileName(r.URL.Query().Get("name"))
	if err != nil {
		return err
	}
	ext := strings.ToLower(filepath.Ext(name))
	table := ext == ".csv" || ext == ".txt"
	if !table && !slices.Contains(rasterKinds, ext) {
		return fault.Input(fmt.Errorf("%s: files ending in %s are not taken; an elevation raster (such as .tif) or a table (.csv) is", name, ext))
	}
	most := int64(mostUpload)
	if table {
		most = mostTable
	}
	if r.ContentLength > most {
		return statusError{http.StatusRequestEntityTooLarge, "", fmt.Errorf("%s has %d MB; up to %d MB are taken. Cut it to the site, or put it into the folder and name it in the site file", name, r.ContentLength>>20, most>>20)}
	}
	d.saving.Lock()
	defer d.saving.Unlock()
	if there, err := os.ReadDir(d.o.Dir); err == nil && len(there) > mostFiles {
		return fault.Input(fmt.Errorf("the folder holds %d files already; begin in an empty one", len(there)))
	}
	temp, err := os.CreateTemp(d.o.Dir, ".wetfeet-*"+ext)
	if err != nil {
		return unwritable(err)
	}
	defer os.Remove(temp.Name())
	n, err := io.Copy(temp, io.LimitReader(r.Body, most+1))
	err = errors.Join(err, temp.Chmod(0o644), temp.Sync(), temp.Close())
	switch {
	case n > most:
		return statusError{http.StatusRequestEntityTooLarge, "", fmt.Errorf("%s has more than the %d MB that are taken", name, most>>20)}
	case err != nil && r.Context().Err() != nil:
		return r.Context().Err()
	case err != nil:
		return unwritable(err)
	case n == 0:
		return fault.Input(fmt.Errorf("%s is empty", name))
	}
	u, err := d.lookInto(temp.Name(), table)
	if err != nil {
		return rename(err, temp.Name(), name)
	}
	u.Name = d.freeName(name)
	if err := os.Rename(temp.Name(), filepath.Join(d.o.Dir, u.Name)); err != nil {
		return unwritable(err)
	}
	answer(w, http.StatusOK, u)
	return nil
}

// rename tells an error with the name the grower knows a file by, in the place
// of the path it has meanwhile.
func rename(err error, path, to string) error {
	renamed := errors.New(strings.NewReplacer(path, to, filepath.Base(path), to).Replace(err.Error()))
	if fault.IsInput(err) {
		return fault.Input(renamed)
	}
	return renamed
}

// fileName is the name of an upload without anything that could lead it
// elsewhere.
func fileName(given string) (string, error) {
	given = given[strings.LastIndexAny(given, `/\`)+1:]
	var b strings.Builder
	for _, c := range given {
		switch {
		case c >= 'a' && c <= 'z', c >= 'A' && c <= 'Z', c >= '0' && c <= '9', c == '.', c == '-', c == '_':
			b.WriteRune(c)
		default:
			b.WriteByte('-')
		}
	}
	name := strings.TrimLeft(b.String(), ".-")
	if len(name) > 100 {
		name = name[len(name)-100:]
	}
	if name == "" || filepath.Ext(name) == "" || strings.TrimSuffix(name, filepath.Ext(name)) == "" {
		return "", fault.Input(errors.New("the file has no name with an ending, such as heights.csv"))
	}
	return name, nil
}

// freeName is a name that no file of the folder has yet.
func (d *desk) freeName(name string) string {
	ext := filepath.Ext(name)
	base := strings.TrimSuffix(name, ext)
	for i := 2; ; i++ {
		if _, err := os.Lstat(filepath.Join(d.o.Dir, name)); errors.Is(err, os.ErrNotExist) {
			return name
		}
		name = fmt.Sprintf("%s-%d%s", base, i, ext)
	}
}

// lookInto finds out what a file is, and makes sure it can be read as that.
func (d *desk) lookInto(path string, table bool) (upload, error) {
	if !table {
		g, err := raster.Open(path, raster.Options{})
		if err != nil {
			return upload{}, fault.Input(err)
		}
		f := g.Grid.Frame
		return upload{Kind: "ground", Words: fmt.Sprintf("an elevation raster of %d by %d cells of %.2g m", f.Cols, f.Rows, f.CellSize)}, nil
	}
	head, names, err := peek(path)
	if err != nil {
		return upload{}, err
	}
	has := func(words ...string) bool {
		return slices.ContainsFunc(words, func(w string) bool { return slices.Contains(head, w) })
	}
	where := has("x", "lon", "x_m", "x_ft", "e", "easting", "longitude")
	switch {
	case has("species") && where:
		return upload{Kind: "positions", Words: fmt.Sprintf("%d planned positions", len(names)), Place: !has("lon", "longitude")}, nil
	case has("scientific_name"):
		return ownSpecies(path)
	case !where && !has("z", "z_m", "z_ft", "lat") && listOfPlants(head, names):
		return plants(append([]string{first(head)}, names...))
	}
	s, err := ground.ReadShots(ground.Source{SpotHeights: path, OwnGrid: true}, "")
	if err != nil {
		return upload{}, fault.Input(err)
	}
	u := upload{Kind: "heights", Words: fmt.Sprintf("%d spot heights", len(s.Shots)), Place: s.CRS == ""}
	if s.Book != nil {
		u.Words = fmt.Sprintf("a field book with %d spot heights", len(s.Shots))
	}
	return u, nil
}

// peek reads the headings of a table, in small letters, and the first column.
func peek(path string) (head, column []string, err error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, nil, err
	}
	defer f.Close()
	s := bufio.NewScanner(f)
	for s.Scan() {
		line := strings.TrimSpace(strings.TrimPrefix(s.Text(), "\ufeff"))
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		cells := strings.FieldsFunc(line, func(r rune) bool { return r == ',' || r == ';' || r == '\t' })
		for i := range cells {
			cells[i] = strings.Trim(strings.TrimSpace(cells[i]), `"`)
		}
		if head == nil {
			for _, c := range cells {
				head = append(head, strings.ToLower(c))
			}
			continue
		}
		if len(column) < 100_000 {
			column = append(column, first(cells))
		}
	}
	if err := s.Err(); err != nil {
		return nil, nil, fault.Input(fmt.Errorf("%s: is no table: %w", filepath.Base(path), err))
	}
	if head == nil {
		return nil, nil, fault.Input(fmt.Errorf("%s: there is nothing in it", filepath.Base(path)))
	}
	return head, column, nil
}

func first(cells []string) string {
	if len(cells) == 0 {
		return ""
	}
	return cells[0]
}

// listOfPlants reports whether most lines name a species that is known.
func listOfPlants(head, column []string) bool {
	all := column
	if len(head) == 1 {
		all = append(slices.Clone(column), head[0])
	}
	known := 0
	for _, name := range all[:min(len(all), 200)] {
		if _, err := species.BuiltIn().Find(name); err == nil {
			known++
		}
	}
	return known > 0 && 2*known >= min(len(all), 200)-1
}

// plants reads a list of names, one a line. All that are not known are told
// together.
func plants(lines []string) (upload, error) {
	u := upload{Kind: "species"}
	var bad fault.List
	for i, name := range lines {
		e, err := species.BuiltIn().Find(name)
		if err != nil {
			if i > 0 || !slices.Contains([]string{"species", "name", "plant", "plants", "common_name", "common name"}, name) {
				bad.Add(i+1, "line %d: %v", i+1, err)
			}
			continue
		}
		if !slices.Contains(u.Plants, e.Scientific) {
			u.Plants = append(u.Plants, e.Scientific)
		}
	}
	u.Words = fmt.Sprintf("a list of %d species", len(u.Plants))
	return u, bad.Err()
}

// ownSpecies reads a table of the grower's own species.
func ownSpecies(path string) (upload, error) {
	f, err := os.Open(path)
	if err != nil {
		return upload{}, err
	}
	defer f.Close()
	t, err := species.BuiltIn().With(f, filepath.Base(path))
	if err != nil {
		return upload{}, fault.Input(err)
	}
	u := upload{Kind: "species", Own: true}
	for _, e := range t.All() {
		if e.Own {
			u.Plants = append(u.Plants, e.Scientific)
		}
	}
	u.Words = fmt.Sprintf("your own table of %d species", len(u.Plants))
	return u, nil
}
