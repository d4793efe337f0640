package main

import "runtime/debug"

// version is the module's version as the build recorded it.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok || info.Main.Version == "" || info.Main.Version == "(devel)" {
		return "(built from source)"
	}
	return info.Main.Version
}
