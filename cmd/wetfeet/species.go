package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"wetfeet/cmd/internal/fault"
	"wetfeet/species"
)

type speciesCommand struct {
	Words []string `arg:"" help:"Scientific or common name, such as pecan or \"Carya illinoinensis\"."`
	Table string   `placeholder:"FILE" help:"CSV of your own species; adds to or overrides the built-in table."`
}

func (c *speciesCommand) Run(s *call) error {
	t := species.BuiltIn()
	if c.Table != "" {
		f, err := os.Open(c.Table)
		if err != nil {
			return fault.Input(err)
		}
		defer f.Close()
		if t, err = t.With(f, filepath.Base(c.Table)); err != nil {
			return fault.Input(err)
		}
	}
	e, err := t.Find(strings.Join(c.Words, " "))
	if err != nil {
		return fault.Input(fmt.Errorf("%w", err))
	}
	return t.Explain(s.stdout, e, species.ExplainOptions{Width: lineWidth})
}
