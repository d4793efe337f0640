package assess

import (
	"wetfeet/cmd/internal/ground"
	"wetfeet/cmd/internal/planting"
	"wetfeet/hydro/soil"
	"wetfeet/hydro/weather"
	"wetfeet/terrain/quantity"
)

// A Plan is what is to be assessed, however it was given: by a site file or
// by flags.
type Plan struct {
	Name     string
	Invented bool
	Units    quantity.Units

	Ground ground.Source
	Error  float64 // of the ground, one standard deviation, m; 0 lets it be estimated

	Rain weather.Storm // the storm; what is zero is taken and said
	Soil soil.Known    // likewise

	Season string // file of a record of daily or hourly rain; empty for none

	// CRS is the system of Rows and of positions whose file does not say.
	// Empty is WGS 84 longitude and latitude.
	CRS       string
	Rows      []planting.Row // lines in CRS
	Positions string         // file of single positions, CSV or GeoJSON; empty for none
	Species   string         // file of the grower's own species; empty for none

	Files   []File   // all inputs, to be recorded
	Assumed []string // defaults taken before anything was read, a sentence each
}
