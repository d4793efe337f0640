package calibration

import _ "embed"

// Diagram is the picture of the last calibration, of how often odds came true,
// as cmd/calibrate wrote it: SVG.
//
//go:embed result/reliability.svg
var Diagram string
