package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"wetfeet/cmd/internal/serve"
)

type serveCommand struct {
	Site   string `arg:"" help:"Site file (TOML)."`
	Port   int    `placeholder:"N" help:"Port of the page; a free one unless given."`
	Listen string `placeholder:"ADDRESS" help:"Another address than this machine's own, such as 192.168.1.20; the page then wants the key that is printed, which works once."`
}

func (c *serveCommand) Run(s *call) error {
	if c.Port < 0 || c.Port > 65535 {
		return fmt.Errorf("%w: --port: found %d; a port is from 1 to 65535", errUsage, c.Port)
	}
	if !strings.EqualFold(filepath.Ext(c.Site), ".toml") {
		return fmt.Errorf("%w: %s is not a site file (.toml)", errUsage, c.Site)
	}
	return serve.Run(s.ctx, serve.Options{
		Site: c.Site, Plan: sitePlan, Listen: c.Listen, Port: c.Port, Progress: s.say.stage,
		Ready: func(address string) {
			s.say.end()
			fmt.Fprintf(s.stdout, "the page is at %s\nCtrl-C ends it\n", address)
		},
	})
}
