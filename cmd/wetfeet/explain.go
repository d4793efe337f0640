package main

import (
	"context"
	"errors"
	"fmt"
	"io"

	"wetfeet/cmd/internal/fault"
)

// explain tells a person what went wrong, and returns the exit status that
// tells a script.
func explain(stderr io.Writer, err error) int {
	switch {
	case err == nil:
		return exitOK
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(stderr, "wetfeet: interrupted; nothing was written")
		return exitFailed
	}
	fmt.Fprintf(stderr, "wetfeet: %v\n", err)
	switch {
	case errors.Is(err, errUsage):
		return exitUsage
	case fault.IsInput(err):
		return exitInput
	}
	return exitFailed
}
