package field

import (
	"errors"

	"wetfeet/terrain"
)

// OfSpread draws grounds about a mean with a standard deviation of its own in
// every cell, m: the mean and the deviation times a field of Matérn 3/2 whose
// correlation falls to a twentieth at the reach, m. It is for what OfSurvey
// has no room for, such as more shots or triangles, and a makeshift: the field
// is not conditioned on shots but where the deviation is small.
func OfSpread(mean, sd *terrain.Grid[float32], reach float64, seed uint64) (*Draws, error) {
	f := mean.Frame
	if sd.Frame != f {
		panic("field: a mean and a deviation on different frames")
	}
	var errs []error
	if known := terrain.Known(mean); known < fewCells {
		errs = append(errs, faultf("the ground has %d cells with an elevation; draws need at least %d", known, fewCells))
	}
	unsure := 0
	for i, v := range sd.Cells {
		if !terrain.IsVoid(mean.Cells[i]) && (!(v >= 0) || !finite(float64(v))) {
			unsure++
		}
	}
	if unsure > 0 {
		errs = append(errs, faultf("%d cells with an elevation have no standard deviation of 0 m or more", unsure))
	}
	if err := checkRange(reach, f); err != nil {
		errs = append(errs, err)
	}
	if err := errors.Join(errs...); err != nil {
		return nil, err
	}
	d := &Draws{Frame: f, Mean: mean, SD: sd, share: sd, seed: seed, window: wholeFrame(f)}
	t, eigen, clipped := embed(f.Rows, f.Cols, f.CellSize, reach, matern(1, reach))
	if clipped > 0.01 {
		d.remark("the covariance does not fit round a torus: %.1f %% of the variance is that of other wavelengths", 100*clipped)
	}
	d.setField(t, eigen)
	return d, nil
}
