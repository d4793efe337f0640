package raster

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"
)

// ErrInput is what errors.Is finds in an error that is the fault of a file or
// of a text a person gave: another file or a mended one would work. Faults of
// the machine, such as a full disk or a missing permission, do not carry it.
var ErrInput = errors.New("an input is at fault")

// ErrNoCRS is what errors.Is finds, beside ErrInput, in the error of a raster
// that names no coordinate system where none was given with it.
var ErrNoCRS = errors.New("the raster names no coordinate system")

// An inputError is a sentence about an input, and what caused it.
type inputError struct {
	text  string
	cause error // may be nil
}

func (e *inputError) Error() string { return e.text }

func (e *inputError) Is(target error) bool { return target == ErrInput }

func (e *inputError) Unwrap() error { return e.cause }

// bad is an error that is the fault of an input. A %w in the format is kept
// as the cause.
func bad(format string, args ...any) error {
	err := fmt.Errorf(format, args...)
	return &inputError{text: err.Error(), cause: errors.Unwrap(err)}
}

// in puts the name of a file before an error, before each line of it if it
// lists several mistakes, and keeps whose fault it is.
func in(path string, err error) error {
	if err == nil {
		return nil
	}
	text := path + ": " + strings.ReplaceAll(err.Error(), "\n", "\n"+path+": ")
	if errors.Is(err, ErrInput) {
		return &inputError{text: text, cause: err}
	}
	return fmt.Errorf("%s: %w", path, err)
}

// plain is what the operating system said, without the name of the file,
// which the sentence around it already gives.
func plain(err error) error {
	if p, ok := errors.AsType[*fs.PathError](err); ok {
		return p.Err
	}
	return err
}
