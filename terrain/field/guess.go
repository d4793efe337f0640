package field

import (
	"math"

	"wetfeet/terrain"
)

// A guess is a spectrum that is as likely as the next: the mean by it, the
// swing, and for a survey the shots as solved for by it.
type guess struct {
	mean  *terrain.Grid[float32]
	torus torus
	swing []float32
	shots *shots
}

// MostLikely is how many likely covariances there is room for with so many
// shots, whose covariance is held and solved by each: 12 at most, and 1 beyond
// some thousand.
func MostLikely(shots int) int { return min(12, max(1, 1<<22/max(shots*shots, 1))) }

// setLikely makes a guess of each likely covariance of a survey. Its mean is
// that of the survey, moved by what kriging by the one covariance and by the
// other makes of the shots, so that lines the survey was not smoothed across
// stay as they are. How far the means lie apart is added to the deviation,
// which else is that of the survey's own covariance. A covariance that does
// not tell the shots apart is left out.
func (d *Draws) setLikely(s *Survey, within []Shot, terms int) {
	if len(s.Likely) == 0 {
		return
	}
	f := s.Mean.Frame
	likeliest := d.kriged(within)
	sum, squares := make([]float64, f.Len()), make([]float64, f.Len())
	for _, l := range s.Likely {
		one := *s
		one.Covariance, one.Reach = l.Covariance, l.Reach
		by := &Draws{Frame: f, window: d.window, shots: one.readings(d.window, within, terms)}
		t, eigen, _ := embed(d.window.rows, d.window.cols, f.CellSize, l.Reach, l.Covariance)
		by.setField(t, eigen)
		if _, ok := by.shots.solveWith(t, by.table()); !ok {
			continue
		}
		mean := by.kriged(within)
		for i, z := range mean.Cells {
			off := z - likeliest.Cells[i]
			sum[i] += float64(off)
			squares[i] += float64(off) * float64(off)
			mean.Cells[i] = s.Mean.Cells[i] + off
		}
		d.guesses = append(d.guesses, guess{mean, t, by.swing, by.shots})
	}
	n := float64(len(d.guesses))
	if n == 0 {
		return
	}
	d.Mean = terrain.NewGrid[float32](f)
	for i, z := range s.Mean.Cells { // voids stay so
		mean := sum[i] / n
		d.Mean.Cells[i] = z + float32(mean)
		sd := float64(d.SD.Cells[i])
		d.SD.Cells[i] = float32(math.Sqrt(sd*sd + max(squares[i]/n-mean*mean, 0)))
	}
}

// kriged is the ground that the shots foretell, by the field and the shots at
// hand.
func (d *Draws) kriged(within []Shot) *terrain.Grid[float32] {
	f := d.Frame
	datum := within[0].Z // so that little is lost to rounding
	pairs := make([]float64, 2*len(within))
	for i, shot := range within {
		pairs[2*i] = shot.Z - datum
	}
	beta := d.shots.weigh(pairs, 2)
	for i := range pairs {
		pairs[i] = -pairs[i]
	}
	z, none := terrain.NewGrid[float32](f), make([]float32, f.Len())
	d.NewRoom().foretell(z.Cells, none, pairs)
	var columns [3]float64
	for row := range f.Rows {
		for c := range f.Cols {
			trend := 0.0
			for j, v := range d.window.trendAt(columns[:0], d.shots.terms, float64(c+d.window.col)+0.5, float64(row+d.window.row)+0.5) {
				trend += v * beta[2*j]
			}
			z.Cells[row*f.Cols+c] += float32(trend)
		}
	}
	return z
}
