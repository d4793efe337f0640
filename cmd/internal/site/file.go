package site

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"wetfeet/cmd/internal/fault"
)

// A File is a regular file that a site needs.
type File struct {
	Path string // absolute, for opening
	Name string // base name, for showing
}

// Given reports whether there is a file at all.
func (f File) Given() bool { return f.Path != "" }

// Find makes sure that path, as a person typed it, is a regular file that is
// there. A path that is not absolute begins at folder. The error says what was
// found instead, with a name that is nearly the same where there is one, and
// is marked as the fault of an input.
func Find(folder, path string) (File, error) {
	if path == "" || strings.ContainsRune(path, 0) {
		return File{}, fault.Input(fmt.Errorf("%s is not the name of a file", quote(path)))
	}
	whole := path
	if !filepath.IsAbs(path) {
		whole = filepath.Join(folder, path)
	}
	whole, err := filepath.Abs(whole)
	if err != nil {
		return File{}, err
	}
	info, err := os.Stat(whole)
	switch {
	case err != nil:
		err = fmt.Errorf("there is no file %s%s", quote(path), nearby(whole, err))
	case info.IsDir():
		err = fmt.Errorf("%s is a folder; a file is needed", quote(path))
	case !info.Mode().IsRegular():
		err = fmt.Errorf("%s is not a regular file", quote(path))
	}
	if err != nil {
		return File{}, fault.Input(err)
	}
	return File{Path: whole, Name: filepath.Base(whole)}, nil
}

// nearby is what to say after a file was not found: a file of nearly that
// name, or why not even that could be looked for.
func nearby(path string, err error) string {
	if !errors.Is(err, fs.ErrNotExist) {
		if cause := errors.Unwrap(err); cause != nil {
			err = cause
		}
		return ": " + err.Error()
	}
	folder, err := os.Open(filepath.Dir(path))
	if err != nil {
		return ": its folder is not there either"
	}
	defer folder.Close()
	names, _ := folder.Readdirnames(1000)
	wanted := filepath.Base(path)
	if near, distance := nearest(wanted, names); distance <= 1+len(wanted)/4 {
		return fmt.Sprintf("; there is %s", quote(near))
	}
	return ""
}
