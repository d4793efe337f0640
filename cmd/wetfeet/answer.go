package main

import (
	"fmt"

	"wetfeet/cmd/internal/outdir"
)

// answerFlags are those of the commands whose answer is a folder. A command
// names the usual one with `set:"out=..."` where it embeds them.
type answerFlags struct {
	Out   string `short:"o" default:"${out}" placeholder:"DIR" help:"Folder for the answer."`
	Force bool   `help:"Replace an answer of an earlier run in that folder."`
}

// begin makes the folder, and makes sure that the files named may be made in
// it. The caller aborts it where it is not put in place.
func (f answerFlags) begin(files ...string) (*outdir.Dir, error) {
	out, err := outdir.Begin(f.Out, f.Force)
	if err != nil {
		return nil, err
	}
	if err := out.Claim(files...); err != nil {
		out.Abort()
		return nil, err
	}
	return out, nil
}

// finish puts the folder in place and makes the remarks on it.
func (s *call) finish(out *outdir.Dir, remarks []string) error {
	if err := out.Commit(); err != nil {
		return err
	}
	s.say.end()
	if out.Left != "" {
		s.note(fmt.Sprintf("the folder %s holds what was replaced and could not be cleared away", out.Left))
	}
	s.note(remarks...)
	return nil
}

// note makes remarks beside the answer.
func (s *call) note(remarks ...string) {
	for _, r := range remarks {
		fmt.Fprintln(s.stderr, "note:", r)
	}
}
