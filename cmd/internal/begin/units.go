package begin

import (
	"bytes"
	"regexp"

	"wetfeet/terrain/quantity"
)

var (
	statedFeet = regexp.MustCompile(`(?im)^\s*units\s*[:=,]\s*"?(ft|feet|usft)\b`) // of a field book
	columnFeet = regexp.MustCompile(`(?i)[_(\[]\s*(ft|usft)\s*[)\]]?"?\s*([,;\t]|$)`)
	figure     = regexp.MustCompile(`(^|[,;\t])\s*"?[-+.]?[0-9]`)
)

// UnitsOf are the units that the head of a table is kept in: feet where a
// column is headed so, as z_ft or z (ft), or a field book states it. Where it
// says none, and in a raster, that is metres.
func UnitsOf(head []byte) quantity.Units {
	if kind, err := Sniff(head); err != nil || kind == Raster {
		return quantity.Metric
	}
	if statedFeet.Match(head) {
		return quantity.Feet
	}
	for line := range bytes.Lines(head) {
		line = bytes.TrimSpace(line)
		if columnFeet.Match(line) && !figure.Match(line) {
			return quantity.Feet
		}
	}
	return quantity.Metric
}

// UnitsIn are the units that a site begun from the files is told in: feet if
// any of them is kept in feet. A file that cannot be read says nothing; Look
// tells why.
func UnitsIn(paths ...string) quantity.Units {
	for _, path := range paths {
		if head, _, err := headOf(path, path); err == nil && UnitsOf(head) == quantity.Feet {
			return quantity.Feet
		}
	}
	return quantity.Metric
}
