package begin

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/outdir"
	"wetfeet/cmd/internal/site"
)

// SiteName is the name of the site file in its folder.
const SiteName = "site.toml"

// Write makes the folder of the site: the site file and copies of the files it
// names. The folder appears whole or not at all. One that is there is left
// alone unless it is empty.
func (d *Draft) Write(dir string) error {
	if there, err := os.ReadDir(dir); err == nil && len(there) > 0 {
		return fault.Input(fmt.Errorf("%s is there already and holds something, which is left alone; name a folder that is not there yet", dir))
	}
	out, err := outdir.Begin(dir, false)
	if err != nil {
		return err
	}
	defer out.Abort()
	var left int64 = MostRaster
	for _, f := range d.files {
		for _, name := range append([]string{filepath.Base(f.Path)}, f.beside...) {
			if left, err = copyFile(out, filepath.Join(filepath.Dir(f.Path), name), renamed(name, f), left); err != nil {
				return err
			}
		}
		left = MostRaster
	}
	if err := out.Make(SiteName, d.make); err != nil {
		return err
	}
	return out.Commit()
}

// make writes the site file and reads it as it will be read.
func (d *Draft) make(path string) error {
	if err := os.WriteFile(path, []byte(d.Text), 0o666); err != nil {
		return err
	}
	s, err := site.Read(path)
	if err == nil {
		err = s.Check()
	}
	if err != nil {
		return fmt.Errorf("the site file that was made cannot be read: %w", err)
	}
	return nil
}

// renamed is the name of a copy: that of the file, or of what lies beside it,
// the same part of the name changed.
func renamed(name string, f *Found) string {
	base := filepath.Base(f.Path)
	stem := strings.TrimSuffix(base, filepath.Ext(base))
	switch {
	case strings.HasPrefix(name, base):
		return f.Name + strings.TrimPrefix(name, base)
	case len(name) > len(stem) && strings.EqualFold(name[:len(stem)], stem):
		return strings.TrimSuffix(f.Name, filepath.Ext(f.Name)) + name[len(stem):]
	}
	return name
}

// copyFile copies a file, of no more than most bytes, and says how many are
// left of them.
func copyFile(out *outdir.Dir, path, name string, most int64) (left int64, err error) {
	in, err := os.Open(path)
	if err != nil {
		return 0, fault.Input(err)
	}
	defer in.Close()
	to, err := out.Create(name)
	if err != nil {
		return 0, err
	}
	n, err := io.Copy(to, io.LimitReader(in, most+1))
	if err == nil && n > most {
		err = fault.Input(TooLarge(name, n, most))
	}
	return most - n, errors.Join(err, to.Close())
}

// Distinct gives files of one name different ones.
func Distinct(files []*Found) {
	var names []string
	for _, f := range files {
		ext := filepath.Ext(f.Name)
		stem := strings.TrimSuffix(f.Name, ext)
		for i := 2; slices.ContainsFunc(names, func(n string) bool { return strings.EqualFold(n, f.Name) }) || strings.EqualFold(f.Name, SiteName); i++ {
			f.Name = fmt.Sprintf("%s-%d%s", stem, i, ext)
		}
		names = append(names, f.Name)
	}
}
