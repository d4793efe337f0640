// Package fault tells whose fault an error is: the user's files, which
// another file or a mended one would cure, or anything else.
package fault

import "errors"

type inputError struct{ error }

func (e inputError) Unwrap() error { return e.error }

// Input marks an error as the fault of an input. Nil stays nil.
func Input(err error) error {
	if err == nil {
		return nil
	}
	return inputError{err}
}

// IsInput reports whether an error, or one it wraps, was marked by Input.
func IsInput(err error) bool {
	_, ok := errors.AsType[inputError](err)
	return ok
}
