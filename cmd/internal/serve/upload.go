package serve

import (
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"

	"wetfeet/cmd/internal/begin"
	"wetfeet/cmd/internal/fault"
	"wetfeet/species"
	"wetfeet/terrain/quantity"
)

const uploadPath = "/api/upload"

// Bounds of what is given to a new site: files, and bytes of all of them.
const (
	mostFiles  = 12
	mostUpload = begin.MostRaster
	mostStaged = 2 * mostUpload
)

// A stage is what is known of a site before it is written: its files wait in
// a folder of their own.
type stage struct {
	folder string // of the files given; empty before the first
	number int
	files  []*begin.Found
	sizes  map[string]int64 // by path

	land    *begin.Land // of the newest answers
	landFor string      // what it was made of
}

// A given file is what the page is told of an upload.
type given struct {
	Name   string   `json:"name"`
	Kind   string   `json:"kind"`
	Words  string   `json:"words"`
	System string   `json:"system,omitempty"`
	Placed bool     `json:"placed"`
	Feet   bool     `json:"feet,omitempty"` // it is kept in feet
	Plants []string `json:"plants,omitempty"`
}

func tell(f *begin.Found) given {
	return given{Name: f.Name, Kind: string(f.Kind), Words: f.Words, System: f.System, Placed: f.Placed(), Feet: f.Units == quantity.Feet, Plants: f.Plants}
}

// beginning makes sure that a site is being begun.
func (d *desk) beginning() error {
	if d.o.Site != "" || d.sheet() != nil {
		return statusError{http.StatusConflict, "", errors.New("a site is open here already; another is begun with wetfeet serve, without a site")}
	}
	return nil
}

// take receives a file for a site that is being begun, and says what it is.
func (d *desk) take(w http.ResponseWriter, r *http.Request) error {
	name := shortName(r.URL.Query().Get("name"))
	if r.ContentLength > mostUpload {
		return statusError{http.StatusRequestEntityTooLarge, "", begin.TooLarge(name, r.ContentLength, mostUpload)}
	}
	d.saving.Lock()
	defer d.saving.Unlock()
	if err := d.beginning(); err != nil {
		return err
	}
	st := &d.stage
	left := int64(mostStaged)
	for _, n := range st.sizes {
		left -= n
	}
	if len(st.files) >= mostFiles || r.ContentLength > left {
		return fault.Input(fmt.Errorf("%s: the files given are many or large already; remove those that are not needed", name))
	}
	if st.folder == "" {
		folder, err := os.MkdirTemp("", "wetfeet-new-*")
		if err != nil {
			return fmt.Errorf("no room for files could be made: %w", cause(err))
		}
		st.folder, st.sizes = folder, map[string]int64{}
	}
	st.number++
	path := filepath.Join(st.folder, fmt.Sprintf("given-%04d", st.number))
	n, err := receive(path, r.Body, min(left, mostUpload))
	keep := false
	defer func() {
		if !keep {
			os.Remove(path)
		}
	}()
	switch {
	case r.Context().Err() != nil:
		return r.Context().Err()
	case errors.Is(err, errLarge):
		return statusError{http.StatusRequestEntityTooLarge, "", begin.TooLarge(name, n, mostUpload)}
	case err != nil:
		return fmt.Errorf("%s could not be put aside: %w", name, cause(err))
	}
	done, err := d.turn(r.Context())
	if err != nil {
		return err
	}
	f, err := begin.Look(path, name, st.known())
	done()
	if err != nil {
		return err
	}
	keep = true
	st.files, st.sizes[path] = append(st.files, f), n
	begin.Distinct(st.files)
	answer(w, http.StatusOK, tell(f))
	return nil
}

var errLarge = errors.New("larger than is taken")

// receive writes at most so many bytes to a new file.
func receive(path string, body io.Reader, most int64) (int64, error) {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return 0, err
	}
	n, err := io.Copy(f, io.LimitReader(body, most+1))
	if err == nil && n > most {
		err = errLarge
	}
	if large, ok := errors.AsType[*http.MaxBytesError](err); ok {
		n, err = large.Limit, errLarge
	}
	return n, errors.Join(err, f.Close())
}

// known is the table of species, with the grower's own if that was given.
func (st *stage) known() *species.Table {
	t := species.BuiltIn()
	for _, f := range st.files {
		if f.Kind == begin.Own {
			if own, err := begin.ReadOwn(f); err == nil {
				t = own
			}
		}
	}
	return t
}

// forget takes a file back that was given.
func (d *desk) forget(w http.ResponseWriter, r *http.Request) error {
	var which struct {
		Name string `json:"name"`
	}
	if err := readJSON(r, &which); err != nil {
		return err
	}
	d.saving.Lock()
	defer d.saving.Unlock()
	if err := d.beginning(); err != nil {
		return err
	}
	var left []*begin.Found
	for _, f := range d.stage.files {
		if f.Name != which.Name {
			left = append(left, f)
			continue
		}
		delete(d.stage.sizes, f.Path)
		if err := os.Remove(f.Path); err != nil {
			return cause(err)
		}
	}
	d.stage.files = left
	answer(w, http.StatusOK, struct{}{})
	return nil
}

// clear removes all that was put aside.
func (st *stage) clear() {
	if st.folder != "" {
		os.RemoveAll(st.folder)
	}
	*st = stage{}
}

// shortName is what to call an upload in messages.
func shortName(given string) string {
	given = given[strings.LastIndexAny(given, `/\`)+1:]
	if r := []rune(strings.Map(printable, given)); len(r) > 0 {
		return string(r[:min(len(r), 80)])
	}
	return "the file"
}

func printable(r rune) rune {
	if r < ' ' || r == 0x7f {
		return -1
	}
	return r
}
