package field

import (
	"errors"
	"fmt"
)

// ErrInput marks every error that lies in what was stated of the ground, its
// error or its shots: other numbers would work.
var ErrInput = errors.New("the ground's error is at fault")

// A fault is one thing wrong with what was stated.
type fault string

func faultf(format string, args ...any) error { return fault(fmt.Sprintf(format, args...)) }

func (f fault) Error() string { return string(f) }

// Is makes every fault an ErrInput.
func (f fault) Is(target error) bool { return target == ErrInput }
