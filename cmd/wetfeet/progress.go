package main

import (
	"fmt"
	"io"
	"os"
	"time"
)

// A progress line on a terminal says what is being done, for as long as it
// takes. Anywhere else it is silent, so that logs hold no half lines.
type progress struct {
	w     io.Writer
	live  bool
	since time.Time
	shown bool
}

func newProgress(w io.Writer) *progress {
	f, ok := w.(*os.File)
	if !ok {
		return &progress{w: w}
	}
	info, err := f.Stat()
	return &progress{w: w, live: err == nil && info.Mode()&os.ModeCharDevice != 0, since: time.Now()}
}

// stage replaces the line by the name of a stage.
func (p *progress) stage(name string) {
	if !p.live {
		return
	}
	fmt.Fprintf(p.w, "\r\x1b[K%5.1f s  %s ...", time.Since(p.since).Seconds(), name)
	p.shown = true
}

// end takes the line away.
func (p *progress) end() {
	if p.shown {
		fmt.Fprint(p.w, "\r\x1b[K")
		p.shown = false
	}
}
