package main

import "runtime"

// restoreThreads sets the number of threads and returns the way back.
func restoreThreads(n int) func() {
	before := runtime.GOMAXPROCS(n)
	return func() { runtime.GOMAXPROCS(before) }
}
