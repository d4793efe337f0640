package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"wetfeet/cmd/internal/begin"
	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/serve"
)

type serveCommand struct {
	Site   string `arg:"" optional:"" help:"Site file (TOML), or the folder of one. Without it, or with a folder that is empty or not there, a new site is begun on the page."`
	Port   int    `placeholder:"N" help:"Port of the page; a free one unless given."`
	Listen string `placeholder:"ADDRESS" help:"Another address than this machine's own, such as 192.168.1.20; the page then wants the key that is printed, which works once."`
}

func (c *serveCommand) Run(s *call) error {
	if c.Port < 0 || c.Port > 65535 {
		return fmt.Errorf("%w: --port: found %d; a port is from 1 to 65535", errUsage, c.Port)
	}
	o := serve.Options{
		Plan: sitePlan, Listen: c.Listen, Port: c.Port, Progress: s.say.stage,
		Ready: func(address string) {
			s.say.end()
			fmt.Fprintf(s.stdout, "the page is at %s\nCtrl-C ends it\n", address)
		},
	}
	if err := c.place(&o); err != nil {
		return err
	}
	return serve.Run(s.ctx, o)
}

// place says which site is opened, or where a new one is begun.
func (c *serveCommand) place(o *serve.Options) error {
	if strings.EqualFold(filepath.Ext(c.Site), ".toml") {
		o.Site = c.Site
		return nil
	}
	if c.Site == "" {
		o.Dir = "."
		return nil
	}
	dir, err := filepath.Abs(c.Site)
	if err != nil {
		return err
	}
	info, err := os.Stat(dir)
	switch {
	case err != nil && !os.IsNotExist(err):
		return fault.Input(err)
	case err == nil && !info.IsDir():
		return fmt.Errorf("%w: %s is not a site file (.toml)", errUsage, c.Site)
	}
	if _, err := os.Stat(filepath.Join(dir, begin.SiteName)); err == nil {
		o.Site = filepath.Join(dir, begin.SiteName)
		return nil
	}
	if there, _ := os.ReadDir(dir); len(there) > 0 {
		return fault.Input(fmt.Errorf("%s holds files but no %s; name a site file, or for a new site a folder that is not there yet", c.Site, begin.SiteName))
	}
	o.Dir, o.Name = filepath.Split(dir)
	if _, err := os.Stat(o.Dir); err != nil {
		return fault.Input(fmt.Errorf("%s: the folder it is to be in is not there", c.Site))
	}
	return nil
}
