package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"sync"
	"syscall"
)

// errEnough is why draws are stopped while all else goes on.
var errEnough = errors.New("interrupted")

// An interrupter ends the work when the user interrupts it. While draws are
// made, the first interrupt ends only those, since what is done of them tells
// odds already; the second ends all.
type interrupter struct {
	stderr io.Writer

	mu     sync.Mutex
	enough context.CancelCauseFunc // ends the draws that are made now; nil when none are
}

// watch is a context that ends with the process being told to stop.
func (i *interrupter) watch(ctx context.Context) (context.Context, context.CancelFunc) {
	ctx, stop := context.WithCancel(ctx)
	signals := make(chan os.Signal, 1)
	signal.Notify(signals, os.Interrupt, syscall.SIGTERM)
	go func() {
		defer signal.Stop(signals)
		for {
			select {
			case s := <-signals:
				if s == os.Interrupt && i.stopDraws() {
					continue
				}
				stop()
				return
			case <-ctx.Done():
				return
			}
		}
	}()
	return ctx, stop
}

// stopDraws ends the draws that are made now, and reports whether there were
// any.
func (i *interrupter) stopDraws() bool {
	i.mu.Lock()
	defer i.mu.Unlock()
	if i.enough == nil {
		return false
	}
	i.enough(errEnough)
	i.enough = nil
	fmt.Fprintln(i.stderr, "\nstopping the draws; what is done of them is kept. Interrupt again to give up.")
	return true
}

// draws is a context for draws that are made from here on.
func (i *interrupter) draws(ctx context.Context) (context.Context, context.CancelFunc) {
	ctx, enough := context.WithCancelCause(ctx)
	i.mu.Lock()
	i.enough = enough
	i.mu.Unlock()
	return ctx, func() {
		i.mu.Lock()
		i.enough = nil
		i.mu.Unlock()
		enough(context.Canceled)
	}
}
