package field

import "wetfeet/terrain"

// OfExponential is OfSpread with an exponential covariance, as errors have.
func OfExponential(mean, sd *terrain.Grid[float32], reach float64, seed uint64) (*Draws, error) {
	f := mean.Frame
	d := &Draws{Frame: f, Mean: mean, SD: sd, share: sd, seed: seed, window: wholeFrame(f)}
	t, eigen, _ := embed(f.Rows, f.Cols, f.CellSize, reach, exponential(1, reach))
	d.setField(t, eigen)
	return d, nil
}
