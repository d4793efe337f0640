package outdir

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"unicode"
)

// A File is a file of the folder that is being written. It must be closed
// before Commit.
type File struct {
	dir    *Dir
	name   string
	file   *os.File
	closed bool
}

// Create opens a new file of the folder for writing. The name is relative,
// with slashes: "grids/slope.tif". A name that an earlier file of someone else
// has in the folder that is replaced is refused.
func (d *Dir) Create(name string) (*File, error) {
	path, err := d.Path(name)
	if err != nil {
		return nil, err
	}
	f := &File{dir: d, name: name}
	err = d.do("create", name, func() (err error) {
		f.file, err = os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o666)
		return err
	})
	if err != nil {
		return nil, d.fail(name, err)
	}
	d.mu.Lock()
	d.files = append(d.files, f)
	d.mu.Unlock()
	return f, nil
}

// Path is where a file of the folder is to be written by something that wants
// a path, such as a raster library. The file must be there at Commit. The name
// is as for [Dir.Create].
func (d *Dir) Path(name string) (string, error) {
	if err := d.Claim(name); err != nil {
		return "", err
	}
	d.mu.Lock()
	twice := d.names[name]
	d.names[name] = true
	d.mu.Unlock()
	if twice {
		return "", fmt.Errorf("outdir: %s is written twice", name)
	}
	path := filepath.Join(d.temp, filepath.FromSlash(name))
	err := d.do("mkdir", filepath.Dir(name), func() error { return os.MkdirAll(filepath.Dir(path), 0o777) })
	if err != nil {
		return "", d.fail(name, err)
	}
	return path, nil
}

// Make has write write a file of the folder by its path. What goes wrong is
// told with the name of the file in the folder, as it is for [Dir.Create].
func (d *Dir) Make(name string, write func(path string) error) error {
	path, err := d.Path(name)
	if err != nil {
		return err
	}
	if err := d.do("write", name, func() error { return write(path) }); err != nil {
		return d.fail(name, err)
	}
	return nil
}

// Claim makes sure that files of these names may be made, before anything
// long is computed. All that are in the way come as one error.
func (d *Dir) Claim(names ...string) error {
	if d.done {
		return errors.New("outdir: the folder is complete or given up")
	}
	var told []error
	for _, name := range names {
		if !properName(name) {
			return fmt.Errorf("outdir: %q is not a name for a file of the folder", name)
		}
		told = append(told, d.inTheWay(name))
	}
	return errors.Join(told...)
}

// properName reports whether a name is a plain relative path of printable
// characters that the manifest can list.
func properName(name string) bool {
	return filepath.IsLocal(filepath.FromSlash(name)) && filepath.ToSlash(filepath.Clean(name)) == name && name != "." &&
		name != manifest && name != filling && !strings.ContainsFunc(name, func(r rune) bool { return unicode.IsControl(r) || r == '\\' })
}

// inTheWay says what of someone else has the name, or is a file where the name
// needs a folder.
func (d *Dir) inTheWay(name string) error {
	for part := name; part != "."; part = filepath.ToSlash(filepath.Dir(part)) {
		e, ok := d.before[part]
		switch {
		case !ok || e.ours || part != name && e.info.IsDir():
		case e.listed:
			return refuse("%s was changed after it was written; move it away, or name another folder", filepath.Join(d.shown, part))
		default:
			return refuse("%s was not written by an earlier run; move it away, or name another folder", filepath.Join(d.shown, part))
		}
	}
	return nil
}

// Write writes to the file.
func (f *File) Write(p []byte) (n int, err error) {
	err = f.dir.do("write", f.name, func() (err error) {
		n, err = f.file.Write(p)
		return err
	})
	return n, f.dir.fail(f.name, err)
}

// Close closes the file. A second call does nothing.
func (f *File) Close() error {
	if f.closed {
		return nil
	}
	f.closed = true
	return f.dir.fail(f.name, f.dir.do("close", f.name, f.file.Close))
}

// fail blames, and remembers: a folder with a file that could not be written
// is not committed, even if the writer looked away.
func (d *Dir) fail(name string, err error) error {
	err = d.blame(name, err)
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.failed == nil {
		d.failed = err
	}
	return err
}
