package hydro

import "testing"

// seeds are so many random grounds, or a tenth of them where tests are to be
// short.
func seeds(n uint64) uint64 {
	if testing.Short() {
		return n / 10
	}
	return n
}
