package hydro

import (
	"wetfeet/terrain"

	"github.com/paulmach/orb"
)

// Options adjusts Drain. The zero value is the common case.
type Options struct {
	// Routing shares out the water of a cell. Zero is Multiple.
	Routing Routing

	// Exponent is the power of the slope in Multiple routing. Zero is 1.1,
	// after Freeman (1991).
	Exponent float64

	// Hollows says what becomes of hollows in the flow. Zero is Auto.
	Hollows HollowRule

	// Smooth is the length over which the ground is smoothed for the wetness
	// index, one standard deviation, m. Zero leaves it to the noise; a
	// negative length smooths nothing.
	Smooth float64

	// Error is one standard deviation of the error of the ground, m. Zero
	// lets it be estimated from the roughness of the ground.
	Error float64

	// CellNoise is the part of the error that differs from cell to cell, one
	// standard deviation, m, of ground that hides it, as one that was resampled
	// does. Zero lets it be read off the roughness of the ground.
	CellNoise float64

	// ErrorAt is one standard deviation of the error of every cell, m, where
	// neighbours share it, as in a surface through a survey. Nil takes Error
	// for all, as different from cell to cell.
	ErrorAt *terrain.Grid[float32]

	// FlowLineCatchment is the least catchment of a flow line, m². Zero
	// chooses one for the site; see FlowLines.
	FlowLineCatchment float64

	// Progress is told the name of each stage as it begins. Nil is silence.
	Progress func(stage string)
}

// HollowRule says what becomes of hollows when water is routed.
type HollowRule int

const (
	// Auto fills hollows for the upslope area and keeps them, as ends of
	// flow, for the wetness index.
	Auto HollowRule = iota
	Keep
	FillAll
)

// Drainage is all that is computed from the ground alone.
type Drainage struct {
	Ground      *terrain.Grid[float32] // the ground used, m
	Filled      *terrain.Grid[float32] // every hollow filled to its spill level, m
	BrimDepth   *terrain.Grid[float32] // Filled − Ground, m
	Slope       *terrain.Grid[float32] // rise over run, Horn (1981)
	UpslopeArea *terrain.Grid[float64] // contributing area including the cell, m²
	EdgeFed     *terrain.Grid[bool]    // whose catchment leaves the grid: UpslopeArea is a lower bound
	Wetness     *terrain.Grid[float32] // ln(a / tan β), a in m²/m
	Smoothed    *terrain.Grid[float32] // the ground Wetness was routed on, m

	Hollows   *Hollows // those that are more than the error of the ground
	Found     *Hollows // all of them, noise included
	FlowLines []FlowLine

	Error             float64 // of the ground, one standard deviation, m, used throughout
	ErrorEstimated    bool    // the error was read off the roughness of the ground
	CellNoise         float64 // part of Error that differs from cell to cell, m: no more than the roughness shows
	Smooth            float64 // length used, m
	SlopeFloor        float64 // least slope in Wetness, from CellNoise, rise over run
	FlowWidth         float64 // contour width one cell drains across, m
	FlowLineCatchment float64 // m²

	Balance Balance
	Seconds []StageTime // by stage, in the order run
}

// Balance accounts for water, m³. For the ground alone it is the water of one
// millimetre over every known cell, routed as UpslopeArea was.
type Balance struct {
	In, Ponded, Left, Error float64
}

// times is the balance of a load so many times as large.
func (b Balance) times(load float64) Balance {
	return Balance{In: b.In * load, Ponded: b.Ponded * load, Left: b.Left * load, Error: b.Error * load}
}

// StageTime is how long one stage took.
type StageTime struct {
	Stage   string
	Seconds float64
}

// A FlowLine is where water runs: cell centres from its head down to where it
// joins a larger line, or leaves the site.
type FlowLine struct {
	Line      orb.LineString // in the frame's system, downstream order
	Catchment float64        // at its lower end, m²
	Order     int            // Strahler (1957)
}
