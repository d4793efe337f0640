package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/serve"
	"wetfeet/cmd/internal/site"
)

type newCommand struct {
	Dir    string   `arg:"" help:"Folder for the new site; it is made where there is none."`
	From   []string `placeholder:"FILE" help:"An elevation raster, spot heights, a level book, positions or a list of species to begin with; may be given again. Files can also be dropped on the page."`
	Port   int      `placeholder:"N" help:"Port of the page; a free one unless given."`
	Listen string   `placeholder:"ADDRESS" help:"Another address than this machine's own; the page then wants the key that is printed, which works once."`
}

func (c *newCommand) Run(s *call) error {
	if c.Port < 0 || c.Port > 65535 {
		return fmt.Errorf("%w: --port: found %d; a port is from 1 to 65535", errUsage, c.Port)
	}
	var from []site.File
	var bad []error
	for _, name := range c.From {
		f, err := site.Find(".", name)
		from, bad = append(from, f), append(bad, err)
	}
	if err := errors.Join(bad...); err != nil {
		return err
	}
	if info, err := os.Stat(c.Dir); err == nil && !info.IsDir() {
		return fault.Input(fmt.Errorf("%s is a file; a folder is needed", c.Dir))
	}
	if _, err := os.Stat(filepath.Join(c.Dir, "site.toml")); err == nil {
		return fault.Input(fmt.Errorf("%s holds a site already: wetfeet serve %s opens it", c.Dir, filepath.Join(c.Dir, "site.toml")))
	}
	if err := os.MkdirAll(c.Dir, 0o777); err != nil {
		return fault.Input(err)
	}
	for _, f := range from {
		if err := copyInto(c.Dir, f); err != nil {
			return err
		}
	}
	dir, err := filepath.Abs(c.Dir)
	if err != nil {
		return err
	}
	return serve.Run(s.ctx, serve.Options{
		Dir: dir, Plan: sitePlan, Listen: c.Listen, Port: c.Port,
		Ready: func(address string) {
			fmt.Fprintf(s.stdout, "the page is at %s\nCtrl-C ends it\n", address)
		},
	})
}

// copyInto puts a copy of a file into a folder, and leaves one of that name
// that is there alone.
func copyInto(dir string, f site.File) error {
	to := filepath.Join(dir, f.Name)
	in, err := os.Open(f.Path)
	if err != nil {
		return fault.Input(err)
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o666)
	if errors.Is(err, os.ErrExist) {
		return fault.Input(fmt.Errorf("%s is there already; begin in an empty folder", to))
	}
	if err != nil {
		return err
	}
	if _, err := io.Copy(out, in); err != nil {
		out.Close()
		return errors.Join(err, os.Remove(to))
	}
	return out.Close()
}
