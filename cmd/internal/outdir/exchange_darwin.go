package outdir

import (
	"errors"

	"golang.org/x/sys/unix"
)

// exchange swaps the names of two folders in one step.
func exchange(a, b string) error {
	err := unix.RenamexNp(a, b, unix.RENAME_SWAP)
	if errors.Is(err, unix.ENOSYS) || errors.Is(err, unix.EINVAL) || errors.Is(err, unix.ENOTSUP) {
		return errNoExchange
	}
	return err
}
