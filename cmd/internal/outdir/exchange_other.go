//go:build !linux && !darwin

package outdir

// exchange is not known on this system.
func exchange(a, b string) error { return errNoExchange }
